"""From a scenario to rates of change: lays out the state, sums the processes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pondsim.engine import living
from pondsim.engine.forcing import Forcing, build_forcing
from pondsim.engine.moment import set_chlorophyll, set_weather
from pondsim.engine.patterns import OUTLET, PUMP, SPILLS, SURFACE, set_flows
from pondsim.engine.sources import set_sources
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.processes import (
    aeration,
    algae,
    bed,
    circulation,
    flows,
    holes,
    ice,
    inflow,
    light,
    mixed_layer,
    mixing,
    organic,
    outflow,
    overshoot,
    phosphorus,
    settling,
    surface,
    temperature,
    transport,
)
from pondsim.processes import constituents as s
from pondsim.processes.living_rows import living_rows
from pondsim.processes.state import Layout, State, lay_out
from pondsim.processes.work import Counts, Work, work_for
from pondsim.scenario.settings import Scenario
from pondsim.site.boxes import build_grid
from pondsim.site.control import ControlSettings, control_settings
from pondsim.site.pond import Grid, zone_area
from pondsim.site.weather import WIND_SPEED


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
    for i in range(rates.rows.size + rates.bed.size, rates.vector.size):  # all that hand_over does not write
        rates.vector[i] = 0.0
    set_weather(forcing, work, step, time)
    if model.living.rows.grown == 0:
        set_chlorophyll(model.algae, grid, forcing, work, step, share)
    transport.concentrations(work, state)
    ice.set_cover(model.ice, grid, work, state)
    temperature.set_temperature_factors(model.temperature, work)
    ice.slow_bed(model.ice, grid, work)
    mixing.set_densities(work)
    mixing.set_exchanges(model.mixing, grid, work, surface.WIND2_SHARE * work.now[WIND_SPEED])
    net_rain = surface.add_rates(model.surface, grid, work, rates)
    net_rain += ice.add_rates(model.ice, grid, work, state, rates)
    rows = model.inflow.zone.size
    set_sources(grid, work, forcing.inflow[step], share, model.circulation, model.outflow, state)
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
    mixed_layer.add_rates(model.mixing, grid, work, state)
    overshoot.add_rates(model.mixing, grid, work)
    for box in range(work.volume.size):
        work.rate[s.AGE_INFLOW, box] += work.volume[box]
        work.rate[s.AGE_WATERFALL, box] += work.volume[box]
    return transport.hand_over(grid, work, rates)
