"""Every limit in force judged apart: where, on how many of how many windows, from when to when."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.measures.criteria import LINES, criterion_of
from pondsim.measures.fish import fit_for_fish
from pondsim.measures.leaving import passed_volume, sampled, steps
from pondsim.measures.limits import Limit, own_limits
from pondsim.measures.places import TOP_METRE, over_depths
from pondsim.measures.series import daily
from pondsim.measures.windows_over_days import Judged, chance_of, in_season, judge_windows

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]
LINE_WORDS = {
    "mean_30_day": "30-day mean",
    "mean_7_day": "7-day mean",
    "mean_minimum_7_day": "7-day mean minimum",
    "minimum_1_day": "1-day minimum",
}
STATISTICS = {"mean": "daily mean", "mean of daily minima": "daily minimum", "minimum": "daily minimum"}
REDUCERS: dict[str, Callable[..., Any]] = {
    "daily minimum": np.min,
    "daily maximum": np.max,
    "daily mean": np.mean,
}


UG_TO_MG = 1e-3


@dataclass(frozen=True)
class AtPlace:
    """A limit at one place.

    Attributes
    ----------
    place : zone, "outlet", "intake" or "pond"
    judged : numbers
    chance : of so many failing if the allowed share were true; NaN without a test
    meets : whether it is met; None where nothing could be judged
    """

    place: str
    judged: Judged
    chance: float
    meets: bool | None


@dataclass(frozen=True)
class LimitResult:
    """A limit at every place where it holds."""

    limit: Limit
    places: tuple[AtPlace, ...]

    @property
    def failing(self) -> tuple[AtPlace, ...]:
        """Places where it is not met, the worst first."""
        found = [one for one in self.places if one.meets is False]
        return tuple(sorted(found, key=self._order))

    @property
    def meets(self) -> bool | None:
        """Whether it is met at every place; None where nothing could be judged."""
        if self.failing:
            return False
        return True if any(one.meets for one in self.places) else None

    @property
    def worst(self) -> AtPlace:
        """The place that fails most, else the one closest to the limit."""
        return min(self.places, key=self._order)

    def _order(self, one: AtPlace) -> tuple[float, float]:
        share = one.judged.share
        worst = one.judged.worst if self.limit.least else -one.judged.worst
        return (-np.nan_to_num(share, nan=-1.0), np.nan_to_num(worst, nan=np.inf))


def limits_in_force(dataset: xr.Dataset) -> tuple[Limit, ...]:
    """Lines of the criterion that the results name, at the top of every zone, and the user's own limits."""
    criterion = criterion_of(dataset)
    federal = [
        Limit(
            name=LINE_WORDS[line],
            quantity="oxygen",
            value=limit,
            statistic=STATISTICS[LINES[line][1]],
            days=LINES[line][0],
            lower=TOP_METRE,
        )
        for line, limit in criterion.limits.items()
        if criterion.key != "own"
    ]
    return (*federal, *own_limits(dataset))


def judge_limits(dataset: xr.Dataset, existing: xr.Dataset | None = None) -> tuple[LimitResult, ...]:
    """Judge a run by every limit in force.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.
    existing : xarray.Dataset, optional
        Results of the existing pond at the same times, for a rise of temperature over it.

    Returns
    -------
    tuple of LimitResult
        Each limit apart. A rise over the existing pond cannot be judged without it.

    Raises
    ------
    ScenarioError
        The limits that the file keeps are damaged, or its criterion is not known.
    """
    return tuple(LimitResult(limit, _judge(dataset, limit, existing)) for limit in limits_in_force(dataset))


def _judge(dataset: xr.Dataset, limit: Limit, existing: xr.Dataset | None) -> tuple[AtPlace, ...]:
    if limit.quantity == "solids_removal":
        days = _days_of_steps(dataset)
        share = _removal(dataset, in_season(days, limit.season), organic=limit.organic)
        return (_held("pond", days[-1:], np.array([share]), limit, seasonal=False),)
    found = []
    for place, values, weights in _series(dataset, limit, existing):
        days, numbers = _of_days(dataset, limit, values, weights)
        found.append(_held(place, days, numbers, limit))
    return tuple(found)


def _held(place: str, days: Array, numbers: Array, limit: Limit, *, seasonal: bool = True) -> AtPlace:
    judged = judge_windows(
        days,
        numbers,
        limit.value,
        least=limit.least,
        length=limit.days,
        needed=limit.days_needed or None,
        season=limit.season if seasonal else (),
    )
    if not judged.judged:
        return AtPlace(place, judged, float("nan"), None)
    if limit.test == "binomial" and limit.allowed_share > 0.0:
        effective = min(judged.effective, float(judged.judged))
        chance = chance_of(judged.share * effective, effective, limit.allowed_share)
        return AtPlace(place, judged, chance, chance > 1.0 - limit.confidence)
    return AtPlace(place, judged, float("nan"), judged.share <= limit.allowed_share)


def _series(
    dataset: xr.Dataset, limit: Limit, existing: xr.Dataset | None
) -> list[tuple[str, Array, Array | None]]:
    """Place, values by time, and for sampled water what flowed; nothing where the file lacks it."""
    if limit.quantity == "fit_for_fish":
        if not limit.zone:
            return [("pond", fit_for_fish(dataset), None)]
        at = [str(zone) for zone in dataset["zone"].values].index(limit.zone)
        return [(limit.zone, fit_for_fish(dataset, by_zone=True)[:, at], None)]
    if limit.at != "zones":
        values = _of_sample(dataset, limit)
        if values is not None and limit.quantity == "temperature_rise":
            values = _rise(dataset, limit, existing, values)
        return [] if values is None else [(limit.at, values, passed_volume(dataset, limit.at))]
    name = "dissolved_oxygen" if limit.quantity == "oxygen" else "water_temperature"
    by_zone = over_depths(dataset, name, limit.upper, limit.lower)
    if limit.quantity == "oxygen" and (limit.days > 1 or limit.statistic == "daily mean"):
        full = over_depths(dataset, "oxygen_saturation", limit.upper, limit.lower)
        by_zone = by_zone.copy(data=np.minimum(by_zone.values, full.values))
    found: list[tuple[str, Array, Array | None]] = []
    for zone in [limit.zone] if limit.zone else [str(zone) for zone in dataset["zone"].values]:
        values = np.asarray(by_zone.sel(zone=zone).values, dtype=float)
        if limit.quantity == "temperature_rise":
            values = _rise(dataset, limit, existing, values, zone)
        found += [] if values is None else [(zone, values, None)]
    return found


def _of_sample(dataset: xr.Dataset, limit: Limit) -> Array | None:
    """Values of the water that passes outlet or intake; None where the file lacks it."""
    if limit.quantity == "oxygen":
        return sampled(dataset, limit.at, "dissolved_oxygen")
    if limit.quantity == "phosphorus":
        total = sampled(dataset, limit.at, "total_phosphorus")
        return None if total is None else UG_TO_MG * total
    if limit.quantity == "suspended_solids":
        sediment, organic = (
            sampled(dataset, limit.at, f"{kind}_solids") for kind in ("suspended", "organic")
        )
        if sediment is None or organic is None:
            return None
        return np.asarray(sediment.sum(axis=-1) + (organic if limit.organic else 0.0))
    return sampled(dataset, limit.at, "water_temperature")


def _rise(
    dataset: xr.Dataset, limit: Limit, existing: xr.Dataset | None, values: Array, zone: str = ""
) -> Array | None:
    """Temperature less that of the existing pond at the same place and time, or that of the inflow."""
    if limit.against == "inflow":
        other = sampled(dataset, "inflow", "water_temperature")
    elif existing is None or existing.sizes["time"] != dataset.sizes["time"]:
        return None
    elif zone:
        other = over_depths(existing, "water_temperature", limit.upper, limit.lower).sel(zone=zone).values
    else:
        other = sampled(existing, limit.at, "water_temperature")
    return None if other is None else values - other


def _of_days(dataset: xr.Dataset, limit: Limit, values: Array, weights: Array | None) -> tuple[Array, Array]:
    """Days and a value for each; for a limit at any time, and the whole run, dates of the results."""
    times = dataset["time"].values
    if weights is not None:  # a sample belongs to the step that ends at its time
        times = times - (times[1] - times[0]) // 2
    if limit.statistic == "instantaneous":
        first = 1 if weights is not None else 0
        numbers = values[first:]
        passed = np.isfinite(numbers) if weights is not None else np.ones(len(numbers), dtype=bool)
        return times[first:].astype("datetime64[D]")[passed], numbers[passed]
    if limit.statistic == "whole run":
        inside = in_season(times.astype("datetime64[D]"), limit.season) & np.isfinite(values)
        weight = steps(dataset) if weights is None else weights
        total = float(np.sum(weight[inside]))
        mean = float(np.sum((weight * np.nan_to_num(values))[inside])) / total if total > 0.0 else np.nan
        return times[inside][-1:].astype("datetime64[D]"), np.array([mean])[: int(inside.any())]
    if weights is None:
        return daily(times, values, REDUCERS[limit.statistic])
    return _daily_of_sample(times, values, weights, limit.statistic)


def _daily_of_sample(times: Array, values: Array, weights: Array, statistic: str) -> tuple[Array, Array]:
    """Days and their value over the time that water flowed; NaN for a day with none."""
    flowed = np.isfinite(values)
    days, count = daily(times, flowed.astype(float), np.sum)
    if statistic == "daily mean":
        _, held = daily(times, np.where(flowed, values * weights, 0.0), np.sum)
        _, passed = daily(times, np.where(flowed, weights, 0.0), np.sum)
        return days, np.divide(held, passed, out=np.full(held.shape, np.nan), where=passed > 0.0)
    worst = np.inf if statistic == "daily minimum" else -np.inf
    _, numbers = daily(times, np.where(flowed, values, worst), REDUCERS[statistic])
    return days, np.where(count > 0, numbers, np.nan)


def _days_of_steps(dataset: xr.Dataset) -> Array:
    """Day in which each step lies, by its middle."""
    times = dataset["time"].values
    return np.asarray((times - (times[1] - times[0]) // 2).astype("datetime64[D]"))


def _removal(dataset: xr.Dataset, inside: Array, *, organic: bool) -> float:
    """Share of solids that came in and did not leave in some steps; NaN with none. [1]"""
    length = steps(dataset) * inside
    if "solids_in_rate" not in dataset:
        return float("nan")
    came, left = (float(np.sum(dataset[f"solids_{way}_rate"].values * length)) for way in ("in", "out"))
    if organic:
        grown = sampled(dataset, "outlet", "organic_solids")
        if grown is None:
            return float("nan")
        left += float(np.sum(np.nan_to_num(grown) * passed_volume(dataset, "outlet") * inside)) / 1e3
        splashed = sampled(dataset, "intake", "organic_solids")
        if splashed is not None and "splash" in dataset:
            lost = np.nan_to_num(dataset["splash"].values) * length
            left += float(np.sum(np.nan_to_num(splashed) * lost)) / 1e3
    return 1.0 - left / came if came > 0.0 else float("nan")
