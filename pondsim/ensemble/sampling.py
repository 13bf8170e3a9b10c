"""Draws of what is not known: a scrambled Sobol sequence, carried to the shape of each unknown.

A shape is a function of a share of 0 to 1, the chance that the value is lower. Sources: Sobol (1967) and Owen
(1995) for the scrambled sequence, by SciPy; Nelsen (2006), An Introduction to Copulas, for the normal copula
(both from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import stats
from scipy.stats import qmc

from pondsim.errors import ScenarioError

Array = np.ndarray[Any, Any]

CLIPPED_AT = 2.0  # deviations at which low and high of a clipped normal lie
MOST_MEMBERS = 2**14


@dataclass(frozen=True)
class Unknown:
    """One thing that is drawn.

    Attributes
    ----------
    name : row of defaults.toml, dotted key, "waterfall.method" or "weather"
    low, high : range, SI
    likely : top of a triangle, SI
    shape : "uniform", "triangular", "log-uniform", "normal-clipped", or "choice" with `options`
    options, chances : of a choice: words, and how likely each is against the others
    own : whether the range is the user's
    unit : SI unit of the range; shown : unit it is printed in
    about, source : what it is, and where the range comes from
    """

    name: str
    low: float = 0.0
    high: float = 1.0
    likely: float = 0.5
    shape: str = "uniform"
    options: tuple[str, ...] = ()
    chances: tuple[float, ...] = ()
    own: bool = False
    unit: str = "1"
    shown: str = ""
    about: str = ""
    source: str = ""

    def value(self, share: Array) -> Array:
        """Value whose chance to be undercut is `share`; of a choice the place among its options."""
        share = np.asarray(share, dtype=float)
        if self.shape == "choice":
            edges = np.cumsum(self.chances) / np.sum(self.chances)
            return np.minimum(np.searchsorted(edges, share, side="right"), len(self.options) - 1)
        if self.shape == "log-uniform":
            return np.asarray(self.low * (self.high / self.low) ** share)
        span = self.high - self.low
        if self.shape == "triangular":
            top = (self.likely - self.low) / span
            return np.asarray(stats.triang.ppf(share, top, self.low, span))
        if self.shape == "normal-clipped":
            middle, deviation = 0.5 * (self.low + self.high), 0.5 * span / CLIPPED_AT
            return np.asarray(middle + deviation * stats.truncnorm.ppf(share, -CLIPPED_AT, CLIPPED_AT))
        return np.asarray(self.low + span * share)


def shares_of(
    unknowns: Sequence[Unknown],
    members: int,
    seed: int = 1,
    correlations: Mapping[tuple[str, str], float] | None = None,
) -> Array:
    """Shares of every unknown for every member, (members, unknowns), each even between 0 and 1.

    Parameters
    ----------
    unknowns : sequence of Unknown
        One dimension of the sequence each.
    members : int
        A power of two: only then the points fill every range evenly.
    seed : int
        Of the scrambling.
    correlations : mapping, optional
        Between pairs of names, through a normal copula; each unknown alone stays even.

    Raises
    ------
    ScenarioError
        `members` is no power of two, a pair names no unknown, or the correlations contradict each other.
    """
    check_members(members)
    if not unknowns:
        return np.empty((members, 0))
    sequence = qmc.Sobol(len(unknowns), scramble=True, seed=seed)
    shares = np.asarray(sequence.random_base2(members.bit_length() - 1))
    shares = np.clip(shares, 1e-9, 1.0 - 1e-9)
    return _correlated(shares, [one.name for one in unknowns], correlations) if correlations else shares


def check_members(members: int) -> None:
    """Refuse a number of members that is no power of two from 2 on, and name its neighbours."""
    if members < 2 or members & (members - 1) or members > MOST_MEMBERS:
        below = 2 ** max(min(members, MOST_MEMBERS).bit_length() - 1, 1)
        raise ScenarioError(
            f"members = {members}: draws fill their ranges evenly only for a power of two from 2 to "
            f"{MOST_MEMBERS}; write {below} or {min(2 * below, MOST_MEMBERS)}"
        )


def _correlated(shares: Array, names: list[str], correlations: Mapping[tuple[str, str], float]) -> Array:
    matrix = np.eye(len(names))
    for (one, other), value in correlations.items():
        for name in (one, other):
            if name not in names:
                raise ScenarioError(f"unknowns.pair: {name} is not drawn; drawn are {', '.join(names)}")
        first, second = names.index(one), names.index(other)
        matrix[first, second] = matrix[second, first] = 2.0 * np.sin(np.pi / 6.0 * value)  # of the normals
    try:
        root = np.linalg.cholesky(matrix)
    except np.linalg.LinAlgError:
        raise ScenarioError(
            "unknowns.pair: these correlations contradict each other; take the weakest of them out"
        ) from None
    return np.asarray(stats.norm.cdf(stats.norm.ppf(shares) @ root.T))


def values_of(unknowns: Sequence[Unknown], shares: Array) -> Array:
    """Values of every unknown for every member, SI; places of options of a choice."""
    columns = [one.value(shares[:, place]) for place, one in enumerate(unknowns)]
    return np.stack(columns, axis=1).astype(float) if columns else np.empty((len(shares), 0))
