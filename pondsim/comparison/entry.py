"""One measure of one run, named for people and for machines."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Entry:
    """One number of one run; see `Row` for the fields, `absent` is the value of a design without it."""

    section: str
    label: str
    value: float | None
    unit: str
    us: str
    si: str
    good: int = 0
    main: bool = False
    failing: bool = False
    absent: float | None = None
    no_contest: bool = False


def number(value: Any) -> float | None:
    """A plain number; None for what is missing or infinite."""
    found = float(value)
    return found if math.isfinite(found) else None
