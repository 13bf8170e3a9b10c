"""Design inputs of a design and what its hardware gives, row by row, for people and for machines."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from pondsim.design.air_sheet import AirSheet, AirUnit
from pondsim.design.line_values import AtPool, LineSheet
from pondsim.design.sheet import Sheet
from pondsim.scenario.settings import Scenario

INPUTS, POINT, FALL, AIR = "design inputs", "operating point", "waterfall", "aeration"  # tables


@dataclass(frozen=True)
class Given:
    """One number of the sheet.

    Attributes
    ----------
    table : "design inputs", "operating point", "waterfall" or "aeration"
    part : level of the pond, or name of the unit; "" where it needs none
    what : in words
    value : SI; None where the file does not say enough
    kind : of `units.display`
    elevation : whether it is a height above datum, to be shown with more digits
    """

    table: str
    part: str
    what: str
    value: float | None
    kind: str
    elevation: bool = False


Row = tuple[str, str, Callable[[AtPool], float | None]]

AT_REST = ("pond", "water over the top of the intake", "maximum flow of the intake")  # known without a flow
LEVELS = ("pond", "water at the lip", "water in the well, pump running")
ROWS: tuple[Row, ...] = (
    ("pond", "length", lambda pool: pool.pond_level),
    ("flow", "flow", lambda pool: pool.flow),
    ("head of the pump", "length", lambda pool: pool.head),
    ("  of it lift to the lip", "length", lambda pool: pool.static_lift),
    ("  of it lost in the discharge", "length", lambda pool: pool.discharge_loss),
    ("lost on the way to well or pump", "length", lambda pool: pool.suction_loss),
    ("efficiency of the pump", "share", lambda pool: pool.efficiency),
    ("shaft power, all pumps", "power", lambda pool: pool.shaft_power),
    ("electric power", "power", lambda pool: pool.electric_power),
    ("velocity in the clogged grate", "speed", lambda pool: pool.grate_velocity_blocked),
    ("velocity at the intake", "speed", lambda pool: pool.intake_velocity),
    ("velocity in the gravity line", "speed", lambda pool: pool.gravity_velocity),
    ("velocity in the discharge", "speed", lambda pool: pool.discharge_velocity),
    ("water over the top of the intake", "length", lambda pool: pool.cover_top),
    ("maximum flow of the intake", "flow", lambda pool: pool.starving_flow),
    ("water in the well, pump running", "length", lambda pool: pool.well_level),
    ("  over pump-off", "length", lambda pool: pool.over_pump_off),
    ("  fall below the pond at the start", "length", lambda pool: pool.start.fall if pool.start else None),
    ("suction head available (NPSH)", "length", lambda pool: pool.npsh_available),
)


def pools_of(line: LineSheet) -> tuple[AtPool, ...]:
    """Levels worth a column: without low pool where the file names none."""
    return line.pools[1:] if line.low.pond_level == line.normal.pond_level else line.pools


def is_described(scenario: Scenario) -> bool:
    """Whether the file says more of the loop than its flow: a pipe, a well, a grate or a pump curve."""
    pump, intake = scenario.pump, scenario.intake
    if pump is None or intake is None:
        return False
    parts = (scenario.gravity_line, scenario.wet_well, scenario.discharge, intake.grate_area)
    bore = (intake.inside_diameter, intake.nominal)
    return pump.flow is None or any(part is not None for part in (*parts, *bore))


def design_inputs(sheet: Sheet) -> tuple[Given, ...]:
    """What the pond asks of equipment."""
    found = [Given(INPUTS, "", "sediment oxygen demand, 28 degC (82 degF)", sheet.bed_takes, "mass_rate")]
    if sheet.loop:
        what = "target time to renew the pond"
        found.append(Given(INPUTS, "", what, sheet.loop.renewed_within, "days"))
        what = "flow to do so by the waterfall alone"
        found.append(Given(INPUTS, "", what, sheet.loop.renewal_flow, "flow"))
    if sheet.units:
        what = "standard air by the areal rule for mixing"
        found.append(Given(INPUTS, "", what, sheet.air_by_rule, "air_flow"))
    return tuple(found)


def operating_points(line: LineSheet) -> tuple[Given, ...]:
    """The line at each level of the pond; rows of which nothing is known are left out.

    Where the well falls to pump-off there is no operating point: what hangs on the flow is None.
    """
    found = []
    pools = pools_of(line)
    for what, kind, value in ROWS:
        values = [None if pool.stops and what not in AT_REST else value(pool) for pool in pools]
        if any(one is not None for one in values):
            for pool, one in zip(pools, values, strict=True):
                found.append(Given(POINT, pool.name, what, one, kind, what in LEVELS))
    return tuple(found)


def waterfall_given(line: LineSheet) -> tuple[Given, ...]:
    """The waterfall at normal pool; only its drops where the pump cannot go on."""
    fall = line.waterfall
    rows: tuple[tuple[str, float, str], ...] = (
        ("drop, all steps", fall.drop, "length"),
        ("drop of one step", fall.drop_per_step, "length"),
        ("flow per width of lip", fall.flow_per_width, "flow_per_width"),
        ("depth at the brink of a broad lip", fall.brink_depth, "short_length"),
        ("head over a sharp lip", fall.lip_head, "short_length"),
        ("reduction of the oxygen deficit, 28 degC", fall.efficiency, "share"),
        ("the same, lowest published method", min(fall.efficiencies), "share"),
        ("the same, highest published method", max(fall.efficiencies), "share"),
        ("flow lost to splash and wind", fall.splash, "flow"),
    )
    stops = line.normal.stops
    return tuple(
        Given(FALL, "normal pool", what, None if stops and "drop" not in what else value, kind)
        for what, value, kind in rows
    )


def aeration_given(air: AirSheet) -> tuple[Given, ...]:
    """Each unit at normal pool."""
    return tuple(row for unit in air.units for row in _unit(unit))


def _unit(unit: AirUnit) -> tuple[Given, ...]:
    point = unit.normal
    rows: tuple[tuple[str, float | None, str], ...] = (
        ("water over the diffusers", point.depth, "length"),
        ("standard air of the whole unit", point.air_flow, "air_flow"),
        ("standard air through each diffuser", unit.air_per_diffuser, "air_flow"),
        ("free air at the inlet", unit.free_air, "free_air"),
        ("pressure at the source", point.pressure, "pressure"),
        ("pressure of the water", point.water, "pressure"),
        ("pressure lost in the diffusers", point.diffuser, "pressure"),
        ("pressure lost in tubing and main line", point.tubing + point.main_line, "pressure"),
        ("SOTR", unit.transfer, "mass_rate"),
        ("electric power", point.power, "power"),
        ("oxygen per electricity", unit.per_energy, "mass_per_energy"),
    )
    return tuple(Given(AIR, unit.name, what, value, kind) for what, value, kind in rows)
