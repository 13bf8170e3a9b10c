"""The root of a function between two ends: Brent's method."""

from __future__ import annotations

import math
from collections.abc import Callable

MOST_ROUNDS = 100


def root_between(
    function: Callable[[float], float], low: float, high: float, within: float = 2e-12, share: float = 8.9e-16
) -> float:
    """Where a function that changes its sign between two ends is zero.

    Parameters
    ----------
    function : callable
        Continuous.
    low, high : float
        The ends, at which its values have different signs, or one is zero.
    within, share : float
        Error allowed, and error allowed as a share of the root.

    Notes
    -----
    Raises: ValueError where both ends have the same sign. Inverse quadratic interpolation, or a secant,
    where it closes in faster than halving does. Source: Brent (1973), Algorithms for minimization without
    derivatives, chapter 4 (from memory). To import a library that has it would take longer than all roots
    of a season.
    """
    before, here = low, high
    f_before, f_here = function(before), function(here)
    if f_before == 0.0:
        return before
    if f_here == 0.0:
        return here
    if (f_before < 0.0) == (f_here < 0.0):
        raise ValueError(f"no change of sign between {low} and {high}")
    other, f_other, last, step = before, f_before, here - before, here - before
    for _ in range(MOST_ROUNDS):
        if f_before != 0.0 and f_here != 0.0 and (f_before < 0.0) != (f_here < 0.0):
            other, f_other = before, f_before
            last = step = here - before
        if abs(f_other) < abs(f_here):
            before, here, other = here, other, here
            f_before, f_here, f_other = f_here, f_other, f_here
        allowed = 0.5 * (within + share * abs(here))
        half = 0.5 * (other - here)
        if f_here == 0.0 or abs(half) < allowed:
            return here
        last, step = _next_step((before, f_before), (here, f_here), (other, f_other), last, step, allowed)
        before, f_before = here, f_here
        here += step if abs(step) > allowed else math.copysign(allowed, half)
        f_here = function(here)
    return here


Point = tuple[float, float]


def _next_step(
    before: Point, here: Point, other: Point, last: float, step: float, allowed: float
) -> tuple[float, float]:
    """The step that was, and the next: interpolated, or half the way to the other end."""
    (x0, f0), (x1, f1), (x2, f2) = before, here, other
    half = 0.5 * (x2 - x1)
    if abs(last) <= allowed or abs(f1) >= abs(f0):
        return half, half
    if x0 == x2:
        tried = -f1 * (x1 - x0) / (f1 - f0)
    else:
        slope0, slope2 = (f0 - f1) / (x0 - x1), (f2 - f1) / (x2 - x1)
        tried = -f1 * (f2 * slope2 - f0 * slope0) / (slope2 * slope0 * (f2 - f0))
    if 2.0 * abs(tried) < min(abs(last), 3.0 * abs(half) - allowed):
        return step, tried
    return half, half
