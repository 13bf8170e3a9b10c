"""What aeration units do together: entries of one compressor for two seasons never run at one time."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import numpy as np

from pondsim.constants import DAY
from pondsim.scenario.settings import Scenario
from pondsim.site.timers import is_on, switch_times


def most_at_once(scenario: Scenario, values: list[float]) -> float:
    """Largest sum of the values of units that their timers run at one time, over a whole year."""
    runs, _ = _running(scenario)
    return float(np.max(runs.T @ np.array(values), initial=0.0)) if values else 0.0


def mean_of_fullest_day(scenario: Scenario, values: list[float]) -> float:
    """Mean over the day of the values of units while they run, on the day of the year where it is largest."""
    runs, edges = _running(scenario)
    if not values:
        return 0.0
    total = np.concatenate([[0.0], np.cumsum(np.diff(edges) * (runs.T @ np.array(values)))])
    days = np.arange(0.0, edges[-1] + 1.0, DAY)
    return float(np.max(np.diff(np.interp(days, edges, total)), initial=0.0)) / DAY


def _running(scenario: Scenario) -> tuple[np.ndarray, np.ndarray]:
    """Which units run between moments of a year, one row each; and the moments, midnights among them [s]."""
    year = scenario.period.start.year
    period = replace(scenario.period, start=datetime(year, 1, 1), end=datetime(year + 1, 1, 1))
    times = [switch_times(unit.hours, unit.season, period) for unit in scenario.aeration]
    length = (period.end - period.start).total_seconds()
    edges = np.unique(
        np.concatenate([np.arange(0.0, length + 1.0, DAY), *(t for pair in times for t in pair)])
    )
    middle = 0.5 * (edges[1:] + edges[:-1])
    return np.array([is_on(middle, on, off) for on, off in times], dtype=float), edges
