"""What is updated for each hydraulic step: levels, boxes, light, plumes and the flow pattern."""

from __future__ import annotations

from pondsim.engine import living
from pondsim.engine.model import Model
from pondsim.engine.moment import set_chlorophyll, set_weather
from pondsim.engine.patterns import PUMP, update_drift, update_patterns
from pondsim.jit.compiled import compiled_for_loop
from pondsim.processes import (
    aeration,
    bed,
    circulation,
    flows,
    geometry,
    holes,
    ice,
    inflow,
    light,
    mixing,
    outflow,
    settling,
    surface,
    temperature,
    transport,
)
from pondsim.processes import constituents as s
from pondsim.processes.state import State
from pondsim.processes.work import PUMP_SYSTEM
from pondsim.site.weather import WIND_SPEED


@compiled_for_loop
def update_step(model: Model, step: int, state: State) -> None:
    """Renew what holds for one hydraulic step: levels, boxes, light, plumes and the flow pattern."""
    update_part(model, step, model.forcing.time[step], model.forcing.time[step + 1], state)


@compiled_for_loop
def update_part(model: Model, step: int, start: float, end: float, state: State) -> None:
    """Renew it for a part of a hydraulic step, from `start` to `end` [s]."""
    grid, work, forcing = model.grid, model.work, model.forcing
    set_weather(forcing, work, step, 0.5 * (start + end))
    _set_running(model, step)
    geometry.update_levels(grid, work, state)
    geometry.update_boxes(grid, work, state)
    transport.concentrations(work, state)
    ice.update_floating(model.ice, grid, work, state)
    ice.set_cover(model.ice, grid, work, state)
    mixing.set_densities(work)
    surface.update_open_water(model.surface, work, forcing.events.floating[step])
    if model.living.rows.grown == 1:
        living.update_light(model.living, model.light, grid, work, forcing.events, step)
    else:
        set_chlorophyll(model.algae, grid, forcing, work, step, 0.5)
        light.update_light(model.light, grid, work, forcing.events.shaded[step])
    temperature.update_temperature_factors(model.temperature, work)
    bed.update_demand(model.bed, grid, work)
    settling.update_settling(model.solids, work)
    mixing.update_wind_shares(model.mixing, grid, work)
    flows.update_conductances(grid, work, end - start)
    flows.factorise(grid, model.envelope, work)
    update_drift(grid, model.envelope, work, state, end - start)
    rows = model.inflow.zone.size
    inflow.update_inflows(model.inflow, grid, work, forcing.drained[step], forcing.inflow[step])
    circulation.update_circulation(model.circulation, grid, work, rows + PUMP)
    outflow.update_outlet(model.outflow, grid, work)
    outflow.update_seepage(model.outflow, grid, work)
    aeration.update_aeration(model.aeration, grid, work)
    _update_holes(model)
    jet = circulation.plunge_speed(model.circulation, grid, work) * work.running[PUMP_SYSTEM]
    wind10 = work.now[WIND_SPEED] * model.surface.wind_reduction
    settling.update_erosion(model.solids, grid, work, wind10, model.circulation.zone, jet)
    update_patterns(grid, model.envelope, work, forcing.inflow[step], 1.0 - model.circulation.splash_loss)


@compiled_for_loop
def _update_holes(model: Model) -> None:
    air, fall = model.aeration, model.circulation
    places = (air.zone, air.elevation, air.diffusers, fall.zone, fall.width, fall.steps)
    holes.update_holes(model.holes, model.grid, model.work, *places)


@compiled_for_loop
def _set_running(model: Model, step: int) -> None:
    """Equipment runs when its timer is on, there is power, and control lets it."""
    work, forcing = model.work, model.forcing
    work.running[PUMP_SYSTEM] = forcing.pump_on[step] * work.enabled[PUMP_SYSTEM]
    for unit in range(forcing.air_on.shape[1]):
        system = PUMP_SYSTEM + 1 + unit
        work.running[system] = forcing.air_on[step, unit] * work.enabled[system]


@compiled_for_loop
def settle_traces(model: Model, state: State, duration: float) -> None:
    """Let traces of solids fall for a part of a hydraulic step that has ended, `duration` [s]."""
    work = model.work
    settling.settle_traces(model.solids, model.grid, work, state, duration)
    for box in range(work.volume.size):
        if model.living.rows.grown == 1:
            for store in range(model.living.stores.share.size):
                state.bed[s.FAST + store, box] += model.living.stores.share[store] * work.forth[box]
        else:
            state.bed[s.BED_ORGANICS, box] += work.forth[box]
