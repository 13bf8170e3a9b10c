# ruff: noqa: RUF009 (each call makes one dataclass field)
"""Sections that say what water carries: in the pond at the start, in events of inflow and in base flow.

A constituent has its key in each of them, by the name that its row of processes/constituents.py gives.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from pondsim.scenario.fields import instant, numbers, parameter, quantity, sections, short_name


@dataclass(frozen=True)
class Profile:
    """A measured profile on the first day."""

    zone: str = short_name(doc="zone it was taken in")
    depth: tuple[float, ...] = numbers("m", least="0 m", most="100 m", doc="below the surface, top first")
    temperature: tuple[float, ...] = numbers("K", least="0 degC", most="45 degC", doc="at those depths")
    dissolved_oxygen: tuple[float, ...] = numbers(
        "kg/m3", least="0 mg/L", most="25 mg/L", doc="at those depths"
    )


@dataclass(frozen=True)
class Start:
    """The starting state."""

    water_surface: float | None = quantity(
        "m", default=None, least="-500 m", most="9000 m", doc="else normal pool"
    )
    profile: tuple[Profile, ...] = sections(Profile)
    spin_up: float = quantity(
        "s", default="10 d", least="0 d", most="90 d", doc="with no profile: first days, run twice over"
    )
    suspended_solids: float = quantity(
        "kg/m3", default="10 mg/L", least="0 mg/L", most="10000 mg/L", doc="everywhere"
    )
    bod5: float = quantity("kg/m3", default="2 mg/L", least="0 mg/L", most="1000 mg/L", doc="everywhere")
    ammonium: float = quantity("kg/m3", default="0.2 mg/L", least="0 mg/L", most="100 mg/L", doc="everywhere")
    chloride: float = quantity(
        "kg/m3", default="50 mg/L", least="0 mg/L", most="20000 mg/L", doc="everywhere"
    )
    ice_thickness: float = quantity(
        "m", default="0 in", least="0 in", most="6 ft", doc="everywhere; the water stands in a hole of it"
    )
    snow_depth: float = quantity("m", default="0 in", least="0 in", most="10 ft", doc="on the ice")
    dissolved_phosphorus: float = quantity(
        "kg/m3", default="30 ug/L", least="0 ug/L", most="20000 ug/L", doc="everywhere, where algae grow"
    )
    chlorophyll: float = quantity(
        "kg/m3", default="30 ug/L", least="0 ug/L", most="2000 ug/L", doc="everywhere, where algae grow"
    )


@dataclass(frozen=True)
class Inflow:
    """One event of water coming in, with what it carries."""

    zone: str = short_name(doc="zone the inlet is in")
    start: datetime = instant(doc="first water")
    duration: float | None = quantity(
        "s", default=None, least="5 min", most="30 d", doc="with volume: length"
    )
    volume: float | None = quantity(
        "m3", default=None, least="0 m3", most="1e7 m3", doc="with duration: total"
    )
    hydrograph_time: tuple[float, ...] = numbers("s", default=(), least="0 s", most="60 d", doc="after start")
    hydrograph_flow: tuple[float, ...] = numbers(
        "m3/s", default=(), least="0 m3/s", most="500 m3/s", doc="at those times"
    )
    temperature: float | None = quantity(
        "K", default=None, least="0 degC", most="45 degC", doc="else the air's"
    )
    suspended_solids: float = parameter("stormwater.suspended_solids")
    bod5: float = parameter("stormwater.bod5")
    ammonium: float = parameter("stormwater.ammonium")
    phosphorus: float = parameter("stormwater.phosphorus")
    phosphorus_dissolved: float = parameter("stormwater.phosphorus_dissolved")
    oxygen_saturation: float = parameter("stormwater.oxygen_saturation")
    chloride: float = parameter("stormwater.chloride")


@dataclass(frozen=True)
class BaseFlow:
    """Steady inflow: a spring, a drain, a well."""

    zone: str = short_name(doc="zone it enters")
    flow: float = quantity("m3/s", least="0 m3/s", most="50 m3/s", doc="steady flow")
    temperature: float | None = quantity(
        "K", default=None, least="0 degC", most="45 degC", doc="else the air's"
    )
    suspended_solids: float = quantity(
        "kg/m3", default="5 mg/L", least="0 mg/L", most="10000 mg/L", doc="carried"
    )
    bod5: float = quantity("kg/m3", default="1 mg/L", least="0 mg/L", most="1000 mg/L", doc="five-day demand")
    ammonium: float = quantity(
        "kg/m3", default="0.05 mg/L", least="0 mg/L", most="100 mg/L", doc="as nitrogen"
    )
    phosphorus: float = quantity(
        "kg/m3", default="30 ug/L", least="0 ug/L", most="20000 ug/L", doc="total, where algae grow"
    )
    phosphorus_dissolved: float = quantity(
        "1", default="60 %", least="0 %", most="100 %", doc="of it, dissolved"
    )
    oxygen_saturation: float = quantity(
        "1", default="80 %", least="0 %", most="150 %", doc="share of saturation"
    )
    chloride: float = quantity("kg/m3", default="20 mg/L", least="0 mg/L", most="20000 mg/L", doc="as Cl")
