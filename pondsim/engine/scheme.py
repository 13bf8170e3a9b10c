"""The stabilised explicit Runge-Kutta-Chebyshev scheme of second order, RKC2.

Its real stability range grows with the square of the number of stages, so one scheme serves calm nights and
strong plumes alike: the number of stages follows the stiffness of the moment. It keeps linear invariants,
hence mass and uniform concentrations, exactly. Source: sommeijer1998.
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
    start: FloatArray  # (rows, stages) weight of the state at the step's start
    last: FloatArray  # of the stage before
    before: FloatArray  # of the one before that
    rate: FloatArray  # of the rates of the stage before, times the step
    start_rate: FloatArray  # of the rates at the start, times the step
    place: FloatArray  # time of each stage as a share of the step


def _chebyshev(stages: int, at: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Chebyshev polynomials 0 to `stages` and their first and second derivatives."""
    value, slope, curve = np.zeros((3, stages + 1))
    value[:2] = 1.0, at
    slope[1] = 1.0
    for j in range(2, stages + 1):
        value[j] = 2.0 * at * value[j - 1] - value[j - 2]
        slope[j] = 2.0 * value[j - 1] + 2.0 * at * slope[j - 1] - slope[j - 2]
        curve[j] = 4.0 * slope[j - 1] + 2.0 * at * curve[j - 1] - curve[j - 2]
    return value, slope, curve


def stage_coefficients(most: int = MOST_STAGES) -> Stages:
    """Coefficients of the scheme for every number of stages up to `most`."""
    tables = Stages(np.zeros(most + 1), *(np.zeros((most + 1, most + 1)) for _ in range(6)))
    for s in range(2, most + 1):
        w0 = 1.0 + DAMPING / s**2
        value, slope, curve = _chebyshev(s, w0)
        w1 = slope[s] / curve[s]
        b = np.empty(s + 1)
        b[2:] = curve[2:] / slope[2:] ** 2
        b[:2] = b[2]
        a = 1.0 - b * value
        tables.first[s] = b[1] * w1
        tables.place[s, 2:] = np.append(w1 * curve[2:] / slope[2:], np.zeros(most - s))
        tables.place[s, 1] = tables.place[s, 2] / slope[2]
        for j in range(2, s + 1):
            tables.last[s, j] = 2.0 * b[j] * w0 / b[j - 1]
            tables.before[s, j] = -b[j] / b[j - 2]
            tables.rate[s, j] = 2.0 * b[j] * w1 / b[j - 1]
            tables.start_rate[s, j] = -a[j - 1] * tables.rate[s, j]
            tables.start[s, j] = 1.0 - tables.last[s, j] - tables.before[s, j]
    return tables


@compiled_for_loop
def stages_for(step: float, fastest: float) -> int:
    """Stages that make a step stable for relative rates up to `fastest`."""
    return max(2, 1 + int(np.ceil(np.sqrt(1.0 + 1.54 * step * fastest))))


@compiled_for_loop
def longest_step(fastest: float) -> float:
    """Longest step that is stable with all the stages there are [s]."""
    return ((MOST_STAGES - 2.0) ** 2 - 1.0) / (1.54 * max(fastest, 1e-12))


@compiled_for_loop
def first_stage(
    stages: Stages, s: int, step: float, start: FloatArray, rates: FloatArray, out: FloatArray
) -> None:
    """State of stage 1."""
    weight = stages.first[s] * step
    for i in range(start.size):
        out[i] = start[i] + weight * rates[i]


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
) -> None:
    """State of stage j, written over `before`, the state two stages earlier."""
    c0, c1, c2 = stages.start[s, j], stages.last[s, j], stages.before[s, j]
    r1, r0 = stages.rate[s, j] * step, stages.start_rate[s, j] * step
    for i in range(start.size):
        before[i] = c0 * start[i] + c1 * last[i] + c2 * before[i] + r1 * rates[i] + r0 * start_rates[i]


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
