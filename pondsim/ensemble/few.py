"""A few draws that stand for many of unequal weight, where each costs many runs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pondsim.ensemble.study import Draws


def few_of(draws: Draws, count: int, seed: int = 1) -> Draws:
    """Take `count` draws by their weights; one that is taken more than once stands once, with more weight.

    Parameters
    ----------
    draws : Draws
        Those without weights count alike.
    count : int
        At least 1; fewer may come back, since the heaviest are taken more than once.
    seed : int
        Of the place at which the count begins.

    Returns
    -------
    Draws
        With weights, each a whole multiple of 1/count.

    Notes
    -----
    Systematic resampling: a draw of weight w is taken count w times, rounded down or up, and on average over
    seeds exactly that often. Source: Kitagawa (1996), J. Comput. Graph. Stat. 5:1, from memory.
    """
    weights = np.full(draws.members, 1.0 / draws.members) if draws.weights is None else draws.weights
    edges = np.cumsum(weights) / np.sum(weights)
    places = (np.arange(count) + np.random.default_rng(seed).uniform()) / count
    taken = np.minimum(np.searchsorted(edges, places), draws.members - 1)
    rows, copies = np.unique(taken, return_counts=True)
    return replace(
        draws,
        shares=draws.shares[rows],
        values=draws.values[rows],
        year=draws.year[rows],
        weights=copies / count,
    )
