"""Settling of particles, and what share of them a pond keeps."""

from __future__ import annotations

from pondsim.constants import GRAVITY
from pondsim.jit.compiled import compiled
from pondsim.physics import Array

QUARTZ_EXCESS = 1.65  # density of quartz over that of water, less 1


@compiled
def settling_ferguson_church(
    diameter: Array, viscosity: Array, excess: Array = QUARTZ_EXCESS, c1: Array = 18.0, c2: Array = 1.0
) -> Array:
    """Settling velocity of natural grains from silt to gravel.

    Parameters
    ----------
    diameter : float or (n,) array
        By sieve. [m]
    viscosity : float or (n,) array
        Kinematic viscosity of the water. [m2/s]
    excess : float or (n,) array, default 1.65
        Relative density less 1. [1]
    c1, c2 : float or (n,) array, default 18 and 1.0
        18 and 0.4 for smooth spheres, to 24 and 1.2 for angular grains. [1]

    Returns
    -------
    float or (n,) array
        Velocity. [m/s]

    Notes
    -----
    Urban solids are flocs and settle slower than quartz of their size. Valid: 0.01 to 30 mm. Raises: nothing.
    Source: ferguson2004.
    """
    pull = excess * GRAVITY * diameter**2
    return pull / (c1 * viscosity + (0.75 * c2 * pull * diameter) ** 0.5)


@compiled
def dimensionless_diameter(diameter: Array, viscosity: Array, excess: Array = QUARTZ_EXCESS) -> Array:
    """Grain diameter over the viscous length.

    Parameters
    ----------
    diameter : float or (n,) array
        Of the grain. [m]
    viscosity : float or (n,) array
        Kinematic viscosity of the water. [m2/s]
    excess : float or (n,) array, default 1.65
        Relative density less 1. [1]

    Returns
    -------
    float or (n,) array
        D*. [1]

    Notes
    -----
    Valid: any. Raises: nothing. Source: soulsby1997.
    """
    return diameter * (GRAVITY * excess / viscosity**2) ** (1.0 / 3.0)
