"""Beside pondsim.physics.tanks: published forms that serve tests alone."""

from __future__ import annotations

import math

import numpy as np

from pondsim.physics import Array


def exit_age_share(relative_time: Array, tanks: int) -> Array:
    """Share of water that has left n equal mixed tanks by a time, F.

    Parameters
    ----------
    relative_time : float or (n,) array
        Time over volume / flow. [1]
    tanks : int
        Number of tanks.

    Returns
    -------
    float or (n,) array
        Share. [1]

    Notes
    -----
    Valid: tanks to some 100. Raises: nothing. Source: levenspiel1999.
    """
    x = tanks * np.asarray(relative_time, dtype=float)
    kept = sum(x**i / math.factorial(i) for i in range(tanks))
    return 1.0 - np.exp(-x) * kept


def exit_age_density(relative_time: Array, tanks: int) -> Array:
    """Distribution of the time that water stays in n equal mixed tanks in a row, E.

    Parameters
    ----------
    relative_time : float or (n,) array
        Time over volume / flow. [1]
    tanks : int
        Number of tanks.

    Returns
    -------
    float or (n,) array
        Density over relative time; its variance is 1/tanks. [1]

    Notes
    -----
    Valid: tanks to some 100. Raises: nothing. Source: levenspiel1999.
    """
    x = tanks * np.asarray(relative_time, dtype=float)
    return tanks * x ** (tanks - 1) / math.factorial(tanks - 1) * np.exp(-x)


def morrill_index(tanks: int) -> float:
    """Time by which 90 % of the water has left over the time of 10 %; 1 is plug flow.

    Parameters
    ----------
    tanks : int
        Number of equal mixed tanks in a row.

    Returns
    -------
    float
        Morrill dispersion index. [1]

    Notes
    -----
    Valid: tanks >= 1. Raises: nothing. Source: levenspiel1999.
    """
    return exit_age_quantile(0.9, tanks) / exit_age_quantile(0.1, tanks)


def removal_first_order(decays: Array, tanks: Array) -> Array:
    """Share removed by first-order decay in n equal mixed tanks in a row.

    Parameters
    ----------
    decays : float or (n,) array
        Rate times volume / flow of all tanks. [1]
    tanks : int or (n,) array
        Number of tanks.

    Returns
    -------
    float or (n,) array
        Share removed. [1]

    Notes
    -----
    Valid: steady flow. Raises: nothing. Source: levenspiel1999.
    """
    return 1.0 - (1.0 + decays / tanks) ** -tanks


def exit_age_quantile(share: float, tanks: int) -> float:
    """Relative time by which a share of the water has left; the inverse of `exit_age_share`.

    Parameters
    ----------
    share : float
        Above 0, below 1. [1]
    tanks : int
        Number of tanks.

    Returns
    -------
    float
        Time over volume / flow. [1]

    Notes
    -----
    By bisection. Raises: ValueError for a share outside 0 to 1. Source: levenspiel1999.
    """
    if not 0.0 < share < 1.0:
        raise ValueError(f"share {share} must lie between 0 and 1")
    low, high = 0.0, 1.0
    while exit_age_share(high, tanks) < share:
        high *= 2.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if exit_age_share(middle, tanks) < share else (low, middle)
    return 0.5 * (low + high)
