"""The arrays that processes share while a season runs: boxes, flows and concentrations of the moment."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import Any, NamedTuple

import numpy as np

from pondsim.jit.bundle import Bundle
from pondsim.jit.lanes import LANES, lined_up
from pondsim.processes.constituents import BED, COUNTED_BY_BOX, LIVING_BED
from pondsim.processes.living_rows import MOST_KINDS, LivingRows
from pondsim.site.pond import FloatArray, Grid, IntArray

LIVING_WARMTH, BED_WARMTH = range(2)  # rows of Work.living_warmth
# Rows of the bed, needed or not: where the rows of the block lie is part of the compiled code.
BED_ROWS = len(BED) + len(LIVING_BED)
INTAKE_DRAW, OUTLET_DRAW = range(2)  # rows of Work.draw
PUMP_SYSTEM = 0  # the pump comes first among the systems with a meter, each aeration unit after it
# Temperature factors of the reactions, rows of Work.temperature_factor; see processes.temperature.
FACTORS = ("bed", "decay", "oxidation", "algae", "respiration")
BED_FACTOR, DECAY_FACTOR, OXIDATION_FACTOR, ALGAE_FACTOR, RESPIRATION_FACTOR = range(len(FACTORS))
# Rows of the block are as long as the first of these that holds all boxes: distances between rows are part
# of the compiled code. Each is an odd number of the processor's cache lines of 8 numbers, so that equal
# places of many rows do not push each other out of its memory.
# The first holds a pond of usual size also on a finer grid, which then runs the same machine code.
STRIDES = (120, 264, 1032, 4104, 16392)
FACES_PER_BOX = 4
# Constituents there is room for in any pond: given algae (15 with five settling classes) and grown ones (19)
# then run the same machine code, which takes most of a minute to compile; a pond with more has its own.
USUAL_ROWS = 24
SURFACE_ROWS = 7


def of(*shape: int | str, whole: bool = False) -> Any:
    """An array of that shape: numbers, or the names of counts of the pond (see `work_for`)."""
    return field(metadata={"shape": shape, "whole": whole, "rows": 0})


def row(length: str = "boxes") -> Any:
    """A row of the block: one number for each box."""
    return field(metadata={"shape": (length,), "whole": False, "rows": 1})


def rows(count: int | str) -> Any:
    """Rows of the block, each as long as the stride; entries after the last box are never read."""
    return field(metadata={"shape": (count, "stride"), "whole": False, "rows": count})


def by_box() -> Any:
    """An array of the block of one row for each box, one number for each constituent."""
    return field(
        metadata={"shape": ("stride", "constituent_rows"), "whole": False, "rows": "constituent_rows"}
    )


@dataclass(frozen=True, eq=False)
class Work(Bundle):
    """Mutable arrays. The first groups are renewed at each hydraulic step, the last at each evaluation."""

    block: FloatArray = of("block")  # holds every `row`, see jit.bundle

    # geometry
    bottom: FloatArray = row()  # elevation [m]
    top: FloatArray = row()  # elevation [m]
    thickness: FloatArray = row()  # [m]
    area_top: FloatArray = row()  # plan area at the top [m2]
    area_bottom: FloatArray = row("edges")  # plan area at the bottom, 0 for the deepest box [m2]
    bed_area: FloatArray = row()  # [m2]
    rise: FloatArray = row()  # share of its pool's rise in volume, adding up to 1 over a pool [1]
    film: FloatArray = row()  # least water [m3]
    depth: FloatArray = row()  # of the box's top below the water surface [m]
    surface: FloatArray = of("zones")  # water surface elevation [m]
    surface_area: FloatArray = of("zones")  # [m2]
    open_share: FloatArray = of("zones")  # of the surface, not under floating cover [1]
    warmed: FloatArray = of("zones")  # heat through the surface but for sunlight [m3 K/s]
    wet: FloatArray = of("zones")  # 0 dry to 1 wet: evaporation and seepage stop at the film [1]
    # ice, see processes.ice
    hole: FloatArray = of("zones")  # water kept open by equipment [m2]
    ice_area: FloatArray = of("zones")  # [m2]
    ice_thickness: FloatArray = of("zones")  # where it lies [m]
    snow_depth: FloatArray = of("zones")  # on it [m]
    open_water: FloatArray = of("zones")  # share of the surface that meets the air [1]
    lit_share: FloatArray = of("zones")  # visible light that enters over that of open water [1]
    snowfall: FloatArray = of("zones")  # onto ice [m3 of water/s]
    ice_load: FloatArray = of("zones")  # height by which water stands above the underside of its ice [m]
    floating_area: FloatArray = of("zones")  # over which what floats on each pool raises its water [m2]
    snow_cold: FloatArray = of(1)  # heat of what falls into water less that of rain as warm as the air [K]
    fall_loss: FloatArray = of(1)  # heat that the falling sheet loses to the air [m3 K/s]
    pool: IntArray = of("zones", whole=True)  # number of the pool the zone belongs to
    passage_open: IntArray = of("passages", whole=True)  # 1 when both sides stand above the sill
    pool_volume: FloatArray = of("zones")  # of each pool at the start of the hydraulic step [m3]
    pool_area: FloatArray = of("zones")  # [m2]
    pool_level: FloatArray = of("zones")  # [m]

    # flow pattern
    seeping: FloatArray = row()  # through the bed of each box, positive out of the pond [m3/s]
    seeped: FloatArray = of(1)  # through all of it [m3/s]
    face_area: FloatArray = row("faces")  # [m2]
    face_distance: FloatArray = row("faces")  # between the boxes' centres [m]
    face_ratio: FloatArray = row("faces")  # area over distance [m]
    wind_share: FloatArray = row()  # share of the wind felt over it [1]
    drift_decay: FloatArray = row()  # with depth, of the drift of that share of a wind of 1 m/s [1/m]
    face_width: FloatArray = row("faces")  # of its passage [m]
    face_opening: FloatArray = row("faces")  # from the sill of its passage to the surface [m]
    face_wind: FloatArray = row("faces")  # share of the wind felt there [1]
    conductance: FloatArray = of("faces")  # [m]
    stability: FloatArray = of("faces")  # averaged N2, below 0 where unknown [1/s2]
    factor: FloatArray = of("envelope")  # of the Cholesky factor
    pattern: FloatArray = of("sources", "faces")  # flow through each face per unit of each source [1]
    steady: FloatArray = of("faces")  # flows that last for the hydraulic step: drift and plumes [m3/s]
    take: FloatArray = of("moved", "boxes")  # shares of what a source or plume takes along [1]
    give: FloatArray = of("moved", "boxes")  # shares of where it comes to rest [1]
    draw: FloatArray = of(2, "boxes")  # shares of what intake and outlet draw [1]
    dilution: FloatArray = of("sources")  # water taken along per water coming in [1]
    plume_flow: FloatArray = of("units")  # water moved by each plume [m3/s]
    bubble_rate: FloatArray = row()  # oxygen conductance of the bubbles [m3/s]
    bubble_saturation: FloatArray = row()  # [kg/m3]
    boil_rate: FloatArray = row()  # extra conductance of the surface over plumes [m3/s]
    waterfall_ratio: FloatArray = of(1)  # deficit ratio
    loop_flow: FloatArray = of(1)  # what the pump delivers while it runs [m3/s]
    drop: FloatArray = of(1)  # of the waterfall [m]
    air_flow: FloatArray = of("units")  # through each diffuser of a unit that runs [standard m3/s]
    air_power: FloatArray = of("units")  # electric, of a unit that runs [W]

    # equipment: set where something switches
    enabled: FloatArray = of("systems")  # whether control lets it run, 0 or 1; 1 with no control
    running: FloatArray = of("systems")  # whether it runs: enabled, timer and power together, 0 or 1

    inflow_concentration: FloatArray = of("inflows", "constituent_rows")
    gain: FloatArray = of("boxes")  # scratch: what each box gains from outside
    potential: FloatArray = of("boxes")  # scratch
    net: FloatArray = of("zones")  # scratch
    # share of the fresh organic matter of a bed, and of its bound phosphorus, that mud takes along [1/s]
    stirred: FloatArray = of(2, "zones")
    erosion: FloatArray = of("zones")  # rate at which mud would lift, were there enough [kg/s]

    # light
    sun_in_water: FloatArray = row()  # heat absorbed per sunlight entering [m2]
    sun_on_bed: FloatArray = row()  # sunlight that reaches the bed over that which falls on the pond [1]
    light_top: FloatArray = row()  # photosynthetic light at the top, share of that at the surface [1]
    light_bottom: FloatArray = row()
    optical_thickness: FloatArray = row()

    # reactions, at the temperatures of the hydraulic step's start
    reference: FloatArray = row()  # temperature [K]
    warmth_then: FloatArray = rows(len(FACTORS))  # temperature factors, see processes.temperature
    thinness: FloatArray = row()  # settling velocity over that stated [1]
    falls_later: IntArray = of("constituent_rows", whole=True)  # 1 for traces, see processes.settling
    bed_demand: FloatArray = row()  # of the bed that was there at the start, at 20 degC [kg/s]
    growth: FloatArray = rows(MOST_KINDS)  # of each kind of algae with all light and phosphorus [1/s]
    living_warmth: FloatArray = rows(2)  # temperature factors of respiration and death, and of the bed
    solids_end: IntArray = of(1, whole=True)  # row after the last settling class
    # What a unit of each constituent after the settling classes holds: phosphorus [kg], oxygen demand [kg].
    worth: FloatArray = of(2, "constituent_rows")

    # the moment
    volume: FloatArray = row()  # [m3]
    concentration: FloatArray = rows("constituent_rows")
    rate: FloatArray = rows("constituent_rows")  # of change of the amounts, by processes in a box [1/s]
    content: FloatArray = by_box()  # concentrations again, box by box, for all that moves water
    transfers: FloatArray = by_box()  # rate of change of the amounts by all that moves water
    mixture: FloatArray = of(1, "constituent_rows")  # scratch: concentrations of some water
    bed: FloatArray = rows(BED_ROWS)  # states of the bed
    bed_rate: FloatArray = rows(BED_ROWS)
    pathway: FloatArray = rows(len(COUNTED_BY_BOX))  # oxygen by box, where a process counts by box [kg/s]
    temperature_factor: FloatArray = rows(len(FACTORS))  # temperature factors
    chlorophyll: FloatArray = row()  # [kg/m3]
    density: FloatArray = row()  # [kg/m3]
    flow: FloatArray = row("faces")  # net, positive from lower to upper [m3/s]
    exchange: FloatArray = row("faces")  # equal both ways [m3/s]
    difference: FloatArray = row("faces")  # of density [kg/m3]
    limit: FloatArray = row("faces")  # most that is exchanged [m3/s]
    at_surface: FloatArray = rows(SURFACE_ROWS)  # scratch of processes.surface, one number for each zone
    turnover: FloatArray = row()  # bound of what passes or is consumed, for the step's stability [m3/s]
    forth: FloatArray = row()  # scratch: what goes up through the top of each box [m3/s]
    back: FloatArray = row("edges")  # scratch: what comes down
    passed: FloatArray = row("edges")  # scratch: through the bottom of each box, and the top of the last
    most: FloatArray = row()  # fastest velocity at which a box is emptied [m/s]
    mixed: FloatArray = row()  # share of each layer that belongs to the mixed layer above it, see mixed_layer
    reached: FloatArray = row()  # how far the mixed layer reaches through it, 0 to 1
    edge_step: FloatArray = row()  # its density less that of the mixed layer [kg/m3]
    # 1 where a layer and the next hold more than a film, 0 where one is none but that: a film takes the
    # warmth of its bed, so that it differs from the water above by more than mixed water does
    holding: FloatArray = row()
    slope: FloatArray = row()  # of density, from the middle of the layer below to its own [kg/m4]
    carried: FloatArray = row()  # mass that sinks through its top [kg/s]
    sinking: FloatArray = row()  # exchange through its top by sinking water [m3/s]
    heat_gain: FloatArray = row()  # by all that came before, beyond what gained water would hold [m3 K/s]
    mass_gain: FloatArray = row()  # the same as growth of mass [kg/s]
    source: FloatArray = of("sources")  # [m3/s]
    loop_power: FloatArray = of(1)  # electric [W]
    held: FloatArray = of("zones")  # water of each pool [m3]
    now: FloatArray = of(8)  # weather of the moment, see site.weather


class Counts(NamedTuple):
    """How many there are: sources of water, inflows among them, aeration units, the factor's entries."""

    sources: int
    inflows: int
    units: int
    envelope: int


def work_for(grid: Grid, living: LivingRows, counts: Counts) -> Work:
    """Allocate the arrays for a pond."""
    constituents, inflows, units = living.end, counts.inflows, counts.units
    boxes, faces = grid.box_zone.size, grid.face_lower.size
    stride = next(
        length for length in STRIDES if boxes + LANES < length and faces + LANES < FACES_PER_BOX * length
    )
    lengths = {
        "boxes": boxes,
        "edges": boxes + 1,
        "zones": grid.zone_bottom.size,
        "faces": faces,
        "passages": grid.connection_width.size,
        "constituents": constituents,
        "constituent_rows": max(LANES * -(-constituents // LANES), USUAL_ROWS),
        "sources": counts.sources,
        "moved": counts.sources + units,
        "inflows": inflows,
        "units": units,
        "systems": 1 + units,
        "envelope": counts.envelope,
        "stride": stride,
    }
    lengths["block"] = stride * sum(_rows_of(one.metadata, lengths) for one in fields(Work))
    # Loops go a little beyond the last box; what they find there is never used, and no division by 0.
    arrays: dict[str, Any] = {"block": lined_up(lengths["block"])}
    arrays["block"][:] = 1.0
    place = 0
    for one in fields(Work)[1:]:
        shape = tuple(lengths[n] if isinstance(n, str) else n for n in one.metadata["shape"])
        if taken := _rows_of(one.metadata, lengths):
            size = int(np.prod(shape))
            arrays[one.name] = arrays["block"][place : place + size].reshape(shape)
            arrays[one.name][:] = 0.0
            place += stride * taken
        else:
            arrays[one.name] = np.zeros(shape, np.int64 if one.metadata["whole"] else np.float64)
    for name in ("enabled", "open_water", "lit_share"):
        arrays[name][:] = 1.0
    arrays["face_distance"][:] = 1.0
    arrays["solids_end"][:] = living.first
    return Work(**arrays)


def _rows_of(declared: Any, lengths: dict[str, int]) -> int:
    """Rows of the block that a field takes."""
    taken = declared["rows"]
    if declared["shape"] == ("faces",) and taken:
        return FACES_PER_BOX
    return lengths[taken] if isinstance(taken, str) else int(taken)
