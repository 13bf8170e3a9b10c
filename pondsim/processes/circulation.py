"""The circulation loop: intake, pump and waterfall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.constants import GRAVITY, WATER_DENSITY, ZERO_CELSIUS
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.lanes import add_row
from pondsim.physics.jets import plane_jet_dilution
from pondsim.physics.oxygen import oxygen_saturation
from pondsim.physics.waterfall import METHOD_CODES, oxygen_below, waterfall_deficit_ratio
from pondsim.processes import constituents as s
from pondsim.processes.levels import density_at, insertion, mixed, mixture_density, withdrawal
from pondsim.processes.state import State
from pondsim.processes.transport import (
    add_inflow,
    add_transfer,
    add_withdrawal,
    count_in,
    drawn_chlorophyll,
    sample,
)
from pondsim.processes.work import INTAKE_DRAW, PUMP_SYSTEM, Work
from pondsim.scenario.settings import Scenario
from pondsim.site.loop_table import loop_table
from pondsim.site.pond import FloatArray, Grid
from pondsim.site.tables import on_line
from pondsim.site.weather import PRESSURE

TRIP_DEPTH = 0.1  # m of water over the intake below which the pump's flow fades to nothing
LEAST_FLOW = 0.01  # share of its most for which the pattern of a pump is laid out at least (judgement)


@dataclass(frozen=True, eq=False)
class CirculationSettings(Bundle):
    """Intake, pump and waterfall; the most flow is 0 with no loop. Tables as in site.circulation_line."""

    most_flow: float  # m3/s
    pond_level: FloatArray  # (n,) rising [m]
    flow: FloatArray  # (n,) m3/s
    power: FloatArray  # (n,) electric [W]
    well_level: FloatArray  # (n,) in the wet well while the pump runs [m]
    pump_off: float  # m, well level at which the pump trips; -inf where nothing stops it
    intake_zone: int
    intake_elevation: float  # m
    zone: int  # where the water returns
    drop: float  # m, with the water at normal pool
    normal_pool: float  # m
    width: float  # m
    steps: int
    method: int
    crest: float
    water_quality: float
    plunge_depth: float  # m
    splash_loss: float  # share of the flow
    spread: float  # factor of the thickness of intrusions [1]
    jet_reach: float  # local depths within which the plunging jet stirs
    max_dilution: float
    buoyant_richardson: float  # bulk Richardson number at which buoyancy halves the stirring of the plunge


def circulation_settings(scenario: Scenario, zones: dict[str, int]) -> CirculationSettings:
    """Settings of a scenario."""
    intake, waterfall, table = scenario.intake, scenario.waterfall, loop_table(scenario)
    if intake is None or waterfall is None or table is None:
        none = (np.zeros(1), np.zeros(1), np.zeros(1), np.zeros(1), -np.inf)
        return CirculationSettings(
            0.0, *none, 0, 0.0, 0, 0.0, 0.0, 1.0, 1, 0, 1.0, 1.0, 1.0, 0.0, 1.0, 1.0, 1.0, 1.0
        )
    return CirculationSettings(
        most_flow=float(np.max(table.flow)),
        pond_level=np.array(table.pond_level, dtype=float),
        flow=np.array(table.flow, dtype=float),
        power=np.array(table.power, dtype=float),
        well_level=np.array(table.well_level, dtype=float),
        pump_off=float(table.pump_off),
        intake_zone=zones[intake.zone],
        intake_elevation=intake.elevation,
        zone=zones[waterfall.zone],
        drop=waterfall.drop,
        normal_pool=scenario.pond.normal_pool,
        width=waterfall.width,
        steps=waterfall.steps,
        method=METHOD_CODES[waterfall.method],
        crest=waterfall.crest,
        water_quality=waterfall.water_quality,
        plunge_depth=waterfall.plunge_pool_depth,
        splash_loss=waterfall.splash_loss,
        spread=scenario.mixing.intrusion_spread,
        jet_reach=waterfall.jet_reach,
        max_dilution=waterfall.max_dilution,
        buoyant_richardson=waterfall.buoyant_richardson,
    )


def flow_at_normal_pool(settings: CirculationSettings) -> float:
    """What the pump delivers with the water at normal pool; 0 with no loop [m3/s]."""
    return float(np.interp(settings.normal_pool, settings.pond_level, settings.flow))


@compiled_for_loop
def well_level(settings: CirculationSettings, level: float) -> float:
    """Water surface in the wet well while the pump runs, with the pond at a level [m]."""
    return on_line(settings.pond_level, settings.well_level, level)


@compiled_for_loop
def jet_speed(settings: CirculationSettings, work: Work) -> float:
    """Speed of the water where it meets the pool, before dilution [m/s]."""
    return (2.0 * GRAVITY * max(work.drop[0] / settings.steps, 0.01)) ** 0.5


@compiled_for_loop
def plunge_speed(settings: CirculationSettings, grid: Grid, work: Work) -> float:
    """Speed of the diluted jet where it reaches the bed of its zone [m/s]."""
    if settings.most_flow <= 0.0:
        return 0.0
    speed = jet_speed(settings, work)
    depth = max(work.surface[settings.zone] - grid.zone_bottom[settings.zone], 0.01)
    return speed / plane_jet_dilution(depth, work.loop_flow[0] / (settings.width * speed))


@compiled_for_loop
def update_circulation(settings: CirculationSettings, grid: Grid, work: Work, row: int) -> None:
    """Where the loop draws, how much oxygen the waterfall gives, what it stirs and where it comes to rest.

    Flow and drop are those at the water levels of the moment: the drop is stated at normal pool and grows as
    the water falls. Where the pump delivers nothing the pattern is laid out for a small flow, so that what
    it draws when the water rises has a way back.

    The plunging sheet is a plane jet: it takes water along from the surface down to the plunge depth, within
    three local depths and at most five times its own flow, less when it is lighter than the pool.
    """
    work.take[row, :] = 0.0
    work.give[row, :] = 0.0
    work.draw[INTAKE_DRAW, :] = 0.0
    if settings.most_flow <= 0.0:
        return
    intake = settings.intake_zone
    level = work.surface[intake] + work.ice_load[intake]
    delivered = on_line(settings.pond_level, settings.flow, level)
    work.loop_flow[0] = max(delivered, LEAST_FLOW * settings.most_flow)
    pool = work.surface[settings.zone] + work.ice_load[settings.zone]
    work.drop[0] = max(settings.drop + settings.normal_pool - pool, 0.0)
    draw = work.draw[INTAKE_DRAW]
    withdrawal(grid, work, intake, settings.intake_elevation, work.loop_flow[0], settings.spread, draw)
    first, end = grid.first_box[intake], grid.first_box[intake + 1]
    mixed(draw, first, end, work)
    work.waterfall_ratio[0] = waterfall_deficit_ratio(
        settings.method,
        work.drop[0],
        settings.width,
        work.loop_flow[0],
        settings.steps,
        work.mixture[0, s.HEAT],
        settings.water_quality,
        settings.crest,
        min(settings.plunge_depth, max(work.surface[settings.zone] - grid.zone_bottom[settings.zone], 0.0)),
    )
    _update_plunge(settings, grid, work, row)


@compiled_for_loop
def _update_plunge(settings: CirculationSettings, grid: Grid, work: Work, row: int) -> None:
    zone = settings.zone
    first, end = grid.first_box[zone], grid.first_box[zone + 1]
    surface = work.surface[zone]
    depth = max(surface - grid.zone_bottom[zone], 0.01)
    reach = min(settings.plunge_depth, depth)
    total = 0.0
    for box in range(first, end):
        height = max(min(work.top[box], surface) - max(work.bottom[box], surface - reach), 0.0)
        work.take[row, box] = height
        total += height
    for box in range(first, end):
        work.take[row, box] = work.take[row, box] / total if total > 0.0 else (1.0 if box == end - 1 else 0.0)
    speed = jet_speed(settings, work)
    sheet = work.loop_flow[0] / (settings.width * speed)
    reached = plane_jet_dilution(settings.jet_reach * depth, sheet)
    dilution = min(max(reached, 1.0), settings.max_dilution)
    under = density_at(work, first, end, surface - reach)
    lighter = max(under - mixture_density(work), 0.0) / WATER_DENSITY
    slowed = speed / max(plane_jet_dilution(reach, sheet), 1.0)
    richardson = GRAVITY * lighter * reach / (slowed * slowed)
    taken = (dilution - 1.0) / (1.0 + richardson / settings.buoyant_richardson)
    work.dilution[row] = taken
    # density of the diluted return decides where it comes to rest
    for constituent in range(work.mixture.shape[1]):
        work.mixture[0, constituent] /= 1.0 + taken
    for box in range(first, end):
        add_row(work.mixture, 0, work.take[row, box] * taken / (1.0 + taken), work.content, box)
    flow = (1.0 + taken) * work.loop_flow[0]
    insertion(grid, work, zone, mixture_density(work), flow, settings.spread, work.give[row])


@compiled_for_loop
def set_loop(settings: CirculationSettings, work: Work, row: int, level: float, running: float) -> None:
    """Flow and power of the loop at a level of the pond.

    The flow fades out as the pond falls to the intake; a pump that draws air goes on using power.
    """
    over = (level - settings.intake_elevation) / TRIP_DEPTH
    share = running * min(max(over, 0.0), 1.0)
    work.source[row] = share * on_line(settings.pond_level, settings.flow, level)
    work.loop_power[0] = running * on_line(settings.pond_level, settings.power, level)


@compiled_for_loop
def _cool(work: Work, flow: float, rates: State) -> None:
    """Take what the falling sheet loses to cold air from the water in work.mixture, to freezing at most."""
    lost = min(work.fall_loss[0] * flow / work.loop_flow[0], flow * (work.mixture[0, s.HEAT] - ZERO_CELSIUS))
    if lost > 0.0:
        work.mixture[0, s.HEAT] -= lost / flow
        rates.lines[s.HEAT_SURFACE] -= lost


@compiled_for_loop
def add_rates(settings: CirculationSettings, grid: Grid, work: Work, row: int, rates: State) -> None:
    """Draw at the intake, change the water at the waterfall, and return it."""
    flow = work.source[row]
    rates.energy[PUMP_SYSTEM] += work.loop_power[0]
    if flow > 0.0 or work.loop_power[0] > 0.0:
        rates.running[PUMP_SYSTEM] += 1.0
    if flow <= 0.0:
        return
    add_transfer(grid, work, row, settings.zone, work.dilution[row] * (1.0 - settings.splash_loss) * flow)
    add_withdrawal(grid, work, work.draw[INTAKE_DRAW], settings.intake_zone, flow)
    algae = drawn_chlorophyll(grid, work, work.draw[INTAKE_DRAW], settings.intake_zone)
    sample(s.AT_INTAKE, flow, algae, work, rates)
    lost = settings.splash_loss * flow
    count_in(work, settings.intake_zone, -lost, rates)
    rates.lines[s.WATER_SPLASH] += lost
    returned = flow - lost
    before = work.mixture[0, s.OXYGEN]
    saturation = oxygen_saturation(work.mixture[0, s.HEAT], work.mixture[0, s.SALT], work.now[PRESSURE])
    work.mixture[0, s.OXYGEN] = oxygen_below(before, saturation, work.waterfall_ratio[0])
    work.mixture[0, s.AGE_WATERFALL] = 0.0
    _cool(work, returned, rates)
    rates.pathways[settings.zone, s.WATERFALL] += returned * (work.mixture[0, s.OXYGEN] - before)
    add_inflow(grid, work, row, settings.zone, returned)
    rates.lines[s.WATER_PUMPED] += flow
