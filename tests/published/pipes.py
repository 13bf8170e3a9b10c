"""Beside pondsim.physics.pipes: published forms that serve tests alone."""

from __future__ import annotations

from pondsim.physics import Array

HAZEN_WILLIAMS = 10.67  # m, m3/s


def hazen_williams_loss(flow: Array, diameter: Array, length: Array, coefficient: Array) -> Array:
    """Head lost to friction by the waterworks formula: a check by hand on `friction_loss`.

    Parameters
    ----------
    flow : float or (n,) array
        0 or more. [m3/s]
    diameter, length : float or (n,) array
        Inside; along the pipe. [m]
    coefficient : float or (n,) array
        C: 150 new plastic, 140 plastic of some age, 100 old iron. [1]

    Returns
    -------
    float or (n,) array
        Head. [m]

    Notes
    -----
    Valid: water near 15 degC, diameter above 50 mm, below 3 m/s. Raises: nothing.
    Source: williams1905; coefficient from memory, not verified.
    """
    return HAZEN_WILLIAMS * length * flow**1.852 / (coefficient**1.852 * diameter**4.8704)
