"""The time-stepping scheme against its published properties: Sommeijer, Shampine and Verwer 1998."""

import numpy as np
import pytest

from pondsim.engine.loop import part_end
from pondsim.engine.scheme import (
    error_estimate,
    first_stage,
    longest_step,
    next_stage,
    stage_coefficients,
    stages_for,
    step_factor,
)

STAGES = stage_coefficients()
NUMBERS = [2, 3, 5, 10, 33, 120]


def one_step(slope, time, y, step, number):
    """The scheme applied to any slope(time, y)."""
    start = np.atleast_1d(np.array(y, dtype=float))
    rates = np.asarray(slope(time, start), dtype=float)
    last, before, state = np.zeros_like(start), np.zeros_like(start), np.empty_like(start)
    first_stage(STAGES, number, step, start, rates, last, state)
    for j in range(2, number + 1):
        f = np.asarray(slope(time + STAGES.place[number, j - 1] * step, state), dtype=float)
        next_stage(STAGES, number, j, step, start, rates, last, f, before, state)
        last, before = before, last
    return state


@pytest.mark.parametrize("number", NUMBERS)
def test_stability_polynomial_is_of_second_order(number):
    """P(z) = 1 + z + z^2/2 + O(z^3)."""
    for z in (1e-2, -1e-2, 5e-3):
        grown = one_step(lambda _, y: y, 0.0, 1.0, z, number)[0]
        assert grown == pytest.approx(1.0 + z + z * z / 2.0, abs=0.2 * abs(z) ** 3)


@pytest.mark.parametrize("number", NUMBERS)
def test_stability_polynomial_is_the_published_one(number):
    """P(z) = a + b T_s(w0 + w1 z), w0 = 1 + 2/(13 s^2), w1 = T'/T'', b = T''/T'^2, a = 1 - b T_s(w0)."""
    chebyshev = np.polynomial.chebyshev.Chebyshev.basis(number)
    w0 = 1.0 + 2.0 / 13.0 / number**2
    w1 = chebyshev.deriv(1)(w0) / chebyshev.deriv(2)(w0)
    b = chebyshev.deriv(2)(w0) / chebyshev.deriv(1)(w0) ** 2
    reach = 2.0 / 3.0 * (number**2 - 1.0) * (1.0 - 2.0 / 15.0 * 2.0 / 13.0)
    for z in np.linspace(-reach, 0.0, 23):
        wanted = 1.0 - b * chebyshev(w0) + b * chebyshev(w0 + w1 * z)
        assert one_step(lambda _, y, z=z: z * y, 0.0, 1.0, 1.0, number)[0] == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("number", NUMBERS)
def test_scheme_is_stable_over_its_published_range(number):
    """|P| <= 1 on [-beta, 0], beta = 2/3 (s^2 - 1)(1 - 2/15 eps), and below 1 inside: damped by some 2/3."""
    reach = 2.0 / 3.0 * (number**2 - 1.0) * (1.0 - 2.0 / 15.0 * 2.0 / 13.0)
    grown = [
        abs(one_step(lambda _, y, z=z: z * y, 0.0, 1.0, 1.0, number)[0]) for z in np.linspace(-reach, 0, 400)
    ]
    assert max(grown) <= 1.0 + 1e-9
    assert max(grown[5:350]) < 0.999


@pytest.mark.parametrize("fastest", [1e-6, 1e-3, 0.1])
@pytest.mark.parametrize("step", [1.0, 60.0, 900.0])
def test_enough_stages_are_taken(step, fastest):
    """Published: 1 + sqrt(1 + 1.54 h rho) stages are stable for a spectral radius rho."""
    step = min(step, longest_step(fastest))
    number = stages_for(step, fastest)
    assert 2 <= number < STAGES.first.size
    assert 2.0 / 3.0 * (number**2 - 1.0) * (1.0 - 2.0 / 15.0 * 2.0 / 13.0) >= step * fastest


@pytest.mark.parametrize("number", [2, 4, 9])
def test_error_falls_fourfold_as_the_step_halves(number):
    """Order two in the solution, for y' = -y^2 + cos t, against steps 64 times finer."""

    def slope(t, y):
        return -y * y + np.cos(t)

    def end(count):
        y, step = np.array([0.5]), 2.0 / count
        for i in range(count):
            y = one_step(slope, i * step, y, step, number)
        return y[0]

    exact = end(2560)
    errors = [abs(end(count) - exact) for count in (20, 40, 80)]
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.15)
    assert errors[1] / errors[2] == pytest.approx(4.0, rel=0.15)


@pytest.mark.parametrize("number", [2, 7, 50])
def test_sums_are_kept_exactly(number):
    """What one box loses another gains: the sum of exchanging boxes is kept to rounding."""
    start = np.array([3.0, 0.5, 11.0])
    exchange = np.array([[-0.3, 0.1, 0.0], [0.3, -0.9, 0.4], [0.0, 0.8, -0.4]])
    end = one_step(lambda _, y: exchange @ y, 0.0, start, 1.0, number)
    assert end.sum() == pytest.approx(14.5, rel=1e-14)


def test_rounding_is_that_of_the_changes():
    """A thousand tons to which a gram comes: 100 steps of 100 stages leave one rounding each."""
    y, step, number = np.array([1e6]), 1.0, 100
    for i in range(100):
        y = one_step(lambda _, y: 1e-5 * np.ones_like(y), i * step, y, step, number)
    assert abs(y[0] - (1e6 + 1e-3)) <= 100 * 0.5 * np.spacing(1e6)


def test_error_estimate_is_the_published_one():
    """Est = (12 (y0 - y1) + 6 h (f0 + f1))/15: nothing for a parabola, -h^3/15 y''' for a cubic."""
    h, out = 0.5, np.zeros(1)
    for power, wanted in ((1, 0.0), (2, 0.0), (3, 0.4 * 3.0 * h**3 - 0.8 * h**3)):
        error_estimate(
            h,
            np.zeros(1),
            np.array([1.0 if power == 1 else 0.0]),
            np.array([h**power]),
            np.array([power * h ** (power - 1)]),
            out,
        )
        assert out[0] == pytest.approx(wanted, abs=1e-14)


def test_step_grows_and_shrinks_within_limits():
    """As error^(-1/3), with a margin, not above 5 and not below a tenth; a rising error shortens the next."""
    assert step_factor(0.1, 0.0, 1.0, 1.0) / step_factor(0.8, 0.0, 1.0, 1.0) == pytest.approx(2.0, rel=1e-12)
    assert step_factor(1.0, 0.0, 1.0, 1.0) < 1.0
    assert step_factor(1e-9, 0.0, 1.0, 1.0) == 5.0
    assert step_factor(1e6, 0.0, 1.0, 1.0) == pytest.approx(0.1)
    assert step_factor(0.5, 0.05, 1.0, 1.0) < step_factor(0.5, 0.5, 1.0, 1.0)


@pytest.mark.parametrize("planned", [0.1, 1.0 / 3.0, 128.0, 900.0 * (1.0 - 1e-15), 899.0])
def test_parts_of_a_step_leave_no_sliver(planned):
    """What rounding leaves would be a part of 1e-11 s: volumes that drifted, made good in it, are a flood."""
    time, end = 83388.1452398302, 83388.1452398302 + 900.0
    while time < end:
        until = part_end(time, end, planned)
        assert until - time >= 0.99 * min(planned, end - time)
        assert until - time <= 1.011 * planned
        time = until
    assert time == end
