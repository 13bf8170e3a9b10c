"""The wet well or vault as it is built: concrete, flotation when pumped dry, floats, draining."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pondsim.constants import HOUR
from pondsim.design.limits import Limit
from pondsim.design.verdict import judged, source_of
from pondsim.physics.float_band import least_band_volume, most_starts
from pondsim.physics.flotation import TRADE_WATER, ballast_volume, flotation_safety, net_uplift
from pondsim.scenario.pipe_tables import NOT_FOR_PRESSURE
from pondsim.scenario.settings import Scenario, WellStructure, WetWell
from pondsim.site.pipe_run import bore, outside

LEAST_CYCLE = 600.0  # s, EI 11C201: 10 to 15 min for motors under 15 kW
VALVES = ("gate valve", "ball valve", "butterfly valve")  # that shut tight
PART = "wet well"


@dataclass(frozen=True)
class WellBuilt:
    """What a well weighs, displaces and holds.

    Attributes
    ----------
    walls, base, top : concrete [m3]
    under : elevation of the underside of the base [m]
    water : highest water table it is judged at [m]
    weight : of concrete and cover [kg]
    soil : of the soil counted on the lip, under water [kg]
    displaced : under the water table, walls and inside [m3]
    uplift : weight of the water displaced [kg]
    safety : weight and soil over uplift, pumped dry [1]
    missing : concrete to add, under water, for the factor wanted; 0 where it holds [m3]
    gravel : bed of stone under the base [m3]
    fabric : filter fabric under and around it [m2]
    buried : below grade, with base and stone [m3]
    rings : of the stated height, rounded up
    height : inside, floor to top slab [m]
    """

    walls: float
    base: float
    top: float
    under: float
    water: float
    weight: float
    soil: float
    displaced: float
    uplift: float
    safety: float
    missing: float
    gravel: float
    fabric: float
    buried: float
    rings: int
    height: float


@dataclass(frozen=True)
class Draining:
    """Emptying the well with the isolation valve shut, from the water at normal pool.

    Attributes
    ----------
    volume : down to the floor [m3]
    own_pump : time of its own pump down to pump-off [s]
    rest : below pump-off, for a portable pump [m3]
    """

    volume: float
    own_pump: float
    rest: float


def _footprint(well: WetWell, beyond: float) -> float:
    """Plan area of the well with so much added all round. [m2]"""
    if well.diameter is not None:
        return 0.25 * math.pi * (well.diameter + 2.0 * beyond) ** 2
    return (well.breadth + 2.0 * beyond) * ((well.width or 0.0) + 2.0 * beyond)


def well_built(scenario: Scenario) -> WellBuilt | None:
    """The well of a scenario; None where nothing says what it is built of. SI. Raises: nothing.

    Friction on the walls is left out, soil counts only straight above the lip, and the whole soil is
    taken under water: the safe way round.
    """
    well = scenario.wet_well
    if well is None or well.structure is None:
        return None
    built = well.structure
    height = built.top - built.top_thickness - well.bottom
    shell, over = _footprint(well, built.wall), _footprint(well, built.wall + built.base_lip)
    hole = 0.25 * math.pi * built.opening**2
    walls, base = (shell - well.area) * height, over * built.base_thickness
    top = (shell - hole) * built.top_thickness
    under = well.bottom - built.base_thickness
    water = scenario.pond.bank_top if built.groundwater is None else built.groundwater
    wet_base = min(max(water - under, 0.0), built.base_thickness)
    wet_shell = min(max(water - well.bottom, 0.0), built.top - well.bottom)
    displaced = over * wet_base + shell * wet_shell
    grade = built.top if built.grade is None else built.grade
    sunk = max(min(grade, built.top) - well.bottom, 0.0)
    soil = (over - shell) * sunk * built.backfill
    weight = (walls + base + top) * built.concrete_density + built.cover_weight
    missing = 0.0
    safety = math.inf
    if displaced > 0.0:
        safety = float(flotation_safety(weight + soil, displaced))
        short = net_uplift(weight + soil, displaced, built.min_flotation)
        missing = max(float(ballast_volume(short, built.concrete_density)), 0.0)
    bed = _footprint(well, built.wall + built.base_lip + built.gravel)
    around = math.sqrt(bed) * 4.0 * built.gravel  # sides of the bed, as of a square of its area
    return WellBuilt(
        walls,
        base,
        top,
        under,
        water,
        weight,
        soil,
        displaced,
        displaced * TRADE_WATER,
        safety,
        missing,
        bed * built.gravel,
        bed + around if built.fabric else 0.0,
        shell * sunk + base + bed * built.gravel,
        math.ceil(height / built.ring_height - 1e-9),
        height,
    )


def draining(scenario: Scenario, flow: float) -> Draining | None:
    """Emptying the well for its cleaning; `flow` is that of its own pump [m3/s]."""
    well = scenario.wet_well
    if well is None:
        return None
    pool = scenario.pond.normal_pool
    above, rest = well.area * (pool - well.pump_off), well.area * (well.pump_off - well.bottom)
    return Draining(above + rest, above / flow if flow > 0.0 else math.inf, rest)


def band_volume(well: WetWell) -> float | None:
    """Volume between the floats that start and stop the pump; None where no start float is named. [m3]"""
    return None if well.pump_on is None else well.area * (well.pump_on - well.pump_off)


def well_built_limits(scenario: Scenario, flow: float) -> list[Limit]:
    """What the structure, the floats and the valve are held against; `flow` at normal pool [m3/s]."""
    well = scenario.wet_well
    found = _not_for_pressure(scenario)
    if well is None:
        return found
    found += _flotation(scenario)
    found += _starts(well, flow / (scenario.pump.count if scenario.pump else 1))
    return [*found, *_knockout(scenario, well, well.structure), *_valve(scenario)]


def _flotation(scenario: Scenario) -> list[Limit]:
    well, found = scenario.wet_well, well_built(scenario)
    if well is None or well.structure is None or found is None:
        return []
    least = well.structure.min_flotation
    short = f" Some {found.missing / 0.764555:.1f} yd3 of concrete would hold it." if found.missing else ""
    return [
        judged(
            "flotation",
            PART,
            "weight over uplift, pumped dry, highest groundwater",
            found.safety,
            "share",
            least=least,
            breach="fail" if found.safety < 1.0 else "warn",
            source=source_of(scenario, "well_structure.min_flotation", "wet_well.structure.min_flotation"),
            note="On all that is displaced, no friction; before the backfill is in, less: keep water in it."
            + short,
        )
    ]


def _starts(well: WetWell, flow: float) -> list[Limit]:
    volume = band_volume(well)
    if volume is None or flow <= 0.0:
        return []
    least = 264.172 * float(least_band_volume(LEAST_CYCLE, flow))
    starts = float(most_starts(volume, flow)) * HOUR
    return [
        judged(
            "float_volume",
            PART,
            "water between the floats",
            volume,
            "tank",
            source="ei11c201, 10 min from start to start",
            note=f"At the worst inflow {starts:.0f} starts an hour; {least:.0f} gal would keep to 6. A well "
            "that a gravity line feeds at the pump's own rate does not cycle; a blocked line makes it.",
        )
    ]


def _knockout(scenario: Scenario, well: WetWell, built: WellStructure | None) -> list[Limit]:
    line = scenario.gravity_line
    if line is None or line.outlet is None or built is None or built.knockout is None:
        return []
    inside = bore(line) or 0.0
    wall = 0.5 * ((outside(line) or inside) - inside)
    return [
        judged(
            "pipe_opening",
            PART,
            "underside of the gravity line over the edge of its opening",
            line.outlet - wall - well.bottom - built.knockout,
            "length",
            least=0.0,
            source="by derivation",
            note="The pipe does not fit the precast opening.",
        )
    ]


def _valve(scenario: Scenario) -> list[Limit]:
    line = scenario.gravity_line
    if line is None or any(name in VALVES for _, name in line.fittings):
        return []
    return [
        Limit(
            "no_valve",
            PART,
            "a valve in the gravity line",
            None,
            "length",
            None,
            None,
            "warn",
            "common practice, no source",
            "Without one the well cannot be emptied for its cleaning.",
        )
    ]


def _not_for_pressure(scenario: Scenario) -> list[Limit]:
    discharge = scenario.discharge
    if discharge is None or discharge.pipe not in NOT_FOR_PRESSURE or discharge.inside_diameter is not None:
        return []
    return [
        Limit(
            "no_pressure_pipe",
            "discharge",
            "pipe made for pressure",
            None,
            "length",
            None,
            None,
            "fail",
            "its standard",
            "This is gravity pipe: its joints and walls are not made to hold pressure.",
        )
    ]
