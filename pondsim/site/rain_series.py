"""Rain in even steps, and the storms in it."""

from __future__ import annotations

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


def rain_of_weather(series: WeatherSeries) -> RainSeries:
    """Rain that stands in a weather file: each value is the mean of the step around its time."""
    step = float(series.time[1] - series.time[0]) if series.time.size > 1 else HOUR
    return RainSeries(float(series.time[0]) - 0.5 * step, step, series.rain * step)
