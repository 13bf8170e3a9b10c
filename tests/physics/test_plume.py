"""Water lifted by bubbles."""

import math

import numpy as np
import pytest
from scipy import integrate

from pondsim.physics.plume import bubble_plume
from tests.physics.tolerance import close_to
from tests.published.plume import plume_flow_unstratified, plume_flow_with_slip

G = 9.80665
ATM = 101325.0


@pytest.mark.parametrize(
    ("alpha", "gas", "height", "value"),
    [pytest.param(0.11, 0.001, 3.0, 0.175, id="5.7"), pytest.param(0.12, 0.001, 2.5, 0.145, id="5.8")],
)
def test_similarity_solution(alpha, gas, height, value):
    """Morton, Taylor and Turner 1956; exact for no slip and constant buoyancy."""
    assert plume_flow_unstratified(gas, height, alpha) == close_to(value, "1 %", "m3/s")


def test_plume_with_slip():
    """After Wuest, Brooks and Imboden 1992, coefficients from memory; equations solved apart: check 5.9."""
    assert plume_flow_with_slip(0.001, 3.0, 0.1, 0.2, 0.11, 0.3) == close_to(0.1663, "2 %", "m3/s")


def layers(density, depth=3.0):
    """Layers of equal thickness over a bottom at 0 m, deepest first."""
    edges = np.linspace(0.0, depth, len(density) + 1)
    return edges[1:].copy(), edges[:-1].copy(), np.asarray(density, dtype=float)


def rise(flow, density, diffuser=0.1):
    top, bottom, density = layers(density)
    entrained = np.full(len(density), np.nan)
    height, mean = bubble_plume(flow, top, bottom, density, diffuser, ATM, entrained)
    return height, mean, entrained


def reference(flow, density, diffuser):
    """The same equations in velocity and radius squared, solved by scipy with the singularity left in."""
    top, _, density = layers(density)

    def gas(z):
        return flow * ATM / (ATM + 998.2 * G * (top[-1] - z))

    b0 = 0.1
    wanted = 2.0 * 1.6**2 * G * gas(diffuser) / (math.pi * b0)
    w0 = max(root.real for root in np.roots([1.0, 0.3, 0.0, -wanted]) if abs(root.imag) < 1e-9)
    state = np.array([b0**2 * w0, b0**2 * w0**2, 0.0])  # V, M, V (density - that of the lowest layer)
    z = diffuser
    for k in range(len(density)):
        if top[k] <= z:
            continue

        def slopes(z, y, here=density[k] - density[0]):
            volume, momentum, excess = y
            entrained = 2.0 * 0.11 * math.sqrt(max(momentum, 0.0))
            w, area = momentum / volume, volume * volume / max(momentum, 1e-12)
            lift = G * gas(z) / (math.pi * (w + 0.3))
            weight = G * area * (excess / volume - here) / 998.2
            return [entrained, lift - weight, entrained * here]

        def stopped(z, y):
            return y[1] - 1e-7

        stopped.terminal = True
        solved = integrate.solve_ivp(slopes, (z, top[k]), state, events=stopped, rtol=1e-8, atol=1e-12)
        z, state = solved.t[-1], solved.y[:, -1]
        if solved.status == 1:
            break
    return z, density[0] + state[2] / state[0], math.pi * state[0]


@pytest.mark.parametrize(
    ("flow", "density"),
    [
        (1e-3, [998.0] * 6),
        (1e-3, [998.5, 998.3, 998.0, 997.5, 997.0, 996.5]),
        (1e-4, [998.5, 998.3, 998.0, 997.5, 997.0, 996.5]),
        (1e-5, [998.5, 998.3, 998.0, 997.5, 997.0, 996.5]),
        (1e-4, [998.5, 998.5, 998.5, 996.0, 996.0, 996.0]),
    ],
)
def test_quick_steps_agree_with_a_careful_solution(flow, density):
    height, mean, entrained = rise(flow, density)
    true_height, true_mean, true_flow = reference(flow, density, 0.1)
    assert height == pytest.approx(true_height, abs=0.03)
    assert mean == pytest.approx(true_mean, abs=0.02)
    assert entrained.sum() == pytest.approx(true_flow, rel=0.02)


def test_plume_water_weighs_what_its_layers_gave():
    density = np.array([998.5, 998.3, 998.0, 997.5, 997.0, 996.5])
    _, mean, entrained = rise(5e-4, density)
    assert mean == pytest.approx(np.sum(entrained * density) / np.sum(entrained), abs=1e-9)


def test_weak_plume_stops_below_the_surface_and_a_strong_one_does_not():
    density = np.linspace(998.5, 996.5, 8)
    weak, _, taken = rise(1e-5, density)
    strong, _, _ = rise(2e-3, density)
    assert 0.1 < weak < 2.0
    assert strong == 3.0
    assert taken[-1] == 0.0


def test_more_air_lifts_more_water():
    flows = [rise(q, [998.0] * 5)[2].sum() for q in (1e-6, 1e-5, 1e-4, 1e-3, 1e-2)]
    assert flows == sorted(flows)


def test_layers_below_the_diffuser_give_nothing():
    _, _, entrained = rise(1e-3, [998.0] * 6, diffuser=1.2)
    assert entrained[:2] == pytest.approx([0.0, 0.0])
    assert np.all(entrained[2:] > 0.0)


@pytest.mark.parametrize(("flow", "diffuser"), [(0.0, 0.5), (1e-3, 3.5)])
def test_no_air_or_a_dry_diffuser_moves_no_water(flow, diffuser):
    height, mean, entrained = rise(flow, [998.0, 997.0], diffuser)
    assert height == diffuser
    assert math.isfinite(mean)
    assert np.all(entrained == 0.0)


def test_splitting_layers_of_equal_density_changes_little():
    coarse = rise(1e-3, [998.0, 997.0])[2].sum()
    fine = rise(1e-3, [998.0] * 7 + [997.0] * 7)[2].sum()
    assert fine == pytest.approx(coarse, rel=0.005)


@pytest.mark.parametrize("depth", [1.0, 2.0, 4.0])
@pytest.mark.parametrize("flow", [1e-4, 5e-4, 1.4e-3])
def test_bubbles_lift_less_than_the_similarity_plume_from_the_same_disc(flow, depth):
    """A plume of radius 1.2 alpha z (Morton, Taylor and Turner 1956) has 0.1 m at 0.1/(1.2 x 0.11) m over its
    origin: slip and pressure leave bubbles between half and all of its flow."""
    entrained = np.zeros(1)
    bubble_plume(flow, np.array([depth]), np.array([0.0]), np.array([998.0]), 0.0, ATM, entrained)
    similar = float(plume_flow_unstratified(flow, depth + 0.1 / (1.2 * 0.11)))
    assert 0.5 * similar < entrained[0] < similar
