"""How close a computed value must come to a published one."""

from __future__ import annotations

import pytest


def close_to(value: float, tolerance: float | str):
    """`value` within a tolerance: a number is absolute, "0.1 %" relative, "exact" to rounding error."""
    if tolerance == "exact":
        return pytest.approx(value, rel=1e-12)
    if isinstance(tolerance, str):
        return pytest.approx(value, rel=float(tolerance.removesuffix("%")) / 100.0)
    return pytest.approx(value, abs=tolerance)
