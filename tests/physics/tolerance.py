"""How close a computed value must come to a published one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

# Called with every comparison: what was published, what was computed.
# docs/studies/make_validation.py listens.
LISTENERS: list[Callable[[Published, Any], None]] = []


class Published:
    """A published value with its tolerance; equal to what lies within it.

    Attributes
    ----------
    value, unit : as printed
    tolerance : a number is absolute, "0.1 %" relative, "exact" to rounding error
    check : number of the check where one test holds several; else the test's own id or its docstring says it
    """

    __array_ufunc__ = None  # numpy leaves the comparison to this class
    __hash__ = None  # type: ignore[assignment]

    def __init__(self, value: float, tolerance: float | str, unit: str, check: str) -> None:
        self.value, self.tolerance, self.unit, self.check = value, tolerance, unit, check
        if tolerance == "exact":
            self.within = pytest.approx(value, rel=1e-12)
        elif isinstance(tolerance, str):
            self.within = pytest.approx(value, rel=float(tolerance.removesuffix("%")) / 100.0)
        else:
            self.within = pytest.approx(value, abs=tolerance, rel=0.0)

    def __eq__(self, ours: object) -> bool:
        for listener in LISTENERS:
            listener(self, ours)
        return bool(ours == self.within)

    def __repr__(self) -> str:
        return repr(self.within)


def close_to(value: float, tolerance: float | str, unit: str = "", check: str = "") -> Published:
    """`value` within a tolerance; see `Published`. Unit and check name the row in docs/validation.md."""
    return Published(value, tolerance, unit, check)
