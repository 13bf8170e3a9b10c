"""What may be promised of a design at a stated confidence, under which conditions, and how it is proved.

A promised number is one that so many members reach that by Wilson's interval no fewer than the stated share
of all members would. Nothing is promised within the band of a tie, and nothing without its conditions.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import xarray as xr

from pondsim.comparison.dredged import Moved, is_elsewhere
from pondsim.ensemble.paired import (
    Chance,
    margin_of,
    measures_in,
    meeting,
    moved_in,
    weights_in,
    whole_members,
)
from pondsim.ensemble.statistics import (
    effective_number,
    independent_share,
    neighbour_correlation,
    pairs_needed,
    rounded_down,
    wilson_interval,
)
from pondsim.errors import ScenarioError
from pondsim.measures.declared import Measure
from pondsim.scenario.unreadable import likely

Array = np.ndarray[Any, Any]

PROVABLE = (  # what a logger can show, what matters most first
    ("dawn_mean_top.", "days_failing_top.", "dawn_lowest_top."),
    ("hours_below_3_bottom.", "hours_below_2_bottom."),
)
DAWN = "dawn_mean_top."
WEEK = 7  # days between the two dawns of a pair
SETTLING = 2  # days after equipment was switched that are left out (judgement)
LOGGER_ERROR = 0.2  # mg/L, standard error of a reading of a clean optical logger (common practice, no source)
POWER, LEVEL = 0.8, 0.95  # of the test that would prove it


@dataclass(frozen=True)
class Promise:
    """A number that may be promised.

    Attributes
    ----------
    measure : which; its label is the zone
    design : place of the design
    amount : by how much it is better at least, in the measure's unit; positive, round in the unit shown
    decimals : of the amount in the unit shown
    confidence : share of members that reach it, at least
    reached : seen share of members that reach it, with its interval
    members : how many, or what their weights are worth
    meets : probability that the criterion is met, where the measure has one
    """

    measure: Measure
    design: int
    amount: float
    decimals: int
    confidence: float
    reached: Chance
    members: float
    meets: Chance | None


@dataclass(frozen=True)
class Plan:
    """How a promise would be proved or refuted.

    Attributes
    ----------
    zone, bottom : where the logger hangs, and whether near the bed rather than near the surface
    effect : mean gain of a dawn that is to be shown [mg/L]
    spread : standard deviation of the difference of two dawns a week apart, logger's error included [mg/L]
    rho : correlation of such differences on days that follow each other
    pairs : pairs of dawns needed; None where no sensible number is enough
    dawns : the same counted in days of each kind, since neighbouring dawns tell little new
    refuted_below : mean gain over them below which the promise is refuted [mg/L]
    safe : whether dawns without the equipment stay above the criterion's 1-day minimum in half of the members
    """

    zone: str
    bottom: bool
    effect: float
    spread: float
    rho: float
    pairs: int | None
    dawns: int | None
    refuted_below: float
    safe: bool


def promised(
    study: xr.Dataset, design: int, confidence: float = 0.9, key: str = "", system: str = "us"
) -> Promise | None:
    """The strongest promise of a design; None where nothing beyond a tie can be promised.

    Parameters
    ----------
    study : xarray.Dataset
        From `run_study`.
    design : int
        1 or more.
    confidence : float
        Share of members that must reach the number, their own number allowed for.
    key : str
        Measure to promise; else that of dawns which is furthest beyond its band.
    system : {"us", "si"}
        Units in which the promised number is a round one.

    Raises
    ------
    ScenarioError
        No measure of that key that is better one way, one that fewer than two members have or that is read at
        another elevation than in the existing pond, or a confidence that is none.
    """
    check_confidence(confidence)
    known = measures_in(study)
    moved = moved_in(study)[design]
    if key:
        _check_key(study, design, key, known, moved)
    for stems in PROVABLE:
        keys = [key] if key else [name for name in known if name.startswith(stems)]
        keys = [name for name in keys if not is_elsewhere(known[name], moved)]
        made = [_promise(study, design, known[name], confidence, system) for name in keys]
        found = [one for one in made if one is not None]
        if found:
            return max(found, key=_bands)
    return None


def _check_key(study: xr.Dataset, design: int, key: str, known: Mapping[str, Measure], moved: Moved) -> None:
    """Refuse what no member can tell, what is better neither way, or is read elsewhere than before."""
    if key not in known or not known[key].good:
        fits = [name for name, one in known.items() if one.good]
        such = ", ".join(name for name in known if name.startswith(PROVABLE[0])) or "none"
        raise ScenarioError(
            f"measure = {key}: no measure of these members that is better one way"
            f"{likely(key, fits) or ';'} such as {such}"
        )
    existing, title = (str(study["title"].values[one]) for one in (0, design))
    if len(_numbers(study, design, key)[0]) < 2:
        raise ScenarioError(
            f'measure = {key}: fewer than two members have a value with "{existing}" and with "{title}"; '
            "name another measure"
        )
    if is_elsewhere(known[key], moved):
        raise ScenarioError(
            f'measure = {key}: in "{title}" the bed of {known[key].label} lies elsewhere than in the '
            "existing pond, so values below the top meter there are not compared; name another measure"
        )


def check_confidence(confidence: float) -> None:
    """Refuse a confidence at which nothing is promised, or everything would have to be certain."""
    if not 0.5 <= confidence <= 0.99:
        raise ScenarioError(f"confidence = {confidence:g}: write a share from 0.5 to 0.99, such as 0.9")


def _bands(one: Promise) -> float:
    return one.amount / one.measure.tie if one.measure.tie else one.amount


def _promise(
    study: xr.Dataset, design: int, measure: Measure, confidence: float, system: str
) -> Promise | None:
    old, new, weights = _numbers(study, design, measure.key)
    if len(old) < 2:
        return None
    gain = measure.good * (new - old)
    amount = least_gain(gain, weights, confidence)
    count = effective_number(weights)
    medians = float(np.median(old)), float(np.median(new))
    band = measure.band(*medians)
    if amount is None or amount <= band * (1.0 + 1e-9):
        return None
    shown, most = (measure.difference_shown(value, system) for value in (amount, max(map(abs, medians))))
    places = measure.decimals_for(most, shown)
    amount = rounded_down(amount, 10.0**places * measure.difference_shown(1.0, system))
    if amount <= band:
        return None
    reached = float(weights @ (gain >= amount))
    meets = None
    if not math.isnan(measure.limit):
        share = float(weights @ meeting(measure, new, margin_of(study, measure)))
        meets = Chance(share, *wilson_interval(share, count))
    interval = Chance(reached, *wilson_interval(reached, count, _two_sided(confidence)))
    return Promise(measure, design, amount, places, confidence, interval, count, meets)


def least_gain(gain: Array, weights: Array, confidence: float) -> float | None:
    """The largest gain that `confidence` of all members reach, the number of members allowed for.

    Wilson's one-sided lower limit, at the same confidence, of the share seen to reach it is no less than
    `confidence`. None where even all of the members would not be enough.
    """
    order = np.argsort(-gain)
    reached = np.cumsum(weights[order])
    count = effective_number(weights)
    sure = [wilson_interval(min(share, 1.0), count, _two_sided(confidence))[0] for share in reached]
    enough = np.flatnonzero(np.array(sure) >= confidence)
    return float(gain[order][enough[0]]) if enough.size else None


def members_needed(confidence: float) -> int:
    """Members, by what their weights are worth, below which nothing can be promised even if all reach it."""
    return next(
        n for n in range(1, 10**6) if wilson_interval(1.0, n, _two_sided(confidence))[0] >= confidence
    )


def _two_sided(confidence: float) -> float:
    """Level of a two-sided interval whose lower end is a one-sided limit of `confidence`."""
    return 2.0 * confidence - 1.0


def _numbers(study: xr.Dataset, design: int, key: str) -> tuple[Array, Array, Array]:
    members = whole_members(study)
    place = study["key"].values.tolist().index(key)
    old, new = (study["measure"].values[one][members, place].astype(float) for one in (0, design))
    known = np.isfinite(old) & np.isfinite(new)
    weights = weights_in(study, members)[known]
    return old[known], new[known], weights / weights.sum() if known.any() else weights


def plan_of(study: xr.Dataset, design: int, key: str, confidence: float = 0.9) -> Plan | None:
    """Days that would show the gain of a design in a zone, by the scatter of the members themselves.

    Parameters
    ----------
    study : xarray.Dataset
        From `run_study`.
    design : int
        1 or more.
    key : str
        Measure that is promised, with its zone; of one near the bed the lowest oxygen of days is taken, of
        any other the oxygen at dawn near the surface.
    confidence : float
        Of the gain that is to be shown.

    Returns
    -------
    Plan or None
        None for a measure of no zone, and where there is no dawn. Each pair is a day with the equipment
        running and one a week before or after without it. Median member's scatter; one-sided paired t-test,
        5 % false alarm, 80 % power.
    """
    name, _, zone = key.partition(".")
    if zone not in study["zone"].values:
        return None
    members = whole_members(study)
    weights = weights_in(study, members)
    bottom = name.endswith("_bottom")
    series = study["oxygen_lowest_bottom" if bottom else "oxygen_dawn_top"]
    dawn = series.sel(zone=zone).values.astype(float)
    old, new = dawn[0][members], dawn[design][members]
    if not np.isfinite(new - old).any(axis=1).all():  # too short for a single dawn, or too coarse
        return None
    gain = np.nanmean(new - old, axis=1)
    effect = least_gain(gain, weights, confidence)
    apart = new[:, :-WEEK] - old[:, WEEK:] if old.shape[1] > WEEK + 2 else new - old
    spread = math.hypot(float(np.median(np.nanstd(apart, axis=1))), math.sqrt(2.0) * LOGGER_ERROR)
    rho = float(np.median([neighbour_correlation(row) for row in apart]))
    effect = 0.0 if effect is None else effect
    pairs = pairs_needed(effect / spread, POWER, LEVEL)
    dawns = None if pairs is None else math.ceil(pairs / independent_share(rho))
    limit = effect - 1.645 * spread / math.sqrt(pairs) if pairs else math.nan
    least = measures_in(study).get(f"dawn_lowest_top.{zone}")
    lowest = np.nanmedian(np.nanmin(old, axis=1))
    safe = least is None or math.isnan(least.limit) or bool(lowest >= least.limit)
    return Plan(zone, bottom, effect, spread, rho, pairs, dawns, limit, safe)


def deciding(study: xr.Dataset, design: int, key: str) -> tuple[Array, Array, Array]:
    """Shares of the unknowns, difference in a measure, and weights, of the members that have both."""
    members = whole_members(study)
    place = study["key"].values.tolist().index(key)
    numbers = study["measure"].values
    apart = (numbers[design] - numbers[0])[members, place].astype(float)
    known = np.isfinite(apart)
    weights = weights_in(study, members)[known]
    return study["draw_share"].values[members][known], apart[known], weights / max(weights.sum(), 1e-300)


def years_of(study: xr.Dataset) -> Sequence[str]:
    """Names of the weather years that were drawn."""
    return list(json.loads(str(study.attrs["weather_years"])))
