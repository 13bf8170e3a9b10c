"""The state of a pond as one vector, and views of its parts; what it holds is in constituents.py."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pondsim.jit.bundle import Bundle
from pondsim.jit.lanes import lined_up
from pondsim.physics.oxygen import salinity_from_chloride
from pondsim.processes.constituents import (
    BED_ORGANICS,
    FIRST_BED_CLASS,
    LINES,
    OXYGEN_PATHWAYS,
    SAMPLED_AT,
)
from pondsim.processes.living_rows import LivingRows, bed_table

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class State(Bundle):
    """A state, or its rates of change: one vector, and views of its parts.

    Compiled code takes rows of boxes; from Python `amounts` and the like show them box by box, also where
    states over time have time as their first axis.
    """

    vector: FloatArray  # (size,) all of it
    rows: FloatArray  # (constituents, boxes), units as in living_rows.box_table
    bed: FloatArray  # (rows of living_rows.bed_table, boxes)
    zones: FloatArray  # (rows of constituents.ZONES and classes, zones)
    # from here on it only counts
    pathways: FloatArray  # (zones, pathways) [kg of oxygen]
    lines: FloatArray  # (lines,)
    solids_in: FloatArray  # (classes,) [kg]
    solids_out: FloatArray  # (classes,) [kg]
    energy: FloatArray  # (systems,) electric, of the pump and then of each aeration unit [J]
    running: FloatArray  # (systems,) time each has run [s]
    air: FloatArray  # (units,) standard air blown [standard m3]
    # (places of SAMPLED_AT, constituents and chlorophyll) amounts that passed each, as rows of boxes [kg]
    sampled: FloatArray

    @property
    def amounts(self) -> FloatArray:
        """(boxes, constituents)."""
        return np.swapaxes(self.rows, -1, -2)

    @property
    def bed_heat(self) -> FloatArray:
        """(boxes, 2) temperature of the bed's two layers [K]."""
        return np.swapaxes(self.bed[..., :2, :], -1, -2)

    @property
    def bed_organics(self) -> FloatArray:
        """(boxes,) organic matter settled since the start [kg of oxygen]."""
        return self.bed[..., BED_ORGANICS, :]

    @property
    def bed_mass(self) -> FloatArray:
        """(zones, classes) solids settled since the start, dry [kg]."""
        return np.swapaxes(self.zones[..., FIRST_BED_CLASS:, :], -1, -2)


@dataclass(frozen=True, eq=False)
class Layout(Bundle):
    """Sizes of a state."""

    boxes: int
    zones: int
    classes: int
    units: int
    constituents: int
    bed_rows: int
    living: LivingRows
    held: int  # entries at the start of the vector that rates depend on; the others only count
    size: int


def _shapes(
    boxes: int, zones: int, classes: int, units: int, living: LivingRows
) -> dict[str, tuple[int, ...]]:
    """Shape of every part of a state, in their order."""
    return {
        "rows": (living.end, boxes),
        "bed": (len(bed_table(living)), boxes),
        "zones": (FIRST_BED_CLASS + classes, zones),
        "pathways": (zones, len(OXYGEN_PATHWAYS)),
        "lines": (len(LINES),),
        "solids_in": (classes,),
        "solids_out": (classes,),
        "energy": (1 + units,),
        "running": (1 + units,),
        "air": (units,),
        "sampled": (len(SAMPLED_AT), living.end + 1),
    }


HELD = ("rows", "bed", "zones")


def lay_out(boxes: int, zones: int, classes: int, units: int, living: LivingRows) -> Layout:
    """Layout of the state of a pond of that many boxes, zones, settling classes and aeration units."""
    shapes = _shapes(boxes, zones, classes, units, living)
    sizes = {name: int(np.prod(shape)) for name, shape in shapes.items()}
    held = sum(sizes[name] for name in HELD)
    bed_rows = shapes["bed"][0]
    return Layout(boxes, zones, classes, units, living.end, bed_rows, living, held, sum(sizes.values()))


def state_of(layout: Layout, vector: FloatArray) -> State:
    """A state whose parts are views of `vector`."""
    parts = {}
    place = 0
    shapes = _shapes(layout.boxes, layout.zones, layout.classes, layout.units, layout.living)
    for name, shape in shapes.items():
        size = int(np.prod(shape))
        parts[name] = vector[place : place + size].reshape(shape)
        place += size
    return State(vector, **parts)


def salt_from_chloride(chloride: float) -> float:
    """Salt that goes with chloride [kg/m3]."""
    return float(salinity_from_chloride(chloride))


def new_state(layout: Layout) -> State:
    """A state of zeros."""
    return state_of(layout, lined_up(layout.size))
