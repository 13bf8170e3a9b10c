"""The one table of states: what boxes, their bed and zones hold, and the lines of the budgets.

The state of a box is an amount, not a concentration: water [m3], heat [m3 K], oxygen [kg] and so on. Volume
and masses then go through the same stages of the time loop, and a uniform concentration stays uniform under
any flow. Divided by the water of the box they are the concentrations [1], [K], [kg/m3], [s].

To add a state, write a row in its table and its name in the line of numbers below; memory, transport, error
control, spin-up, books, output and messages follow from the row.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.constants import DAY, ZERO_CELSIUS
from pondsim.physics.ice import ICE_HEAT

MG_PER_L = 1e3  # mg/L in kg/m3
OXYGEN_PER_DRY_MATTER = 1.42  # kg of oxygen per kg of organic matter (C5H7NO2; from memory, not verified)
PER_VOLUME, PER_AREA, AS_IS = range(3)  # what the error allowed of a state is held against


@dataclass(frozen=True)
class Kept:
    """A state. Its error allowed per step is absolute, in the unit of the concentration, and relative to it.

    `given` names the key of the start and of every inflow that says how much there is; without one there is
    `neutral`. `book` names the balance it belongs to, `carried` the line that counts what water carries in
    and out; `settles` the state of the bed it becomes part of. Rain and evaporation carry nothing of it
    unless it `evaporates` with the water (ages do, what is dissolved does not). What `spins_up` starts from
    the first days' weather where no profile was measured. What is no water of a box but holds `heat`, as m3 K
    per unit, counts in that balance too. `output` is the variable of variables.toml, which
    is the state times `factor` plus `offset`.
    """

    name: str  # for messages
    unit: str  # of the amount
    absolute: float
    relative: float
    output: str = ""
    factor: float = 1.0
    offset: float = 0.0
    given: str = ""
    neutral: float = 0.0
    book: str = ""
    carried: str = ""
    settles: str = ""
    evaporates: bool = False
    spins_up: bool = True
    heat: float = 0.0


# Heat and salt are held tighter than anybody reads them: they decide the minute of an overturn, and with it
# the oxygen. One such row for each settling class comes after the last.
BOXES = (
    Kept("water", "m3", 0.0, 1e-5, neutral=1.0, book="water", spins_up=False),
    Kept("heat", "m3 K", 1e-4, 0.0, "water_temperature", offset=-ZERO_CELSIUS, book="heat",
         carried="heat_carried"),
    Kept("oxygen", "kg", 1e-5, 0.0, "dissolved_oxygen", MG_PER_L),
    Kept("carbonaceous demand", "kg of oxygen", 1e-5, 1e-3, "carbonaceous_bod", MG_PER_L,
         carried="reducing_carried"),
    Kept("ammonium", "kg of nitrogen", 1e-6, 1e-3, "ammonium", MG_PER_L, given="ammonium"),
    Kept("bottom oxygen debt", "kg of oxygen", 1e-5, 1e-3, "reduced_substances", MG_PER_L,
         carried="reducing_carried"),
    Kept("dead algae", "kg of oxygen", 1e-5, 1e-3, "detritus", MG_PER_L, carried="reducing_carried",
         settles="settled organic matter"),
    Kept("salt", "kg", 2e-5, 0.0, "salinity", book="salt", carried="salt_carried"),  # kg/m3 is g/kg, to 0.3 %
    Kept("days since inflow", "m3 s", 1000.0, 3e-3, "age_since_inflow", 1.0 / DAY, evaporates=True,
         spins_up=False),
    Kept("days since the waterfall", "m3 s", 1000.0, 3e-3, "age_since_waterfall", 1.0 / DAY, evaporates=True,
         spins_up=False),
)  # fmt: skip
WATER, HEAT, OXYGEN, BOD, AMMONIUM, DEBT, DETRITUS, SALT, AGE_INFLOW, AGE_WATERFALL = range(len(BOXES))
FIRST_CLASS = len(BOXES)  # settling classes, kg
SOLIDS = Kept("solids of settling class", "kg", 1e-4, 5e-3, spins_up=False)

# What the bed under each box holds. Temperatures are as they are; other errors are per area of the bed [m2].
BED = (
    Kept("heat of the upper bed", "K", 2e-3, 0.0),
    Kept("heat of the lower bed", "K", 2e-3, 0.0),
    Kept("settled organic matter", "kg of oxygen", 1e-4, 1e-3, spins_up=False),  # since the start
)
UPPER_BED, LOWER_BED, BED_ORGANICS = range(len(BED))
BED_PER_AREA = np.array([kept.unit != "K" for kept in BED])

# What a zone holds as a whole, its error per area of the zone [m2]; after the last a row for the solids of
# each settling class on its bed.
ZONES: tuple[Kept, ...] = (
    Kept("ice", "m3 of water", 1e-5, 1e-4, book="water", spins_up=False, heat=ICE_HEAT),
    Kept("snow on the ice", "m3 of water", 1e-5, 1e-4, book="water", spins_up=False, heat=ICE_HEAT),
)
ICE, SNOW = range(len(ZONES))
FIRST_BED_CLASS = len(ZONES)  # settled since the start, dry, kg
BED_SOLIDS = Kept("solids on the bed", "kg", 1e-3, 5e-3, spins_up=False)

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
# Those that processes count box by box, in the order of rows of Work.pathway; others are counted by zone.
COUNTED_BY_BOX = np.array(
    [BUBBLES, PHOTOSYNTHESIS, RESPIRATION, ORGANIC_DECAY, NITRIFICATION, BED_DEMAND, DEBT_OXIDATION]
)
(
    BUBBLES_ROW,
    PHOTOSYNTHESIS_ROW,
    RESPIRATION_ROW,
    ORGANIC_DECAY_ROW,
    NITRIFICATION_ROW,
    BED_DEMAND_ROW,
    DEBT_OXIDATION_ROW,
) = range(COUNTED_BY_BOX.size)


@dataclass(frozen=True)
class Line:
    """A line of the budgets, one for the pond; `sign` says how it enters the balance named `book`."""

    name: str
    book: str = ""
    sign: float = 1.0


LINE_TABLE = (
    Line("water_inflow", "water"),  # m3, events and base flow
    Line("water_rain", "water"),
    Line("water_ground", "water"),  # positive into the pond
    Line("water_outlet", "water", -1.0),  # positive out
    Line("water_evaporation", "water", -1.0),  # positive out
    Line("water_splash", "water", -1.0),  # positive out
    Line("heat_surface", "heat"),  # m3 K through the surface: sun, long wave, evaporation, sensible
    Line("heat_carried", "heat"),  # with all water in and out
    Line("heat_bed", "heat"),  # from the bed into the water
    Line("salt_carried", "salt"),  # kg, in minus out
    Line("salt_ground", "salt"),
    Line("reducing_carried"),  # kg of oxygen: BOD, debt and detritus carried in minus out
    Line("reducing_old_bed"),  # debt made by the bed that was there at the start
    Line("oxygen_old_bed"),  # oxygen taken by it
    Line("reducing_solids"),  # organic part of solids that settle into the bed
    Line("reducing_lost"),  # unmet demand of new bed organics lost as gas or buried
    Line("reducing_killed"),  # algae killed by a crash or a treatment
    Line("oxygen_held_algae"),  # respiration of algae that the given chlorophyll keeps alive
    Line("water_pumped"),  # m3 through the loop
)
LINES = tuple(line.name for line in LINE_TABLE)
BOOKS = tuple(dict.fromkeys(line.book for line in LINE_TABLE if line.book))
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

# Where what passes is counted, constituent by constituent, as a sampler that takes with the flow does.
SAMPLED_AT = ("outlet", "intake", "inflow")
AT_OUTLET, AT_INTAKE, AT_INFLOW = range(len(SAMPLED_AT))

# As arrays, which compiled code takes as constants.
CARRIED = np.array([LINES.index(kept.carried) if kept.carried else -1 for kept in BOXES])
EVAPORATES = np.array([kept.evaporates for kept in BOXES])
BED_NAMES = tuple(kept.name for kept in BED)
SETTLES_INTO = np.array([BED_NAMES.index(kept.settles) if kept.settles else -1 for kept in BOXES])


def name_of(place: int, classes: int) -> str:
    """Name, for messages, of a place in the list of states of boxes, of the bed and of zones."""
    numbers = [f" {k + 1}" for k in range(classes)]
    boxes = [kept.name for kept in BOXES] + [SOLIDS.name + number for number in numbers]
    zones = [kept.name for kept in ZONES] + [f"{BED_SOLIDS.name}, class{number}" for number in numbers]
    return [*boxes, *BED_NAMES, *zones][place]
