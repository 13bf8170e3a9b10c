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
UG_PER_L = 1e6  # ug/L in kg/m3
OXYGEN_PER_DRY_MATTER = 1.42  # kg of oxygen per kg of organic matter (C5H7NO2; from memory, not verified)
PER_VOLUME, PER_AREA, AS_IS = range(3)  # what the error allowed of a state is held against


@dataclass(frozen=True)
class Kept:
    """A state. Its error allowed per step is absolute, in the unit of the concentration, and relative to it.

    `given` names the key of the start, and of inflows that have it, that says how much there is; without
    one there is `neutral`. `book` names the balance it belongs to, `carried` the line that counts what
    water carries in and out; `settles` the state of the bed it becomes part of. Rain and evaporation carry
    nothing of it unless it `evaporates` with the water (ages do, what is dissolved does not). What
    `spins_up` starts from the first days' weather where no profile was measured. What is no water of a box
    but holds `heat`, as m3 K per unit, counts in that balance too. `output` is the variable of
    variables.toml, which is the state times `factor` plus `offset`.
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
    Kept("heat", "m3 K", 2e-4, 0.0, "water_temperature", offset=-ZERO_CELSIUS, book="heat",
         carried="heat_carried"),
    Kept("oxygen", "kg", 1e-5, 0.0, "dissolved_oxygen", MG_PER_L),
    Kept("carbonaceous demand", "kg of oxygen", 1e-5, 1e-3, "carbonaceous_bod", MG_PER_L,
         carried="reducing_carried"),
    Kept("ammonium", "kg of nitrogen", 1e-6, 1e-3, "ammonium", MG_PER_L, given="ammonium"),
    Kept("bottom oxygen debt", "kg of oxygen", 1e-5, 1e-3, "reduced_substances", MG_PER_L,
         carried="debt_carried"),
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

# Rows that boxes and the bed have only where algae grow, binders are dosed or dye is added (living_rows.py).
# Those of boxes come after the settling classes: three of phosphorus, one for each kind of algae, others.
PHOSPHORUS = (
    Kept("dissolved phosphorus", "kg", 2e-7, 1e-3, "dissolved_phosphorus", UG_PER_L),
    Kept("phosphorus of dead algae", "kg", 2e-7, 1e-3, "detritus_phosphorus", UG_PER_L),
    Kept("phosphorus on solids", "kg", 2e-7, 1e-3, "phosphorus_on_solids", UG_PER_L),
)
ALGAE = Kept("algae", "kg of carbon", 1e-5, 1e-3)
BINDER = (
    Kept("phosphorus binder", "kg of phosphorus it can bind", 2e-7, 1e-3, spins_up=False),
    Kept("phosphorus on a binder", "kg", 2e-7, 1e-3, "phosphorus_on_binder", UG_PER_L, spins_up=False),
)
DYE = Kept("dye", "m2", 1e-3, 1e-3, "dye_extinction", spins_up=False)  # extinction times volume
LIVING_BED = (
    Kept("fast organic store", "kg of oxygen", 1e-4, 1e-3, spins_up=False),
    Kept("slow organic store", "kg of oxygen", 1e-4, 1e-3, spins_up=False),
    Kept("old organic store", "kg of oxygen", 1e-3, 1e-3, spins_up=False),
    Kept("inert organic matter", "kg of oxygen", 1e-4, 1e-3, spins_up=False),
    Kept("phosphorus of the fast store", "kg", 1e-6, 1e-3, spins_up=False),
    Kept("phosphorus of the slow store", "kg", 1e-6, 1e-3, spins_up=False),
    Kept("bound phosphorus of the bed", "kg", 1e-5, 1e-3, spins_up=False),
    Kept("buried phosphorus", "kg", 1e-5, 1e-3, spins_up=False),
    Kept("binder on the bed", "kg of phosphorus it can bind", 1e-5, 1e-3, spins_up=False),
)
FAST, SLOW, OLD, INERT, FAST_P, SLOW_P, BOUND_P, BURIED_P, BED_BINDER = range(
    len(BED), len(BED) + len(LIVING_BED)
)
BED_PER_AREA = np.array([kept.unit != "K" for kept in (*BED, *LIVING_BED)])

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
    Line("reducing_carried"),  # kg of oxygen: BOD, dead and grown algae carried in minus out
    Line("debt_carried"),  # kg of oxygen, in minus out
    Line("reducing_old_bed"),  # debt made by the bed that was there at the start
    Line("oxygen_old_bed"),  # oxygen taken by it
    Line("reducing_solids"),  # organic part of solids that settle into the bed
    Line("reducing_lost"),  # unmet demand of new bed organics lost as gas or buried
    Line("reducing_killed"),  # algae killed by a crash or a treatment
    Line("oxygen_held_algae"),  # respiration of algae that the given chlorophyll keeps alive
    Line("water_pumped"),  # m3 through the loop
    Line("phosphorus_in", "phosphorus"),  # kg, with all water
    Line("phosphorus_out", "phosphorus", -1.0),
    Line("phosphorus_loads", "phosphorus"),  # stated loads of animals and the like
    Line("phosphorus_dredged", "phosphorus", -1.0),
    Line("organic_dredged"),  # kg of oxygen
    Line("organic_loads"),  # kg of oxygen, demand of stated loads
    Line("organic_anoxic"),  # organic matter that decays without oxygen: into debt, or lost
)
LINES = tuple(line.name for line in LINE_TABLE)
LIVING_BOOK = "phosphorus"  # closed only where there are the states of it
BOOKS = tuple(dict.fromkeys(line.book for line in LINE_TABLE if line.book not in ("", LIVING_BOOK)))
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
    DEBT_CARRIED,
    REDUCING_OLD_BED,
    OXYGEN_OLD_BED,
    REDUCING_SOLIDS,
    REDUCING_LOST,
    REDUCING_KILLED,
    OXYGEN_HELD_ALGAE,
    WATER_PUMPED,
    PHOSPHORUS_IN,
    PHOSPHORUS_OUT,
    PHOSPHORUS_LOADS,
    PHOSPHORUS_DREDGED,
    ORGANIC_DREDGED,
    ORGANIC_LOADS,
    ORGANIC_ANOXIC,
) = range(len(LINES))

# Where what passes is counted, constituent by constituent, as a sampler that takes with the flow does.
SAMPLED_AT = ("outlet", "intake", "inflow")
AT_OUTLET, AT_INTAKE, AT_INFLOW = range(len(SAMPLED_AT))

# As arrays, which compiled code takes as constants.
CARRIED = np.array([LINES.index(kept.carried) if kept.carried else -1 for kept in BOXES])
EVAPORATES = np.array([kept.evaporates for kept in BOXES])
BED_NAMES = tuple(kept.name for kept in BED)
SETTLES_INTO = np.array([BED_NAMES.index(kept.settles) if kept.settles else -1 for kept in BOXES])
