"""Rain in even steps, and the storms in it."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import HOUR
from pondsim.records import Record
from pondsim.site.series import WeatherSeries

FloatArray = NDArray[np.float64]

STORM_PAUSE = 6.0 * HOUR  # s, dry time that parts two storms (common practice)


class RainSeries(NamedTuple):
    """Rain fallen in even steps.

    Attributes
    ----------
    first : beginning of the first step, seconds since the start of the period. [s]
    step : length of each. [s]
    depth : fallen in each. [m]
    records : what was taken as dry
    """

    first: float
    step: float
    depth: FloatArray
    records: tuple[Record, ...] = ()


class Storm(NamedTuple):
    """One storm of a series.

    Attributes
    ----------
    begin, end : first wet step, and the step after the last wet one
    depth : fallen. [m]
    """

    begin: int
    end: int
    depth: float


def storms_of(rain: RainSeries, pause: float = STORM_PAUSE) -> list[Storm]:
    """Storms of a series: rain parted by dry spells longer than `pause`. [s]"""
    wet = np.flatnonzero(rain.depth > 0.0)
    if not wet.size:
        return []
    parts = np.split(wet, np.flatnonzero((np.diff(wet) - 1) * rain.step > pause) + 1)
    return [
        Storm(int(part[0]), int(part[-1]) + 1, float(np.sum(rain.depth[part[0] : part[-1] + 1])))
        for part in parts
    ]


def followed_by(early: RainSeries, storm: RainSeries, until: float) -> RainSeries:
    """Rain of one series up to a moment, and of another one, such as a design storm, from then on.

    Parameters
    ----------
    early, storm : RainSeries
        Their steps are cut to the longest that divides both; whole seconds.
    until : float
        Seconds since the start of the period.

    Returns
    -------
    RainSeries
        Depths before `until` are those of `early`; a step that it cuts counts by its share.
    """
    starts = (early.first, storm.first, until)
    step = math.gcd(*(round(abs(one)) for one in (early.step, storm.step, *np.diff(starts))))
    first = min(early.first, storm.first)
    end = max(one.first + one.step * one.depth.size for one in (early, storm))
    edges = first + step * np.arange(math.ceil((end - first) / step - 1e-9) + 1)
    fallen = np.zeros(edges.size)
    for one, last in ((early, until), (storm, math.inf)):
        total = np.concatenate([[0.0], np.cumsum(one.depth)])
        own = one.first + one.step * np.arange(total.size)
        fallen += np.interp(np.minimum(edges, last), own, total)
    return RainSeries(first, float(step), np.diff(fallen), early.records)


def rain_of_weather(series: WeatherSeries) -> RainSeries:
    """Rain that stands in a weather file: each value is the mean of the step around its time."""
    step = float(series.time[1] - series.time[0]) if series.time.size > 1 else HOUR
    return RainSeries(float(series.time[0]) - 0.5 * step, step, series.rain * step)
