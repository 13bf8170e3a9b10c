"""By how much a run misses readings, always beside naive rivals on the same hours."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.measures import scores
from pondsim.measures.readings import ReadSeries, computed_at, read_series
from pondsim.measures.series import AFTER_SUNRISE, BEFORE_SUNRISE
from pondsim.measures.sun import sunrise_hour
from pondsim.measures.table import minimum_limit

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]

LOGGER_STEP = 2.0  # h, above which a series has no hours of the day to compare
OXYGEN, SATURATION = "dissolved_oxygen", "oxygen_saturation"
FEW = 3  # readings, below which nothing is scored


@dataclass(frozen=True)
class Score:
    """Bias and root mean square error, in the unit of the readings."""

    bias: float
    rmse: float


@dataclass(frozen=True)
class Miss:
    """How a run stands against one series of readings, in their unit; NaN where none can be told.

    Attributes
    ----------
    series : the readings
    count : readings compared: those that run and every rival have
    left_out : readings that are flagged and not compared
    run : of the run
    rivals : "same hour yesterday", "mean day" and, of oxygen, "saturation", on the same readings
    nash_sutcliffe, kling_gupta : of the run
    hours_late : by which the computed daily wave comes later
    swing_read, swing_computed : mean daily range over complete days
    days, complete_days : days with readings, and those whose minimum is one
    dawn_read, dawn_computed : mean of the lowest value around sunrise of complete days
    limit : criterion for oxygen; NaN for others
    hours_below_read, hours_below_computed : readings below it, as hours
    """

    series: ReadSeries
    count: int
    left_out: int
    run: Score
    rivals: dict[str, Score] = field(default_factory=dict)
    nash_sutcliffe: float = math.nan
    kling_gupta: float = math.nan
    hours_late: float = math.nan
    swing_read: float = math.nan
    swing_computed: float = math.nan
    days: int = 0
    complete_days: int = 0
    dawn_read: float = math.nan
    dawn_computed: float = math.nan
    limit: float = math.nan
    hours_below_read: float = math.nan
    hours_below_computed: float = math.nan


def miss_of(dataset: xr.Dataset, series: ReadSeries) -> Miss | None:
    """Hold a run against readings.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.
    series : ReadSeries
        Of that pond.

    Returns
    -------
    Miss or None
        None where the results lack the output, or share fewer than three readings with it. Raises nothing.

    Notes
    -----
    A rival knows nothing but the readings: the same hour of the day before; the mean of that hour on all
    other days; the saturation that the run computed there. Days of a logger that lack hours before dawn have
    no minimum and no range.
    """
    computed = computed_at(dataset, series)
    if computed is None:
        return None
    read = series.used
    rivals = _rivals(dataset, series, read)
    same = np.isfinite(read) & np.isfinite(computed)
    for one in rivals.values():
        same &= np.isfinite(one)
    if same.sum() < FEW:  # too short for rivals
        rivals, same = {}, np.isfinite(read) & np.isfinite(computed)
    if same.sum() < FEW:
        return None
    daily = _daily(dataset, series, read, computed) if _is_logger(series) else {}
    read, computed = (np.where(same, one, np.nan) for one in (read, computed))
    below: dict[str, Any] = {}
    if series.variable == OXYGEN and _is_logger(series):
        limit, hours = minimum_limit(dataset), float(same.sum()) * series.step
        below = {"limit": limit, "hours_below_read": scores.share_below(read, limit) * hours}
        below["hours_below_computed"] = scores.share_below(computed, limit) * hours
    return Miss(
        series,
        int(same.sum()),
        int(np.sum(series.left_out & np.isfinite(series.values))),
        Score(scores.bias(read, computed), scores.rmse(read, computed)),
        {name: Score(scores.bias(read, one), scores.rmse(read, one)) for name, one in rivals.items()},
        nash_sutcliffe=scores.nash_sutcliffe(read, computed),
        kling_gupta=scores.kling_gupta(read, computed),
        **daily,
        **below,
    )


def _is_logger(series: ReadSeries) -> bool:
    return 0.0 < series.step <= LOGGER_STEP


def _rivals(dataset: xr.Dataset, series: ReadSeries, read: Array) -> dict[str, Array]:
    rivals: dict[str, Array] = {}
    if _is_logger(series):
        rivals["same hour yesterday"] = scores.same_hour_yesterday(series.times, read, series.step)
        rivals["mean day"] = scores.mean_day(series.times, read)
    if series.variable == OXYGEN:
        saturation = computed_at(dataset, series, SATURATION)
        if saturation is not None:
            rivals["saturation"] = saturation
    return rivals


def _daily(dataset: xr.Dataset, series: ReadSeries, read: Array, computed: Array) -> dict[str, Any]:
    """Timing, range and dawn, over days that the logger has whole and the run too."""
    both = np.isfinite(read) & np.isfinite(computed)
    days, complete = scores.complete_days(series.times, np.where(both, read, np.nan), series.step)
    found: dict[str, Any] = {"days": int(np.unique(series.times[both].astype("datetime64[D]")).size)}
    found |= {
        "complete_days": int(complete.sum()),
        "hours_late": scores.hours_late(series.times, read, computed),
    }
    if not complete.any():
        return found
    at_dawn = _at_dawn(dataset, series.times)
    for name, values in (
        ("read", np.where(both, read, np.nan)),
        ("computed", np.where(both, computed, np.nan)),
    ):
        low, high = (scores.by_day(series.times, values, days, what)[complete] for what in ("min", "max"))
        dawn = scores.by_day(series.times, np.where(at_dawn, values, np.nan), days, "min")[complete]
        found |= {f"swing_{name}": float(np.mean(high - low))}
        if np.isfinite(dawn).any():
            found |= {f"dawn_{name}": float(np.nanmean(dawn))}
    return found


def dawns_read(dataset: xr.Dataset, series: ReadSeries) -> tuple[Array, Array]:
    """Complete days of a logger and the lowest it read around sunrise, at the place of a dataset."""
    if not _is_logger(series):
        return np.empty(0, dtype="datetime64[D]"), np.empty(0)
    read = series.used
    days, complete = scores.complete_days(series.times, read, series.step)
    at_dawn = np.where(_at_dawn(dataset, series.times), read, np.nan)
    return days[complete], scores.by_day(series.times, at_dawn, days, "min")[complete]


def _at_dawn(dataset: xr.Dataset, times: Array) -> Array:
    """Whether times lie from two hours before sunrise to three after it."""
    place = [float(dataset.attrs[key]) for key in ("latitude_deg", "longitude_deg", "utc_offset_h")]
    dates = times.astype("datetime64[D]")
    since = (times - dates) / np.timedelta64(1, "s") / 3600.0 - sunrise_hour(dates, *place)
    return np.asarray((since >= -BEFORE_SUNRISE) & (since <= AFTER_SUNRISE))


def misses_of(dataset: xr.Dataset, readings: xr.Dataset | None = None) -> list[Miss]:
    """Every miss of a run against the readings it holds, or those of another dataset."""
    found = (miss_of(dataset, one) for one in read_series(dataset if readings is None else readings))
    return [one for one in found if one is not None]
