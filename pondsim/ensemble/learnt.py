"""What weights say of each unknown: learnt from the readings, not learnt, or traded against another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondsim.ensemble.sampling import Unknown
from pondsim.ensemble.statistics import quantile

Array = np.ndarray[Any, Any]

SHUFFLES = 400
DEALT, PAIRS = 100, 0.95  # deals, and share of them that no pair may pass
CHANCE = 0.05  # at which chance alone would name any unknown as learnt
NARROWED = 0.9  # spread over that of the draws, above which nothing was learnt (common practice, no source)
TRADED = 0.6  # correlation under the weights from which two unknowns stand for each other (judgement)
EDGE = 0.15  # share of a range next to its end that is called its end (judgement)


@dataclass(frozen=True)
class Learnt:
    """One unknown under the weights.

    Attributes
    ----------
    unknown : which
    learnt : whether chance is no likely cause of what the weights did to it
    narrowed : spread of its share under the weights over that of the draws
    low, high : 5 to 95 % of its value under the weights, SI
    at_edge : "low" or "high" where the weights press it against an end of its range, else ""
    traded : another unknown that the readings cannot tell from it, and their correlation; "" and 0 for none
    """

    unknown: Unknown
    learnt: bool
    narrowed: float
    low: float
    high: float
    at_edge: str
    traded: str
    correlation: float


def learnt(unknowns: Sequence[Unknown], shares: Array, weights: Array, seed: int = 1) -> list[Learnt]:
    """What weights say of each unknown.

    Parameters
    ----------
    unknowns : sequence of Unknown
        What was drawn.
    shares : (members, unknowns) array
        Drawn, even between 0 and 1.
    weights : (members,) array
        Of the members, sum 1.

    Notes
    -----
    The same weights are dealt out to the members again and again by chance: an unknown is learnt when its
    mean moved, or its spread shrank, further than that of any unknown does in 19 of 20 of these, each against
    its own scatter over the deals.
    """
    rng = np.random.default_rng(seed)
    moved, ratio = _moments(shares, weights)
    null = [_moments(shares, rng.permutation(weights)) for _ in range(SHUFFLES)]
    by_chance = np.array([one for one, _ in null])
    named = _beyond(np.abs(moved), np.abs(by_chance)) | (
        _beyond(-ratio, -np.array([own for _, own in null])) & (ratio < NARROWED)
    )
    related = _correlation(shares, weights)
    enough = max(TRADED, _luckiest(shares, weights, rng))
    found = []
    for place, unknown in enumerate(unknowns):
        low, high = (float(v) for v in quantile(unknown.value(shares[:, place]), [0.05, 0.95], weights))
        at = moved[place] + 0.5
        edge = "low" if at < EDGE else "high" if at > 1.0 - EDGE else ""
        others = np.where(np.arange(len(unknowns)) == place, 0.0, related[place])
        other = int(np.argmax(np.abs(others)))
        traded = abs(others[other]) > enough
        found.append(
            Learnt(
                unknown,
                bool(named[place]),
                float(ratio[place]),
                low,
                high,
                edge if named[place] else "",
                unknowns[other].name if traded else "",
                float(others[other]) if traded else 0.0,
            )
        )
    return found


def _beyond(seen: Array, by_chance: Array) -> Array:
    """Which values lie further out than the furthest of all mostly does by chance, (deals, unknowns)."""
    middle = by_chance.mean(axis=0)
    scatter = np.maximum(by_chance.std(axis=0), 1e-12)
    furthest = np.max((by_chance - middle) / scatter, axis=1, initial=0.0)
    return np.asarray((seen - middle) / scatter > np.quantile(furthest, 1.0 - 0.5 * CHANCE))


def _luckiest(shares: Array, weights: Array, rng: np.random.Generator) -> float:
    """Correlation that the closest of all pairs seldom passes when weights are dealt out by chance."""
    found = []
    for _ in range(DEALT):
        dealt = np.abs(_correlation(shares, rng.permutation(weights)))
        np.fill_diagonal(dealt, 0.0)
        found.append(float(dealt.max(initial=0.0)))
    return float(np.quantile(found, PAIRS))


def _moments(shares: Array, weights: Array) -> tuple[Array, Array]:
    """Mean less one half, and spread over that of the draws, of every unknown."""
    mean = weights @ shares
    spread = np.sqrt(np.maximum(weights @ shares**2 - mean**2, 0.0))
    return mean - 0.5, spread / np.maximum(np.std(shares, axis=0), 1e-12)


def _correlation(shares: Array, weights: Array) -> Array:
    off = shares - weights @ shares
    products = (off * weights[:, None]).T @ off
    spread = np.sqrt(np.maximum(np.diag(products), 1e-300))
    return np.asarray(products / np.outer(spread, spread))
