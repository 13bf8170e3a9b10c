"""A series of readings against members: how long errors last, how many facts it holds, who is how far off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from pondsim.ensemble.statistics import independent_share, neighbour_correlation
from pondsim.measures.scores import by_day, day_numbers

Array = np.ndarray[Any, Any]

LEAST_DAYS = 10  # days from which a memory is measured
USUAL_MEMORY = 7.0  # days that a level error lasts where too few days tell (measured on one pond; judgement)
LONGEST = 0.95  # correlation of neighbouring days that is believed
BEST = 0.1  # share of the members whose errors tell the memory
READING_ERROR = {  # standard error of one reading, in its unit (common practice, no source)
    "dissolved_oxygen": 0.3,
    "water_temperature": 0.2,
    "water_surface_elevation": 0.01,
}
OTHER_ERROR = 0.1  # of others, as a share of the readings' spread


@dataclass(frozen=True, eq=False)
class Read:
    """One series of readings and what every member computed at its place and times.

    Attributes
    ----------
    name : instrument, quantity and place, in words
    variable, zone : quantity and zone
    near_bed : whether it hangs in the lower half of the water there
    times : (n,) datetime64, local standard time
    step : between readings [h]
    read : (n,) NaN where missing or left out
    computed : (members, n)
    saturation : (n,) computed saturation of oxygen; NaN for others
    """

    name: str
    variable: str
    zone: str
    near_bed: bool
    times: Array
    step: float
    read: Array
    computed: Array
    saturation: Array

    @property
    def error(self) -> float:
        """Standard error of one reading."""
        known = READING_ERROR.get(self.variable)
        return OTHER_ERROR * float(np.nanstd(self.read)) if known is None else known


@dataclass(frozen=True, eq=False)
class Compared:
    """One series against every member, on the readings used for weights."""

    name: str
    variable: str
    times: Array
    errors: Array
    square: Array
    memory: float
    worth: float
    variance: float
    above: float


def compared_with(one: Read, held_out: float) -> Compared | None:
    """Mean squares, memory and worth of a series; None where no member has a value at a reading."""
    used = ~split(one.times, held_out)
    errors = np.where(np.isfinite(one.read) & used, one.computed - one.read, np.nan)
    square = mean_square(errors)
    if not np.isfinite(square).any():
        return None
    memory = memory_days(one.times[used], errors[closest(square)][:, used])
    length = np.unique(one.times[used & np.isfinite(one.read)].astype("datetime64[D]")).size
    variance = max(float(np.nanmin(square)), one.error**2)  # what no member explains is the model's own error
    there = np.isfinite(one.read)
    over = one.read[there] > np.nanmax(one.computed[:, there], axis=0) + 2.0 * one.error
    worth = max(length / memory, 1.0)
    return Compared(
        one.name, one.variable, one.times, errors, square, memory, worth, variance, float(np.mean(over))
    )


def closest(square: Array) -> Array:
    """Places of the members that come closest."""
    order = np.argsort(np.where(np.isfinite(square), square, np.inf))
    return np.asarray(order[: max(3, round(BEST * len(square)))])


def mean_square(errors: Array) -> Array:
    """Of each member over the readings that are compared; NaN where there are none."""
    known = np.isfinite(errors)
    count = known.sum(axis=1)
    return np.where(count > 0, np.nansum(errors * errors, axis=1) / np.maximum(count, 1), np.nan)


def memory_days(times: Array, errors: Array) -> float:
    """Days that an error lasts: days of the series for each independent one.

    Parameters
    ----------
    times : (n,) datetime64 array
        Local standard time.
    errors : (members, n) array
        Of the members that come closest.

    Returns
    -------
    float
        From the correlation of daily mean errors of neighbouring days, its bias in short series taken off;
        a week where there are fewer than ten days. [d]

    Notes
    -----
    Sources: Bayley & Hammersley (1946) for the memory; Kendall (1954), Biometrika 41:403, for the bias
    -(1 + 3 rho)/n; both from memory.
    """
    days, _ = day_numbers(times)
    means = np.array([by_day(times, one, days, "mean") for one in errors])
    count = int(np.isfinite(means).any(axis=0).sum())
    if count < LEAST_DAYS:
        return USUAL_MEMORY
    seen = float(np.median([neighbour_correlation(one) for one in means]))
    rho = min(max((seen + 1.0 / count) / (1.0 - 3.0 / count), 0.0), LONGEST)
    return 1.0 / independent_share(rho)


def split(times: Array, share: float) -> Array:
    """Which times are held out: those of the last `share` of the days, whole days."""
    days, place = day_numbers(times)
    return place >= round((1.0 - share) * days.size)
