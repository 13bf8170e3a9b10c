"""Which unknowns decide a difference, from the members at hand, and what measuring each would leave open.

An additive emulator: the difference is a sum of a smooth curve of each unknown that shows above the noise,
and
a rest. The variance of a curve over that of the difference is the unknown's first-order index (Sobol 1993; by
Legendre polynomials, Sudret 2008, Reliab. Eng. Syst. Saf. 93:964; both from memory). Interactions stay in
the rest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from pondsim.ensemble.curves import MEMBERS_PER_TERM, bases_of, fitted, gain_of
from pondsim.ensemble.interactions import pairs_of
from pondsim.ensemble.sampling import Unknown
from pondsim.ensemble.statistics import quantile

Array = np.ndarray[Any, Any]

SHUFFLES = 100  # of the difference among members, to see how high noise alone climbs
NOISE = 0.95  # quantile of that which an unknown must pass
RESAMPLED = 200  # bootstrap draws of members, for the interval of an index (Efron & Tibshirani 1993)
ERRORS = np.array([-1.6449, -0.6745, 0.0, 0.6745, 1.6449])  # deviations of a measurement that are tried
GRID = np.linspace(0.001, 0.999, 999)


@dataclass(frozen=True)
class Index:
    """One unknown that shows.

    Attributes
    ----------
    unknown : which
    first : first-order index, the share of the variance that it decides by itself
    low, high : 5 to 95 % of it over resampled members
    rises : whether the difference rises with it; None where it goes up and down, or of a choice
    curve : the emulator's part of the difference, by member
    """

    unknown: Unknown
    first: float
    low: float
    high: float
    rises: bool | None
    curve: Array


@dataclass(frozen=True)
class Ranking:
    """Unknowns by their index, the highest first.

    Attributes
    ----------
    indices : of those that pass the noise
    noise : gain that chance alone reaches with these members; below it nothing can be told
    rest : share of the variance that no single unknown shows: interactions, and what these members cannot
        tell
    variance : of the difference
    pairs : interactions that show: two names and the share of the variance that they decide together only
    totals : total-order index by name of those in a pair, interactions of two counted
    """

    indices: tuple[Index, ...]
    noise: float
    rest: float
    variance: float
    pairs: tuple[tuple[str, str, float], ...] = ()
    totals: Mapping[str, float] = field(default_factory=dict)


def ranking(unknowns: Sequence[Unknown], shares: Array, difference: Array, seed: int = 1) -> Ranking:
    """Rank unknowns by what they decide of a difference.

    Parameters
    ----------
    unknowns : sequence of Unknown
        What was drawn.
    shares : (members, unknowns) array
        Drawn, even between 0 and 1 and independent.
    difference : (members,) array
        Of each member.

    Returns
    -------
    Ranking
        Empty where the difference does not vary, or nothing passes the noise.
    """
    y = np.asarray(difference, dtype=float)
    variance = float(np.var(y))
    if len(y) < 2 * MEMBERS_PER_TERM or variance <= 0.0:
        return Ranking((), 1.0, 1.0, variance)
    bases = [bases_of(one, shares[:, place]) for place, one in enumerate(unknowns)]
    rng = np.random.default_rng(seed)
    noise = _noise(bases, y, rng)
    chosen = _chosen(bases, y, noise)
    if not chosen:
        return Ranking((), noise, 1.0, variance)
    parts = [bases[place][degree][:, 1:] for place, degree in chosen.items()]
    first, curves, rest = fitted(parts, y)
    picks = rng.integers(0, len(y), size=(RESAMPLED, len(y)))
    again = np.array([fitted([part[pick] for part in parts], y[pick])[0] for pick in picks])
    low, high = np.quantile(again, [0.05, 0.95], axis=0)
    found = [
        Index(
            unknowns[place],
            float(first[k]),
            float(min(low[k], first[k])),
            float(max(high[k], first[k])),
            _rises(unknowns[place], shares[:, place], curves[k]),
            curves[k],
        )
        for k, place in enumerate(chosen)
    ]
    shown = pairs_of(bases, chosen, y, rng)
    pairs = tuple((unknowns[a].name, unknowns[b].name, share) for (a, b), share in shown.items())
    alone = {one.unknown.name: one.first for one in found}
    totals = {
        name: alone.get(name, 0.0) + sum(share for *both, share in pairs if name in both)
        for name in dict.fromkeys(name for *both, _ in pairs for name in both)
    }
    ordered = tuple(sorted(found, key=lambda one: -one.first))
    return Ranking(ordered, noise, rest, variance, pairs, totals)


def _noise(bases: list[list[Array]], y: Array, rng: np.random.Generator) -> float:
    """Gain that the luckiest unknown reaches when the difference has nothing to do with any."""
    shuffled = np.stack([rng.permutation(y) for _ in range(SHUFFLES)], axis=1)
    best = np.max([gain_of(basis, shuffled) for own in bases for basis in own], axis=0)
    return max(float(np.quantile(best, NOISE)), 0.0)


def _chosen(bases: list[list[Array]], y: Array, noise: float) -> dict[int, int]:
    """Unknowns that pass the noise one after the other, and the place of the degree of each."""
    chosen: dict[int, int] = {}
    rest, terms = y, 0
    while len(chosen) < len(bases):
        gains = {
            (place, degree): float(gain_of(basis, rest[:, None])[0])
            for place, own in enumerate(bases)
            if place not in chosen
            for degree, basis in enumerate(own)
        }
        place, degree = max(gains, key=lambda key: gains[key])
        terms += bases[place][degree].shape[1] - 1
        if gains[place, degree] <= noise or terms * MEMBERS_PER_TERM > len(y):
            break
        chosen[place] = degree
        parts = [bases[one][own][:, 1:] for one, own in chosen.items()]
        rest = y - y.mean() - np.sum(fitted(parts, y)[1], axis=0)
    return chosen


def _rises(unknown: Unknown, share: Array, curve: Array) -> bool | None:
    if unknown.shape == "choice":
        return None
    order = np.argsort(share)
    steps = np.diff(curve[order])
    up = float(np.sum(np.maximum(steps, 0.0)))
    both = float(np.sum(np.abs(steps)))
    return None if both <= 0.0 or 0.1 < up / both < 0.9 else up > 0.5 * both


def interval_after(
    index: Index, share: Array, difference: Array, error: float, weights: Array | None = None
) -> tuple[float, float]:
    """5 to 95 % of a difference once an unknown is measured, on average over what may be read.

    Parameters
    ----------
    index : Index
        Of the unknown, with its curve.
    share, difference : (members,) arrays
        What was drawn of it, and the difference.
    error : float
        Standard error of the measurement as a share of the value; of a choice 0: it is told.

    Notes
    -----
    The curve is taken out of the difference and what the measurement's error leaves of it is put back.
    """
    y = np.asarray(difference, dtype=float)
    freed = y - index.curve
    unknown = index.unknown
    if unknown.shape == "choice" or error <= 0.0:
        low, high = quantile(freed, [0.05, 0.95], weights)
        return float(low), float(high)
    order = np.argsort(share)
    level = unknown.value(GRID)
    tried = np.clip(unknown.value(share)[:, None] * (1.0 + error * ERRORS), level[0], level[-1])
    moved = np.interp(np.interp(tried, level, GRID), share[order], index.curve[order])
    spread = (freed[:, None] + moved - index.curve[:, None]).ravel()
    repeated = None if weights is None else np.repeat(weights, ERRORS.size)
    low, high = quantile(spread, [0.05, 0.95], repeated)
    return float(low), float(high)


def without(ranked: Ranking, names: set[str]) -> Ranking:
    """A ranking without some unknowns, such as the weather, which nobody measures beforehand."""
    return replace(ranked, indices=tuple(one for one in ranked.indices if one.unknown.name not in names))
