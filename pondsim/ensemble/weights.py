"""Weights of members from readings: what they learn, what they do not, and how far past errors reached.

A level error of a pond forgets in about a week, so hourly readings are few facts: errors are deflated by
their
measured memory, and weights are tempered until a stated effective number of members is left. A tail of the
readings is never used for weights: it scores them, and its miss widens what is said afterwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from pondsim.ensemble.facts import Compared, Read, closest, compared_with, split
from pondsim.ensemble.shared import Errors, correlations_of, share_alone
from pondsim.ensemble.statistics import (
    effective_number,
    quantile,
    weights_of,
)
from pondsim.measures.scores import bias, mean_day, rmse, same_hour_yesterday

Array = np.ndarray[Any, Any]

NODES = 7  # at which the error of a reading is laid over a member
INSIDE = 0.9  # share of past errors that an interval must hold


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
    alone : share of itself that each series keeps, 1 where its errors are its own
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
    alone: dict[str, float] = field(default_factory=dict)


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
        Errors that several share are counted once: see `pondsim.ensemble.shared`.
    held_out : float, default 0.3
        Share of the days of each series, its last, that is kept for scoring.
    effective : float, default 20
        Effective number of members (Kish) below which weights are tempered.
    """
    members = len(series[0].computed)
    compared = [one for one in (compared_with(read, held_out) for read in series) if one is not None]
    chi2 = np.zeros(members)
    alone = _alone(compared)
    for each, share in zip(compared, alone, strict=True):
        own = np.where(np.isfinite(each.square), each.square, np.inf)
        chi2 += share * each.worth * own / each.variance
    weights, temper = tempered(chi2, min(effective, members))
    held = tuple(found for one in series if (found := _held(one, weights, held_out)) is not None)
    plain = effective_number(weights_of(chi2))
    return Weighing(
        weights,
        plain,
        effective_number(weights),
        temper,
        {one.name: one.memory for one in compared},
        {one.name: one.worth for one in compared},
        {one.name: float(np.sqrt(np.nanmin(one.square))) for one in compared},
        {one.name: one.above for one in compared},
        held,
        {one.name: float(share) for one, share in zip(compared, alone, strict=True)},
    )


def _alone(compared: Sequence[Compared]) -> Array:
    """Share of itself that each series keeps beside the others, by the members that come closest to all."""
    if len(compared) < 2:
        return np.ones(len(compared))
    best = closest(np.sum([one.square / one.variance for one in compared], axis=0))
    errors = [Errors(one.variable, one.times, one.errors[best], one.memory) for one in compared]
    return share_alone(correlations_of(errors))


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
