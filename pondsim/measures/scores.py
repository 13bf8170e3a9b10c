"""How well one series tells another: scores, naive rivals, windows of days; pure functions of arrays.

Where two series are compared, places at which either is missing (NaN) do not count.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

Array = np.ndarray[Any, Any]

READINGS_OF_A_DAY = 0.9  # share that a day must hold to count (common practice, no source)
BEFORE_DAWN = (2.0, 8.0)  # h between which none may be missing (common practice, no source)
LEAST_SWING = 0.3  # mg/L or degC, half the range of a daily wave whose timing means something (judgement)


def _both(read: Array, computed: Array) -> tuple[Array, Array]:
    read, computed = np.asarray(read, dtype=float), np.asarray(computed, dtype=float)
    there = np.isfinite(read) & np.isfinite(computed)
    return read[there], computed[there]


def bias(read: Array, computed: Array) -> float:
    """Mean of computed less read; NaN where nothing is shared. [unit of the series]"""
    a, b = _both(read, computed)
    return float(np.mean(b - a)) if a.size else math.nan


def rmse(read: Array, computed: Array) -> float:
    """Root of the mean square difference; NaN where nothing is shared. [unit of the series]"""
    a, b = _both(read, computed)
    return float(np.sqrt(np.mean((b - a) ** 2))) if a.size else math.nan


def nash_sutcliffe(read: Array, computed: Array) -> float:
    """1 less the mean square error over the variance of the readings: 1 is perfect, 0 as good as their mean.

    NaN where the readings do not vary. Source: nash1970 (from memory, not verified).
    """
    a, b = _both(read, computed)
    spread = float(np.sum((a - np.mean(a)) ** 2)) if a.size else 0.0
    return 1.0 - float(np.sum((b - a) ** 2)) / spread if spread > 0.0 else math.nan


def kling_gupta(read: Array, computed: Array) -> float:
    """1 less the distance of correlation, ratio of spreads and ratio of means from 1.

    The readings' own mean scores 1 - sqrt 2, not 0 (knoben2019): a constant series has r = 0. NaN where the
    readings do not vary or their mean is 0. Source: gupta2009.
    """
    a, b = _both(read, computed)
    if a.size < 2 or np.std(a) == 0.0 or np.mean(a) == 0.0:
        return math.nan
    r = float(np.corrcoef(a, b)[0, 1]) if np.std(b) > 0.0 else 0.0
    spread, level = float(np.std(b) / np.std(a)), float(np.mean(b) / np.mean(a))
    return 1.0 - math.sqrt((r - 1.0) ** 2 + (spread - 1.0) ** 2 + (level - 1.0) ** 2)


def share_below(values: Array, limit: float) -> float:
    """Share of readings below a limit; one equal to it meets it. NaN where there are none. [1]"""
    values = np.asarray(values, dtype=float)
    there = values[np.isfinite(values)]
    return float(np.mean(there < limit)) if there.size else math.nan


def window_means(daily: Array, days: int, need: int) -> Array:
    """Means over every `days` days in a row; NaN where fewer than `need` of them have a value.

    Parameters
    ----------
    daily : (n,) array
        A value a day, NaN where missing: days are not filled.
    days, need : int
        Length of a window, and daily values it must hold.

    Returns
    -------
    (n - days + 1,) array
        By the first day of the window; empty where n < days.
    """
    daily = np.asarray(daily, dtype=float)
    if daily.size < days:
        return np.empty(0)
    windows = np.lib.stride_tricks.sliding_window_view(daily, days)
    held = np.sum(np.isfinite(windows), axis=1)
    sums = np.nansum(windows, axis=1)
    return np.where(held >= max(need, 1), sums / np.maximum(held, 1), np.nan)


def day_numbers(times: Array) -> tuple[Array, Array]:
    """Every day from the first to the last of the times, and the place of each time among them."""
    dates = np.asarray(times).astype("datetime64[D]")
    days = np.arange(dates.min(), dates.max() + 1) if dates.size else dates
    return days, (dates - days[0]).astype(int) if dates.size else np.empty(0, dtype=int)


def complete_days(times: Array, values: Array, step: float) -> tuple[Array, Array]:
    """Days of a logger whose minimum is one: 90 % of the readings, and none missing from 02:00 to 08:00.

    Parameters
    ----------
    times : (n,) datetime64 array
        Local standard time, rising.
    values : (n,) array
        NaN where missing or left out.
    step : float
        Time between readings. [h]

    Returns
    -------
    days : (d,) datetime64[D] array
        Every day from the first to the last.
    complete : (d,) boolean array
        Common practice, no source.
    """
    days, place = day_numbers(times)
    there = np.isfinite(values)
    hour = (times - times.astype("datetime64[D]")) / np.timedelta64(1, "s") / 3600.0
    early = there & (hour >= BEFORE_DAWN[0]) & (hour <= BEFORE_DAWN[1])
    count = np.bincount(place[there], minlength=days.size)
    before_dawn = np.bincount(place[early], minlength=days.size)
    wanted = math.floor((BEFORE_DAWN[1] - BEFORE_DAWN[0]) / step + 1e-6)
    return days, (count >= READINGS_OF_A_DAY * 24.0 / step - 1e-6) & (before_dawn >= wanted)


def by_day(times: Array, values: Array, days: Array, what: str) -> Array:
    """Minimum ("min"), "max" or "mean" of each of the days, NaN where a day has no value."""
    found = np.full(days.size, np.nan)
    place = (times.astype("datetime64[D]") - days[0]).astype(int) if days.size else np.empty(0, dtype=int)
    there = np.isfinite(values) & (place >= 0) & (place < days.size)
    if what == "mean":
        count = np.bincount(place[there], minlength=days.size)
        sums = np.bincount(place[there], values[there], minlength=days.size)
        return np.where(count > 0, sums / np.maximum(count, 1), np.nan)
    reduce = np.fmin if what == "min" else np.fmax
    reduce.at(found, place[there], values[there])
    return found


def same_hour_yesterday(times: Array, values: Array, step: float) -> Array:
    """The reading of the same hour of the day before, by a straight line over at most two steps; else NaN.

    Arguments as of `complete_days`.
    """
    there = np.isfinite(values)
    at = (times - times[0]) / np.timedelta64(1, "s") / 3600.0
    found = np.full(values.size, np.nan)
    if there.sum() < 2:
        return found
    known, value = at[there], values[there]
    wanted = at - 24.0
    after = np.clip(np.searchsorted(known, wanted - 1e-6), 1, known.size - 1)
    near = (wanted >= known[0] - 1e-6) & (known[after] - known[after - 1] <= 2.0 * step + 1e-6)
    found[near] = np.interp(wanted[near], known, value)
    return found


def mean_day(times: Array, values: Array) -> Array:
    """At each time the mean of the readings of that hour on all other days; NaN where there is none."""
    hour = ((times - times.astype("datetime64[D]")) / np.timedelta64(1, "h")).astype(int)
    _, day = day_numbers(times)
    there = np.isfinite(values)
    of_hour = np.bincount(hour[there], values[there], minlength=24)
    counts = np.bincount(hour[there], minlength=24)
    cell = day * 24 + hour
    own = np.bincount(cell[there], values[there], minlength=cell.max(initial=0) + 1)
    own_count = np.bincount(cell[there], minlength=cell.max(initial=0) + 1)
    left = counts[hour] - own_count[cell]
    return np.where(left > 0, (of_hour[hour] - own[cell]) / np.maximum(left, 1), np.nan)


def daily_wave(times: Array, values: Array) -> tuple[float, float]:
    """Hour of the peak and half the range of the wave of 24 h that fits a series less its daily means.

    NaN where there are fewer than two days or eight values.
    """
    there = np.isfinite(values)
    if there.sum() < 8:
        return math.nan, math.nan
    days, place = day_numbers(times[there])
    if days.size < 2:
        return math.nan, math.nan
    own = values[there]
    count = np.bincount(place, minlength=days.size)
    means = np.bincount(place, own, minlength=days.size) / np.maximum(count, 1)
    moment = times[there] - times[there].astype("datetime64[D]")
    angle = 2.0 * np.pi * (moment / np.timedelta64(1, "s")) / 86400.0
    waves = np.stack([np.cos(angle), np.sin(angle), np.ones_like(angle)], axis=1)
    (along, across, _), *_ = np.linalg.lstsq(waves, own - means[place], rcond=None)
    peak = math.atan2(across, along) / (2.0 * math.pi) * 24.0 % 24.0
    return peak, math.hypot(along, across)


def hours_late(times: Array, read: Array, computed: Array) -> float:
    """By how much the computed daily wave comes later, -12 to 12 h; NaN where one is too small to tell."""
    there = np.isfinite(read) & np.isfinite(computed)
    ours, swing = daily_wave(times, np.where(there, read, np.nan))
    theirs, other = daily_wave(times, np.where(there, computed, np.nan))
    if not min(swing, other) >= LEAST_SWING:
        return math.nan
    return (theirs - ours + 12.0) % 24.0 - 12.0
