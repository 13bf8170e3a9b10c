"""Marching a few equations: exact solutions, a stiff problem with a published answer, another integrator."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from pondsim.design.march import march_until
from pondsim.design.well_start import Swing, time_to_fall, well_start

NEVER = -1.0


def test_an_oscillation_keeps_its_height_and_ends_where_it_is_told():
    """y'' = -y from (0, 1): sin t and cos t, exact; y rises through one half at pi/6, and never past 1."""

    def rates(state):
        return np.array([state[1], -state[0]])

    start = np.array([0.0, 1.0])
    time, state, met = march_until(rates, start, lambda state: state[0] - 0.5, 50.0, 1e-9)
    assert met and time == pytest.approx(math.pi / 6, abs=1e-8)
    assert state == pytest.approx([0.5, math.sqrt(0.75)], abs=1e-8)
    time, state, met = march_until(rates, start, lambda state: state[0] - 1.1, 50.0, 1e-9)
    assert not met and time == 50.0
    assert state == pytest.approx([math.sin(50.0), math.cos(50.0)], abs=1e-6)


def test_a_stiff_problem_with_a_published_answer():
    """Robertson (1966), at 40 s as in Hairer and Wanner, Solving ODEs II; from memory, not verified."""
    calls = [0]

    def rates(state):
        a, b, c = state
        calls[0] += 1
        slow, fast, quick = 0.04 * a, 1e4 * b * c, 3e7 * b * b
        return np.array([-slow + fast, slow - fast - quick, quick])

    _, state, _ = march_until(rates, np.array([1.0, 0.0, 0.0]), lambda _: NEVER, 40.0, 1e-8)
    assert state == pytest.approx([0.7158271, 9.185535e-6, 0.2841637], rel=1e-5)
    assert calls[0] < 3000  # an explicit scheme needs a hundred thousand


@pytest.mark.parametrize(
    ("strength", "length", "pipe", "well"),
    [(0.0, 30.0, 0.07, 2.6), (30.0, 21.0, 0.075, 1.8), (400.0, 3.0, 0.03, 12.0), (5000.0, 60.0, 0.02, 1.0)],
    ids=["no loss", "swings", "settles slowly", "rough line"],
)
def test_start_of_a_well_against_another_integrator(strength, length, pipe, well):
    """First lowest point, or rest, and the time to half of it, by Radau to 1e-10 with its own events."""

    def pumped(fall):
        return 0.05 - 0.004 * fall

    def rates(_time, state):
        lost = strength * abs(state[0]) * state[0]
        return [9.80665 * pipe / length * (state[1] - lost), (pumped(state[1]) - state[0]) / well]

    def caught_up(_time, state):
        return state[0] - pumped(state[1])

    caught_up.terminal, caught_up.direction = True, 1.0
    tight = {"method": "Radau", "rtol": 1e-10, "atol": 1e-12}
    run = solve_ivp(rates, (0.0, 7200.0), [0.0, 0.0], events=caught_up, **tight)
    found = well_start(Swing(lambda q: strength * q * q, pumped, length, pipe, well))
    assert found.fall == pytest.approx(run.y[1, -1], rel=1e-6)

    def half(_time, state):
        return state[1] - 0.5 * run.y[1, -1]

    half.terminal = True
    there = solve_ivp(rates, (0.0, 7200.0), [0.0, 0.0], events=half, **tight).t_events[0][0]
    swing = Swing(lambda q: strength * q * q, pumped, length, pipe, well)
    assert time_to_fall(swing, 0.5 * run.y[1, -1]) == pytest.approx(there, rel=1e-5)
