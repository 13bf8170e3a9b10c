"""Curves of unknowns through members: columns, what they gain on members left out, a joint fit of all."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.polynomial import legendre

from pondsim.ensemble.sampling import Unknown

Array = np.ndarray[Any, Any]

HIGHEST_DEGREE = 8
MEMBERS_PER_TERM = 12  # members at least for each term of a curve


def bases_of(unknown: Unknown, share: Array) -> list[Array]:
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


def gain_of(basis: Array, y: Array) -> Array:
    """By what share a curve lessens the error of members left out one by one (PRESS); columns of y apart."""
    off = y - basis @ (basis.T @ y)
    leverage = np.minimum(np.sum(basis * basis, axis=1), 0.999)
    left_out = np.sum((off / (1.0 - leverage)[:, None]) ** 2, axis=0)
    count = len(y)
    plain = np.sum((y - y.mean(axis=0)) ** 2, axis=0) * (count / (count - 1.0)) ** 2
    return np.asarray(1.0 - left_out / plain)


def fitted(parts: list[Array], y: Array) -> tuple[Array, list[Array], float]:
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
