"""What a box holds, and the lines of the budgets.

The state of a box is an amount, not a concentration: water [m3], heat [m3 K], oxygen [kg] and so on. Volume
and masses then go through the same stages of the time loop, and a uniform concentration stays uniform under
any flow. Divided by the water of the box they are the concentrations [1], [K], [kg/m3], [s].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pondsim.jit.bundle import Bundle
from pondsim.physics.oxygen import salinity_from_chloride

FloatArray = NDArray[np.float64]

# Constituents of a box: the column in the state, then one column for each settling class.
WATER = 0  # m3
HEAT = 1  # m3 K
OXYGEN = 2  # kg
BOD = 3  # carbonaceous demand, ultimate, kg of oxygen
AMMONIUM = 4  # kg of nitrogen
DEBT = 5  # bottom oxygen debt (reduced substances), kg of oxygen
DETRITUS = 6  # dead algae, kg of oxygen
SALT = 7  # kg
AGE_INFLOW = 8  # m3 s
AGE_WATERFALL = 9  # m3 s
FIRST_CLASS = 10  # settling classes, kg

OXYGEN_PER_DRY_MATTER = 1.42  # kg of oxygen per kg of organic matter (C5H7NO2; from memory, not verified)

# Lines of the oxygen budget, kg of oxygen into the water, one set per zone.
OXYGEN_PATHWAYS = (
    "surface_exchange",
    "waterfall",
    "bubbles",
    "photosynthesis",
    "respiration",
    "organic_decay",
    "nitrification",
    "bed_demand",
    "bottom_debt_oxidation",
    "inflow",
    "outflow",
)
(
    SURFACE_EXCHANGE,
    WATERFALL,
    BUBBLES,
    PHOTOSYNTHESIS,
    RESPIRATION,
    ORGANIC_DECAY,
    NITRIFICATION,
    BED_DEMAND,
    DEBT_OXIDATION,
    OXYGEN_IN,
    OXYGEN_OUT,
) = range(len(OXYGEN_PATHWAYS))

# Lines of the other budgets, one set for the pond.
LINES = (
    "water_inflow",  # m3, events and base flow
    "water_rain",
    "water_ground",  # positive into the pond
    "water_outlet",  # positive out
    "water_evaporation",  # positive out
    "water_splash",  # positive out
    "heat_surface",  # m3 K through the surface: sun, long wave, evaporation, sensible
    "heat_carried",  # with all water in and out
    "heat_bed",  # from the bed into the water
    "salt_carried",  # kg, in minus out
    "salt_ground",
    "reducing_carried",  # kg of oxygen: BOD, debt and detritus carried in minus out
    "reducing_old_bed",  # debt made by the bed that was there at the start
    "oxygen_old_bed",  # oxygen taken by it
    "reducing_solids",  # organic part of solids that settle into the bed
    "reducing_lost",  # unmet demand of new bed organics lost as gas or buried
    "reducing_killed",  # algae killed by a crash or a treatment
    "oxygen_held_algae",  # respiration of algae that the given chlorophyll keeps alive
    "water_pumped",  # m3 through the loop
)
(
    WATER_INFLOW,
    WATER_RAIN,
    WATER_GROUND,
    WATER_OUTLET,
    WATER_EVAPORATION,
    WATER_SPLASH,
    HEAT_SURFACE,
    HEAT_CARRIED,
    HEAT_BED,
    SALT_CARRIED,
    SALT_GROUND,
    REDUCING_CARRIED,
    REDUCING_OLD_BED,
    OXYGEN_OLD_BED,
    REDUCING_SOLIDS,
    REDUCING_LOST,
    REDUCING_KILLED,
    OXYGEN_HELD_ALGAE,
    WATER_PUMPED,
) = range(len(LINES))


@dataclass(frozen=True, eq=False)
class State(Bundle):
    """A state, or its rates of change: one vector, and views of its parts."""

    vector: FloatArray  # (size,) all of it
    amounts: FloatArray  # (boxes, constituents), units above
    bed_heat: FloatArray  # (boxes, 2) temperature of the bed's two layers [K]
    bed_organics: FloatArray  # (boxes,) organic matter settled since the start [kg of oxygen]
    bed_mass: FloatArray  # (zones, classes) solids settled since the start, dry [kg]
    # from here on it only counts
    pathways: FloatArray  # (zones, pathways) [kg of oxygen]
    lines: FloatArray  # (lines,)
    solids_in: FloatArray  # (classes,) [kg]
    solids_out: FloatArray  # (classes,) [kg]
    energy: FloatArray  # (systems,) electric, of the pump and then of each aeration unit [J]
    running: FloatArray  # (systems,) time each has run [s]
    air: FloatArray  # (units,) standard air blown [standard m3]


@dataclass(frozen=True, eq=False)
class Layout(Bundle):
    """Sizes of a state."""

    boxes: int
    zones: int
    classes: int
    units: int
    constituents: int
    size: int


def lay_out(boxes: int, zones: int, classes: int, units: int) -> Layout:
    """Layout of the state of a pond of that many boxes, zones, settling classes and aeration units."""
    constituents = FIRST_CLASS + classes
    size = sum(int(np.prod(shape)) for shape in _shapes(boxes, zones, classes, units))
    return Layout(boxes, zones, classes, units, constituents, size)


def _shapes(boxes: int, zones: int, classes: int, units: int) -> list[tuple[int, ...]]:
    return [
        (boxes, FIRST_CLASS + classes),
        (boxes, 2),
        (boxes,),
        (zones, classes),
        (zones, len(OXYGEN_PATHWAYS)),
        (len(LINES),),
        (classes,),
        (classes,),
        (1 + units,),
        (1 + units,),
        (units,),
    ]


def state_of(layout: Layout, vector: FloatArray) -> State:
    """A state whose parts are views of `vector`."""
    parts = []
    place = 0
    for shape in _shapes(layout.boxes, layout.zones, layout.classes, layout.units):
        size = int(np.prod(shape))
        parts.append(vector[place : place + size].reshape(shape))
        place += size
    return State(vector, *parts)


def salt_from_chloride(chloride: float) -> float:
    """Salt that goes with chloride [kg/m3]."""
    return float(salinity_from_chloride(chloride))


def new_state(layout: Layout) -> State:
    """A state of zeros."""
    return state_of(layout, np.zeros(layout.size))
