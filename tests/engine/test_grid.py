"""Where layers lie, that water crosses a sill above it, and what a flow between layers carries."""

import math
from dataclasses import replace

import numpy as np
import pytest

from pondsim.engine.initial import start_state
from pondsim.engine.model import build_model
from pondsim.engine.step import update_step
from pondsim.processes import constituents as s
from pondsim.processes.transport import add_rates
from pondsim.scenario.settings_living import Dredging
from pondsim.site.boxes import dig, layer_interfaces
from tests.engine.ponds import BEGIN, DAY, LEVEL, basin, bowl, inert_pond, passage

FT = 0.3048


def test_layers_of_the_demo_as_worked_out_by_hand():
    """Exact: 11 ft in 16 layers; 15 of them under a top one of 11/16 ft, and 634.5 ft is too close to 635 ft.

    6 ft under 635 ft take 8 layers of 0.75 ft, 1 ft two of 0.5, 1.5 ft two of 0.75, the rest three of 0.604.
    """
    sills = [637.5 * FT, 635 * FT, 634.5 * FT, 636 * FT]
    found = layer_interfaces(640 * FT, 629 * FT, 16, 1 * FT, sills) / FT
    top = 640 - 11 / 16
    by_hand = [*np.linspace(629, 635, 9), 635.5, 636, 636.75, *np.linspace(637.5, top, 4), 640]
    assert found == pytest.approx(by_hand)


@pytest.mark.parametrize("layers", [1, 2, 3, 5, 8, 24])
@pytest.mark.parametrize("sills", [(), (3.0,), (0.1, 1.0, 1.05, 2.2, 3.95), tuple(np.linspace(-1, 5, 61))])
def test_any_sills_leave_as_many_layers_and_none_far_from_the_mean(layers, sills):
    """Count and ends are exact; layers within half and double the mean are what the rule is for."""
    found = layer_interfaces(4.0, 0.0, layers, 0.3, sills)
    thickness = np.diff(found)
    assert found.size == layers + 1
    assert (found[0], found[-1]) == (0.0, 4.0)
    assert thickness[-1] == pytest.approx(4.0 if layers == 1 else min(0.3, 4.0 / layers))
    mean = thickness[:-1].mean() if layers > 1 else 4.0
    assert np.all(thickness[:-1] >= 0.5 * mean)
    assert np.all(thickness[:-1] <= 2.0 * mean)


@pytest.mark.parametrize("depth", [0.4, 0.63, 0.9, 1.17])
def test_what_meets_the_next_zone_is_the_water_over_the_sill(depth):
    """Exact: boxes with a face in the passage hold the volume above the sill, by the trapezoidal rule."""
    zones = bowl("pool", 900.0, 2.5), bowl("arm", 400.0, 1.6, centre=(20.0, 0.0))
    link = passage("pool", "arm", depth=depth)
    scenario = inert_pond(*zones, layers=12, connection=(link,))
    model = build_model(scenario)
    state = start_state(scenario, model)
    update_step(model, 0, state)
    grid = model.grid
    open_faces = (grid.face_connection == 0) & (model.work.face_area > 0.0)
    for place, (zone, ends) in enumerate(zip(zones, (grid.face_lower, grid.face_upper), strict=True)):
        boxes = np.unique(ends[open_faces])
        assert np.all(grid.box_zone[boxes] == place)
        z = np.linspace(LEVEL - depth, LEVEL, 20001)
        above = np.trapezoid(np.interp(z, zone.stage, zone.area), z)
        assert state.rows[s.WATER, boxes].sum() == pytest.approx(above, rel=1e-6)


@pytest.mark.parametrize(("width", "alike"), [(10.0, 0.0447), (0.1, math.inf)])
def test_what_reaches_the_water_under_a_sill_has_half_a_layer_to_go(width, alike):
    """By hand: sqrt(5e-5 m x 400 m2 / 10 m) over the sill, half of the layer under it; else both halves."""
    zones = basin("pool", 900.0, 2.5), basin("bay", 400.0, 2.0)
    link = passage("pool", "bay", depth=1.2, width=width)
    pond = inert_pond(*zones, layers=12, connection=(link,))
    model = build_model(pond)
    update_step(model, 0, start_state(pond, model))
    work, first, end = model.work, model.grid.first_box[1], model.grid.first_box[2]
    for box in range(first, end - 1):
        over = 0.5 * (work.top[box + 1] - work.bottom[box + 1])
        if work.top[box] == pytest.approx(LEVEL - 1.2):
            over = min(over, alike)
        half = 0.5 * (work.top[box] - work.bottom[box])
        assert work.face_distance[box] == pytest.approx(half + over, abs=1e-4)


def test_a_sill_that_is_not_dredged_keeps_its_layer_edge():
    """Exact: the bed beside it is dug away by 0.5 m, the berm stays, and so does the edge on it."""
    zones = basin("pool", 900.0, 3.0), basin("bay", 400.0, 2.0), basin("arm", 300.0, 1.5)
    links = passage("pool", "bay", depth=1.1), passage("pool", "arm", depth=0.8)
    dug = Dredging(zone="arm", date=BEGIN, duration=0.5 * DAY, depth=0.5, full_from=1.0)
    pond = inert_pond(*zones, layers=16, connection=links, dredging=(dug,))
    grid = build_model(pond).grid
    dig(grid, pond, DAY)
    for sill in (LEVEL - 1.1, LEVEL - 0.8):
        assert np.abs(grid.interface - sill).min(axis=1) == pytest.approx(0.0, abs=1e-9)


def carried_upward(layers, rising, diffusivity):
    """Steady concentration where water rises through 2 m between ends that are held, and the exact one."""
    depth, area = 2.0, 100.0
    pond = inert_pond(basin("pool", area, depth), layers=layers)
    scenario = replace(pond, pond=replace(pond.pond, top_layer=depth / layers))
    model = build_model(scenario)
    update_step(model, 0, start_state(scenario, model))
    work = model.work
    inner = np.arange(layers - 1)
    work.flow[:] = 0.0
    work.flow[inner] = rising * area
    rates = np.empty((layers, layers))
    for box in range(layers):
        work.exchange[:] = 0.0
        work.exchange[inner] = diffusivity * area / (depth / layers)
        work.content[:, s.SALT], work.transfers[:] = 0.0, 0.0
        work.content[box, s.SALT] = 1.0
        add_rates(model.grid, work)
        rates[:, box] = work.transfers[:layers, s.SALT]
    z = (np.arange(layers) + 0.5) * depth / layers
    exact = np.exp(rising * z / diffusivity)
    inside, ends = slice(1, -1), [0, -1]
    held = rates[inside][:, ends] @ exact[ends]
    return np.linalg.solve(rates[inside, inside], -held), exact[inside]


def test_a_slow_flow_through_layers_is_carried_to_second_order():
    """Exact: c = exp(w z/K); half the layer makes a quarter of the error, by upwind alone half of it."""
    errors = []
    for layers in (16, 32, 64):
        found, exact = carried_upward(layers, 1e-6, 1e-6)
        errors.append(np.abs(found - exact).max())
    assert errors[0] / errors[1] == pytest.approx(4.0, abs=0.5)
    assert errors[1] / errors[2] == pytest.approx(4.0, abs=0.3)


def test_a_fast_flow_through_layers_stays_between_what_stands_there():
    """Exact: upwind where layers hold more than the exchange can even out, so nothing overshoots."""
    found, _ = carried_upward(8, 1e-5, 1e-7)
    assert np.all(found > 0.0)
    assert np.all(np.diff(found) >= -1e-9)
