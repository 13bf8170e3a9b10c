"""Which unknowns decide a difference, from the members at hand, and what measuring each would leave open.

An additive emulator: the difference is a sum of a smooth curve of each unknown that shows above the noise,
and
a rest. The variance of a curve over that of the difference is the unknown's first-order index (Sobol 1993; by
Legendre polynomials, Sudret 2008, Reliab. Eng. Syst. Saf. 93:964; both from memory). Interactions stay in
the rest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.polynomial import legendre

from pondsim.ensemble.sampling import Unknown
from pondsim.ensemble.statistics import quantile

Array = np.ndarray[Any, Any]

HIGHEST_DEGREE = 8
MEMBERS_PER_TERM = 12  # members at least for each term of a curve
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
    """

    indices: tuple[Index, ...]
    noise: float
    rest: float
    variance: float


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
    bases = [_bases(one, shares[:, place]) for place, one in enumerate(unknowns)]
    rng = np.random.default_rng(seed)
    noise = _noise(bases, y, rng)
    chosen = _chosen(bases, y, noise)
    if not chosen:
        return Ranking((), noise, 1.0, variance)
    parts = [bases[place][degree][:, 1:] for place, degree in chosen.items()]
    first, curves, rest = _fitted(parts, y)
    picks = rng.integers(0, len(y), size=(RESAMPLED, len(y)))
    again = np.array([_fitted([part[pick] for part in parts], y[pick])[0] for pick in picks])
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
    return Ranking(tuple(sorted(found, key=lambda one: -one.first)), noise, rest, variance)


def _bases(unknown: Unknown, share: Array) -> list[Array]:
    """Orthonormal columns for each degree tried, a constant first; of a choice its options."""
    if unknown.shape == "choice":
        place = unknown.value(share).astype(int)
        raw = np.stack([(place == k).astype(float) for k in range(len(unknown.options))], axis=1)
        kept = raw[:, raw.sum(axis=0) > 0][:, 1:]
        return [np.linalg.qr(np.column_stack([np.ones(len(share)), kept]))[0]]
    most = max(1, min(HIGHEST_DEGREE, len(share) // MEMBERS_PER_TERM // 2))
    raw = legendre.legvander(2.0 * share - 1.0, most)
    whole = np.linalg.qr(raw)[0]
    return [whole[:, : degree + 1] for degree in range(1, most + 1)]


def _gain(basis: Array, y: Array) -> Array:
    """By what share a curve lessens the error of members left out one by one (PRESS); columns of y apart."""
    off = y - basis @ (basis.T @ y)
    leverage = np.minimum(np.sum(basis * basis, axis=1), 0.999)
    left_out = np.sum((off / (1.0 - leverage)[:, None]) ** 2, axis=0)
    count = len(y)
    plain = np.sum((y - y.mean(axis=0)) ** 2, axis=0) * (count / (count - 1.0)) ** 2
    return np.asarray(1.0 - left_out / plain)


def _noise(bases: list[list[Array]], y: Array, rng: np.random.Generator) -> float:
    """Gain that the luckiest unknown reaches when the difference has nothing to do with any."""
    shuffled = np.stack([rng.permutation(y) for _ in range(SHUFFLES)], axis=1)
    best = np.max([_gain(basis, shuffled) for own in bases for basis in own], axis=0)
    return max(float(np.quantile(best, NOISE)), 0.0)


def _chosen(bases: list[list[Array]], y: Array, noise: float) -> dict[int, int]:
    """Unknowns that pass the noise one after the other, and the place of the degree of each."""
    chosen: dict[int, int] = {}
    rest, terms = y, 0
    while len(chosen) < len(bases):
        gains = {
            (place, degree): float(_gain(basis, rest[:, None])[0])
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
        rest = y - y.mean() - np.sum(_fitted(parts, y)[1], axis=0)
    return chosen


def _fitted(parts: list[Array], y: Array) -> tuple[Array, list[Array], float]:
    """Index and curve of each part of a joint fit, less what noise adds; share of the variance left over."""
    count = len(y)
    matrix = np.column_stack([np.ones(count), *parts])
    factors = np.linalg.lstsq(matrix, y, rcond=None)[0]
    left = y - matrix @ factors
    free = max(count - matrix.shape[1], 1)
    noise = float(left @ left) / free
    variance = max(float(np.var(y)), 1e-300)
    curves, first, at = [], [], 1
    for part in parts:
        curve = part @ factors[at : at + part.shape[1]]
        curves.append(curve - curve.mean())
        first.append(max(float(np.var(curve)) - noise * part.shape[1] / count, 0.0) / variance)
        at += part.shape[1]
    return np.array(first), curves, min(noise / variance, 1.0)


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
