"""Interactions of two unknowns that show in members, for total-order indices.

Members are one sample with no second one beside it, so the usual estimate of total-order indices, which
changes one unknown at a time between two samples, cannot be had. What can: products of two curves, fitted to
what the curves of single unknowns leave. A total index is then the first-order one and the shares of its
pairs (Sudret 2008, Reliab. Eng. Syst. Saf. 93:964, from memory). Interactions of three stay in the rest, and
so do those of two unknowns neither of which shows by itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from pondsim.ensemble.curves import MEMBERS_PER_TERM, fitted, gain_of

Array = np.ndarray[Any, Any]
Pair = tuple[int, int]

SHUFFLES = 100  # of what is left, to see how high noise alone climbs among so many pairs
NOISE = 0.95  # quantile of that which a pair must pass


def pairs_of(
    bases: Sequence[Sequence[Array]], chosen: Mapping[int, int], y: Array, rng: np.random.Generator
) -> dict[Pair, float]:
    """Share of the variance that pairs of unknowns decide beyond what each decides by itself.

    Parameters
    ----------
    bases : for each unknown its orthonormal columns by degree, a constant first
    chosen : unknowns that show by themselves, and the place of their degree; a pair holds at least one
    y : (members,) what they decide

    Returns
    -------
    dict
        By places of the two; empty where none passes what chance reaches, or members are too few.
    """
    parts = [bases[place][degree][:, 1:] for place, degree in chosen.items()]
    room = len(y) // (2 * MEMBERS_PER_TERM)
    candidates = _candidates(bases, chosen, room)
    if not candidates:
        return {}
    left = _left(parts, y)
    shuffled = np.stack([rng.permutation(left) for _ in range(SHUFFLES)], axis=1)
    best = np.max([gain_of(_with_constant(product), shuffled) for _, product in candidates], axis=0)
    noise = max(float(np.quantile(best, NOISE)), 0.0)
    found: dict[Pair, Array] = {}
    while True:
        open_ones = [
            (pair, product) for pair, product in candidates if pair not in found and product.shape[1] <= room
        ]
        gains = [float(gain_of(_with_constant(product), left[:, None])[0]) for _, product in open_ones]
        if not gains or max(gains) <= noise:
            break
        pair, product = open_ones[int(np.argmax(gains))]
        found[pair] = product
        room -= product.shape[1]
        left = _left([*parts, *found.values()], y)
    if not found:
        return {}
    shares = fitted([*parts, *found.values()], y)[0][len(parts) :]
    return {pair: float(share) for pair, share in zip(found, shares, strict=True)}


def _candidates(
    bases: Sequence[Sequence[Array]], chosen: Mapping[int, int], room: int
) -> list[tuple[Pair, Array]]:
    """Products of columns of two unknowns, of each degree that there are members for."""
    found = []
    for pair in sorted({(min(a, b), max(a, b)) for a in chosen for b in range(len(bases)) if a != b}):
        one, other = (bases[place] for place in pair)
        for degree in range(max(len(one), len(other))):
            first, second = (own[min(degree, len(own) - 1)][:, 1:] for own in (one, other))
            if first.shape[1] * second.shape[1] <= room:
                product = np.einsum("ma,mb->mab", first, second).reshape(len(first), -1)
                found.append((pair, product * np.sqrt(len(product))))
    return found


def _with_constant(product: Array) -> Array:
    return np.asarray(np.linalg.qr(np.column_stack([np.ones(len(product)), product]))[0])


def _left(parts: Sequence[Array], y: Array) -> Array:
    """What a joint fit leaves of y."""
    return np.asarray(y - y.mean() - np.sum(fitted(list(parts), y)[1], axis=0))
