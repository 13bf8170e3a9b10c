"""Timers of pumps and air sources: clock hours and seasons -> moments of switching."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import DAY
from pondsim.scenario.settings import Period, Seasons, Spans, in_season

FloatArray = NDArray[np.float64]

ALL_DAY: Spans = ((0.0, DAY),)


def switch_times(hours: Spans, season: Seasons, period: Period) -> tuple[FloatArray, FloatArray]:
    """Moments at which a timer switches on and off.

    A span belongs to the day it begins on: the night that begins on the last day of the season is run to
    its end, and the small hours of the first day belong to the evening before, when the timer was off.

    Parameters
    ----------
    hours : tuple of (start, end)
        Seconds after midnight; an end above 86400 lies on the next day. Empty: all day.
    season : tuple of (month, day, month, day)
        First and last day, both included. Empty: all year.
    period : Period
        Limits of the run.

    Returns
    -------
    on, off : (n,) arrays
        Seconds since the start of the period, rising, one pair per run; spans that touch or overlap are one
        run. Runs are cut at the limits of the period, so the last `off` may be its end. [s]

    Notes
    -----
    Valid: each span shorter than two days. Raises: nothing.
    """
    length = (period.end - period.start).total_seconds()
    midnight = period.start.replace(hour=0, minute=0, second=0, microsecond=0) - timedelta(days=2)
    runs: list[tuple[float, float]] = []
    while midnight < period.end:
        if in_season(midnight, season):
            since_start = (midnight - period.start).total_seconds()
            runs += [(since_start + begin, since_start + end) for begin, end in hours or ALL_DAY]
        midnight += timedelta(days=1)
    merged = _merge([(max(on, 0.0), min(off, length)) for on, off in runs if on < length and off > 0.0])
    return np.array([on for on, _ in merged]), np.array([off for _, off in merged])


def _merge(runs: list[tuple[float, float]]) -> list[tuple[float, float]]:
    merged: list[tuple[float, float]] = []
    for on, off in sorted(runs):
        if merged and on <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(off, merged[-1][1]))
        elif off > on:
            merged.append((on, off))
    return merged


def is_on(time: float | FloatArray, on: FloatArray, off: FloatArray) -> np.bool_ | NDArray[np.bool_]:
    """Whether the timer is on: from each moment in `on`, up to but without the matching one in `off`.

    Parameters
    ----------
    time : float or (m,) array
        Seconds since the start of the period. [s]
    on, off : (n,) arrays
        As returned by `switch_times`. [s]
    """
    return np.searchsorted(on, time, side="right") > np.searchsorted(off, time, side="right")
