"""Sinking water shared out in pools: against the isotonic regression of a general library."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import isotonic_regression

from pondsim.engine.initial import open_passages, start_state
from pondsim.engine.model import build_model
from pondsim.engine.step import update_step
from pondsim.physics.water import SALT_CONTRACTION
from pondsim.processes import constituents as s
from pondsim.processes import mixed_layer, mixing, transport
from tests.engine.ponds import CELSIUS_0, basin, inert_pond

LAYERS = 12


def column(temperatures):
    """A pond of one zone with these temperatures, top first [degC]; nothing else acts on it."""
    pond = inert_pond(basin("pool", 400.0, 3.0), layers=LAYERS, days=1.0)
    pond = replace(pond, mixing=replace(pond.mixing, cooling_entrainment=0.0))
    model = build_model(pond)
    open_passages(pond, model)
    state = start_state(pond, model)
    state.rows[s.HEAT] = (CELSIUS_0 + np.array(temperatures[::-1])) * state.rows[s.WATER]
    update_step(model, 0, state)
    transport.concentrations(model.work, state)
    mixing.set_densities(model.work)
    return model, state


def sunk(model, state, gains):
    """Rates of warming by layer, top first, once `gains` [K/s], top first, have been shared out."""
    work = model.work
    work.rate[:], work.transfers[:] = 0.0, 0.0
    boxes = work.volume.size
    work.rate[s.HEAT, :boxes] = gains[::-1] * work.volume
    mixed_layer.add_rates(model.mixing, model.grid, work, state)
    heat = work.rate[s.HEAT, :boxes] + work.transfers[:boxes, s.HEAT]
    return (heat / work.volume)[::-1]


@pytest.mark.parametrize("seed", range(20))
def test_mixed_water_warms_as_the_nearest_rates_that_keep_it_mixed(seed):
    """Pools are the weighted isotonic regression of what each layer gains: rates of warming that rise
    nowhere with depth, nearest to the gains by volume. Source: SciPy's isotonic_regression."""
    model, state = column([22.0] * LAYERS)
    gains = np.random.default_rng(seed).normal(-1e-5, 3e-5, LAYERS)
    weights = model.work.volume[::-1]
    wanted = isotonic_regression(gains, weights=weights, increasing=False).x
    found = sunk(model, state, gains)
    assert found == pytest.approx(wanted, rel=2e-6, abs=1e-12)
    assert found @ weights == pytest.approx(gains @ weights, rel=1e-12)


def test_a_layer_joins_without_a_jump():
    """Cooling at the top, with the third layer as heavy as the mixed ones but for a hair: heat goes on."""
    below = 24.0 - np.arange(LAYERS - 3)
    rates = []
    for hair in (-1e-6, 0.0, 1e-6, 1e-4):  # K
        model, state = column([26.0, 26.0, 26.0 - hair, *below])
        rates.append(sunk(model, state, np.array([-1e-4] + [0.0] * (LAYERS - 1)))[:4])
    assert np.ptp(rates, axis=0).max() < 0.01 * 1e-4
    assert np.array(rates)[:, 2] == pytest.approx(np.array(rates)[:, 0], rel=0.01)


@pytest.mark.parametrize(
    ("upper", "third", "lowest", "gain"),
    [
        (20.0, 20.4, 15.0, -1e-4),
        (3.4, 4.6, 4.0, 1e-4),
    ],  # degC; K/s, since water under 4 degC sinks as it warms
)
def test_layers_as_heavy_at_another_temperature_join_without_a_jump(upper, third, lowest, gain):
    """Warm water with more salt, or water on the other side of 4 degC, under the layers that sink."""
    rates = []
    for heavier in np.linspace(-2e-5, 6e-5, 9):  # kg/m3, the third layer than those above it
        model, state = column([upper, upper, third, *[lowest] * (LAYERS - 3)])
        work, box = model.work, LAYERS - 3
        for _ in range(4):
            short = work.density[box + 1] + heavier - work.density[box]
            state.rows[s.SALT, : box + 1] += short / SALT_CONTRACTION * state.rows[s.WATER, : box + 1]
            transport.concentrations(work, state)
            mixing.set_densities(work)
        assert work.density[box] - work.density[box + 1] == pytest.approx(heavier, abs=1e-9)
        rates.append(sunk(model, state, np.array([gain] + [0.0] * (LAYERS - 1)))[1:3])
    moved = abs(np.array(rates)).max(axis=0)
    assert moved.min() > 5.0 * abs(gain)  # heat is mixed across the face
    assert (abs(np.diff(rates, axis=0)).max(axis=0) < 0.02 * moved).all()


def test_the_share_of_a_layer_follows_the_water_under_it_without_a_jump():
    """Where water further down is colder and colder, from next to nothing to steeper than above it."""
    shares = []
    for deeper in np.linspace(25.2, 23.0, 221):  # degC
        model, state = column([26.0, 26.0, 26.0, 25.9, 25.3, deeper, *[15.0] * (LAYERS - 6)])
        sunk(model, state, np.array([-1e-4] + [0.0] * (LAYERS - 1)))
        shares.append(model.work.mixed[LAYERS - 4])
    assert np.ptp(shares) > 0.1
    assert abs(np.diff(shares)).max() < 0.02


def test_cold_water_that_comes_in_below_leaves_the_mixed_layer():
    """The lowest of three mixed layers is cooled from its side: it stays in the pool if slower than that."""
    below = 24.0 - np.arange(LAYERS - 3)
    for side, shared in ((-6e-5, False), (-2e-5, True)):
        model, state = column([26.0, 26.0, 26.0, *below])
        volume = model.work.volume[::-1]
        gains = np.array([-1e-4, 0.0, side] + [0.0] * (LAYERS - 3))
        found = sunk(model, state, gains)
        pool = slice(0, 3 if shared else 2)
        mean = gains[pool] @ volume[pool] / volume[pool].sum()
        assert found[pool] == pytest.approx(mean, rel=0.02)
        assert found[2] == pytest.approx(mean if shared else side, rel=0.02)


def test_the_edge_stands_still_by_and_by_as_the_layer_under_it_cools_as_fast():
    """Oxygen that the mixed layer takes from the layer in which its edge lies, while that is cooled too."""
    top, part = -1e-4, 3  # K/s; the layer mixed in part, from the top
    taken = []
    for own in (0.0, 0.5, 0.9, 1.0, 1.05):  # of the rate at which the water above cools
        model, state = column([26.0, 26.0, 26.0, 25.7, *(24.6 - np.arange(LAYERS - 4))])
        state.rows[s.OXYGEN] = 8e-3 * state.rows[s.WATER]
        state.rows[s.OXYGEN, : LAYERS - part] *= 0.25
        transport.concentrations(model.work, state)
        gains = np.zeros(LAYERS)
        gains[:part], gains[part] = top, own * top
        sunk(model, state, gains)
        work = model.work
        assert 0.2 < work.mixed[LAYERS - 1 - part] < 0.9
        rates = work.rate[s.OXYGEN] + work.transfers[:, s.OXYGEN]
        taken.append(-float(rates[LAYERS - part]))
    assert taken[0] > 0.0
    assert np.array(taken) / taken[0] == pytest.approx([1.0, 0.5, 0.1, 0.0, 0.0], abs=0.01)


def test_what_sinking_water_exchanges_counts_for_the_steady_ages():
    """Exchange through each face of a pool, as large as the diffusivity that would carry the cooling."""
    model, state = column([22.0] * LAYERS)
    sunk(model, state, np.array([-1e-4] + [0.0] * (LAYERS - 1)))
    work = model.work
    diffusivity = work.sinking[: LAYERS - 1] * work.face_distance[: LAYERS - 1] / work.face_area[: LAYERS - 1]
    assert (diffusivity > 1e-4).all()
    assert (diffusivity < model.mixing.convective).all()
