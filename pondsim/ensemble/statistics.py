"""Statistics of members and errors: intervals of shares, weighted quantiles, scores, power of a paired test.

Pure functions of numbers; nothing here knows of ponds. Sources stand at each function.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from scipy import stats

Array = np.ndarray[Any, Any]

MOST_READINGS = 100_000  # pairs that a plan may ask for


def wilson_interval(share: float, count: float, level: float = 0.95) -> tuple[float, float]:
    """Interval of a probability seen as a share of `count` independent members.

    Parameters
    ----------
    share : float
        Seen, 0 to 1.
    count : float
        Members, or their effective number where they have weights.
    level : float, default 0.95
        Two-sided.

    Notes
    -----
    Wilson (1927), J. Am. Stat. Assoc. 22:209. A share of 0 does not mean "never". Raises: nothing.
    """
    if count <= 0.0:
        return 0.0, 1.0
    z = float(stats.norm.ppf(0.5 + 0.5 * level))
    below = 1.0 + z * z / count
    middle = (share + 0.5 * z * z / count) / below
    half = z / below * math.sqrt(max(share * (1.0 - share), 0.0) / count + 0.25 * z * z / count**2)
    return max(middle - half, 0.0), min(middle + half, 1.0)


def effective_number(weights: Array) -> float:
    """Members that weights are worth, (sum w)^2 / sum w^2. Source: Kish (1965), Survey Sampling."""
    weights = np.asarray(weights, dtype=float)
    total = float(np.sum(weights))
    return total * total / float(np.sum(weights * weights)) if total > 0.0 else 0.0


def weights_of(chi2: Array) -> Array:
    """Weights exp(-chi2/2) with sum 1; the least chi2 is taken off first, so that they never all vanish."""
    chi2 = np.asarray(chi2, dtype=float)
    raw = np.exp(-0.5 * (chi2 - np.nanmin(chi2)))
    raw = np.where(np.isfinite(raw), raw, 0.0)
    return np.asarray(raw / np.sum(raw))


def quantile(values: Array, share: float | Sequence[float], weights: Array | None = None) -> Array:
    """Quantile of members along the first dimension; missing members are left out.

    Without weights the linear rule (Hyndman & Fan 1996, type 7). With weights the same rule on the middle of
    each member's share of the total weight; equal weights give nearly the same.
    """
    values = np.asarray(values, dtype=float)
    if weights is None:
        return np.asarray(np.nanquantile(values, share, axis=0))
    if values.ndim > 1:
        flat = values.reshape(len(values), -1)
        columns = [quantile(flat[:, k], share, weights) for k in range(flat.shape[1])]
        return np.stack(columns, axis=-1).reshape(*np.shape(share), *values.shape[1:])
    known = np.isfinite(values) & (np.asarray(weights) > 0.0)
    if not known.any():
        return np.full(np.shape(share), np.nan)
    order = np.argsort(values[known], kind="stable")
    sorted_values, own = values[known][order], np.asarray(weights, dtype=float)[known][order]
    middle = (np.cumsum(own) - 0.5 * own) / np.sum(own)
    return np.asarray(np.interp(share, middle, sorted_values))


def independent_share(rho: float) -> float:
    """Independent readings that one reading of a long series is worth, (1 - rho)/(1 + rho).

    Source: Bayley & Hammersley (1946), J. R. Stat. Soc. suppl. 8:184, from memory. rho: correlation of
    neighbours.
    """
    rho = min(max(rho, 0.0), 0.9999)
    return (1.0 - rho) / (1.0 + rho)


def independent_readings(count: int, rho: float) -> float:
    """Readings that a mean of `count` is worth: n / (1 + 2 sum (1 - k/n) rho^k), exact."""
    lags = np.arange(1, count)
    return count / (1.0 + 2.0 * float(np.sum((1.0 - lags / count) * rho**lags)))


def neighbour_correlation(series: Array) -> float:
    """Correlation of neighbours of an even series; missing values are left out; 0 if unknown."""
    series = np.asarray(series, dtype=float)
    off = series - np.nanmean(series) if np.isfinite(series).any() else series
    pairs = np.isfinite(off[:-1]) & np.isfinite(off[1:])
    below = np.nanmean(off * off) if np.isfinite(off).any() else 0.0
    if pairs.sum() < 3 or not below > 0.0:
        return 0.0
    return float(np.clip(np.mean(off[:-1][pairs] * off[1:][pairs]) / below, -0.9999, 0.9999))


def paired_power(effect: float, count: int, level: float = 0.95) -> float:
    """Power of a one-sided paired t-test.

    Parameters
    ----------
    effect : float
        True mean difference over its standard deviation.
    count : int
        Independent pairs, 2 or more.
    level : float
        1 less the chance of a false alarm.

    Notes
    -----
    Noncentral t distribution; Cohen (1988), Statistical Power Analysis, 2nd ed., from memory.
    """
    free = count - 1
    critical = stats.t.ppf(level, free)
    return float(stats.nct.sf(critical, free, effect * math.sqrt(count)))


def pairs_needed(effect: float, power: float = 0.8, level: float = 0.95) -> int | None:
    """Least number of independent pairs that shows an effect; None where no sensible number does."""
    if not effect > 0.0:
        return None
    low, high = 2, 4
    while paired_power(effect, high, level) < power:
        low, high = high, 2 * high
        if high > MOST_READINGS:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if paired_power(effect, middle, level) >= power else (middle, high)
    return low if paired_power(effect, low, level) >= power else high


def rounded_down(value: float, scale: float) -> float:
    """The next lower of the numbers that `scale` makes whole."""
    return math.floor(value * scale + 1e-9) / scale
