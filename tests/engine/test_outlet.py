"""Rain to runoff to level to outlet, against a fine integration that shares no code but the runoff."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from pondsim.engine.forcing import build_forcing
from pondsim.engine.model import build_model
from pondsim.processes import constituents as s
from pondsim.processes.living_rows import living_rows
from pondsim.processes.outflow import outflow_settings, outlet_flow
from pondsim.scenario.settings import (
    DesignStorm,
    Drainage,
    Numerics,
    Orifice,
    Outlet,
    OutletTable,
    Rain,
    Spillway,
    Weir,
)
from pondsim.site.rain import rain_series
from pondsim.site.watershed import runoff_of
from tests.engine.ponds import BEGIN, DAY, LEVEL, bowl, inert_pond, integrate_pond
from tests.records_for_tests import records_of
from tests.runs import run

G = 9.80665
LAND = Drainage(
    name="lot",
    zone="pool",
    area=60000.0,
    impervious_share=0.4,
    curve_number=75.0,
    time_of_concentration=1200.0,
    first_flush=0.6,
)
STORM = Rain(design_storm=DesignStorm(start=BEGIN + timedelta(hours=6), depth=0.09))
STACK = Outlet(
    zone="pool",
    orifice=(Orifice(elevation=LEVEL, diameter=0.15), Orifice(elevation=LEVEL + 0.3, diameter=0.2)),
    weir=(Weir(crest=LEVEL + 0.5, width=1.2, coefficient=1.84), Weir(crest=LEVEL + 0.65, width=2.0)),
    spillway=(Spillway(crest=LEVEL + 0.7, width=4.0),),
)
ZONE = bowl("pool", 1500.0, 2.5)


def settings_of(outlet):
    """Settings of the outlet of a pond of one zone."""
    scenario = pond(outlet)
    return outflow_settings(scenario, {"pool": 0}, living_rows(scenario))


def pond(outlet=STACK, **more):
    given = {"days": 2.0, "layers": 6, "drainage": (LAND,), "rain": STORM, "numerics": Numerics()}
    return inert_pond(ZONE, outlet=outlet, **(given | more))


def by_hand(outlet, level):
    """Weirs C b H^1.5, orifices Cd A (2 g h)^0.5; drowned weirs after Villemonte 1947."""
    tail = outlet.tailwater if outlet.tailwater is not None else -1e9
    flow = 0.0
    for hole in outlet.orifice:
        area, head = np.pi * hole.diameter**2 / 4, level - hole.elevation
        if head >= hole.diameter / 2:
            free = hole.coefficient * area * (2 * G * head) ** 0.5
        else:  # partly filled: the cubic that pondsim states
            u = max(head / hole.diameter + 0.5, 0.0)
            free = (
                hole.coefficient * area * (G * hole.diameter) ** 0.5 * u**2 * (0.88 + 1.24 * u - 1.12 * u**2)
            )
        below = hole.coefficient * area * (2 * G * max(level - tail, 0.0)) ** 0.5
        flow += min(free, below)
    for crest in (*outlet.weir, *outlet.spillway):
        head, behind = max(level - crest.crest, 0.0), max(tail - crest.crest, 0.0)
        if head > behind:
            flow += crest.coefficient * crest.width * head**1.5 * (1 - (behind / head) ** 1.5) ** 0.385
    if outlet.table is not None:
        flow += np.interp(level, outlet.table.stage, outlet.table.flow)
    return flow


@pytest.mark.parametrize("tailwater", [None, LEVEL + 0.4, LEVEL + 0.7])
def test_flow_of_a_stack_at_any_level(tailwater):
    outlet = replace(STACK, tailwater=tailwater)
    settings = settings_of(outlet)
    for level in np.linspace(LEVEL - 0.3, LEVEL + 1.9, 89):
        near = tailwater is not None and 0.0 < level - tailwater < 0.02
        if not near:  # where the law is made less steep
            assert outlet_flow(settings, level) == pytest.approx(by_hand(outlet, level), rel=1e-9)


def test_a_table_stands_for_weirs_and_orifices():
    table = OutletTable(stage=(LEVEL, LEVEL + 0.5, LEVEL + 1.0), flow=(0.0, 0.1, 0.7))
    outlet = Outlet(zone="pool", table=table, spillway=STACK.spillway)
    settings = settings_of(outlet)
    for level in np.linspace(LEVEL - 0.2, LEVEL + 1.5, 35):
        assert outlet_flow(settings, level) == pytest.approx(by_hand(outlet, level), rel=1e-12, abs=1e-15)


@pytest.mark.parametrize("tailwater", [None, LEVEL + 0.4])
def test_level_over_a_storm_follows_a_fine_integration(tailwater):
    """dV/dt = runoff + rain on the pond - outlet, steps of 20 s at most: within 5 mm at every output."""
    outlet = replace(STACK, tailwater=tailwater)
    scenario = pond(outlet)
    scenario = replace(scenario, period=replace(scenario.period, output_step=900.0))
    marched = integrate_pond(scenario)
    rain = rain_series(STORM, scenario.period)
    runoff = runoff_of(LAND, rain)
    z = np.linspace(ZONE.stage[0], ZONE.stage[-1], 4001)
    area = np.interp(z, ZONE.stage, ZONE.area)
    volume = np.concatenate([[0.0], np.cumsum(np.diff(z) * 0.5 * (area[1:] + area[:-1]))])
    fallen = np.concatenate([[0.0], np.cumsum(rain.depth)])
    rain_edges = rain.first + rain.step * np.arange(fallen.size)

    def slope(t, y):
        level = float(np.interp(y[0], volume, z))
        raining = (np.interp(t + 10, rain_edges, fallen) - np.interp(t - 10, rain_edges, fallen)) / 20
        came = np.interp(t, runoff.time, runoff.flow) + raining * np.interp(level, z, area)
        return [came - by_hand(outlet, level)]

    start = float(np.interp(LEVEL, z, volume))
    found = solve_ivp(slope, (0.0, marched.time[-1]), [start], max_step=20.0, t_eval=marched.time, rtol=1e-7)
    level = np.interp(found.y[0], volume, z)
    assert level.max() > LEVEL + 0.72
    assert marched.season.surface[:, 0] == pytest.approx(level, abs=0.005)
    assert marched.season.surface.max() == pytest.approx(level.max(), abs=0.003)


def test_rain_is_runoff_and_losses_and_arrives():
    results = run(pond(days=3.0))
    hours = np.diff(results["time"].values).astype("timedelta64[s]").astype(float)
    total = {name: float(np.sum(results[name].values[1:] * hours)) for name in ("inflow", "rain_intensity")}
    area = results.isel(drainage_area=0)
    assert float(area["area_runoff"] + area["area_losses"]) == pytest.approx(
        float(area["area_rain"]), rel=1e-9
    )
    assert float(area["area_rain"]) == pytest.approx(0.09 * 60000.0, rel=1e-9)
    assert total["inflow"] == pytest.approx(float(area["area_runoff"]), rel=1e-9)
    assert total["rain_intensity"] == pytest.approx(0.09, rel=1e-9)
    assert results["solids_in_kg"].values.sum() == pytest.approx(float(area["area_solids"]), rel=1e-9)
    assert float(area["area_solids"]) == pytest.approx(0.067 * float(area["area_runoff"]), rel=1e-9)


def test_first_water_is_the_dirtiest_and_loads_stay():
    forcing, _ = build_forcing(pond())
    flow, dirt = forcing.inflow[:, 0, 0], forcing.drained[:, 0, 3]
    wet = np.flatnonzero(flow > 0.01 * flow.max())
    assert dirt[wet[0]] > 1.5 * dirt[wet[-1]]
    assert np.all(forcing.inflow[:, 0, 0] == forcing.inflow[:, 0, 1])
    assert np.isnan(forcing.drained[0, 0, 0])


def test_steps_are_short_while_runoff_flows():
    forcing, _ = build_forcing(replace(pond(), numerics=Numerics(hydraulic_step=3600.0)))
    length = np.diff(forcing.time)
    busy = forcing.inflow[:, 0, 0] > 0.02 * forcing.inflow.max()
    assert length[busy].max() <= 900.0
    assert length.max() == 3600.0


@pytest.mark.parametrize(("freeboard", "said"), [(0.5, False), (1.5, True)])
def test_a_level_in_the_freeboard_is_said(freeboard, said):
    scenario = pond()
    scenario = replace(scenario, pond=replace(scenario.pond, freeboard=freeboard))
    assert ("freeboard_used" in records_of(run(scenario))) is said


def test_an_orifice_draws_where_it_is_and_a_weir_at_the_surface():
    model = build_model(pond())
    assert model.outflow.crests.shape == (3, 3)
    assert model.outflow.holes.shape == (2, 3)
    marched = integrate_pond(pond(days=0.9))
    assert marched.line(s.WATER_OUTLET)[-1] > 0.0
    assert marched.time[-1] == pytest.approx(0.9 * DAY, abs=3600.0)
