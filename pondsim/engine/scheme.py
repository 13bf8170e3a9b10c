"""The stabilised explicit Runge-Kutta-Chebyshev scheme of second order, RKC2.

Its real stability range grows with the square of the number of stages, so one scheme serves calm nights and
strong plumes alike: the number of stages follows the stiffness of the moment. It keeps linear invariants,
hence mass and uniform concentrations, exactly. The weights of a stage add up to 1, so the stages are computed
as changes since the step's start: rounding is then that of the changes, not of the amounts, which the
recursion would magnify. Source: sommeijer1998.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop

FloatArray = NDArray[np.float64]

MOST_STAGES = 200
DAMPING = 2.0 / 13.0
SAFETY = 0.65
GROWTH, SHRINK = 5.0, 0.1  # limits of the change of step


@dataclass(frozen=True, eq=False)
class Stages(Bundle):
    """Coefficients for 2 to MOST_STAGES stages; row s holds those of s stages, column j those of stage j."""

    first: FloatArray  # (rows,) weight of the first stage
    last: FloatArray  # (rows, stages) weight of the change of the stage before
    before: FloatArray  # of that of the one before
    rate: FloatArray  # of the rates of the stage before, times the step
    start_rate: FloatArray  # of the rates at the start, times the step
    place: FloatArray  # time of each stage as a share of the step


def _chebyshev(most: int, at: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Chebyshev polynomials 0 to `most` and their first two derivatives: a row for each value of `at`."""
    value, slope, curve = np.zeros((3, at.size, most + 1))
    value[:, 0], value[:, 1] = 1.0, at
    slope[:, 1] = 1.0
    for j in range(2, most + 1):
        value[:, j] = 2.0 * at * value[:, j - 1] - value[:, j - 2]
        slope[:, j] = 2.0 * value[:, j - 1] + 2.0 * at * slope[:, j - 1] - slope[:, j - 2]
        curve[:, j] = 4.0 * slope[:, j - 1] + 2.0 * at * curve[:, j - 1] - curve[:, j - 2]
    return value, slope, curve


def stage_coefficients(most: int = MOST_STAGES) -> Stages:
    """Coefficients of the scheme for every number of stages up to `most`."""
    tables = Stages(np.zeros(most + 1), *(np.zeros((most + 1, most + 1)) for _ in range(5)))
    stages = np.arange(2, most + 1)
    w0 = 1.0 + DAMPING / stages**2
    value, slope, curve = _chebyshev(most, w0)
    own = np.arange(stages.size), stages
    w0, w1 = w0[:, None], (slope[own] / curve[own])[:, None]
    b = np.empty(value.shape)
    b[:, 2:] = curve[:, 2:] / slope[:, 2:] ** 2
    b[:, 0] = b[:, 1] = b[:, 2]
    a = 1.0 - b * value
    rows = slice(2, None)
    there = np.arange(most + 1) <= stages[:, None]  # stages a row has
    tables.first[rows] = b[:, 1] * w1[:, 0]
    tables.place[rows, 2:] = w1 * curve[:, 2:] / slope[:, 2:]
    tables.place[rows, 1] = tables.place[rows, 2] / slope[:, 2]
    last, before = b[:, 1:-1], b[:, :-2]
    tables.last[rows, 2:] = 2.0 * b[:, 2:] * w0 / last
    tables.before[rows, 2:] = -b[:, 2:] / before
    tables.rate[rows, 2:] = 2.0 * b[:, 2:] * w1 / last
    tables.start_rate[rows, 2:] = -a[:, 1:-1] * tables.rate[rows, 2:]
    for table in (tables.place, tables.last, tables.before, tables.rate, tables.start_rate):
        table[rows] *= there
    return tables


@compiled_for_loop
def stages_for(step: float, fastest: float) -> int:
    """Stages that make a step stable for relative rates up to `fastest`."""
    return max(2, 1 + int(np.sqrt(1.0 + 1.54 * step * fastest)))


@compiled_for_loop
def longest_step(fastest: float) -> float:
    """Longest step that is stable with all the stages there are [s]."""
    return ((MOST_STAGES - 2.0) ** 2 - 1.0) / (1.54 * max(fastest, 1e-12))


@compiled_for_loop
def first_stage(
    stages: Stages,
    s: int,
    step: float,
    start: FloatArray,
    rates: FloatArray,
    out: FloatArray,
    state: FloatArray,
) -> None:
    """Change and state of stage 1."""
    weight = stages.first[s] * step
    for i in range(start.size):
        out[i] = weight * rates[i]
        state[i] = start[i] + out[i]


@compiled_for_loop
def next_stage(
    stages: Stages,
    s: int,
    j: int,
    step: float,
    start: FloatArray,
    start_rates: FloatArray,
    last: FloatArray,
    rates: FloatArray,
    before: FloatArray,
    state: FloatArray,
) -> None:
    """Change of stage j, written over `before`, that of two stages earlier, and its state.

    `last` is the change of the stage before and `rates` are those at its state.
    """
    c1, c2 = stages.last[s, j], stages.before[s, j]
    r1, r0 = stages.rate[s, j] * step, stages.start_rate[s, j] * step
    for i in range(start.size):
        before[i] = c1 * last[i] + c2 * before[i] + r1 * rates[i] + r0 * start_rates[i]
        state[i] = start[i] + before[i]


@compiled_for_loop
def error_estimate(
    step: float,
    start: FloatArray,
    start_rates: FloatArray,
    end: FloatArray,
    end_rates: FloatArray,
    out: FloatArray,
) -> None:
    """Estimate of the local error."""
    for i in range(out.size):
        out[i] = 0.8 * (start[i] - end[i]) + 0.4 * step * (start_rates[i] + end_rates[i])


@compiled_for_loop
def step_factor(error: float, last_error: float, step: float, last_step: float) -> float:
    """Factor from this step to the next; `error` is relative to what is allowed.

    After an accepted step (`last_error` > 0) the trend of the error counts too.
    """
    small = max(error, 1e-12)
    factor = small ** (-1.0 / 3.0)
    if last_error > 0.0:
        trend = step / last_step * max(last_error, 1e-12) ** (1.0 / 3.0) / small ** (2.0 / 3.0)
        factor = min(factor, trend)
    return min(max(SAFETY * factor, SHRINK), GROWTH)
