"""What aeration units do together: entries of one compressor for two seasons never run at one time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

import numpy as np

from pondsim.constants import DAY
from pondsim.scenario.settings import Aeration, Period
from pondsim.site.timers import is_on, switch_times


def most_at_once(units: Sequence[Aeration], period: Period, values: Sequence[float]) -> float:
    """Largest sum of the values of units that their timers run at one time, over a whole year."""
    if not units:
        return 0.0
    runs, _ = _running(units, period)
    return float(np.max(runs.T @ np.array(values, dtype=float), initial=0.0))


def mean_of_fullest_day(units: Sequence[Aeration], period: Period, values: Sequence[float]) -> float:
    """Mean over the day of the values of units while they run, on the day of the year where it is largest."""
    if not units:
        return 0.0
    runs, edges = _running(units, period)
    together = runs.T @ np.array(values, dtype=float)
    total = np.concatenate([[0.0], np.cumsum(np.diff(edges) * together)])
    days = np.arange(0.0, edges[-1] + 1.0, DAY)
    return float(np.max(np.diff(np.interp(days, edges, total)), initial=0.0)) / DAY


def _running(units: Sequence[Aeration], period: Period) -> tuple[np.ndarray, np.ndarray]:
    """Which units run between moments of a year, one row each; and the moments, midnights among them [s]."""
    year = period.start.year
    whole = replace(period, start=datetime(year, 1, 1), end=datetime(year + 1, 1, 1))
    times = [switch_times(unit.hours, unit.season, whole) for unit in units]
    length = (whole.end - whole.start).total_seconds()
    switched = [moments for pair in times for moments in pair]
    edges = np.unique(np.concatenate([np.arange(0.0, length + 1.0, DAY), *switched]))
    middle = 0.5 * (edges[1:] + edges[:-1])
    return np.array([is_on(middle, on, off) for on, off in times], dtype=float), edges
