# ruff: noqa: RUF009 (each call makes one dataclass field)
"""Section on what is not known of a pond: ranges of the user's own, weather years, what goes together."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pondsim.scenario.fields import (
    choice,
    file_name,
    flag,
    integer,
    number,
    quantity,
    sections,
    short_name,
    text,
)

SHAPES = ("uniform", "triangular", "log-uniform", "normal-clipped")


@dataclass(frozen=True)
class UnknownRange:
    """The user's own range of one value, in place of that of defaults.toml."""

    key: str = text(doc='dotted key, such as "bed.oxygen_demand" or "zone.cove.bed_oxygen_demand"')
    low: str = text(doc='lowest that may be true, in quotes with its unit, such as "1 g/m2/d"')
    high: str = text(doc="highest that may be true")
    likely: str | None = text(default=None, doc="top of a triangle; else the value of the scenario")
    shape: str = choice(
        *SHAPES,
        default="uniform",
        doc="how likely values are within; a clipped normal has low and high two deviations off",
    )
    source: str = text(default="stated by the user", doc="where the range comes from")


@dataclass(frozen=True)
class UnknownPair:
    """Two unknowns that go together."""

    first: str = text(doc='one key, such as "bed.oxygen_demand"')
    second: str = text(doc="the other key")
    correlation: float = number(least=-0.95, most=0.95, doc="of their ranks, through a normal copula")


@dataclass(frozen=True)
class UnknownWeather:
    """A weather year that may come."""

    name: str = short_name(doc="a short name, used in tables")
    file: Path | None = file_name(default=None, doc="weather file of that year; else that of the scenario")
    rain_file: Path | None = file_name(default=None, doc="rain file of that year; else that of the scenario")
    year: int | None = integer(
        default=None, least=1900, most=2100, doc="year whose days are run; all dates of the files go with it"
    )
    seed: int | None = integer(default=None, least=0, most=2**31, doc="of synthetic weather and rain")
    warmer: float = quantity(
        "delta_K",
        default="0 delta_degC",
        least="-10 delta_degC",
        most="10 delta_degC",
        doc="added to the normals of synthetic weather",
    )
    rain_multiplier: float = number(default=1.0, least=0.0, most=10.0, doc="on the rain and on given inflows")
    chance: float = number(default=1.0, least=0.0, most=1e6, doc="against that of the others")


@dataclass(frozen=True)
class Unknowns:
    """What members of an ensemble draw: ranges, weather years, correlations. See docs/promise.md."""

    range: tuple[UnknownRange, ...] = sections(UnknownRange)
    pair: tuple[UnknownPair, ...] = sections(UnknownPair)
    weather: tuple[UnknownWeather, ...] = sections(UnknownWeather)
    defaults: bool = flag(default=True, doc="whether all ranges of defaults.toml are drawn too")
