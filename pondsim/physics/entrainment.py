"""Convection from a cooling surface, and what is left of turbulence below it."""

from __future__ import annotations

import numpy as np

from pondsim.constants import GRAVITY, WATER_DENSITY, WATER_HEAT_CAPACITY
from pondsim.jit.compiled import compiled, inlined
from pondsim.jit.elementary import at_least
from pondsim.physics import Array
from pondsim.physics.water import thermal_expansion

MIXING_EFFICIENCY = 0.2  # work against gravity over dissipation


@compiled
def buoyancy_flux(heat_loss: Array, temperature: Array) -> Array:
    """Buoyancy that a surface loses with heat; negative where the loss makes the water lighter.

    Parameters
    ----------
    heat_loss : float or (n,) array
        Net heat leaving the surface, sunlight taken off. [W/m2]
    temperature : float or (n,) array
        Of the surface water. [K]

    Returns
    -------
    float or (n,) array
        g alpha Q/(rho cp). [m2/s3]

    Notes
    -----
    Valid: 0 to 40 degC; below 4 degC cooling makes water lighter. Raises: nothing. Source: by definition.
    """
    return GRAVITY * thermal_expansion(temperature) * heat_loss / (WATER_DENSITY * WATER_HEAT_CAPACITY)


@compiled
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


@compiled
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


@compiled
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


@inlined
def turbulent_diffusivity(dissipation: Array, n2: Array, least_n2: Array = 7.5e-5) -> Array:
    """Vertical diffusivity that a dissipation of turbulent energy keeps up against stratification.

    Parameters
    ----------
    dissipation : float or (n,) array
        Of turbulent kinetic energy. [m2/s3]
    n2 : float or (n,) array
        Square of the buoyancy frequency. [1/s2]
    least_n2 : float or (n,) array, default 7.5e-5
        It counts as no less than that, as in the lake law. [1/s2]

    Returns
    -------
    float or (n,) array
        0.2 eps/N2. [m2/s]

    Notes
    -----
    Valid: turbulent water; where eps < 20 nu N2 turbulence dies and only molecular diffusion is left.
    Raises: nothing. Source: osborn1980 (from memory, not verified).
    """
    return MIXING_EFFICIENCY * dissipation / at_least(n2, least_n2)
