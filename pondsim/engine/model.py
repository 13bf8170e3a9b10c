"""From a scenario to rates of change: lays out the state, renews the flow pattern, sums the processes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pondsim.engine import living
from pondsim.engine.forcing import Forcing, build_forcing
from pondsim.engine.patterns import (
    GROUND,
    OUTLET,
    PUMP,
    SPILLS,
    SURFACE,
    set_flows,
    update_drift,
    update_patterns,
)
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.processes import (
    aeration,
    algae,
    bed,
    circulation,
    flows,
    geometry,
    holes,
    ice,
    inflow,
    light,
    mixed_layer,
    mixing,
    organic,
    outflow,
    phosphorus,
    settling,
    surface,
    temperature,
    transport,
)
from pondsim.processes import constituents as s
from pondsim.processes.living_rows import living_rows
from pondsim.processes.state import Layout, State, lay_out
from pondsim.processes.work import PUMP_SYSTEM, Counts, Work, work_for
from pondsim.scenario.settings import Scenario
from pondsim.site.control import ControlSettings, control_settings
from pondsim.site.pond import Grid, build_grid, zone_area
from pondsim.site.weather import RAIN, WIND_SPEED, weather_at

MOMENT = 1.0  # s; no outlet or pump takes what a zone holds faster


@dataclass(frozen=True, eq=False)
class Model(Bundle):
    """All that the time loop reads. Settings never change during a run; `work` does."""

    grid: Grid
    layout: Layout
    envelope: flows.Envelope
    forcing: Forcing
    work: Work
    control: ControlSettings
    inflow: inflow.InflowSettings
    outflow: outflow.OutflowSettings
    circulation: circulation.CirculationSettings
    aeration: aeration.AerationSettings
    mixing: mixing.MixingSettings
    light: light.LightSettings
    surface: surface.SurfaceSettings
    temperature: temperature.TemperatureSettings
    algae: algae.AlgaeSettings
    organic: organic.OrganicSettings
    bed: bed.BedSettings
    solids: settling.SolidsSettings
    ice: ice.IceSettings
    holes: holes.HoleSettings
    living: living.LivingSettings


def build_model(scenario: Scenario, forcing: Forcing | None = None) -> Model:
    """Model of a scenario; `forcing` is built unless given.

    Raises
    ------
    ScenarioError
        When the weather does not serve.
    """
    if forcing is None:
        forcing, _ = build_forcing(scenario)
    grid = build_grid(scenario)
    zones = {zone.name: index for index, zone in enumerate(scenario.zone)}
    cover = np.array([zone.floating_cover for zone in scenario.zone], dtype=float)
    area = sum(float(zone_area(grid, z, grid.normal_pool)) for z in zones.values())
    length = scenario.pond.length or math.sqrt(area)
    rows = living_rows(scenario)
    inflows = inflow.inflow_settings(scenario, zones, rows)
    units = len(scenario.aeration)
    layout = lay_out(grid.box_zone.size, len(zones), len(scenario.solids.share), units, rows)
    envelope = flows.envelope_of(grid)
    waters = inflows.zone.size
    counts = Counts(waters + SPILLS + len(scenario.connection), waters, units, int(envelope.start[-1]))
    work = work_for(grid, rows, counts)
    work.worth[:, : rows.end] = phosphorus.worth_of(scenario, rows)
    return Model(
        grid=grid,
        layout=layout,
        envelope=envelope,
        forcing=forcing,
        work=work,
        control=control_settings(scenario, zones),
        inflow=inflows,
        outflow=outflow.outflow_settings(scenario, zones, rows),
        circulation=circulation.circulation_settings(scenario, zones),
        aeration=aeration.aeration_settings(scenario, zones),
        mixing=mixing.mixing_settings(scenario, area, length, cover),
        light=light.light_settings(scenario, cover, rows),
        surface=surface.surface_settings(scenario, cover),
        temperature=temperature.temperature_settings(scenario),
        algae=algae.algae_settings(scenario),
        organic=organic.organic_settings(scenario),
        bed=bed.bed_settings(scenario),
        solids=settling.solids_settings(scenario, length),
        ice=ice.ice_settings(scenario),
        holes=holes.hole_settings(scenario),
        living=living.living_settings(scenario, rows),
    )


@compiled_for_loop
def update_step(model: Model, step: int, state: State) -> None:
    """Renew what holds for one hydraulic step: levels, boxes, light, plumes and the flow pattern."""
    update_part(model, step, model.forcing.time[step], model.forcing.time[step + 1], state)


@compiled_for_loop
def update_part(model: Model, step: int, start: float, end: float, state: State) -> None:
    """Renew it for a part of a hydraulic step, from `start` to `end` [s]."""
    grid, work, forcing = model.grid, model.work, model.forcing
    _set_weather(model, step, 0.5 * (start + end))
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
        _set_chlorophyll(model, step, 0.5)
        light.update_light(model.light, grid, work, forcing.events.shaded[step])
    temperature.update_temperature_factors(model.temperature, work)
    bed.update_demand(model.bed, grid, work)
    settling.update_settling(model.solids, work)
    mixing.update_wind_shares(model.mixing, grid, work)
    flows.update_conductances(grid, work)
    flows.factorise(grid, model.envelope, work)
    update_drift(grid, model.envelope, work, state, end - start)
    rows = model.inflow.zone.size
    inflow.update_inflows(model.inflow, grid, work, forcing.drained[step], forcing.inflow[step])
    circulation.update_circulation(model.circulation, grid, work, rows + PUMP)
    outflow.update_outlet(model.outflow, grid, work)
    aeration.update_aeration(model.aeration, grid, work)
    _update_holes(model)
    jet = circulation.plunge_speed(model.circulation, grid, work) * work.running[PUMP_SYSTEM]
    wind10 = work.now[WIND_SPEED] * model.surface.wind_reduction
    settling.update_erosion(model.solids, grid, work, wind10, model.circulation.zone, jet)
    update_patterns(grid, model.envelope, work, rows, 1.0 - model.circulation.splash_loss)


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
def _set_weather(model: Model, step: int, time: float) -> None:
    work, forcing = model.work, model.forcing
    weather_at(time, forcing.weather_first, forcing.weather_step, forcing.weather, work.now)
    first, last = forcing.rain[step]
    start, end = forcing.time[step], forcing.time[step + 1]
    work.now[RAIN] = first + (time - start) / (end - start) * (last - first)


@compiled_for_loop
def _set_chlorophyll(model: Model, step: int, share: float) -> None:
    given = model.forcing.chlorophyll
    for zone in range(model.layout.zones):
        first, last = given[step, zone, 0], given[step, zone, 1]
        for box in range(model.grid.first_box[zone], model.grid.first_box[zone + 1]):
            here = algae.profile_share(model.algae, model.work, box)
            model.work.chlorophyll[box] = here * (first + share * (last - first))


@compiled_for_loop
def level_of(model: Model, zone: int, state: State) -> float:
    """Water surface elevation of a zone at the moment, from the water its pool holds [m].

    Under ice it is the ice's underside; water in a hole stands higher by `work.ice_load`.
    """
    work, grid = model.work, model.grid
    pool = work.pool[zone]
    held = 0.0
    for box in range(model.layout.boxes):
        if work.pool[grid.box_zone[box]] == pool:
            held += state.rows[s.WATER, box]
    return work.surface[zone] + (held - work.pool_volume[pool]) / work.pool_area[pool]


@compiled_for_loop
def head_of(model: Model, zone: int, state: State) -> float:
    """Elevation at which the water of a zone stands in a hole of its ice, else its surface [m]."""
    return level_of(model, zone, state) + model.work.ice_load[zone]


@compiled_for_loop
def _still_drawn(model: Model, zone: int, state: State, flow: float) -> float:
    """Share of a flow that a zone can still give [1].

    0 where it holds half of its film or less, 1 where it holds more than the film, and more than a moment of
    the flow above half of it: a wide hole would empty a puddle within milliseconds. How fast the share
    follows the water counts for the number of stages.
    """
    grid = model.grid
    first, end = grid.first_box[zone], grid.first_box[zone + 1]
    held = 0.0
    for box in range(first, end):
        held += state.rows[s.WATER, box]
    half = 0.5 * grid.film_volume[zone] * (end - first)
    scale = max(half, flow * MOMENT)
    share = (held - half) / scale
    if 0.0 < share < 1.0:
        for box in range(first, end):
            model.work.turnover[box] += flow / scale * model.work.volume[box]
    return min(max(share, 0.0), 1.0)


@compiled_for_loop
def _set_sources(model: Model, step: int, share: float, state: State) -> None:
    grid, work, forcing = model.grid, model.work, model.forcing
    rows = model.inflow.zone.size
    for row in range(rows):
        first, last = forcing.inflow[step, row]
        work.source[row] = first + share * (last - first)
    work.source[rows + GROUND] = outflow.seepage_flow(model.outflow, grid, work)
    work.source[rows + PUMP] = 0.0
    work.loop_power[0] = 0.0
    if model.circulation.most_flow > 0.0:
        level = head_of(model, model.circulation.intake_zone, state)
        circulation.set_loop(model.circulation, work, rows + PUMP, level, work.running[PUMP_SYSTEM])
        zone, flow = model.circulation.intake_zone, work.source[rows + PUMP]
        work.source[rows + PUMP] = flow * _still_drawn(model, zone, state, flow)
    work.source[rows + OUTLET] = 0.0
    if model.outflow.zone >= 0:
        flow = outflow.outlet_flow(model.outflow, head_of(model, model.outflow.zone, state))
        work.source[rows + OUTLET] = flow * _still_drawn(model, model.outflow.zone, state, flow)
    for passage in range(grid.connection_width.size):
        spilled = 0.0
        if work.passage_open[passage] == 0:
            a, b = grid.connection_zone[passage]
            spilled = outflow.spill_flow(grid, passage, level_of(model, a, state), level_of(model, b, state))
        work.source[rows + SPILLS + passage] = spilled


@compiled_for_loop
def compute_rates(model: Model, step: int, time: float, state: State, rates: State) -> float:
    """Rates of change of the whole state within one hydraulic step.

    Parameters
    ----------
    model : Model
        With `update_step` done for the step.
    step : int
        Hydraulic step.
    time : float
        Seconds since the start of the period. [s]
    state, rates : State
        The state, and its rates of change, which are overwritten.

    Returns
    -------
    float
        Bound of the fastest relative rate, for the stability of the time loop. [1/s]
    """
    grid, work, forcing = model.grid, model.work, model.forcing
    start, end = forcing.time[step], forcing.time[step + 1]
    share = (time - start) / (end - start)
    rates.vector[:] = 0.0
    _set_weather(model, step, time)
    if model.living.rows.grown == 0:
        _set_chlorophyll(model, step, share)
    transport.concentrations(work, state)
    ice.set_cover(model.ice, grid, work, state)
    temperature.set_temperature_factors(model.temperature, work)
    ice.slow_bed(model.ice, grid, work)
    mixing.set_densities(work)
    mixing.set_exchanges(model.mixing, grid, work, surface.WIND2_SHARE * work.now[WIND_SPEED])
    net_rain = surface.add_rates(model.surface, grid, work, rates)
    net_rain += ice.add_rates(model.ice, grid, work, state, rates)
    rows = model.inflow.zone.size
    _set_sources(model, step, share, state)
    work.source[rows + SURFACE] = net_rain
    set_flows(work)
    transport.add_rates(grid, work)
    inflow.add_rates(model.inflow, grid, work, rates)
    outflow.add_outlet(model.outflow, grid, work, work.source[rows + OUTLET], rates)
    outflow.add_seepage(model.outflow, grid, work, rates)
    for passage in range(grid.connection_width.size):
        spilled = work.source[rows + SPILLS + passage]
        if spilled != 0.0:
            outflow.add_spill(grid, work, passage, spilled)
    circulation.add_rates(model.circulation, grid, work, rows + PUMP, rates)
    aeration.add_rates(model.aeration, grid, work, rates)
    surface.add_sun_and_bed_heat(model.surface, work, rates)
    if model.living.rows.grown == 1:
        organic.add_rates(model.organic, work)
        living.add_rates(model.living, grid, work, forcing.events, forcing.dying[step], step, rates)
        bed.set_share_met(model.bed, grid, work)
        living.add_bed_rates(model.living, grid, work, forcing.events, step, rates)
    else:
        algae.add_rates(model.algae, grid, work, forcing.dying[step], rates)
        organic.add_rates(model.organic, work)
        bed.add_rates(model.bed, grid, work, rates)
    settling.add_rates(model.solids, grid, work, state, rates)
    living.add_settled(model.living, grid, work, forcing.events, step)
    mixed_layer.add_rates(grid, work, state, model.mixing.cooling_entrainment, model.mixing.stopping_step)
    for box in range(work.volume.size):
        work.rate[s.AGE_INFLOW, box] += work.volume[box]
        work.rate[s.AGE_WATERFALL, box] += work.volume[box]
    return transport.hand_over(grid, work, rates)
