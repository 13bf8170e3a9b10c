"""Water leaving: outlet, seepage through the bed, and spilling over a dry sill between zones."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.lanes import move_rows
from pondsim.physics.hydraulics import (
    broad_crested_weir,
    drowned_orifice_flow,
    drowned_weir_share,
    orifice_flow,
)
from pondsim.processes import constituents as s
from pondsim.processes.levels import withdrawal
from pondsim.processes.living_rows import LivingRows
from pondsim.processes.state import State, salt_from_chloride
from pondsim.processes.transport import add_withdrawal, count_in, drawn_chlorophyll, sample
from pondsim.processes.work import OUTLET_DRAW, Work
from pondsim.scenario.settings import Scenario, Spillway, Weir
from pondsim.site.pond import FloatArray, Grid

FREE = -1e9  # m, tailwater of an outlet that is never drowned


@dataclass(frozen=True, eq=False)
class OutflowSettings(Bundle):
    """Outlet and ground."""

    zone: int  # -1 with no outlet
    crests: FloatArray  # (weirs and spillways, 3) crest [m], width [m], coefficient [m^0.5/s]
    holes: FloatArray  # (orifices, 3) elevation [m], diameter [m], coefficient [1]
    table: FloatArray  # (rows, 2) stage [m], flow [m3/s]
    tailwater: float  # m
    seepage: float  # m/s, out of the pond
    ground_heat: float  # K
    ground_oxygen: float  # kg/m3
    ground_salt: float  # kg/m3
    spread: float  # factor of the thickness of withdrawal [1]
    rows: LivingRows


def outflow_settings(scenario: Scenario, zones: dict[str, int], rows: LivingRows) -> OutflowSettings:
    """Settings of a scenario."""
    outlet, ground = scenario.outlet, scenario.ground
    crests: list[Weir | Spillway] = [*outlet.weir, *outlet.spillway] if outlet else []
    holes = outlet.orifice if outlet else ()
    table = outlet.table if outlet else None
    tailwater = outlet.tailwater if outlet else None
    return OutflowSettings(
        zone=zones[outlet.zone] if outlet else -1,
        crests=np.array([(c.crest, c.width, c.coefficient) for c in crests]).reshape(-1, 3),
        holes=np.array([(h.elevation, h.diameter, h.coefficient) for h in holes]).reshape(-1, 3),
        table=np.array([table.stage, table.flow]).T.copy() if table else np.zeros((0, 2)),
        tailwater=FREE if tailwater is None else tailwater,
        seepage=ground.seepage,
        ground_heat=ground.temperature,
        ground_oxygen=ground.dissolved_oxygen,
        ground_salt=salt_from_chloride(ground.chloride),
        spread=scenario.mixing.intrusion_spread,
        rows=rows,
    )


@compiled_for_loop
def crest_flow(settings: OutflowSettings, level: float) -> float:
    """Flow over weirs and spillways, and by the table, all drawn at the surface [m3/s]."""
    flow = 0.0
    for crest in range(settings.crests.shape[0]):
        elevation, width, coefficient = settings.crests[crest]
        head = level - elevation
        if head > 0.0:
            free = broad_crested_weir(width, head, coefficient)
            flow += free * drowned_weir_share(head, settings.tailwater - elevation)
    last = settings.table.shape[0] - 1
    for row in range(last):
        low, high = settings.table[row, 0], settings.table[row + 1, 0]
        if level > low and (level <= high or row == last - 1):
            share = min((level - low) / (high - low), 1.0)
            flow += settings.table[row, 1] + share * (settings.table[row + 1, 1] - settings.table[row, 1])
    return flow


@compiled_for_loop
def hole_flow(settings: OutflowSettings, hole: int, level: float) -> float:
    """Flow through one orifice [m3/s]."""
    elevation, diameter, coefficient = settings.holes[hole]
    free = orifice_flow(coefficient, diameter, level - elevation)
    return min(free, drowned_orifice_flow(coefficient, diameter, level - settings.tailwater))


@compiled_for_loop
def outlet_flow(settings: OutflowSettings, level: float) -> float:
    """Flow through the outlet at a water surface elevation [m3/s]."""
    flow = crest_flow(settings, level)
    for hole in range(settings.holes.shape[0]):
        flow += hole_flow(settings, hole, level)
    return flow


@compiled_for_loop
def update_outlet(settings: OutflowSettings, grid: Grid, work: Work) -> None:
    """From which boxes the outlet draws: around each orifice, and at the surface over crests."""
    draw, one = work.draw[OUTLET_DRAW], work.potential
    draw[:] = 0.0
    zone = settings.zone
    if zone < 0:
        return
    level = work.surface[zone] + work.ice_load[zone]
    total = outlet_flow(settings, level)
    if total <= 0.0:
        elevation = level
        for hole in range(settings.holes.shape[0]):
            elevation = min(settings.holes[hole, 0], elevation)
        withdrawal(grid, work, zone, elevation, 0.0, settings.spread, draw)
        return
    for hole in range(-1, settings.holes.shape[0]):
        flow = crest_flow(settings, level) if hole < 0 else hole_flow(settings, hole, level)
        elevation = level if hole < 0 else min(settings.holes[hole, 0], level)
        if flow > 0.0:
            withdrawal(grid, work, zone, elevation, flow, settings.spread, one)
            for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
                draw[box] += flow / total * one[box]


@compiled_for_loop
def update_seepage(settings: OutflowSettings, grid: Grid, work: Work) -> None:
    """Seepage through the bed of each box, positive out of the pond, and through all of it."""
    work.seeped[0] = 0.0
    for box in range(grid.box_zone.size):
        wet = work.wet[grid.box_zone[box]] if settings.seepage > 0.0 else 1.0
        work.seeping[box] = settings.seepage * work.bed_area[box] * wet
        work.seeped[0] += work.seeping[box]


@compiled_for_loop
def add_outlet(settings: OutflowSettings, grid: Grid, work: Work, flow: float, rates: State) -> None:
    """Draw the outlet's flow from its boxes."""
    if settings.zone < 0 or flow <= 0.0:
        return
    add_withdrawal(grid, work, work.draw[OUTLET_DRAW], settings.zone, flow)
    rates.lines[s.WATER_OUTLET] += flow
    count_in(work, settings.zone, -flow, rates)
    algae = drawn_chlorophyll(grid, work, work.draw[OUTLET_DRAW], settings.zone)
    sample(s.AT_OUTLET, flow, algae, work, rates)


@compiled_for_loop
def add_seepage(settings: OutflowSettings, grid: Grid, work: Work, rates: State) -> None:
    """Water through the bed of each box: pond water out, or ground water in. Solids stay behind."""
    rates.lines[s.WATER_GROUND] -= work.seeped[0]
    if settings.seepage > 0.0:
        _add_water_lost(settings, grid, work, rates)
    elif settings.seepage < 0.0:
        _add_ground_water(settings, grid, work, rates)


@compiled_for_loop
def _add_water_lost(settings: OutflowSettings, grid: Grid, work: Work, rates: State) -> None:
    flow = work.seeping
    for constituent in range(s.FIRST_CLASS):
        lost = _lose(work, constituent)
        if s.CARRIED[constituent] >= 0:
            rates.lines[s.CARRIED[constituent]] -= lost
    for row in (settings.rows.dissolved, settings.rows.dye):
        if row >= 0:
            rates.lines[s.PHOSPHORUS_OUT] += work.worth[0, row] * _lose(work, row)
    for zone in range(grid.zone_bottom.size):
        total = 0.0
        for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
            total += flow[box] * work.concentration[s.OXYGEN, box]
        rates.pathways[zone, s.OXYGEN_OUT] -= total
    for box in range(flow.size):
        work.turnover[box] += flow[box]


@compiled_for_loop
def _lose(work: Work, constituent: int) -> float:
    """Let seeping water take a constituent along; returns how much of it [1/s]."""
    lost = 0.0
    for box in range(work.seeping.size):
        moved = work.seeping[box] * work.concentration[constituent, box]
        work.rate[constituent, box] -= moved
        lost += moved
    return lost


@compiled_for_loop
def _add_ground_water(settings: OutflowSettings, grid: Grid, work: Work, rates: State) -> None:
    flow = work.seeping
    for box in range(flow.size):
        work.rate[s.WATER, box] -= flow[box]
        work.rate[s.HEAT, box] -= flow[box] * settings.ground_heat
        work.rate[s.OXYGEN, box] -= flow[box] * settings.ground_oxygen
        work.rate[s.SALT, box] -= flow[box] * settings.ground_salt
        rates.pathways[grid.box_zone[box], s.OXYGEN_IN] -= flow[box] * settings.ground_oxygen
    rates.lines[s.HEAT_CARRIED] -= work.seeped[0] * settings.ground_heat
    rates.lines[s.SALT_GROUND] -= work.seeped[0] * settings.ground_salt


@compiled_for_loop
def spill_flow(grid: Grid, passage: int, level_a: float, level_b: float) -> float:
    """Flow over a closed sill, positive from the first zone to the second [m3/s]."""
    sill, width = grid.connection_sill[passage], grid.connection_width[passage]
    return broad_crested_weir(width, level_a - sill, 1.705) - broad_crested_weir(width, level_b - sill, 1.705)


@compiled_for_loop
def add_spill(grid: Grid, work: Work, passage: int, flow: float) -> None:
    """Carry a spill from the top box of one zone to that of the other."""
    a, b = grid.connection_zone[passage]
    if flow < 0.0:
        a, b, flow = b, a, -flow
    source, target = grid.first_box[a + 1] - 1, grid.first_box[b + 1] - 1
    move_rows(work.transfers, source, target, flow, 0.0, work.content)
    work.turnover[source] += flow
