"""The arrays that processes share while a season runs: boxes, flows and concentrations of the moment."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from pondsim.jit.bundle import Bundle
from pondsim.site.pond import FloatArray, Grid, IntArray

INTAKE_DRAW, OUTLET_DRAW = range(2)  # rows of Work.draw
PUMP_SYSTEM = 0  # the pump comes first among the systems with a meter, each aeration unit after it


@dataclass(frozen=True, eq=False)
class Work(Bundle):
    """Mutable arrays. The first group is renewed at each hydraulic step, the second at each evaluation."""

    # geometry, (boxes,) unless stated
    bottom: FloatArray  # elevation [m]
    top: FloatArray  # elevation [m]
    thickness: FloatArray  # [m]
    area_top: FloatArray  # plan area at the top [m2]
    area_bottom: FloatArray  # plan area at the bottom, 0 for the deepest box [m2]
    bed_area: FloatArray  # [m2]
    rise: FloatArray  # share of its pool's rise in volume, adding up to 1 over a pool [1]
    surface: FloatArray  # (zones,) water surface elevation [m]
    surface_area: FloatArray  # (zones,) [m2]
    wet: FloatArray  # (zones,) 0 dry to 1 wet: evaporation and seepage stop at the film [1]
    pool: IntArray  # (zones,) number of the pool the zone belongs to
    passage_open: IntArray  # (passages,) 1 when both sides stand above the sill
    pool_volume: FloatArray  # (zones,) volume of each pool at the start of the hydraulic step [m3]
    pool_area: FloatArray  # (zones,) [m2]
    pool_level: FloatArray  # (zones,) [m]

    # flow pattern
    face_area: FloatArray  # (faces,) [m2]
    face_distance: FloatArray  # (faces,) between the boxes' centres [m]
    conductance: FloatArray  # (faces,) [m]
    factor: FloatArray  # envelope of the Cholesky factor
    pattern: FloatArray  # (sources, faces) flow through each face per unit of each source [1]
    steady: FloatArray  # (faces,) flows that last for the hydraulic step: drift and plumes [m3/s]
    take: FloatArray  # (sources + units, boxes) shares of what a source or plume takes along [1]
    give: FloatArray  # (sources + units, boxes) shares of where it comes to rest [1]
    draw: FloatArray  # (2, boxes) shares of what intake and outlet draw [1]
    dilution: FloatArray  # (sources,) water taken along per water coming in [1]
    plume_flow: FloatArray  # (units,) water moved by each plume [m3/s]
    bubble_rate: FloatArray  # (boxes,) oxygen conductance of the bubbles [m3/s]
    bubble_saturation: FloatArray  # (boxes,) [kg/m3]
    boil_rate: FloatArray  # (boxes,) extra conductance of the surface over plumes [m3/s]
    waterfall_ratio: FloatArray  # (1,) deficit ratio
    loop_flow: FloatArray  # (1,) what the pump delivers while it runs [m3/s]
    drop: FloatArray  # (1,) of the waterfall [m]
    air_flow: FloatArray  # (units,) standard air through each diffuser of a unit that runs [standard m3/s]
    air_power: FloatArray  # (units,) electric, of a unit that runs [W]

    # equipment: set where something switches
    asked: FloatArray  # (systems,) whether control lets it run, 0 or 1; 1 with no control
    running: FloatArray  # (systems,) whether it runs: asked, timer and power together, 0 or 1

    inflow_concentration: FloatArray  # (inflows, constituents)
    gain: FloatArray  # (boxes,) scratch: what each box gains from outside
    potential: FloatArray  # (boxes,) scratch
    net: FloatArray  # (zones,) scratch
    erosion: FloatArray  # (zones,) rate at which mud would lift, were there enough [kg/s]

    # light
    sun_in_water: FloatArray  # (boxes,) heat absorbed per sunlight entering [m2]
    sun_on_bed: FloatArray  # (boxes,) [m2]
    light_top: FloatArray  # (boxes,) photosynthetic light at the top, share of that at the surface [1]
    light_bottom: FloatArray  # (boxes,)
    optical_thickness: FloatArray  # (boxes,)

    # reactions, at the temperatures of the hydraulic step's start
    reference: FloatArray  # (boxes,) temperature [K]
    warmth: FloatArray  # (boxes, 4) temperature factors, see processes.warmth

    # the moment
    friction: FloatArray  # (zones,) of the wind on the water [m/s]
    decay: FloatArray  # (zones,) of the wind's drift with depth [1/m]
    concentration: FloatArray  # (boxes, constituents)
    density: FloatArray  # (boxes,) [kg/m3]
    source: FloatArray  # (sources,) [m3/s]
    flow: FloatArray  # (faces,) net, positive from lower to upper [m3/s]
    exchange: FloatArray  # (faces,) equal both ways [m3/s]
    turnover: FloatArray  # (boxes,) bound of what passes or is consumed, for the step's stability [m3/s]
    mixture: FloatArray  # (constituents,)
    loop_power: FloatArray  # (1,) electric [W]
    chlorophyll: FloatArray  # (zones,) [kg/m3]
    now: FloatArray  # weather of the moment, see site.weather


def work_for(grid: Grid, constituents: int, sources: int, inflows: int, units: int, envelope: int) -> Work:
    """Allocate the arrays for a pond."""
    boxes, zones = grid.box_zone.size, grid.zone_bottom.size
    faces, passages = grid.face_lower.size, grid.connection_width.size
    shape: dict[str, tuple[int, ...]] = {
        "surface": (zones,),
        "surface_area": (zones,),
        "wet": (zones,),
        "pool": (zones,),
        "passage_open": (passages,),
        "pool_volume": (zones,),
        "pool_area": (zones,),
        "pool_level": (zones,),
        "face_area": (faces,),
        "face_distance": (faces,),
        "conductance": (faces,),
        "factor": (envelope,),
        "pattern": (sources, faces),
        "steady": (faces,),
        "take": (sources + units, boxes),
        "give": (sources + units, boxes),
        "draw": (2, boxes),
        "dilution": (sources,),
        "plume_flow": (units,),
        "waterfall_ratio": (1,),
        "loop_flow": (1,),
        "loop_power": (1,),
        "drop": (1,),
        "air_flow": (units,),
        "air_power": (units,),
        "asked": (1 + units,),
        "running": (1 + units,),
        "inflow_concentration": (inflows, constituents),
        "erosion": (zones,),
        "net": (zones,),
        "chlorophyll": (zones,),
        "warmth": (boxes, 4),
        "friction": (zones,),
        "decay": (zones,),
        "concentration": (boxes, constituents),
        "source": (sources,),
        "flow": (faces,),
        "exchange": (faces,),
        "mixture": (constituents,),
        "now": (8,),
    }
    whole = {"pool", "passage_open"}
    arrays: dict[str, Any] = {
        field.name: np.zeros(shape.get(field.name, (boxes,)), np.int64 if field.name in whole else np.float64)
        for field in fields(Work)
    }
    arrays["asked"][:] = 1.0
    return Work(**arrays)
