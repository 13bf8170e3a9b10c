"""Invented but reproducible storms that keep the rain and the number of storms of every month.

Each calendar year is drawn as a whole from the seed, so a day has the same rain whatever the period of the
run. Rain is drawn apart from the synthetic weather: the sky may be clear over a storm.
"""

from __future__ import annotations

import math
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from pondsim.scenario.settings import Period, SyntheticRain
from pondsim.site.rain_series import STORM_PAUSE, RainSeries

FloatArray = NDArray[np.float64]

DEPTH_SHAPE = 0.8  # of the gamma distribution of depths: many small storms, few great ones (judgement)
DEPTH_WITH_DURATION = 0.5  # depth goes with the duration to this power (judgement)
LEAST_SHARE = 0.05  # of the mean depth, that the smallest storm has
SHORTEST, LONGEST = 0.15, 3.0  # of the mean duration
PEAKED = 2.0  # exponent of the rise to the peak and the fall from it
FLICKER = 0.5  # standard deviation of the logarithm of each step's rain
STREAM = 7  # tells these draws from those of the weather with the same seed


def synthetic_rain(normals: SyntheticRain, period: Period) -> RainSeries:
    """Rain over the period.

    Parameters
    ----------
    normals : SyntheticRain
        Seed, monthly totals and numbers of storms.
    period : Period
        Limits of the run; the series begins at a full step at or before the start.

    Returns
    -------
    RainSeries
        Every whole month has its total to rounding, and its number of storms, parted by more than six dry
        hours. Where numbers have fractions the months are rounded so that the sum since January is right.

    Notes
    -----
    Depths are gamma distributed and go with the root of the duration; durations are exponential about their
    mean; every storm lies within its month. Shapes are judgement. Raises: nothing. Storms that find no room
    are shortened.
    """
    day = datetime(period.start.year, 1, 1)
    parts = [_one_year(normals, year) for year in range(period.start.year, period.end.year + 1)]
    depth, step = np.concatenate(parts), normals.step
    skip = int((period.start - day).total_seconds() / step)
    count = math.ceil((period.end - day).total_seconds() / step) - skip
    first = skip * step - (period.start - day).total_seconds()
    return RainSeries(first, step, depth[skip : skip + count])


def _one_year(normals: SyntheticRain, year: int) -> FloatArray:
    """Rain of each step of a calendar year."""
    counts = np.diff(np.rint(np.cumsum([0.0, *normals.storms]) + 1e-9)).astype(int)
    parts = []
    for month in range(12):
        draw = np.random.Generator(np.random.PCG64([STREAM, normals.seed, year, month]))
        begin, end = datetime(year, month + 1, 1), datetime(year + month // 11, (month + 1) % 12 + 1, 1)
        steps = round((end - begin).total_seconds() / normals.step)
        # a month with rain has a storm, however few the year has
        storms = max(int(counts[month]), 1 if normals.total[month] > 0.0 else 0)
        parts.append(_one_month(draw, steps, normals, month, storms))
    return np.concatenate(parts)


def _one_month(
    draw: np.random.Generator, steps: int, normals: SyntheticRain, month: int, storms: int
) -> FloatArray:
    rain = np.zeros(steps)
    total, mean = normals.total[month], normals.duration[month]
    if storms == 0 or total <= 0.0:
        return rain
    pause = int(STORM_PAUSE / normals.step) + 1  # steps, longer than the dry time that parts storms
    span = np.clip(draw.exponential(1.0, storms), SHORTEST, LONGEST)
    share = draw.gamma(DEPTH_SHAPE, 1.0, storms) * span**DEPTH_WITH_DURATION
    share = LEAST_SHARE / storms + (1.0 - LEAST_SHARE) * share / np.sum(share)
    length = np.maximum(np.rint(span * mean / normals.step), 1.0).astype(int)
    room = steps - storms * pause
    if length.sum() > room:
        length = np.maximum((length * (room / length.sum())).astype(int), 1)
    free = np.sort(draw.integers(0, max(room - int(length.sum()), 0) + 1, storms))
    before = np.concatenate([[0], np.cumsum(length[:-1])])
    begin = free + before + pause * np.arange(storms)
    for place in range(storms):
        rain[begin[place] : begin[place] + length[place]] = _course(draw, int(length[place])) * share[place]
    return rain * (total / np.sum(rain))


def _course(draw: np.random.Generator, steps: int) -> FloatArray:
    """Rain of each step of one storm, adding up to 1: up to a peak somewhere, and down, never dry between."""
    peak = draw.uniform(0.1, 0.9)
    middle = (np.arange(steps) + 0.5) / steps
    height = np.where(middle < peak, middle / peak, (1.0 - middle) / (1.0 - peak)) ** PEAKED
    height = (0.05 + height) * np.exp(FLICKER * draw.standard_normal(steps))
    return height / np.sum(height)
