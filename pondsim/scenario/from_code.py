"""One value given by code in place of a file: a number is SI already, all else is read as in a file."""

from __future__ import annotations

import math
from numbers import Integral, Real
from pathlib import Path
from typing import Any

from pondsim.scenario.convert import check_range, convert, default_value, read_number, si_unit
from pondsim.scenario.keys import Key
from pondsim.scenario.unreadable import UnreadableError
from pondsim.unit_words import WORDS


def from_code(value: Any, key: Key) -> Any:
    """A value given by code in place of a file, in SI: a number is SI already, all else as in a file.

    Raises UnreadableError with what was given and what is wanted.
    """
    if value is None and not key.required:
        return default_value(key)
    if isinstance(value, list | tuple) and key.kind in ("numbers", "months", "point"):
        if key.kind != "numbers" and len(value) != (12 if key.kind == "months" else 2):
            return convert(list(value), key)  # says how many are wanted
        return tuple(_si_number(item, key, f"item {place}: ") for place, item in enumerate(value, 1))
    if key.kind == "quantity":
        return _si_number(value, key)
    if key.kind == "months" and key.single:
        return (_si_number(value, key),) * 12
    if key.kind == "integer" and isinstance(value, Integral):
        value = int(value)
    raw = list(value) if isinstance(value, tuple) else str(value) if isinstance(value, Path) else value
    return convert(raw, key)


def _si_number(value: Any, key: Key, where: str = "= ") -> float:
    if isinstance(value, bool) or not isinstance(value, Real):
        return read_number(value, key, where)
    if not math.isfinite(value):
        raise UnreadableError(f"{where}{value} is not a number; write {WORDS[si_unit(key)][0]} in SI.")
    unit = si_unit(key)
    check_range(str(value) if unit == "1" else f"{value} {unit}", float(value), key, where)
    return float(value)
