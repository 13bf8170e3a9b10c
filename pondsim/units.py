"""Text with a unit to SI and back: the one door to pint, imported for units that units_read.json lacks.

What a unit text may look like: ``ft``, ``m3/s``, ``g/m2/d``, ``acre ft``, ``acre-ft``, ``m^0.5/s``, ``1/d``,
``%/m``. Every name stands in units.txt; nothing is guessed. A temperature such as ``20 degC`` (or ``20 C``)
is read against absolute zero where a temperature is wanted (SI unit ``K``), as a difference where a
difference is wanted (``delta_K``). Air has a dimension of its own: ``scfm`` is no ``cfm``.
"""

from __future__ import annotations

import json
import math
import re
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from pondsim.errors import ScenarioError
from pondsim.unit_words import DISPLAY, WORDS, likely

NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_QUANTITY = re.compile(rf"\s*({NUMBER})\s*(.*?)\s*", re.DOTALL)
_FACTOR = re.compile(r"([A-Za-z_%°$€£]+\d?)|(?:([A-Za-z_%°$€£]+)\^?(-?\d+(?:\.\d+)?))")


class UnitError(ScenarioError):
    """A text that is not a number with a known unit or of the right kind; the message names the cure."""


class _UnknownUnitError(UnitError):
    """A unit of no known name; `name` is what was read for it."""

    def __init__(self, name: str) -> None:
        self.name = name
        super().__init__(f'has an unknown unit "{name}"{likely(name, unit_names())}')


@dataclass(frozen=True)
class _Unit:
    """How a unit becomes SI: ``si = value * scale + offset``; `difference` marks delta_degC and the like."""

    scale: float
    offset: float
    dimension: frozenset[tuple[str, float]]
    difference: bool


@cache
def _registry() -> Any:
    import pint  # noqa: PLC0415  (0.3 s: only for those who read an unusual unit, or mistype one)

    return pint.UnitRegistry(str(Path(__file__).parent / "data" / "units.txt"))


@cache
def unit_names() -> tuple[str, ...]:
    """Every name a unit text may use, sorted."""
    return tuple(sorted(name for name in _registry() if not name.startswith("Δ")))


def _factors(text: str) -> dict[str, float]:
    """Names and exponents of a unit text: g/m2/d gives {"g": 1, "m": -2, "d": -1}."""
    plain = text.replace("µ", "u").replace("μ", "u").replace("²", "2").replace("³", "3").replace("**", "^")
    plain = re.sub(r"(?<=[A-Za-z])-(?=[A-Za-z])|[·⋅*]", " ", plain)
    factors: dict[str, float] = {}
    for place, group in enumerate(plain.split("/")):
        words = group.split()
        if not words or (place and len(words) > 1):
            raise UnitError(f'has no readable unit "{text}"; write one unit after each "/", as in "W/m/K".')
        for word in words:
            if word == "1" and place == 0 and len(words) == 1:
                continue
            match = _FACTOR.fullmatch(word)
            if not match:
                raise UnitError(f'has no readable unit "{text}"; write a number and a unit, as in "8.5 ft".')
            name, exponent = match[1] or match[2], float(match[3] or 1)
            if name not in unit_names() and name[-1].isdigit():
                name, exponent = name[:-1], float(name[-1])
            if name not in unit_names():
                raise _UnknownUnitError(name)
            factors[name] = factors.get(name, 0.0) + (exponent if place == 0 else -exponent)
    return factors


@cache
def _read_before() -> dict[str, _Unit]:
    """What pint reads of texts that pondsim and its scenarios use: `make_reference.py` asks it of each."""
    known = json.loads((Path(__file__).parent / "data" / "units_read.json").read_text(encoding="utf-8"))
    return {name: _Unit(a, b, frozenset(of.items()), apart) for name, (a, b, of, apart) in known.items()}


@lru_cache(4096)
def _unit(text: str) -> _Unit:
    """Look a unit text up; raises UnitError for an unknown one."""
    return _read_before().get(text) or read_by_pint(text)


def read_by_pint(text: str) -> _Unit:
    """What a unit text means by units.txt; raises UnitError for an unknown one."""
    registry = _registry()
    factors: dict[str, float] = {}
    for name, exponent in (_factors(text) if text != "" else {}).items():
        own = registry.get_name(name)
        factors[own] = factors.get(own, 0.0) + exponent
    alone = len(factors) == 1 and set(factors.values()) == {1.0}
    offset = 0.0
    for name in ("degC", "degF"):
        if name in factors and alone:
            offset = float(registry.Quantity(0.0, name).to("K").magnitude)
        elif name in factors:  # 1/degC counts degrees, it does not start at a zero
            factors[f"delta_{name}"] = factors.pop(name)
    unit = registry.UnitsContainer(factors)
    scale, _ = registry.get_root_units(unit, check_nonmult=False)
    powers = dict(registry.get_dimensionality(unit))
    dimension = frozenset((key, float(power)) for key, power in powers.items())
    return _Unit(float(scale), offset, dimension, alone and next(iter(factors)).startswith("delta_"))


@cache
def _words_by_dimension() -> dict[frozenset[tuple[str, float]], str]:
    words: dict[frozenset[tuple[str, float]], str] = {}
    for si_unit in WORDS:
        words.setdefault(_unit(si_unit).dimension, si_unit)
    return words


def si_unit_of(unit: str) -> str:
    """SI unit of the kind `unit` is: "mg/L" gives "kg/m3", "psi" gives "Pa", "" gives "1"."""
    if unit in ("", "1"):
        return "1"
    known = _words_by_dimension().get(_unit(unit).dimension)
    if known is None:
        raise UnitError(f'"{unit}" is of a kind pondsim has no SI unit for')
    return "delta_K" if known == "K" and _unit(unit).difference else known


def _wanted(si_unit: str) -> str:
    kind, first, second = WORDS[si_unit]
    return f'write {kind}, such as "{first}" or "{second}".'


def split(text: str) -> tuple[float, str]:
    """Number and unit text of ``"12 in"``; the unit is "" when there is none.

    Raises UnitError when no number stands first, or one that is not finite; the message lacks the text.
    """
    match = _QUANTITY.fullmatch(text)
    if not match:
        raise UnitError("does not begin with a number")
    number, unit = float(match[1]), match[2]
    if unit.startswith(","):
        raise UnitError('has a comma in its number; write it without, as in "1200 gpm" or "1.5 m".')
    if not math.isfinite(number):
        raise UnitError("is too large a number")
    return number, "1" + unit if unit.startswith("/") else unit


@lru_cache(8192)
def to_si(text: str, si_unit: str) -> float:
    """Read a number with its unit, such as ``"620 gpm"``.

    Parameters
    ----------
    text : what the user wrote; a plain number is read only where `si_unit` is "1"
    si_unit : the SI unit of the result, one of `WORDS`; "delta_K" for a temperature difference

    Raises
    ------
    UnitError : no unit, an unknown one, or one of another kind; the message begins with the quoted text
    """
    try:
        number, unit_text = split(text)
        if unit_text == "" and si_unit != "1":
            raise UnitError("has no unit")
        unit = _unit(unit_text)
    except _UnknownUnitError as error:
        name = error.name
        meant = likely(name, unit_names(), lambda known: _makes(unit_text.replace(name, known), si_unit))
        cure = meant or f"; {_wanted(si_unit)}"
        raise UnitError(f'"{text}" has an unknown unit "{name}"{cure}') from None
    except UnitError as error:
        cure = "" if str(error).endswith(("?", ".")) else f"; {_wanted(si_unit)}"
        raise UnitError(f'"{text}" {error}{cure}') from None
    _check_kind(text, unit, si_unit)
    return number * unit.scale + (unit.offset if si_unit == "K" else 0.0)


def _makes(unit_text: str, si_unit: str) -> bool:
    """Whether a unit text is known and of the kind of an SI unit."""
    try:
        return same_kind(unit_text, si_unit)
    except UnitError:
        return False


def _check_kind(text: str, unit: _Unit, si_unit: str) -> None:
    if unit.dimension != _unit(si_unit).dimension:
        if si_unit == "standard_m3/s" and unit.dimension == _unit("m3/s").dimension:
            raise UnitError(
                f'"{text}" is free air, whose amount changes with pressure and temperature; write standard '
                'air (68 degF, 14.7 psi), such as "4.5 scfm". Free cfm is 7 % and more apart from it.'
            )
        read = _words_by_dimension().get(unit.dimension)
        what = f"is {WORDS[read][0]}" if read else f"is not {WORDS[si_unit][0]}"
        raise UnitError(f'"{text}" {what}; {_wanted(si_unit)}')
    if si_unit == "K" and unit.difference:
        raise UnitError(f'"{text}" is a temperature difference; {_wanted(si_unit)}')


def from_si(value: Any, unit: str) -> Any:
    """Turn an SI number or array into `unit`: ``from_si(293.15, "degF")`` is 68."""
    found = _unit(unit)
    return (value - found.offset) / found.scale


def convert(value: Any, unit: str, to: str) -> Any:
    """Turn a number or array in `unit` into the unit `to`, of the same kind; UnitError otherwise."""
    if not same_kind(unit, to):
        raise UnitError(f'"{unit}" and "{to}" are units of different kinds')
    found = _unit(unit)
    return from_si(value * found.scale + found.offset, to)


def convert_difference(value: Any, unit: str, to: str) -> Any:
    """Turn a difference of two numbers in `unit`, or a width, into the unit `to`; UnitError as `convert`.

    Degrees have no zero point here: a difference of 5 degC is one of 9 degF. The same for delta_degC.
    """
    if not same_kind(unit, to):
        raise UnitError(f'"{unit}" and "{to}" are units of different kinds')
    return value * _unit(unit).scale / _unit(to).scale


def same_kind(unit: str, other: str) -> bool:
    """Whether two unit texts measure the same kind of thing; UnitError when one is unknown."""
    return _unit(unit).dimension == _unit(other).dimension


SYSTEMS = ("us", "si")


def known_system(system: str) -> str:
    """`system` itself; ScenarioError for one that is not known."""
    if system not in SYSTEMS:
        raise ScenarioError(f'there is no system of units {system!r}; write "us" or "si"')
    return system


def display_unit(kind: str, system: str = "us") -> str:
    """Unit in which a quantity of this kind is shown; `system` is "us" or "si"."""
    return DISPLAY[kind][SYSTEMS.index(known_system(system))]


def number_text(value: float, digits: int = 3) -> str:
    """A number to so many significant digits, without an exponent where it can be read without one."""
    if not math.isfinite(value):
        return "-"
    text = f"{value:.{digits}g}"
    return f"{float(text):.0f}" if "e+" in text and abs(value) < 1e9 else text


def show(value: float, unit: str, digits: int = 3) -> str:
    """An SI value as text in `unit`: ``show(0.3048, "ft")`` is "1 ft"; "-" where there is no value."""
    text = number_text(from_si(value, unit), digits)
    return text if text == "-" or unit in ("", "1") else f"{text} {unit.removeprefix('delta_')}"


def display(value: float, kind: str, system: str = "us", digits: int = 3) -> str:
    """An SI value as people read it: ``display(0.0328, "flow")`` is "520 gpm"."""
    return show(value, display_unit(kind, system), digits)
