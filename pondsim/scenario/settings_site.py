# ruff: noqa: RUF009 (each call makes one dataclass field)
"""Sections that say what is given: period, place, pond, weather, water in and out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from pondsim.scenario.fields import (
    choice,
    file_name,
    flag,
    instant,
    integer,
    months,
    number,
    numbers,
    point,
    quantity,
    section,
    sections,
    short_name,
)
from pondsim.scenario.settings_readings import DatedFile
from pondsim.scenario.settings_shelter import Shelter

Months = tuple[float, ...]  # twelve values, January first


@dataclass(frozen=True)
class Period:
    """When the simulation runs, in local standard time."""

    start: datetime = instant(doc="first moment, local standard time")
    end: datetime = instant(doc="last moment, local standard time")
    output_step: float = quantity("s", default="1 h", least="5 min", most="24 h", doc="time between results")


@dataclass(frozen=True)
class Place:
    """Where the pond is."""

    latitude: float = quantity("rad", least="-66 deg", most="66 deg", doc="north is positive")
    longitude: float = quantity("rad", least="-180 deg", most="180 deg", doc="east is positive")
    elevation: float = quantity("m", default="0 m", least="-400 m", most="4500 m", doc="above sea level")
    utc_offset: float = quantity("s", least="-12 h", most="14 h", doc="local standard time minus UTC")


@dataclass(frozen=True)
class Pond:
    """The pond as a whole and how it is divided in depth."""

    normal_pool: float = quantity(
        "m", least="-500 m", most="9000 m", doc="water surface elevation, normal pool"
    )
    bank_top: float = quantity(
        "m", least="-500 m", most="9000 m", doc="elevation where water leaves the banks"
    )
    freeboard: float | None = quantity(
        "m", default=None, least="0 ft", most="10 ft", doc="under bank_top that the water shall leave free"
    )
    low_pool: float | None = quantity(
        "m", default=None, least="-500 m", most="9000 m", doc="lowest water surface elevation seen"
    )
    layers: int = integer(
        default=16,
        least=1,
        most=40,
        doc="layers in the deepest zone, with an edge at each sill that has room for it; fewer than 8 only "
        "with a remark",
    )
    top_layer: float = quantity(
        "m", default="0.3 m", least="0.1 m", most="1 m", doc="top layer at normal pool"
    )
    length: float | None = quantity(
        "m",
        default=None,
        least="5 m",
        most="5 km",
        doc="longest way across, for dispersion; else from the area",
    )
    fetch: float | None = quantity(
        "m", default=None, least="1 m", most="20 km", doc="open water up the wind, for waves; else the length"
    )


@dataclass(frozen=True)
class Zone:
    """A part of the pond in plan."""

    name: str = short_name(doc="a short name, used in other sections and in the results")
    centre: tuple[float, float] = point("m", doc="place on a plan, east and north of any fixed mark")
    stage: tuple[float, ...] = numbers("m", least="-500 m", most="9000 m", doc="elevations, bottom first")
    area: tuple[float, ...] = numbers("m2", least="0 m2", most="1e7 m2", doc="plan area at each stage")
    floating_cover: float = quantity(
        "1", default="0 %", least="0 %", most="100 %", doc="share under floating plants"
    )
    bed_oxygen_demand: float | None = quantity(
        "kg/m2/s", default=None, least="0 g/m2/d", most="20 g/m2/d", doc="at 20 degC; else that of [bed]"
    )
    shoreline: float = quantity(
        "m", default="0 m", least="0 m", most="50 km", doc="length of bank that erodes"
    )


def lowest_bed(zones: Iterable[Any], name: str) -> float:
    """Lowest bed of the zone of that name, which is there; zones have a name and stages. [m]"""
    return next(zone.stage[0] for zone in zones if zone.name == name)


@dataclass(frozen=True)
class Connection:
    """Open water between two zones."""

    between: tuple[str, str] = short_name(count=2, doc="the two zones")
    width: float = quantity("m", least="0.1 m", most="2 km", doc="width of the passage")
    sill: float = quantity(
        "m",
        least="-500 m",
        most="9000 m",
        doc="bed elevation of the passage; within a layer under a higher sill or under the top layer it may "
        "act up to a layer lower, so that more `layers` help",
    )
    distance: float | None = quantity(
        "m", default=None, least="1 m", most="5 km", doc="between the zones' centers; else from the plan"
    )


@dataclass(frozen=True)
class SyntheticWeather:
    """An invented but reproducible year of hourly weather around monthly normals."""

    seed: int = integer(default=1, least=0, most=2**31, doc="another seed is another year")
    air_temperature: Months = months("K", least="-50 degC", most="45 degC", doc="monthly mean")
    daily_range: Months = months(
        "delta_K", least="0 delta_degC", most="30 delta_degC", doc="mean daily max - min"
    )
    dew_point: Months = months("K", least="-50 degC", most="35 degC", doc="monthly mean")
    wind_speed: Months = months("m/s", least="0 m/s", most="20 m/s", doc="monthly mean")
    cloud_cover: Months = months("1", least="0", most="1", doc="monthly mean share of sky")


@dataclass(frozen=True)
class HotSpell:
    """Hot, still days laid over the weather."""

    start: datetime = instant(doc="first day")
    duration: float = quantity("s", default="7 d", least="1 d", most="60 d", doc="length")
    warmer: float = quantity(
        "delta_K", default="4 delta_degC", least="0 delta_degC", most="15 delta_degC", doc="added to air"
    )
    wind_factor: float = number(default=0.4, least=0.0, most=2.0, doc="wind is multiplied by this")
    clear_sky: bool = flag(default=True, doc="no cloud during the spell")


@dataclass(frozen=True)
class FillFrom(DatedFile):
    """Another weather file, of a station nearby, for what the first one lacks."""

    file: Path = file_name(doc="CSV with units in its header")
    wind_height: float = quantity(
        "m", default="10 m", least="1 m", most="50 m", doc="height of its anemometer"
    )
    match_means: bool = flag(
        default=True, doc="its values are moved to the mean of the first file over the hours both have"
    )


@dataclass(frozen=True)
class Weather(DatedFile):
    """Hourly weather: a CSV file or the synthetic generator."""

    file: Path | None = file_name(default=None, doc="CSV with units in its header")
    layout: str = choice(
        "project", "typical year", default="project", doc="typical year: the solar laboratory's hourly CSV"
    )
    wind_height: float = quantity(
        "m", default="10 m", least="1 m", most="50 m", doc="height of the anemometer"
    )
    fill_gaps: float = quantity(
        "s", default="0 h", least="0 h", most="12 h", doc="gaps up to this long are bridged"
    )
    fill_from: tuple[FillFrom, ...] = sections(FillFrom, lone=True)
    synthetic: SyntheticWeather | None = section(SyntheticWeather, default=None)
    hot_spell: tuple[HotSpell, ...] = sections(HotSpell)
    shelter: tuple[Shelter, ...] = sections(Shelter)


@dataclass(frozen=True)
class Ground:
    """Water through the bed."""

    seepage: float = quantity(
        "m/s", default="0 in/d", least="-2 in/d", most="5 in/d", doc="out; negative is inward"
    )
    temperature: float = quantity(
        "K", default="12 degC", least="0 degC", most="30 degC", doc="ground and its water"
    )
    dissolved_oxygen: float = quantity(
        "kg/m3", default="1 mg/L", least="0 mg/L", most="15 mg/L", doc="of water coming in"
    )
    chloride: float = quantity(
        "kg/m3", default="20 mg/L", least="0 mg/L", most="20000 mg/L", doc="of water coming in"
    )
