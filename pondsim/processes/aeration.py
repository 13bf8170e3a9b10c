"""Aeration units: oxygen from bubbles, and water lifted by them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.constants import ATMOSPHERE, GRAVITY, ZERO_CELSIUS
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.physics.bubbles import (
    isothermal_gas_power,
    saturation_at_depth,
    standard_transfer,
)
from pondsim.physics.oxygen import oxygen_saturation
from pondsim.physics.plume import bubble_plume
from pondsim.physics.water import vapour_pressure
from pondsim.processes import constituents as s
from pondsim.processes.levels import drawn_by_plume, insertion
from pondsim.processes.state import State
from pondsim.processes.transport import add_transfer
from pondsim.processes.work import PUMP_SYSTEM, Work
from pondsim.scenario.defaults import parameter_value
from pondsim.scenario.settings import Scenario
from pondsim.site.air_line import air_table
from pondsim.site.pond import FloatArray, Grid, IntArray
from pondsim.site.tables import on_line
from pondsim.site.weather import PRESSURE

TRANSFER_THETA = 1.024  # ASCE/EWRI 2
BETA = 0.99  # saturation of pond water over that of tap water (from memory, not verified)
EFFECTIVE_DEPTH = (
    0.35  # share of the submergence that sets the saturation bubbles see (from memory, not verified)
)
SATURATION_20 = 9.092e-3  # kg/m3, fresh water at 20 degC and 1 atm


@dataclass(frozen=True, eq=False)
class AerationSettings(Bundle):
    """One row for each unit; its table as in site.air_line lies between two starts."""

    zone: IntArray  # (units,)
    elevation: FloatArray  # (units,) of the diffusers [m]
    diffusers: IntArray  # (units,)
    efficiency: FloatArray  # (units,) oxygen transferred per meter [1/m]
    alpha: FloatArray  # (units,)
    gas_power_share: FloatArray  # (units,) most of the gas power that can become potential energy
    boil_velocity: FloatArray  # (units,) gas transfer where the plume spreads at the surface [m/s]
    boil_radius: FloatArray  # (units,) of the boil over one diffuser, over the depth
    spread: float  # factor of the thickness of intrusions [1]
    table_start: IntArray  # (units + 1,) where the rows of each unit begin
    depth: FloatArray  # (rows,) water over the diffusers, rising within a unit [m]
    air_flow: FloatArray  # (rows,) standard air through each diffuser [standard m3/s]
    power: FloatArray  # (rows,) electric, of the whole unit [W]


def aeration_settings(scenario: Scenario, zones: dict[str, int]) -> AerationSettings:
    """Settings of a scenario."""
    units = scenario.aeration
    tables = [air_table(unit, scenario) for unit in units]
    return AerationSettings(
        zone=np.array([zones[unit.zone] for unit in units], dtype=np.int64),
        elevation=np.array([unit.elevation for unit in units], dtype=float),
        diffusers=np.array([unit.diffusers for unit in units], dtype=np.int64),
        efficiency=np.array(
            [
                parameter_value(f"aeration.transfer_efficiency_{unit.kind}")
                if unit.transfer_efficiency is None
                else unit.transfer_efficiency
                for unit in units
            ],
            dtype=float,
        ),
        alpha=np.array([unit.alpha for unit in units], dtype=float),
        gas_power_share=np.array([unit.gas_power_share for unit in units], dtype=float),
        boil_velocity=np.array([unit.boil_velocity for unit in units], dtype=float),
        boil_radius=np.array([unit.boil_radius for unit in units], dtype=float),
        spread=scenario.mixing.intrusion_spread,
        table_start=np.cumsum([0, *(table.depth.size for table in tables)]).astype(np.int64),
        depth=_end_to_end([table.depth for table in tables]),
        air_flow=_end_to_end([table.air_flow for table in tables]),
        power=_end_to_end([table.power for table in tables]),
    )


def _end_to_end(rows: list[FloatArray]) -> FloatArray:
    return np.concatenate([np.zeros(0), *rows])


@compiled_for_loop
def update_aeration(settings: AerationSettings, grid: Grid, work: Work) -> None:
    """Air, power, plume and oxygen transfer of every unit that runs; others are cleared."""
    work.bubble_rate[:] = 0.0
    work.boil_rate[:] = 0.0
    sources = work.source.size
    for unit in range(settings.zone.size):
        work.take[sources + unit, :] = 0.0
        work.give[sources + unit, :] = 0.0
        work.plume_flow[unit] = 0.0
        zone = settings.zone[unit]
        depth = work.surface[zone] + work.ice_load[zone] - settings.elevation[unit]
        first, end = settings.table_start[unit], settings.table_start[unit + 1]
        depths, running = settings.depth[first:end], work.running[PUMP_SYSTEM + 1 + unit]
        work.air_flow[unit] = running * on_line(depths, settings.air_flow[first:end], depth)
        work.air_power[unit] = running * on_line(depths, settings.power[first:end], depth)
        if depth > 0.05 and work.air_flow[unit] > 0.0:
            _update_plume(settings, grid, work, unit, sources + unit)
            _update_bubbles(settings, grid, work, unit, depth)


@compiled_for_loop
def _update_plume(settings: AerationSettings, grid: Grid, work: Work, unit: int, row: int) -> None:
    """Water taken from each layer and where it comes to rest; the return flow stays in the column."""
    zone = settings.zone[unit]
    first, end = grid.first_box[zone], grid.first_box[zone + 1]
    entrained = work.take[row, first:end]
    height, density = bubble_plume(
        work.air_flow[unit],
        work.top[first:end],
        work.bottom[first:end],
        work.density[first:end],
        settings.elevation[unit],
        work.now[PRESSURE],
        entrained,
    )
    total = 0.0
    for k in range(entrained.size):
        total += entrained[k]
    if total <= 0.0:
        return
    for k in range(entrained.size):
        entrained[k] /= total
    flow = total * settings.diffusers[unit]
    drawn_by_plume(grid, work, zone, settings.elevation[unit], flow, settings.spread, work.take[row])
    insertion(grid, work, zone, density, flow, settings.spread, work.give[row])
    # gain of potential energy by lifting and by the flow that comes back down
    gain = 0.0
    upward = 0.0
    for box in range(first, end):
        middle = 0.5 * (work.bottom[box] + work.top[box])
        gain -= work.take[row, box] * work.density[box] * middle
        gain += work.give[row, box] * density * middle
        upward += work.take[row, box] - work.give[row, box]
        if box + 1 < end:
            above = 0.5 * (work.bottom[box + 1] + work.top[box + 1])
            water = work.density[box + 1] if upward > 0.0 else work.density[box]
            gain += upward * water * (middle - above)
    gain *= GRAVITY * flow
    depth = work.surface[zone] - settings.elevation[unit]
    air = work.air_flow[unit] * settings.diffusers[unit]
    most = settings.gas_power_share[unit] * isothermal_gas_power(air, depth, work.now[PRESSURE])
    if gain > most:
        flow *= most / gain
    work.plume_flow[unit] = flow
    upward = 0.0
    for box in range(first, end - 1):  # the first faces lie on top of each box
        upward += work.take[row, box] - work.give[row, box]
        work.steady[box] -= upward * flow
    radius = settings.boil_radius[unit] * depth
    if height >= work.surface[zone] - 0.05:
        boil = settings.diffusers[unit] * np.pi * radius * radius
        work.boil_rate[end - 1] += settings.boil_velocity[unit] * min(boil, 0.5 * work.surface_area[zone])


@compiled_for_loop
def _update_bubbles(settings: AerationSettings, grid: Grid, work: Work, unit: int, depth: float) -> None:
    """Conductance and saturation of the bubbles in every layer they rise through."""
    zone = settings.zone[unit]
    air = work.air_flow[unit] * settings.diffusers[unit]
    transfer = standard_transfer(air, settings.efficiency[unit], depth)
    base = max(settings.elevation[unit], grid.zone_bottom[zone])
    column = max(work.surface[zone] - base, 0.01)
    for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
        path = max(work.top[box] - max(work.bottom[box], base), 0.0) / column
        if path <= 0.0 or transfer <= 0.0:
            continue
        temperature = work.concentration[s.HEAT, box]
        pressure = work.now[PRESSURE]
        at_surface = BETA * oxygen_saturation(temperature, work.concentration[s.SALT, box], pressure)
        vapour = vapour_pressure(temperature)
        saturation = saturation_at_depth(at_surface, pressure, vapour, EFFECTIVE_DEPTH * depth)
        clean20 = saturation_at_depth(SATURATION_20, ATMOSPHERE, 2339.0, EFFECTIVE_DEPTH * depth)
        factor = TRANSFER_THETA ** (temperature - ZERO_CELSIUS - 20.0)
        rate = path * transfer * settings.alpha[unit] * factor / clean20
        mixed_rate = work.bubble_rate[box] + rate
        work.bubble_saturation[box] = (
            work.bubble_rate[box] * work.bubble_saturation[box] + rate * saturation
        ) / mixed_rate
        work.bubble_rate[box] = mixed_rate


@compiled_for_loop
def add_rates(settings: AerationSettings, grid: Grid, work: Work, rates: State) -> None:
    """Oxygen from bubbles; oversaturated water loses some. Power, hours and air of every unit."""
    for unit in range(work.air_flow.size):
        rates.energy[PUMP_SYSTEM + 1 + unit] += work.air_power[unit]
        rates.running[PUMP_SYSTEM + 1 + unit] += work.running[PUMP_SYSTEM + 1 + unit]
        rates.air[unit] += work.air_flow[unit] * settings.diffusers[unit]
        if work.plume_flow[unit] > 0.0:
            add_transfer(grid, work, work.source.size + unit, settings.zone[unit], work.plume_flow[unit])
    for box in range(grid.box_zone.size):
        gained = work.bubble_rate[box] * (work.bubble_saturation[box] - work.concentration[s.OXYGEN, box])
        work.rate[s.OXYGEN, box] += gained
        work.pathway[s.BUBBLES_ROW, box] += gained
        work.turnover[box] += work.bubble_rate[box]
