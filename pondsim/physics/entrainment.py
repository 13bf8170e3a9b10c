"""Convection from a cooling surface, and what is left of turbulence below it."""

from __future__ import annotations

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
