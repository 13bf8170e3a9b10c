"""The plume of the time loop against its published form: exact limits, and an integration written apart.

Wuest, Brooks and Imboden 1992, simplified as the other plume tests say: top-hat, one width for water and
bubbles, isothermal gas, nothing dissolved. Coefficients from memory, not verified in text.
"""

import math

import numpy as np
import pytest
from scipy import integrate

from pondsim.physics.plume import bubble_plume
from tests.published.plume import plume_flow_unstratified

G = 9.80665
ATM = 101325.0
RHO = 998.2
ALPHA = 0.11
SLIP = 0.3


def in_layers(flow, depth, density, count, pressure=ATM, diffuser=0.0):
    """Stop height, and water entrained below it, with `density(z)` cut into equal layers."""
    edges = np.linspace(0.0, depth, count + 1)
    middle = 0.5 * (edges[1:] + edges[:-1])
    entrained = np.zeros(count)
    layered = np.array([density(z) for z in middle])
    height, mean = bubble_plume(
        flow, edges[1:].copy(), edges[:-1].copy(), layered, diffuser, pressure, entrained
    )
    return height, mean, entrained.sum()


def linear(buoyancy_frequency):
    """Density that falls upward with a constant buoyancy frequency [1/s]."""
    return lambda z: RHO * (1.0 - buoyancy_frequency**2 * z / G)


def continuous(flow, depth, frequency, pressure=ATM, diffuser=0.0):
    """Stop height and flow by tight integration of radius, velocity and density difference in primitive form.

    d(b2 w)/dz = 2 alpha b w; d(b2 w2)/dz = g Qg/(pi (w + ub)) + b2 g'; d(b2 w g')/dz = - b2 w N2,
    where g' is the buoyancy of the plume's water alone.
    """

    def gas(z):
        return flow * ATM / (pressure + RHO * G * (depth - z))

    def slopes(z, y):
        b, w, light = y
        inflow = 2.0 * ALPHA * b * w
        lift = G * gas(z) / (math.pi * (w + SLIP)) + b * b * light
        dw = (lift - w * inflow) / (b * b * w)
        db = (inflow - b * b * dw) / (2.0 * b * w)
        return [db, dw, -(frequency**2) - light * inflow / (b * b * w)]

    wanted = 2.0 * 1.6**2 * G * gas(diffuser) / (math.pi * 0.1)
    start = max(r.real for r in np.roots([1.0, SLIP, 0.0, -wanted]) if abs(r.imag) < 1e-9)

    def stopped(z, y):
        return y[1] - 1e-3 * start

    stopped.terminal = True
    solved = integrate.solve_ivp(
        slopes, (diffuser, depth), [0.1, start, 0.0], events=stopped, rtol=1e-10, atol=1e-12, method="LSODA"
    )
    b, w, _ = solved.y[:, -1]
    return solved.t[-1], math.pi * b * b * w


SUMMER = 0.04  # 1/s: 7 degC over 3 m near 24 degC


@pytest.mark.parametrize("flow", [2e-6, 2e-5, 1e-4, 3e-4, 7e-4])
@pytest.mark.parametrize("frequency", [0.02, SUMMER, 0.08])
def test_stop_and_flow_in_a_linear_stratification(flow, frequency):
    """Layers of 2 cm against the continuous profile: stop within 2 cm, flow within 2 %."""
    height, _, taken = in_layers(flow, 3.2, linear(frequency), 160)
    true_height, true_taken = continuous(flow, 3.2, frequency)
    assert height == pytest.approx(true_height, abs=0.02)
    assert taken == pytest.approx(true_taken, rel=0.02)


def test_eight_layers_stop_a_little_higher():
    """What the thickness of a run's layers costs: layers of 40 cm, the continuous profile, 6 cm or so."""
    for flow, frequency in ((2e-5, SUMMER), (1e-4, 0.08), (2e-6, 0.02)):
        height, _, _ = in_layers(flow, 3.2, linear(frequency), 8)
        true_height, _ = continuous(flow, 3.2, frequency)
        assert 0.0 < height - true_height < 0.12


# A source so strong that the bubbles' slip is nothing, under a pressure so high that the gas does not expand:
# then the equations are those of Morton, Taylor and Turner (1956); the slip is 0.3 m/s of hundreds.
STRONG, PRESSED = 1e9, 1e12  # m3/s, Pa


def strong(depth, frequency, count):
    return in_layers(STRONG * PRESSED / ATM, depth, linear(frequency), count, pressure=PRESSED)


def test_no_slip_and_no_stratification_is_the_similarity_solution():
    """Check 5.7's equation, exact for the same limit; the start adds less than 1 % a thousand metres up."""
    height, _, taken = strong(1000.0, 0.0, 10)
    assert height == 1000.0
    assert taken == pytest.approx(float(plume_flow_unstratified(STRONG, 1000.0)), rel=0.01)
    factor = 1.2 * ALPHA * (0.9 * ALPHA) ** (1 / 3) * math.pi ** (2 / 3)
    assert taken == pytest.approx(factor * (G * STRONG) ** (1 / 3) * 1000 ** (5 / 3), rel=0.01)


@pytest.mark.parametrize(("depth", "within"), [(1.0, 0.025), (2.0, 0.015), (10.0, 0.005), (100.0, 0.001)])
def test_a_disc_is_a_point_source_further_down(depth, within):
    """Without slip the plume of a disc is the similarity plume of a point b/(1.2 alpha) = 0.76 m under it.

    By hand: Morton, Taylor and Turner's plume has the radius 1.2 alpha z, so 0.1 m at 0.76 m over its point,
    and a flow as z^(5/3). At 2 m it is (2.76/2)^(5/3) = 1.71 times that of a point at the diffuser, at 100 m
    1.01 times. What is left is the start: its Froude number 1.6 is less than theirs, (5/(8 alpha))^0.5 = 2.4.
    """
    _, _, taken = strong(depth, 0.0, 10)
    similar = float(plume_flow_unstratified(STRONG, depth + 0.1 / (1.2 * ALPHA)))
    assert (1.0 - within) * similar < taken < similar


def test_no_slip_in_a_linear_stratification_stops_where_theory_says():
    """Morton, Taylor and Turner 1956, linear stratification: it stops at 2.8 of their scaled height.

    2.8 is from memory; the next test integrates their scaled equations. For a top hat the scale is
    32^(-1/8) alpha^(-1/2) (B/pi)^(1/4) N^(-3/4): the sum by hand of the three equations.
    """
    buoyancy = G * STRONG / math.pi
    frequency = (2.8 * 32**-0.125 * ALPHA**-0.5 * buoyancy**0.25 / 600.0) ** (4.0 / 3.0)
    height, _, _ = strong(1000.0, frequency, 2000)
    assert height == pytest.approx(600.0, rel=0.01)


def test_the_theory_itself():
    """dw/dx = v, d(v^4)/dx = f w, df/dx = -w from f = 1: f is gone at 2.125, v at 2.8 (from memory)."""

    def slopes(x, y):
        w, v4, f = y
        return [max(v4, 0.0) ** 0.25, f * w, -w]

    def no_buoyancy(x, y):
        return y[2]

    def stopped(x, y):
        return y[1]

    stopped.terminal, stopped.direction = True, -1
    first = 1e-3
    size = (3.0 / 8.0 * 0.6**4) ** (1.0 / 3.0)  # w = size x^(5/3) where f is still 1
    start = [size * first ** (5 / 3), (size * 5 / 3 * first ** (2 / 3)) ** 4, 1.0]
    solved = integrate.solve_ivp(
        slopes, (first, 5.0), start, events=[no_buoyancy, stopped], rtol=1e-10, atol=1e-14
    )
    assert solved.t_events[0][0] == pytest.approx(2.125, abs=0.01)
    assert solved.t_events[1][0] == pytest.approx(2.8, abs=0.01)


def test_limits_of_stratification_and_air():
    """No layering lets every plume through; a stronger one stops it lower, more air carries it higher."""
    assert in_layers(2e-6, 3.2, linear(0.0), 40)[0] == 3.2
    by_layering = [in_layers(2e-5, 3.2, linear(n), 40)[0] for n in (0.03, 0.05, 0.08, 0.15)]
    assert by_layering == sorted(by_layering, reverse=True)
    assert by_layering[-1] < by_layering[0]
    by_air = [in_layers(q, 3.2, linear(0.08), 40)[0] for q in (2e-6, 2e-5, 1e-4, 1e-3)]
    assert by_air == sorted(by_air)
    assert by_air[0] < by_air[-1] == 3.2


@pytest.mark.parametrize(("flow", "depth"), [(1e-3, 3.0), (5e-4, 2.0), (1e-4, 4.0)])
def test_flow_in_unstratified_water(flow, depth):
    """The same equations and start, integrated apart, without layers."""
    height, _, taken = in_layers(flow, depth, linear(0.0), 8)
    assert height == depth
    assert taken == pytest.approx(continuous(flow, depth, 0.0)[1], rel=2e-3)
