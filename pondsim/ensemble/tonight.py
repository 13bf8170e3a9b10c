"""Tonight: a run to now and through the next dawn, less its mean error of the last days, beside past nights.

Every past night is told as tonight is, from what was known at the same hour of that evening; only the
weather is
as it was measured, where tonight's is a forecast. What does not beat the same hour of the day before is
withheld.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondsim.measures.scores import same_hour_yesterday

Array = np.ndarray[Any, Any]
Moment = np.datetime64

DAY, HOUR, SECOND = np.timedelta64(1, "D"), np.timedelta64(1, "h"), np.timedelta64(1, "s")
LEAST_NIGHTS = 5  # past nights below which nothing is told (judgement)
INSIDE = 0.9  # share of past errors that the interval holds
LEAST_SHARE = 0.5  # of the readings that a stretch must have to be used


@dataclass(frozen=True)
class Night:
    """One past night.

    Attributes
    ----------
    issued : when it would have been told
    error : lowest oxygen around the next sunrise as told, less as read [mg/L]
    rival : the same of the same hours of the day before
    """

    issued: Moment
    error: float
    rival: float


@dataclass(frozen=True)
class Outlook:
    """What may be said of the next dawn where an instrument hangs; oxygen in mg/L.

    Attributes
    ----------
    correction : mean error of the last days, taken off
    dawn, low, high : lowest oxygen around sunrise, and between what it lies by nine of ten past errors
    nights : past nights told in the same way
    rmse, rival : of those nights, by the run and by yesterday's hour
    told : whether there are enough nights and the run beats yesterday's hour on them
    why : "" where it is told, else "few nights", "no better" or "no readings"
    times, line : from now on, less the correction
    """

    correction: float
    dawn: float
    low: float
    high: float
    nights: tuple[Night, ...]
    rmse: float
    rival: float
    told: bool
    why: str
    times: Array
    line: Array


def outlook(
    times: Array,
    computed: Array,
    read_times: Array,
    read: Array,
    at_readings: Array,
    now: Moment,
    sunrise: Array,
    dawn: tuple[float, float],
    days: float = 1.0,
) -> Outlook:
    """The next dawn at one instrument.

    Parameters
    ----------
    times, computed : (n,) arrays
        Of the run, at the instrument's place, through the next dawn.
    read_times, read, at_readings : (m,) arrays
        Readings, NaN where missing or left out, and the run at their times. Those after `now` are not used.
    now : datetime64
        When it is told.
    sunrise : datetime64 array
        Of every day of the run, rising.
    dawn : pair of float
        Hours before and after sunrise that are dawn.
    days : float
        Over which the mean error is taken.
    """
    known = read_times <= now
    own_times, own, there = read_times[known], read[known], at_readings[known]
    spans = [
        (rise - dawn[0] * 3600 * SECOND, rise + dawn[1] * 3600 * SECOND) for rise in sunrise.astype("M8[s]")
    ]
    correction = _mean_error(own_times, own, there, now, days)
    coming = next((span for span in spans if span[1] > now), None)
    ahead = times >= now
    line = np.maximum(computed[ahead] - correction, 0.0)
    empty = Outlook(correction, math.nan, math.nan, math.nan, (), math.nan, math.nan, False, "no readings",
                    times[ahead], line)  # fmt: skip
    if coming is None or not math.isfinite(correction):
        return empty
    at_dawn = (times >= max(coming[0], now)) & (times <= coming[1])
    if not at_dawn.any() or not np.isfinite(computed[at_dawn]).any():
        return empty
    told = max(float(np.nanmin(computed[at_dawn])) - correction, 0.0)
    nights = _past(own_times, own, there, now, spans, days)
    errors = np.array([one.error for one in nights])
    rivals = np.array([one.rival for one in nights])
    rmse, rival = (float(np.sqrt(np.mean(one**2))) if one.size else math.nan for one in (errors, rivals))
    low = high = math.nan
    if len(nights) >= LEAST_NIGHTS:
        least, most = past_range(errors)
        low, high = max(told - most, 0.0), told - least
    why = "few nights" if len(nights) < LEAST_NIGHTS else "no better" if rmse >= rival else ""
    return Outlook(correction, told, low, high, nights, rmse, rival, not why, why, times[ahead], line)


def past_range(errors: Array, inside: float = INSIDE) -> tuple[float, float]:
    """Range that a new error falls into with a chance of `inside`, from past ones of the same kind.

    Order statistics: of n errors that could have come in any order the next lies between the k-th smallest
    and
    the k-th largest with a chance of 1 - 2k/(n + 1). With fewer than 19 errors it is the whole range.
    """
    ordered = np.sort(errors)
    k = max(math.floor(0.5 * (1.0 - inside) * (ordered.size + 1) + 1e-9), 1)
    return float(ordered[k - 1]), float(ordered[-k])


def chance_inside(nights: int, inside: float = INSIDE) -> float:
    """Chance that `past_range` of so many errors holds the next one."""
    k = max(math.floor(0.5 * (1.0 - inside) * (nights + 1) + 1e-9), 1)
    return max(1.0 - 2.0 * k / (nights + 1), 0.0)


def _mean_error(times: Array, read: Array, computed: Array, until: Moment, days: float) -> float:
    """Mean of computed less read over the days before a moment; NaN where half of the readings lack."""
    since = until - np.timedelta64(round(days * 86400), "s")
    rows = (times > since) & (times <= until)
    off = (computed - read)[rows]
    there = np.isfinite(off)
    if not rows.any() or there.sum() < LEAST_SHARE * _expected(times, days):
        return math.nan
    return float(np.mean(off[there]))


def _expected(times: Array, days: float) -> float:
    """Readings that so many days should hold."""
    step = float(np.median(np.diff(times) / SECOND)) if times.size > 1 else 3600.0
    return days * 86400.0 / step


def _past(
    times: Array, read: Array, computed: Array, now: Moment, spans: list[tuple[Moment, Moment]], days: float
) -> tuple[Night, ...]:
    """Past nights, each told at the hour of the day that it is now."""
    step = float(np.median(np.diff(times) / HOUR)) if times.size > 1 else 1.0
    yesterday = same_hour_yesterday(times, read, step) if times.size else read
    found = []
    issued = now - DAY
    while times.size and issued > times[0]:
        coming = next((span for span in spans if span[1] > issued), None)
        correction = _mean_error(times, read, computed, issued, days)
        if coming is not None and coming[1] <= now and math.isfinite(correction):
            rows = (times >= max(coming[0], issued)) & (times <= coming[1])
            same = rows & np.isfinite(read) & np.isfinite(computed) & np.isfinite(yesterday)
            if same.sum() >= LEAST_SHARE * max(rows.sum(), 1):
                true = float(np.min(read[same]))
                told = max(float(np.min(computed[same])) - correction, 0.0)
                found.append(Night(issued, told - true, float(np.min(yesterday[same])) - true))
        issued = issued - DAY
    return tuple(reversed(found))


def first_below(times: Array, line: Array, limit: float) -> Moment | None:
    """When a line first falls below a limit, straight between its times; None where it never does."""
    below = np.flatnonzero(line < limit)
    if not below.size:
        return None
    at = int(below[0])
    if at == 0:
        return times[0]
    share = float((line[at - 1] - limit) / (line[at - 1] - line[at]))
    return times[at - 1] + np.timedelta64(round(share * float((times[at] - times[at - 1]) / SECOND)), "s")
