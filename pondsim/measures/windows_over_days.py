"""Values of days and means over several of them against a limit: windows judged, failing, first and last."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

Array = np.ndarray[Any, Any]
Season = tuple[tuple[int, int, int, int], ...]  # first and last month and day
MOST_CORRELATED = 0.999


@dataclass(frozen=True)
class Judged:
    """How one series stands against one limit.

    Attributes
    ----------
    judged : windows (days, or results of a series judged at each) that could be judged
    failing : of these, those on the wrong side of the limit; a value equal to it meets it
    not_judged : windows of the season that lack values
    worst : the worst value of those judged; NaN with none
    first, last : last days of the first and the last window that fails; NaT with none
    effective : how many independent values those judged are worth
    """

    judged: int
    failing: int
    not_judged: int
    worst: float
    first: np.datetime64
    last: np.datetime64
    effective: float

    @property
    def share(self) -> float:
        """Share that fails; NaN where nothing could be judged."""
        return self.failing / self.judged if self.judged else float("nan")


def in_season(days: Array, season: Season) -> Array:
    """Whether each day lies in one of the spans of the year, both ends included; always with no span."""
    if not season:
        return np.ones(len(days), dtype=bool)
    months = days.astype("datetime64[M]")
    on = (months.astype(int) % 12 + 1) * 100 + (days - months.astype("datetime64[D]")).astype(int) + 1
    found = np.zeros(len(days), dtype=bool)
    for first_month, first_day, last_month, last_day in season:
        first, last = first_month * 100 + first_day, last_month * 100 + last_day
        found |= (on >= first) & (on <= last) if first <= last else (on >= first) | (on <= last)
    return found


def window_means(numbers: Array, length: int, needed: int | None = None) -> Array:
    """Mean of every `length` values in a row, by the last of them.

    Parameters
    ----------
    numbers : (n, ...) array
        Values, NaN where one is missing.
    length : int
        Values in a window.
    needed : int, optional
        Values a window must have, else all.

    Returns
    -------
    (n - length + 1, ...) array
        NaN where a window lacks values; empty where the series is shorter than a window. Missing values are
        never filled: the mean is that of the values there are.
    """
    if len(numbers) < length:
        return np.empty((0, *numbers.shape[1:]))
    view = np.lib.stride_tricks.sliding_window_view(numbers, length, axis=0)
    there = np.isfinite(view)
    count = there.sum(axis=-1)
    total = np.where(there, view, 0.0).sum(axis=-1)
    enough = count >= (length if needed is None else needed)
    return np.divide(total, count, out=np.full(total.shape, np.nan), where=enough & (count > 0))


def judge_windows(
    days: Array,
    numbers: Array,
    limit: float,
    *,
    least: bool = True,
    length: int = 1,
    needed: int | None = None,
    season: Season = (),
) -> Judged:
    """Hold means over days in a row against a limit.

    Parameters
    ----------
    days : (n,) datetime64[D] array
        Days in a row, or for a series judged at each of its values the day of each.
    numbers : (n,) array
        A value for each, NaN where it is missing.
    limit : float
        In the unit of `numbers`; compared as it is, with no rounding.
    least : bool, default True
        Whether the limit is a least value; else a highest one.
    length, needed
        As in `window_means`; windows overlap, one begins each day.
    season : tuple, optional
        Spans of the year. A window counts when all of its days lie in them, dated by its last day.
    """
    values = window_means(np.asarray(numbers, dtype=float), length, needed)
    none = np.datetime64("NaT", "D")
    if not len(values):
        return Judged(0, 0, 0, float("nan"), none, none, 0.0)
    inside = in_season(days, season).astype(float)
    inside = window_means(inside, length) > 1.0 - 0.5 / length
    last_days, values = days[length - 1 :][inside], values[inside]
    known = np.isfinite(values)
    judged, dates = values[known], last_days[known]
    fails = judged < limit if least else judged > limit
    failing = np.flatnonzero(fails)
    worst = float("nan") if not judged.size else float(judged.min() if least else judged.max())
    first, last = (dates[failing[0]], dates[failing[-1]]) if failing.size else (none, none)
    return Judged(
        int(judged.size),
        int(failing.size),
        int(np.sum(~known)),
        worst,
        first.astype("datetime64[D]"),
        last.astype("datetime64[D]"),
        effective_number(values),
    )


def effective_number(values: Array) -> float:
    """How many independent values a series in even steps is worth: n (1 - r)/(1 + r).

    Notes
    -----
    r is the correlation of each value with the next, from 0 to 0.999. Raises: nothing. Error: holds for a
    series that forgets at an even pace; one that remembers longer is worth less. Source: bayley1946 (from
    memory, not verified in text).
    """
    known = np.isfinite(values)
    count = int(known.sum())
    if count < 3:
        return float(count)
    both = known[1:] & known[:-1]
    before, after = values[:-1][both], values[1:][both]
    if before.size < 2 or np.ptp(values[known]) == 0.0 or np.ptp(before) == 0.0 or np.ptp(after) == 0.0:
        return 1.0 if both.any() else float(count)
    r = float(np.clip(np.corrcoef(before, after)[0, 1], 0.0, MOST_CORRELATED))
    return max(count * (1.0 - r) / (1.0 + r), 1.0)


def chance_of(failing: float, judged: float, share: float) -> float:
    """Chance of at least so many failing values when the true share is `share`: exact binomial, one-sided.

    Parameters
    ----------
    failing, judged : float
        Values on the wrong side and values in all; whole numbers, or an effective number and its share.
    share : float
        Allowed, 0 to 1. [1]

    Returns
    -------
    float
        Probability. [1]

    Notes
    -----
    The sum of the binomial's upper end, as the incomplete beta function I_share(failing, judged - failing +
    1), which also takes numbers that are not whole. Raises: nothing. Error: rounding.
    """
    from scipy.special import betainc  # noqa: PLC0415  (heavy; only where a test was asked for)

    if failing <= 0.0:
        return 1.0
    return float(betainc(failing, judged - failing + 1.0, share))
