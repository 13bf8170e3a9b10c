"""Weights of members from readings: what they learn, what they do not, and how far past errors reached.

A level error of a pond forgets in about a week, so hourly readings are few facts: errors are deflated by
their
measured memory, and weights are tempered until a stated effective number of members is left. A tail of the
readings is never used for weights: it scores them, and its miss widens what is said afterwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondsim.ensemble.statistics import (
    effective_number,
    independent_share,
    neighbour_correlation,
    quantile,
    weights_of,
)
from pondsim.measures.scores import bias, by_day, day_numbers, mean_day, rmse, same_hour_yesterday

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
NODES = 7  # at which the error of a reading is laid over a member
INSIDE = 0.9  # share of past errors that an interval must hold


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


@dataclass(frozen=True)
class Held:
    """How the weighted members told the tail that was held out; in the unit of the readings.

    Attributes
    ----------
    name : of the series
    count : readings of the tail
    run, rivals : RMSE of the weighted median, and of naive rivals by name
    bias : of the weighted median
    inside : share of the tail within the 90 % interval of members, reading error included
    margin : by how much that interval must reach further on both sides to hold 90 % of it
    """

    name: str
    count: int
    run: float
    bias: float
    rivals: dict[str, float]
    inside: float
    margin: float


@dataclass(frozen=True)
class Weighing:
    """Weights and how they came about.

    Attributes
    ----------
    weights : of members, sum 1
    plain, effective : what they are worth before and after tempering
    temper : exponent of the likelihood, 1 where nothing was tempered
    memories : days that errors last, by series
    worth : independent readings of each series
    miss : RMSE of the best member by series, on the readings used for weights
    above : share of readings above all members, by series
    held : the tail, by series
    """

    weights: Array
    plain: float
    effective: float
    temper: float
    memories: dict[str, float]
    worth: dict[str, float]
    miss: dict[str, float]
    above: dict[str, float]
    held: tuple[Held, ...]


def chi2_of(errors: Array, variance: float, worth: float) -> Array:
    """Twice the negative log-likelihood of each member, less a constant.

    Parameters
    ----------
    errors : (members, n) array
        Computed less read; NaN where nothing is compared.
    variance : float
        Of one error.
    worth : float
        Independent readings that all of them are worth; the mean square counts so often.
    """
    return np.asarray(worth * np.nanmean(errors * errors, axis=1) / variance)


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


def tempered(chi2: Array, least: float) -> tuple[Array, float]:
    """Weights worth at least `least` members, and the exponent that makes them so."""
    if effective_number(weights_of(chi2)) >= least:
        return weights_of(chi2), 1.0
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        enough = effective_number(weights_of(middle * chi2)) >= least
        low, high = (middle, high) if enough else (low, middle)
    return weights_of(low * chi2), low


def weigh(series: Sequence[Read], held_out: float = 0.3, effective: float = 20.0) -> Weighing:
    """Weigh members by readings.

    Parameters
    ----------
    series : sequence of Read
        Each is told as if the others were not there: instruments of one pond share errors, so few say nearly
        as much as many.
    held_out : float, default 0.3
        Share of the days of each series, its last, that is kept for scoring.
    effective : float, default 20
        Effective number of members (Kish) below which weights are tempered.
    """
    members = len(series[0].computed)
    chi2 = np.zeros(members)
    memories, worth, miss, above = {}, {}, {}, {}
    for one in series:
        used = ~split(one.times, held_out)
        errors = np.where(np.isfinite(one.read) & used, one.computed - one.read, np.nan)
        square = _mean_square(errors)
        if not np.isfinite(square).any():
            continue
        best = np.argsort(np.where(np.isfinite(square), square, np.inf))[: max(3, round(BEST * members))]
        memory = memory_days(one.times[used], errors[best][:, used])
        length = np.unique(one.times[used & np.isfinite(one.read)].astype("datetime64[D]")).size
        memories[one.name], worth[one.name] = memory, max(length / memory, 1.0)
        least = float(np.nanmin(square))
        miss[one.name] = float(np.sqrt(least))
        variance = max(least, one.error**2)  # what no member explains is the model's own error
        chi2 += worth[one.name] * np.where(np.isfinite(square), square, np.inf) / variance
        there = np.isfinite(one.read)
        over = one.read[there] > np.nanmax(one.computed[:, there], axis=0) + 2.0 * one.error
        above[one.name] = float(np.mean(over))
    weights, temper = tempered(chi2, min(effective, members))
    held = tuple(found for one in series if (found := _held(one, weights, held_out)) is not None)
    plain = effective_number(weights_of(chi2))
    return Weighing(weights, plain, effective_number(weights), temper, memories, worth, miss, above, held)


def _mean_square(errors: Array) -> Array:
    known = np.isfinite(errors)
    count = known.sum(axis=1)
    return np.where(count > 0, np.nansum(errors * errors, axis=1) / np.maximum(count, 1), np.nan)


def _held(one: Read, weights: Array, held_out: float) -> Held | None:
    """The tail against the weighted members and rivals that know the readings before alone."""
    tail = split(one.times, held_out) & np.isfinite(one.read)
    if tail.sum() < 3:
        return None
    middle = np.full(one.times.size, np.nan)
    middle[tail] = quantile(one.computed[:, tail], 0.5, weights)
    low, high = interval(one.computed[:, tail], weights, one.error)
    off = np.maximum(np.maximum(low - one.read[tail], one.read[tail] - high), 0.0)
    yesterday = same_hour_yesterday(one.times, one.read, one.step)
    before = np.where(split(one.times, held_out), np.nan, one.read)
    rivals = {"yesterday's hour": yesterday, "mean day": mean_day(one.times, before)}
    if one.variable == "dissolved_oxygen":
        rivals["saturation"] = one.saturation
    read = np.where(tail, one.read, np.nan)
    return Held(
        one.name,
        int(tail.sum()),
        rmse(read, middle),
        bias(read, middle),
        {name: rmse(read, values) for name, values in rivals.items()},
        float(np.mean(off <= 0.0)),
        float(np.quantile(off, INSIDE, method="higher")),
    )


def interval(computed: Array, weights: Array, error: float, inside: float = INSIDE) -> tuple[Array, Array]:
    """Interval of what is read: weighted members, each with the reading's own error.

    A normal error is laid over each member by the nodes of Gauss and Hermite, so that the interval is that of
    their sum.
    """
    nodes, parts = np.polynomial.hermite_e.hermegauss(NODES)
    wide = np.concatenate([computed + error * node for node in nodes])
    own = np.concatenate([part * weights for part in parts])
    ends = quantile(wide, [0.5 - 0.5 * inside, 0.5 + 0.5 * inside], own)
    return ends[0], ends[1]
