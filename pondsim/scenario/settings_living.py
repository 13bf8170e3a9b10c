# ruff: noqa: RUF009 (each call makes one dataclass field)
"""Sections of the living pond: kinds of algae, readings, phosphorus, and what people do to it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from pondsim.scenario.fields import flag, instant, parameter, quantity, short_name


@dataclass(frozen=True)
class AlgaeKind:
    """A further kind of grown algae beside the ordinary one; its defaults are those of a buoyant kind."""

    name: str = short_name(doc="a short name, used in tables")
    growth: float = parameter("algae_kind.growth")
    growth_theta: float = parameter("algae_kind.growth_theta")
    light_saturation: float = parameter("algae_kind.light_saturation")
    half_saturation: float = parameter("algae_kind.half_saturation")
    maintenance: float = parameter("algae_kind.maintenance")
    mortality: float = parameter("algae_kind.mortality")
    sinking: float = parameter("algae_kind.sinking")


@dataclass(frozen=True)
class ChlorophyllReading:
    """One reading of chlorophyll, as a notebook holds it."""

    date: datetime = instant(doc="when it was taken, local standard time")
    chlorophyll: float = quantity("kg/m3", least="0 ug/L", most="5000 ug/L", doc="in the water near the top")


@dataclass(frozen=True)
class Phosphorus:
    """Phosphorus of the water and the bed, computed where algae grow."""

    death_share: float = parameter("phosphorus.death_share")
    detritus_speed: float = parameter("phosphorus.detritus_speed")
    solids_settling: float = parameter("phosphorus.solids_settling")
    mobile_share: float = parameter("phosphorus.mobile_share")
    bed_return: float = parameter("phosphorus.bed_return")
    bed_return_anoxic: float = parameter("phosphorus.bed_return_anoxic")
    bound_start: float = parameter("phosphorus.bound_start")
    bound_release: float = parameter("phosphorus.bound_release")
    burial: float = parameter("phosphorus.burial")
    binding: float = parameter("phosphorus.binding")
    binding_half_saturation: float = parameter("phosphorus.binding_half_saturation")
    capture_half_saturation: float = parameter("phosphorus.capture_half_saturation")


@dataclass(frozen=True)
class Treatment:
    """A dose of a product that binds dissolved phosphorus (alum, lanthanum clay)."""

    start: datetime = instant(doc="first dose")
    duration: float = quantity("s", default="1 d", least="1 h", most="60 d", doc="over which it is spread")
    zones: tuple[str, ...] = short_name(default=(), count=None, doc="zones dosed; all when left out")
    dose: float = quantity("kg", least="0 kg", most="1e6 kg", doc="of product, to all zones together")
    binds: float = quantity(
        "1", least="0 g/g", most="1 g/g", doc="phosphorus bound per product, as its maker states: 0.01 g/g"
    )
    settling: float = quantity(
        "m/s",
        default="2 m/d",
        least="0 m/d",
        most="100 m/d",
        doc="of the floc, to the bed where it goes on binding",
    )


@dataclass(frozen=True)
class Dye:
    """Pond dye that dims the light."""

    start: datetime = instant(doc="when it is poured in")
    extinction: float = quantity(
        "1/m", least="0 1/m", most="20 1/m", doc="it adds once mixed into the zones it is given to"
    )
    zones: tuple[str, ...] = short_name(default=(), count=None, doc="zones it is given to; all when left out")
    fading: float = parameter("dye.fading")


@dataclass(frozen=True)
class Cover:
    """Shade over part of a zone between two dates: a sail, floating balls or panels, plants."""

    zones: tuple[str, ...] = short_name(default=(), count=None, doc="zones covered; all when left out")
    share: float = quantity("1", least="0 %", most="100 %", doc="of the surface")
    start: datetime = instant(doc="first day")
    end: datetime = instant(doc="last moment")
    floating: bool = flag(default=True, doc="whether it lies on the water and keeps air from it too")


@dataclass(frozen=True)
class Dredging:
    """Muck taken out of a zone, which is deeper from then on."""

    date: datetime = instant(
        doc="when the work begins. What of it lies before the period is done at its start: the bed is "
        "deeper, the stores found keep their share left. What lies after it is left out. Works of a zone add "
        "up"
    )
    zone: str = short_name(doc="zone dredged")
    depth: float = quantity(
        "m", least="0 ft", most="15 ft", doc="taken out, by which the bed lies deeper then"
    )
    full_from: float = quantity(
        "m",
        default="5 ft",
        least="0 ft",
        most="30 ft",
        doc="depth of water from which on all of it is taken out; less toward the shore, where nothing is",
    )
    left: float = quantity(
        "1",
        default="10 %",
        least="1 %",
        most="100 %",
        doc="of the stores of organic matter and phosphorus that stays",
    )
    duration: float = quantity("s", default="5 d", least="1 h", most="120 d", doc="of the work")


@dataclass(frozen=True)
class Load:
    """What animals or people bring to a zone, stated as loads: geese, fish feed, leaves raked in."""

    name: str = short_name(doc="a short name, used in tables")
    zone: str = short_name(doc="zone it reaches")
    start: datetime = instant(doc="from")
    end: datetime = instant(doc="until")
    phosphorus: float = quantity(
        "kg/s", default="0 kg/d", least="0 kg/d", most="1000 kg/d", doc="dissolved soon"
    )
    oxygen_demand: float = quantity(
        "kg/s", default="0 kg/d", least="0 kg/d", most="10000 kg/d", doc="ultimate demand of it"
    )
    ammonium: float = quantity("kg/s", default="0 kg/d", least="0 kg/d", most="1000 kg/d", doc="as nitrogen")


__all__ = [
    "AlgaeKind",
    "ChlorophyllReading",
    "Cover",
    "Dredging",
    "Dye",
    "Load",
    "Phosphorus",
    "Treatment",
]
