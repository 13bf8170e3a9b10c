"""Numbers of a time series: hours below, longest run below, days, rolling means, minima at dawn.

A series has time as its first dimension; what follows (zones, or nothing) is carried along. Between two
values it is taken as a straight line, so that a count of hours does not jump by whole steps.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

Array = np.ndarray[Any, Any]

BEFORE_SUNRISE = 2.0  # h, dawn begins
AFTER_SUNRISE = 3.0  # h, dawn ends: production takes a while to outweigh respiration
FINE = 0.26  # h between results; further apart they flatten the peak of a storm (judgement)


def step_hours(times: Array) -> float:
    """Time between results. [h]"""
    if len(times) < 2:
        return float("nan")
    return float(np.median(np.diff(times) / np.timedelta64(1, "s"))) / 3600.0


def peak_words(step: float) -> str:
    """The highest of mean flows over steps so long [h]: no peak where a step flattens it."""
    if not step > FINE:
        return "peak"
    long = (
        "hourly" if abs(step - 1.0) < 0.01 else f"{60.0 * step:g}-minute" if step < 1.0 else f"{step:g}-hour"
    )
    return f"highest {long} mean"


def _steps(times: Array) -> Array:
    return np.asarray(np.diff(times) / np.timedelta64(1, "s") / 3600.0, dtype=float)


def _share_below(before: Array, after: Array, limit: float) -> Array:
    """Share of a straight line from `before` to `after` that lies below `limit`; missing counts as none."""
    low, high = np.minimum(before, after), np.maximum(before, after)
    span = np.where(high > low, high - low, 1.0)
    share = np.clip((limit - low) / span, 0.0, 1.0)
    below = np.where(high < limit, 1.0, np.where(low >= limit, 0.0, share))
    return np.where(np.isfinite(before + after), below, 0.0)


def hours_below(times: Array, values: Array, limit: float) -> Array:
    """Hours a series spends below a limit.

    Parameters
    ----------
    times : (n,) datetime64 array
        Times of the values.
    values : (n, ...) array
        The series; missing values count as not below.
    limit : float
        In the unit of `values`.

    Returns
    -------
    (...) array
        Hours below. [h]
    """
    values = np.asarray(values, dtype=float)
    share = _share_below(values[:-1], values[1:], limit)
    return np.asarray(np.tensordot(_steps(times), share, axes=(0, 0)))


def longest_run_below(times: Array, values: Array, limit: float) -> Array:
    """Longest time in one piece that a series spends below a limit; arguments as in `hours_below`. [h]"""
    values = np.asarray(values, dtype=float)
    before, after = values[:-1], values[1:]
    if not len(before):
        return np.zeros(values.shape[1:])
    steps = _steps(times).reshape(-1, *(1,) * (values.ndim - 1))
    below = steps * _share_below(before, after, limit)
    # A step that does not begin below the limit begins a run; a run up to a step is all time below since.
    order = np.arange(len(below)).reshape(steps.shape)
    first = np.maximum.accumulate(np.where(before < limit, 0, order), axis=0)
    summed = np.cumsum(below, axis=0)
    runs = summed - np.take_along_axis(summed - below, first, axis=0)
    return np.asarray(runs.max(axis=0))


def daily(times: Array, values: Array, reduce: Callable[..., Any]) -> tuple[Array, Array]:
    """One number for each whole day.

    Parameters
    ----------
    times : (n,) datetime64 array
        Times of the values, local standard time.
    values : (n, ...) array
        The series.
    reduce : callable
        Such as ``np.min`` or ``np.mean``; called with the axis of a day's values as ``axis``.

    Returns
    -------
    days : (d,) datetime64[D] array
        Days of which every step is present.
    numbers : (d, ...) array
        What `reduce` makes of each.
    """
    values = np.asarray(values, dtype=float)
    dates, first, count = np.unique(times.astype("datetime64[D]"), return_index=True, return_counts=True)
    step = step_hours(times)
    whole = count >= (int(24.0 / step + 1e-9) if np.isfinite(step) else np.inf)
    if not whole.any():
        return dates[whole], np.empty((0, *values.shape[1:]))
    first, count = first[whole], count[whole]
    if (count == count[0]).all() and (np.diff(first) == count[0]).all():  # one after the other: all at once
        days = values[first[0] : first[-1] + count[0]].reshape(-1, count[0], *values.shape[1:])
        return dates[whole], np.asarray(reduce(days, axis=1))
    numbers = [reduce(values[a : a + n], axis=0) for a, n in zip(first, count, strict=True)]
    return dates[whole], np.array(numbers)


def rolling_mean(numbers: Array, days: int) -> Array:
    """Mean over every `days` days in a row, by the last of them; empty where there are fewer days."""
    if len(numbers) < days:
        return np.empty((0, *numbers.shape[1:]))
    return np.asarray(np.lib.stride_tricks.sliding_window_view(numbers, days, axis=0).mean(axis=-1))


def dawn_minimum(times: Array, values: Array, sunrise: Callable[[Array], Array]) -> tuple[Array, Array]:
    """Lowest value of each day in the hours around sunrise.

    Parameters
    ----------
    times, values
        As in `daily`.
    sunrise : callable
        Hour of sunrise of an array of days.

    Returns
    -------
    days : (d,) datetime64[D] array
        Whole days.
    lowest : (d, ...) array
        Lowest value from two hours before sunrise to three after it; NaN where none falls there.
    """
    values = np.asarray(values, dtype=float)
    dates = times.astype("datetime64[D]")
    hour = (times - dates) / np.timedelta64(1, "s") / 3600.0
    since = hour - sunrise(dates)
    at_dawn = (since >= -BEFORE_SUNRISE) & (since <= AFTER_SUNRISE)
    shape = (-1,) + (1,) * (values.ndim - 1)
    days, lowest = daily(times, np.where(at_dawn.reshape(shape), values, np.inf), np.min)
    return days, np.where(np.isfinite(lowest), lowest, np.nan)
