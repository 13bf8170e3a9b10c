"""Water leaving: outlet, seepage through the bed, and spilling over a dry sill between zones."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.bundle import Bundle
from pondsim.compiled import compiled_for_loop, copy
from pondsim.physics.hydraulics import broad_crested_weir, orifice_flow
from pondsim.processes import state as s
from pondsim.processes.levels import withdrawal
from pondsim.processes.state import State, salt_from_chloride
from pondsim.processes.transport import add_withdrawal, count_out
from pondsim.processes.work import OUTLET_DRAW, Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import Grid


@dataclass(frozen=True, eq=False)
class OutflowSettings(Bundle):
    """Outlet and ground."""

    zone: int  # -1 with no outlet
    weir_width: float  # m; 0 with no weir
    weir_crest: float  # m
    weir_coefficient: float  # m^0.5/s
    orifice_diameter: float  # m; 0 with no orifice
    orifice_elevation: float  # m
    orifice_coefficient: float
    seepage: float  # m/s, out of the pond
    ground_heat: float  # K
    ground_oxygen: float  # kg/m3
    ground_salt: float  # kg/m3


def outflow_settings(scenario: Scenario, zones: dict[str, int]) -> OutflowSettings:
    """Settings of a scenario."""
    outlet, ground = scenario.outlet, scenario.ground
    weir = outlet.weir if outlet else None
    orifice = outlet.orifice if outlet else None
    return OutflowSettings(
        zone=zones[outlet.zone] if outlet else -1,
        weir_width=weir.width if weir else 0.0,
        weir_crest=weir.crest if weir else 0.0,
        weir_coefficient=weir.coefficient if weir else 1.0,
        orifice_diameter=orifice.diameter if orifice else 0.0,
        orifice_elevation=orifice.elevation if orifice else 0.0,
        orifice_coefficient=orifice.coefficient if orifice else 1.0,
        seepage=ground.seepage,
        ground_heat=ground.temperature,
        ground_oxygen=ground.dissolved_oxygen,
        ground_salt=salt_from_chloride(ground.chloride),
    )


@compiled_for_loop
def outlet_flow(settings: OutflowSettings, level: float) -> float:
    """Flow through the outlet at a water surface elevation [m3/s]."""
    flow = 0.0
    if settings.weir_width > 0.0:
        flow += broad_crested_weir(
            settings.weir_width, level - settings.weir_crest, settings.weir_coefficient
        )
    if settings.orifice_diameter > 0.0:
        flow += orifice_flow(
            settings.orifice_coefficient, settings.orifice_diameter, level - settings.orifice_elevation
        )
    return flow


@compiled_for_loop
def renew_outlet(settings: OutflowSettings, grid: Grid, work: Work) -> None:
    """From which boxes the outlet draws: around its orifice, or at the surface over a weir."""
    work.draw[OUTLET_DRAW, :] = 0.0
    if settings.zone < 0:
        return
    level = work.surface[settings.zone]
    elevation = level
    if settings.orifice_diameter > 0.0 and (settings.weir_width == 0.0 or level <= settings.weir_crest):
        elevation = min(settings.orifice_elevation, level)
    withdrawal(grid, work, settings.zone, elevation, outlet_flow(settings, level), work.draw[OUTLET_DRAW])


@compiled_for_loop
def seepage_flow(settings: OutflowSettings, grid: Grid, work: Work) -> float:
    """Seepage through the whole wet bed, positive out of the pond [m3/s]."""
    flow = 0.0
    for box in range(grid.box_zone.size):
        wet = work.wet[grid.box_zone[box]] if settings.seepage > 0.0 else 1.0
        flow += settings.seepage * work.bed_area[box] * wet
    return flow


@compiled_for_loop
def add_outlet(settings: OutflowSettings, grid: Grid, work: Work, flow: float, rates: State) -> None:
    """Draw the outlet's flow from its boxes."""
    if settings.zone < 0 or flow <= 0.0:
        return
    add_withdrawal(grid, work, work.draw[OUTLET_DRAW], flow, rates)
    rates.lines[s.WATER_OUTLET] += flow
    count_out(work, settings.zone, flow, rates)


@compiled_for_loop
def add_seepage(settings: OutflowSettings, grid: Grid, work: Work, rates: State) -> None:
    """Water through the bed of each box: pond water out, or ground water in. Solids stay behind."""
    if settings.seepage == 0.0:
        return
    for box in range(grid.box_zone.size):
        zone = grid.box_zone[box]
        if settings.seepage > 0.0:
            flow = settings.seepage * work.bed_area[box] * work.wet[zone]
            copy(work.concentration[box], work.mixture)
            for constituent in range(s.FIRST_CLASS, work.mixture.size):
                work.mixture[constituent] = 0.0
            for constituent in range(s.FIRST_CLASS):
                rates.amounts[box, constituent] -= flow * work.mixture[constituent]
            count_out(work, zone, flow, rates)
            work.turnover[box] += flow
        else:
            flow = settings.seepage * work.bed_area[box]
            rates.amounts[box, s.WATER] -= flow
            rates.amounts[box, s.HEAT] -= flow * settings.ground_heat
            rates.amounts[box, s.OXYGEN] -= flow * settings.ground_oxygen
            rates.amounts[box, s.SALT] -= flow * settings.ground_salt
            rates.lines[s.HEAT_CARRIED] -= flow * settings.ground_heat
            rates.lines[s.SALT_GROUND] -= flow * settings.ground_salt
            rates.pathways[zone, s.OXYGEN_IN] -= flow * settings.ground_oxygen
        rates.lines[s.WATER_GROUND] -= flow


@compiled_for_loop
def spill_flow(grid: Grid, passage: int, level_a: float, level_b: float) -> float:
    """Flow over a closed sill, positive from the first zone to the second [m3/s]."""
    sill, width = grid.connection_sill[passage], grid.connection_width[passage]
    return broad_crested_weir(width, level_a - sill, 1.705) - broad_crested_weir(width, level_b - sill, 1.705)


@compiled_for_loop
def add_spill(grid: Grid, work: Work, passage: int, flow: float, rates: State) -> None:
    """Carry a spill from the top box of one zone to that of the other."""
    a, b = grid.connection_zone[passage]
    if flow < 0.0:
        a, b, flow = b, a, -flow
    source, target = grid.first_box[a + 1] - 1, grid.first_box[b + 1] - 1
    for constituent in range(work.mixture.size):
        moved = flow * work.concentration[source, constituent]
        rates.amounts[source, constituent] -= moved
        rates.amounts[target, constituent] += moved
    work.turnover[source] += flow
