"""Sections of the site work: the structure of the well, the trench of the gravity line, places on the plan.

No run reads them; they serve the design sheet, the drawing, the quantities and the start-up day.
"""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.scenario.fields import flag, numbers, parameter, quantity

ELEVATION = {"least": "-500 m", "most": "9000 m"}


@dataclass(frozen=True)
class WellStructure:
    """Concrete, bed and ground of the wet well or vault."""

    wall: float = quantity("m", least="1 in", most="3 ft", doc="thickness of its wall")
    top: float = quantity("m", **ELEVATION, doc="elevation of the upper face of its top slab")
    base_thickness: float = quantity("m", default="8 in", least="1 in", most="10 ft", doc="of its base slab")
    base_lip: float = quantity(
        "m", default="0 in", least="0 in", most="10 ft", doc="how far the base stands out beyond the wall"
    )
    top_thickness: float = quantity("m", default="8 in", least="0 in", most="5 ft", doc="of its top slab")
    opening: float = quantity(
        "m", default="0 in", least="0 in", most="10 ft", doc="diameter of the hole in the top slab"
    )
    cover_weight: float = quantity(
        "kg", default="0 lb", least="0 lb", most="20000 lb", doc="of the cover over that hole"
    )
    concrete_density: float = quantity(
        "kg/m3", default="150 lb/ft3", least="60 lb/ft3", most="200 lb/ft3", doc="of its walls and slabs"
    )
    ring_height: float = quantity(
        "m", default="4 ft", least="0.5 ft", most="20 ft", doc="of one precast ring or box, for counting"
    )
    grade: float | None = quantity(
        "m", default=None, **ELEVATION, doc="elevation of the ground around it; else its top"
    )
    backfill: float = quantity(
        "kg/m3",
        default="0 lb/ft3",
        least="0 lb/ft3",
        most="90 lb/ft3",
        doc="weight of the soil over the lip of the base, under water; 0 counts no soil",
    )
    groundwater: float | None = quantity(
        "m", default=None, **ELEVATION, doc="highest water table around it; else the bank top"
    )
    min_flotation: float = parameter("well_structure.min_flotation")
    knockout: float | None = quantity(
        "m",
        default=None,
        least="0 ft",
        most="30 ft",
        doc="height over the floor of the lower edge of the opening for the gravity line",
    )
    gravel: float = quantity(
        "m", default="0 in", least="0 in", most="10 ft", doc="bed of stone under the base"
    )
    fabric: bool = flag(default=False, doc="filter fabric under and around the bed of stone")


@dataclass(frozen=True)
class Trench:
    """The trench of the gravity line from the intake (station 0) to the well, and how it silts."""

    station: tuple[float, ...] = numbers(
        "m", default=(), least="0 m", most="2000 m", doc="along the line from the intake, rising from 0"
    )
    bed: tuple[float, ...] = numbers(
        "m", default=(), **ELEVATION, doc="top of muck, or ground on shore, at each station"
    )
    hard: tuple[float, ...] = numbers(
        "m", default=(), **ELEVATION, doc="hard bottom at each station; else no muck"
    )
    bottom_width: float = quantity("m", default="3 ft", least="0.5 ft", most="30 ft", doc="of its floor")
    muck_slope: float = parameter("trench.muck_slope")
    firm_slope: float = parameter("trench.firm_slope")
    dry_slope: float = parameter("trench.dry_slope")
    bedding: float = quantity(
        "m", default="6 in", least="0 in", most="3 ft", doc="stone under the pipe, along its whole length"
    )
    bedding_over: float | None = quantity(
        "m", default=None, least="0 in", most="3 ft", doc="stone over the pipe; else to half its height"
    )
    overdig: float = quantity(
        "m", default="0.5 ft", least="0 ft", most="5 ft", doc="dug below the drawn floor, beside the pay line"
    )
    swell: float = parameter("trench.swell")
    sump_depth: float = quantity(
        "m", default="0 ft", least="0 ft", most="20 ft", doc="dug below the bed at the intake, for silt"
    )
    sump_length: float = quantity(
        "m", default="6 ft", least="0.5 ft", most="100 ft", doc="of the sump, along the line"
    )
    growth: float | None = quantity(
        "m/s", default=None, least="0 in/yr", most="24 in/yr", doc="of the bed at the intake; else of a run"
    )
    trapping: float = parameter("trench.trapping")
    creep: float = parameter("trench.creep")
    min_clearance: float = parameter("trench.min_clearance")


@dataclass(frozen=True)
class Layout:
    """Places of the pipes on the plan, from the same mark as the zones' centers; length of the wire."""

    gravity_east: tuple[float, ...] = numbers(
        "m",
        default=(),
        least="-50 km",
        most="50 km",
        doc="of the gravity line's ends and bends, intake first",
    )
    gravity_north: tuple[float, ...] = numbers(
        "m", default=(), least="-50 km", most="50 km", doc="one for each gravity_east"
    )
    discharge_east: tuple[float, ...] = numbers(
        "m", default=(), least="-50 km", most="50 km", doc="of the discharge's ends and bends, well first"
    )
    discharge_north: tuple[float, ...] = numbers(
        "m", default=(), least="-50 km", most="50 km", doc="one for each discharge_east"
    )
    wire: float | None = quantity(
        "m", default=None, least="0 m", most="5 km", doc="of the cable from the panel to the pump"
    )
