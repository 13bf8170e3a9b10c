"""Oxygen criteria for fish: what a series is held against and on how many days it falls short."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.errors import ScenarioError
from pondsim.measures.limits import Limit, own_limits
from pondsim.measures.places import TOP_METRE, at_station
from pondsim.measures.series import daily, rolling_mean
from pondsim.measures.windows_over_days import in_season

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]

DEFAULT = "warm_other"
NEAR_SURFACE = 1.01 * TOP_METRE  # m; 3.3 ft is 1.006 m
DAY_MINIMUM = "1-day minimum"
LINES = {  # line of the criterion: (days averaged, what is averaged)
    "mean_30_day": (30, "mean"),
    "mean_7_day": (7, "mean"),
    "mean_minimum_7_day": (7, "mean of daily minima"),
    "minimum_1_day": (1, "minimum"),
}


@dataclass(frozen=True)
class Criterion:
    """A set of limits.

    Attributes
    ----------
    key : name in criteria.toml
    name : in words
    limits : least value by line of `LINES` [mg/L]
    source : key in references.bib
    mark : P read in text, M from memory and not verified
    lent : whether its 1-day minimum is lent by the federal criteria, to count days by alone
    """

    key: str
    name: str
    limits: dict[str, float]
    source: str
    mark: str
    lent: bool = False


@cache
def criteria() -> dict[str, Criterion]:
    """Every declared criterion, by key."""
    table = tomllib.loads(files("pondsim.data").joinpath("criteria.toml").read_text(encoding="utf-8"))
    return {
        key: Criterion(
            key,
            row["name"],
            {line: float(row[line]) for line in LINES if line in row},
            row["source"],
            row["mark"],
        )
        for key, row in table.items()
    }


def criterion_of(dataset: xr.Dataset, key: str | None = None) -> Criterion:
    """The criterion that results name, or another by its key.

    Where all limits are the user's own, the highest of those that are a 1-day minimum of the whole run, near
    the surface of every zone, is the one by which days are counted; without one, that of warm water is lent.

    Raises
    ------
    ScenarioError
        There is no such criterion, or the limits of the user's own are damaged.
    """
    name = key or str(dataset.attrs.get("criterion", DEFAULT))
    if name == "own":
        lows = [one.value for one in own_limits(dataset) if _is_daily_minimum(one, dataset)]
        low = max(lows, default=criteria()[DEFAULT].limits["minimum_1_day"])
        return Criterion("own", "own limits", {"minimum_1_day": low}, "stated by the user", "S", not lows)
    if name not in criteria():
        raise ScenarioError(f"criterion {name!r} is none of {', '.join(criteria())}")
    return criteria()[name]


def day_minimum(dataset: xr.Dataset) -> str:
    """What days are counted by, in words: whose 1-day minimum it is, where own limits are in force.

    Raises: ScenarioError, as `criterion_of`.
    """
    criterion = criterion_of(dataset)
    if criterion.lent or (criterion.key != "own" and own_limits(dataset)):
        return f"federal {DAY_MINIMUM}"
    return f"own {DAY_MINIMUM}" if criterion.key == "own" else DAY_MINIMUM


def _is_daily_minimum(limit: Limit, dataset: xr.Dataset) -> bool:
    """Whether a limit holds the lowest oxygen of every day of a run, near the surface of every zone."""
    days = np.unique(dataset["time"].values.astype("datetime64[D]"))
    return (
        limit.quantity == "oxygen"
        and limit.statistic in ("instantaneous", "daily minimum")
        and limit.days == 1
        and limit.at == "zones"
        and not limit.zone
        and limit.upper <= 0.0
        and limit.lower <= NEAR_SURFACE
        and bool(in_season(days, limit.season).all())
    )


@dataclass(frozen=True)
class Verdict:
    """How a series stands against one criterion, line by line.

    Attributes
    ----------
    criterion : what it was held against
    days : whole days of the series
    failing : number of days on which the 1-day minimum falls short
    lowest : lowest value by line; NaN where the series is shorter than the average [mg/L]
    windows : number of windows that could be judged, by line; one for each day that ends one
    failing_by_line : number of them that fall short, by line
    """

    criterion: Criterion
    days: int
    failing: Array
    lowest: dict[str, Array]
    windows: dict[str, int]
    failing_by_line: dict[str, Array]


def judge_series(times: Array, oxygen: Array, saturation: Array, criterion: Criterion) -> Verdict:
    """Hold an oxygen series against a criterion.

    Parameters
    ----------
    times : (n,) datetime64 array
        Local standard time.
    oxygen, saturation : (n, ...) arrays
        Dissolved oxygen and its saturation at the same place. [mg/L]
    criterion : Criterion
        Limits.

    Returns
    -------
    Verdict
        Numbers of the shape that follows time.

    Notes
    -----
    Means take values above saturation as saturation, so that a supersaturated day cannot pay for the night;
    the one-day minimum takes the value itself. The daily mean is that of the curve, not of its two ends.
    Each line stands for itself: a mean over 7 or 30 days that falls short is a window, never a day.
    Raises: nothing. Source: epa1986oxygen (from memory, not verified in text).
    """
    capped = np.minimum(oxygen, saturation)
    days, means = daily(times, capped, np.mean)
    _, minima = daily(times, oxygen, np.min)
    _, capped_minima = daily(times, capped, np.min)
    numbers = {"mean": means, "mean of daily minima": capped_minima, "minimum": minima}
    lowest: dict[str, Array] = {}
    windows: dict[str, int] = {}
    failing_by_line: dict[str, Array] = {}
    for line, limit in criterion.limits.items():
        length, what = LINES[line]
        judged = rolling_mean(numbers[what], length)
        lowest[line] = judged.min(axis=0) if len(judged) else np.full(means.shape[1:], np.nan)
        windows[line] = len(judged)
        failing_by_line[line] = np.asarray((judged < limit).sum(axis=0))
    failing = failing_by_line.get("minimum_1_day", np.zeros(means.shape[1:], dtype=int))
    return Verdict(criterion, len(days), failing, lowest, windows, failing_by_line)


def judge(dataset: xr.Dataset, station: str = "top", criterion: str | None = None) -> Verdict:
    """Hold every zone of a run against a criterion.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.
    station : str, default "top"
        Where in each zone, see `at_station`.
    criterion : str, optional
        Key of criteria.toml; else the one the scenario chose.

    Returns
    -------
    Verdict
        Numbers by zone.

    Raises
    ------
    ScenarioError
        There is no such criterion.
    """
    return judge_series(
        dataset["time"].values,
        at_station(dataset, "dissolved_oxygen", station).values,
        at_station(dataset, "oxygen_saturation", station).values,
        criterion_of(dataset, criterion),
    )
