"""Beside pondsim.physics.entrainment: published forms that serve tests alone."""

from __future__ import annotations

import numpy as np

from pondsim.constants import GRAVITY, WATER_DENSITY
from pondsim.physics import Array


def convective_velocity(buoyancy: Array, depth: Array) -> Array:
    """Velocity of the eddies in a layer stirred by cooling.

    Parameters
    ----------
    buoyancy : float or (n,) array
        Buoyancy flux out of the surface, at least 0. [m2/s3]
    depth : float or (n,) array
        Of the mixed layer. [m]

    Returns
    -------
    float or (n,) array
        (B h)^(1/3). [m/s]

    Notes
    -----
    Valid: free convection. Raises: nothing. Source: deardorff1970.
    """
    return np.cbrt(buoyancy * depth)


def convective_depth(buoyancy: Array, n2: Array, time: Array, entrainment: Array) -> Array:
    """Depth that cooling has mixed into water of even gradient.

    Parameters
    ----------
    buoyancy : float or (n,) array
        Buoyancy flux out of the surface. [m2/s3]
    n2 : float or (n,) array
        Square of the buoyancy frequency below. [1/s2]
    time : float or (n,) array
        Since the cooling began. [s]
    entrainment : float or (n,) array
        Buoyancy flux at the base over that at the surface; 0 is without overshoot. [1]

    Returns
    -------
    float or (n,) array
        (2 (1 + 2 A) B t/N2)^(1/2). [m]

    Notes
    -----
    Valid: constant flux, no wind. Raises: nothing. Source: exact for the law of the flux at the base.
    """
    return np.sqrt(2.0 * (1.0 + 2.0 * entrainment) * buoyancy * time / n2)


def entrainment_velocity(
    buoyancy: Array, density_step: Array, entrainment: Array, density: Array = WATER_DENSITY
) -> Array:
    """Speed at which convection eats into denser water under a step of density.

    Parameters
    ----------
    buoyancy : float or (n,) array
        Buoyancy flux out of the surface. [m2/s3]
    density_step : float or (n,) array
        Density below less that of the mixed layer, above 0. [kg/m3]
    entrainment : float or (n,) array
        Buoyancy flux at the base over that at the surface, some 0.2. [1]
    density : float or (n,) array, default 998.2
        Of the water. [kg/m3]

    Returns
    -------
    float or (n,) array
        A B/(g drho/rho). [m/s]

    Notes
    -----
    Valid: a sharp step. Raises: nothing. Source: deardorff1970 (scale); A from memory, not verified.
    """
    return entrainment * buoyancy * density / (GRAVITY * density_step)
