"""Ordinary differential equations, stiff or not, up to a condition: extrapolated implicit Euler steps."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from pondsim.roots import root_between

Array = np.ndarray[Any, Any]
PARTS = (1, 2, 3, 4, 5, 6)  # Euler steps that make up a step, once more for each order
FIRST = 1e-4  # of the longest time: the first step
SHORTER, LONGER, CAUTION = 0.2, 3.0, 0.8  # bounds of the next step, as shares of this one


def march_until(
    rates: Callable[[Array], Array], start: Array, met: Callable[[Array], float], longest: float, error: float
) -> tuple[float, Array, bool]:
    """March from a state until `met` is no longer negative, or to the longest time.

    Parameters
    ----------
    rates : callable
        Of change of a state, per second.
    start : (n,) array
        State at time 0.
    met : callable
        A number that is negative at the start and rises through zero where the march ends.
    longest : float
        Time to march at most. [s]
    error : float
        Error allowed in a step, as a share of each part of the state and of 0.01 in its unit.

    Returns
    -------
    float, (n,) array, bool
        Time [s] and state at the end, and whether `met` rose to zero there.

    Notes
    -----
    Linearly implicit Euler steps with one matrix of slopes, extrapolated to sixth order: a line that settles
    in a second beside a well that takes an hour does not hold it up. Raises: nothing. Source: Deuflhard
    (1985), Recent progress in extrapolation methods for ordinary differential equations, SIAM Review 27
    (from memory). To import a library that has such a scheme takes longer than all wells of a design.
    """
    time, state, step = 0.0, start, FIRST * longest
    while time < longest:
        step = min(step, longest - time)
        slopes = _slopes(rates, state)
        ahead, off = _step(rates, state, slopes, step)
        worst = float(np.max(np.abs(off) / (error * (0.01 + np.abs(ahead)))))
        change = min(max(CAUTION * max(worst, 1e-9) ** (-1.0 / len(PARTS)), SHORTER), LONGER)
        if worst > 1.0:
            step *= change
            continue
        if met(ahead) >= 0.0:
            return _end(rates, state, slopes, met, time, step)
        time, state, step = time + step, ahead, step * change
    return time, state, False


def _end(
    rates: Callable[[Array], Array],
    state: Array,
    slopes: Array,
    met: Callable[[Array], float],
    time: float,
    step: float,
) -> tuple[float, Array, bool]:
    """Time and state within a step at which the condition is met."""
    if met(state) >= 0.0:
        return time, state, True
    last = root_between(lambda part: met(_step(rates, state, slopes, part)[0]), 0.0, step, 1e-9 * step)
    return time + last, _step(rates, state, slopes, last)[0], True


def _slopes(rates: Callable[[Array], Array], state: Array) -> Array:
    """How each rate changes with each part of the state; they need not be exact."""
    here, columns = rates(state), []
    for part in range(state.size):
        moved = state.copy()
        moved[part] += 1e-6 * (0.01 + abs(state[part]))
        columns.append((rates(moved) - here) / (moved[part] - state[part]))
    return np.stack(columns, axis=1)


def _step(rates: Callable[[Array], Array], state: Array, slopes: Array, length: float) -> tuple[Array, Array]:
    """State after a step, and by how much its last two orders differ."""
    rows: list[list[Array]] = []
    for parts in PARTS:
        short, here = length / parts, state
        implicit = short * np.linalg.inv(np.eye(state.size) - short * slopes)
        for _ in range(parts):
            here = here + implicit @ rates(here)
        row = [here]
        for back, before in enumerate(rows[-1] if rows else []):
            row.append(row[-1] + (row[-1] - before) / (parts / PARTS[len(rows) - back - 1] - 1.0))
        rows.append(row)
    return rows[-1][-1], rows[-1][-1] - rows[-1][-2]
