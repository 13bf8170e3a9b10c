"""What several loggers of one pond say together: errors that they share are counted once.

A run that is too poor in oxygen is so at every logger at a time. Loggers whose errors go together with a
correlation r are worth n / (1 + (n - 1) r) of them (Wigley, Briffa & Jones 1984, J. Clim. Appl. Meteorol.
23:201, from memory); for errors alike in all pairs that is exact for what moves all of them alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondsim.measures.scores import by_day

Array = np.ndarray[Any, Any]

LEAST_COMMON = 10  # days on which two must have been read, so that their correlation is measured


@dataclass(frozen=True, eq=False)
class Errors:
    """Errors of one series.

    Attributes
    ----------
    variable : quantity
    times : (n,) datetime64
    values : (members, n) computed less read of the members that come closest; NaN where nothing is compared
    memory : days that an error lasts
    """

    variable: str
    times: Array
    values: Array
    memory: float


def share_alone(correlations: Array) -> Array:
    """Share of itself that each series keeps: one over the sum of its correlations, its own 1 among them.

    Of n series alike in all pairs the shares add up to n / (1 + (n - 1) r).
    """
    return np.asarray(1.0 / np.sum(correlations, axis=1))


def correlations_of(series: Sequence[Errors]) -> Array:
    """How far the errors of series go together, from 0 to 1, as a matrix.

    Notes
    -----
    From daily means, about zero rather than about their mean, so that a bias that two series share counts;
    the median of the members. Two of one quantity: what is seen, not below 0, and 1 where they share fewer
    than ten days. Two of different quantities: its size, less what chance makes of so few independent days
    (the adjusted coefficient of determination), and 0 where they share too few.
    """
    count = len(series)
    first = min(one.times.min() for one in series).astype("M8[D]")
    last = max(one.times.max() for one in series).astype("M8[D]")
    days = np.arange(first, last + 1)
    means = [np.stack([by_day(one.times, row, days, "mean") for row in one.values]) for one in series]
    found = np.eye(count)
    for a in range(count):
        for b in range(a):
            found[a, b] = found[b, a] = _related(series[a], series[b], means[a], means[b])
    return found


def _related(one: Errors, other: Errors, first: Array, second: Array) -> float:
    both = np.isfinite(first) & np.isfinite(second)
    common = int(both.any(axis=0).sum())
    alike = one.variable == other.variable
    if common < LEAST_COMMON:
        return 1.0 if alike else 0.0
    x, y = (np.where(both, values, 0.0) for values in (first, second))
    below = np.sqrt(np.sum(x * x, axis=1) * np.sum(y * y, axis=1))
    seen = float(np.median(np.sum(x * y, axis=1) / np.maximum(below, 1e-300)))
    if alike:
        return max(seen, 0.0)
    facts = common / max(one.memory, other.memory)
    if facts <= 2.0:
        return 0.0
    return float(np.sqrt(max((seen * seen * facts - 1.0) / (facts - 1.0), 0.0)))
