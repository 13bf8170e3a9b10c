"""The table of units, data/units.txt, as numbers: what each name is in base units, and of what dimension."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import NamedTuple

TABLE = Path(__file__).parent / "data" / "units.txt"
_WORD = re.compile(r"\*\*|[*/]|[^\s*/]+")
_DIFFERENCE = "delta_"  # before the name of a temperature: degrees counted from nowhere


class Declared(NamedTuple):
    """A unit as its line says: ``scale`` of the product of ``parts``, counted from ``offset``."""

    name: str
    scale: float
    parts: dict[str, float]  # other units and their powers; none for a base unit and a plain number
    offset: float = 0.0  # in base units
    dimension: str = ""  # of a base unit


@cache
def declared_units() -> dict[str, Declared]:
    """Every unit by each of its names; temperatures with a zero of their own as differences too."""
    found: dict[str, Declared] = {}
    for line in TABLE.read_text(encoding="utf-8").splitlines():
        name, _, rest = line.partition("#")[0].partition(" = ")
        if not rest:
            continue
        value, *others = rest.split(" = ")
        unit = _declared(name.strip(), value.strip())
        names = [unit.name, *(other.strip() for other in others if other.strip() != "_")]
        found |= dict.fromkeys(names, unit)
        if unit.offset:
            apart = unit._replace(name=_DIFFERENCE + unit.name, offset=0.0)
            found |= {_DIFFERENCE + one: apart for one in names}
    return found


def _declared(name: str, value: str) -> Declared:
    if value.startswith("["):
        return Declared(name, 1.0, {}, dimension=value)
    product, _, offset = value.partition("; offset:")
    scale, parts = _product(product)
    return Declared(name, scale, parts, sum(_product(term)[0] for term in offset.split("+") if term))


def _product(text: str) -> tuple[float, dict[str, float]]:
    """Number and powers of ``550 * ft * lb / s ** 2``; what stands side by side is multiplied."""
    scale, parts = 1.0, dict[str, float]()
    words = _WORD.findall(text)
    for place, word in enumerate(words):
        before = words[place - 1] if place else "*"
        if word in ("*", "/", "**") or before == "**":
            continue
        power = float(words[place + 2]) if words[place + 1 : place + 2] == ["**"] else 1.0
        if word[0].isdigit():
            factor = float(word) ** power
            scale = scale / factor if before == "/" else scale * factor
        else:
            parts[word] = parts.get(word, 0.0) + (-power if before == "/" else power)
    return scale, parts


def in_base_units(factors: dict[str, float]) -> tuple[float, dict[str, float]]:
    """Scale to SI and powers of dimensions of a product of units, which are given by name and power.

    Numbers that stand above and below the line are cancelled first, so that what is exact stays exact.
    Raises KeyError for a name that the table lacks.
    """
    above: dict[float, float] = {}
    below: dict[float, float] = {}
    dimensions: dict[str, float] = {}
    _gather(factors, 1.0, (above, below), dimensions)
    for factor in above.keys() & below.keys():
        both = min(above[factor], below[factor])
        above[factor] -= both
        below[factor] -= both
    scale = 1.0
    for factor, power in above.items():
        scale *= factor**power
    for factor, power in below.items():
        scale *= factor**-power
    return scale, {dimension: power for dimension, power in dimensions.items() if power != 0.0}


def _gather(
    factors: dict[str, float],
    times: float,
    numbers: tuple[dict[float, float], dict[float, float]],
    dimensions: dict[str, float],
) -> None:
    """Add powers of the numbers above and below the line, and of the dimensions, of a product to a power."""
    for name, of in factors.items():
        unit, power = declared_units()[name], times * of
        if unit.dimension:
            dimensions[unit.dimension] = dimensions.get(unit.dimension, 0.0) + power
            continue
        side = numbers[power < 0.0]
        side[unit.scale] = side.get(unit.scale, 0.0) + abs(power)
        _gather(unit.parts, power, numbers, dimensions)
