# ruff: noqa: RUF009 (each call makes one dataclass field)
"""Sections on rain and on the land that drains to the pond."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from pondsim.scenario.fields import (
    choice,
    file_name,
    flag,
    instant,
    integer,
    months,
    number,
    numbers,
    parameter,
    quantity,
    section,
    sections,
    short_name,
    text,
)
from pondsim.scenario.settings_readings import DatedFile

Months = tuple[float, ...]  # twelve values, January first
COVERS = (
    *("good lawn", "fair lawn", "poor lawn", "meadow", "brush", "woods", "thin woods"),
    *("row crops", "bare ground", "dirt road", "gravel", "paving"),
)
LAND_USES = ("residential", "mixed", "commercial", "open")


@dataclass(frozen=True)
class DesignStorm:
    """One storm of given depth."""

    start: datetime = instant(doc="first rain")
    depth: float = quantity("m", least="0 in", most="60 in", doc="rain of the whole storm")
    distribution: str = choice(
        "type II", "own", default="type II", doc="course of the rain; own: curve_time and curve_share"
    )
    curve_time: tuple[float, ...] = numbers(
        "s", default=(), least="0 h", most="10 d", doc="of the own cumulative curve, from 0"
    )
    curve_share: tuple[float, ...] = numbers(
        "1", default=(), least="0 %", most="100 %", doc="of the depth fallen by then, from 0 to 1"
    )
    duration: float = quantity(
        "s", default="24 h", least="15 min", most="10 d", doc="the curve is stretched to it"
    )
    step: float = quantity("s", default="6 min", least="1 min", most="1 h", doc="between values of rain")
    before: str = choice(
        "dry", "rain", default="dry", doc="rain until it starts: none, or that of the file or the generator"
    )


@dataclass(frozen=True)
class Storm(DesignStorm):
    """A storm to choose by its name: `pondsim storm --storms 2yr,10yr`. A run of the season leaves it out."""

    name: str = text(doc='such as "10yr"')


@dataclass(frozen=True)
class SyntheticRain:
    """Invented but reproducible storms that keep monthly totals and counts."""

    total: Months = months("m", least="0 in", most="60 in", doc="rain of the month")
    storms: Months = months("1", least="0", most="60", doc="storms in the month, six dry hours apart")
    seed: int = integer(default=1, least=0, most=2**31, doc="another seed is another year")
    duration: Months = months(
        "s", default="8 h", least="1 h", most="48 h", single=True, doc="mean length of a storm"
    )
    step: float = quantity("s", default="1 h", least="5 min", most="1 h", doc="between values of rain")


@dataclass(frozen=True)
class Rain(DatedFile):
    """Rain on the land and the pond: a CSV file, a design storm or the synthetic generator."""

    file: Path | None = file_name(default=None, doc="CSV with time and rain, with a unit in its header")
    time_is: str = choice("start", "end", default="end", doc="of each step the rain of a line fell in")
    dry_gaps: float = quantity(
        "s", default="0 h", least="0 h", most="366 d", doc="missing lines up to this long mean no rain"
    )
    multiplier: float = number(default=1.0, least=0.0, most=10.0, doc="on all of it: a wetter or drier year")
    design_storm: DesignStorm | None = section(DesignStorm, default=None)
    synthetic: SyntheticRain | None = section(SyntheticRain, default=None)


@dataclass(frozen=True)
class LandCover:
    """A share of the ground that is not directly connected paving."""

    cover: str = choice(*COVERS, doc="what grows or lies there")
    share: float = quantity("1", least="0 %", most="100 %", doc="of that ground; all add up to 1")


@dataclass(frozen=True)
class SheetFlow:
    """A thin sheet over a plane at the head of the flow path."""

    length: float = quantity("m", least="0 ft", most="300 ft", doc="100 ft at most is advised")
    slope: float = quantity("1", least="0.05 %", most="100 %", doc="of the land")
    roughness: float = number(least=0.005, most=0.9, doc="0.011 paving, 0.15 short grass, 0.24 dense grass")
    two_year_rain: float = quantity("m", least="0.5 in", most="15 in", doc="24-hour rain, two-year storm")


@dataclass(frozen=True)
class ShallowFlow:
    """Water gathered from a sheet that has no channel yet."""

    length: float = quantity("m", least="0 ft", most="5 mi", doc="along the flow")
    slope: float = quantity("1", least="0.05 %", most="100 %", doc="of the watercourse")
    paved: bool = flag(default=False, doc="whether it runs over paving")


@dataclass(frozen=True)
class ChannelFlow:
    """A ditch, a stream or a pipe."""

    length: float = quantity("m", least="0 ft", most="50 mi", doc="along the flow")
    slope: float = quantity("1", least="0.01 %", most="50 %", doc="of the channel")
    roughness: float = number(least=0.008, most=0.2, doc="Manning's n: 0.013 concrete pipe, 0.03 clean earth")
    hydraulic_radius: float = quantity(
        "m", least="0.01 ft", most="30 ft", doc="flow area over wetted perimeter; a quarter of a full pipe"
    )


@dataclass(frozen=True)
class BufferStrip:
    """A strip of grass that runoff crosses as an even sheet."""

    width: float = quantity("m", least="1 ft", most="300 ft", doc="along the flow")
    length: float = quantity("m", least="1 ft", most="10 mi", doc="of the edge the runoff crosses")
    slope: float = quantity("1", least="0.1 %", most="30 %", doc="of the strip")
    stem_spacing: float = quantity(
        "m", default="1.6 cm", least="0.2 cm", most="10 cm", doc="between stems; 2 cm for bunch grass"
    )
    runoff_share: float = quantity(
        "1", default="100 %", least="0 %", most="100 %", doc="of the area's runoff that crosses it"
    )


@dataclass(frozen=True)
class Drainage:
    """Land that drains to one zone of the pond."""

    name: str = short_name(doc="a short name, used in tables")
    zone: str = short_name(doc="zone its water enters")
    area: float = quantity("m2", least="0.01 acre", most="10000 acre", doc="on the plan")
    impervious_share: float = quantity(
        "1", least="0 %", most="100 %", doc="roofs and paving piped straight to the pond"
    )
    curve_number: float | None = number(
        default=None, least=30, most=100, doc="of the other ground; or soil_group and [[drainage.cover]]"
    )
    soil_group: str | None = choice("A", "B", "C", "D", default=None, doc="A sand to D clay, with covers")
    cover: tuple[LandCover, ...] = sections(LandCover)
    time_of_concentration: float | None = quantity(
        "s", default=None, least="3 min", most="48 h", doc="or the three kinds of flow along the path"
    )
    sheet_flow: tuple[SheetFlow, ...] = sections(SheetFlow)
    shallow_flow: tuple[ShallowFlow, ...] = sections(ShallowFlow)
    channel_flow: tuple[ChannelFlow, ...] = sections(ChannelFlow)
    peak_factor: float = parameter("drainage.peak_factor")
    abstraction_share: float = parameter("drainage.abstraction_share")
    storm_pause: float = quantity(
        "s", default="6 h", least="0 h", most="48 h", doc="dry time that ends a storm"
    )
    drying: float = parameter("drainage.drying")
    paving_drying: float = parameter("drainage.paving_drying")
    land_use: str = choice(*LAND_USES, default="mixed", doc="for what the runoff carries")
    concentrations: str = choice(
        "median", "mean", default="median", doc="of the national events; mean for loads of a season"
    )
    suspended_solids: float | None = quantity(
        "kg/m3", default=None, least="0 mg/L", most="20000 mg/L", doc="of all events; else by land_use"
    )
    bod5: float | None = quantity(
        "kg/m3", default=None, least="0 mg/L", most="2000 mg/L", doc="five-day demand; else by land_use"
    )
    ammonium: float | None = quantity(
        "kg/m3", default=None, least="0 mg/L", most="100 mg/L", doc="as nitrogen; else by land_use"
    )
    phosphorus: float | None = quantity(
        "kg/m3", default=None, least="0 mg/L", most="100 mg/L", doc="total; else by land_use"
    )
    phosphorus_dissolved: float = parameter("stormwater.phosphorus_dissolved")
    oxygen_saturation: float = parameter("stormwater.oxygen_saturation")
    chloride: float = parameter("stormwater.chloride")
    first_flush: float = parameter("drainage.first_flush")
    buffer_strip: BufferStrip | None = section(BufferStrip, default=None)
