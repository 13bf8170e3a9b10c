"""Exchange of gas between the open water surface and the air."""

from __future__ import annotations

import numpy as np

from pondsim.constants import ZERO_CELSIUS
from pondsim.jit.compiled import compiled, inlined
from pondsim.jit.elementary import at_least, power
from pondsim.physics import Array

REFERENCE_SCHMIDT = 600.0  # carbon dioxide in fresh water at 20 degC
CM_PER_HOUR = 0.01 / 3600.0  # m/s
RENEWAL = 0.5  # of the surface renewal law (from memory, not verified)


@inlined
def schmidt_oxygen_1992(temperature: Array) -> Array:
    """Schmidt number of oxygen in fresh water, 1992 constants.

    Parameters
    ----------
    temperature : float or (n,) array
        Water temperature. [K]

    Returns
    -------
    float or (n,) array
        Schmidt number; 4 % above the 2014 one at 20 degC. [1]

    Notes
    -----
    Valid: 0 to 30 degC; above, the cubic falls too fast (use `schmidt_oxygen_2014`). Raises: nothing.
    Source: wanninkhof1992.
    """
    t = temperature - ZERO_CELSIUS
    return 1800.6 + t * (-120.10 + t * (3.7818 - t * 0.047608))


@inlined
def schmidt_oxygen_2014(temperature: Array) -> Array:
    """Schmidt number of oxygen in fresh water, 2014 constants.

    Parameters
    ----------
    temperature : float or (n,) array
        Water temperature. [K]

    Returns
    -------
    float or (n,) array
        Schmidt number. [1]

    Notes
    -----
    Valid: -2 to 40 degC. Raises: nothing. Source: wanninkhof2014 (constants read in secondary sources).
    """
    t = temperature - ZERO_CELSIUS
    return 1745.1 + t * (-124.34 + t * (4.8055 + t * (-0.10115 + t * 0.00086842)))


@compiled
def k600_cole_caraco(wind10: Array, at_no_wind: Array) -> Array:
    """Transfer velocity over small lakes, with a floor at no wind.

    Parameters
    ----------
    wind10 : float or (n,) array
        Wind 10 m above the water. [m/s]
    at_no_wind : float or (n,) array
        Floor; published as 2.07 cm/h. [m/s]

    Returns
    -------
    float or (n,) array
        Transfer velocity at Schmidt number 600. [m/s]

    Notes
    -----
    Valid: wind below 9 m/s. Other laws differ by 50 % at 5 m/s and tenfold at no wind. Raises: nothing.
    Source: cole1998.
    """
    return at_no_wind + 0.215 * CM_PER_HOUR * power(at_least(wind10, 1e-9), 1.7)


@compiled
def k600_cooling(wind10: Array, at_no_wind: Array) -> Array:
    """Transfer velocity over a lake whose surface cools, so that sinking water renews it.

    Parameters
    ----------
    wind10 : float or (n,) array
        Wind 10 m above the water. [m/s]
    at_no_wind : float or (n,) array
        What cooling alone gives; published as 2.0 cm/h. [m/s]

    Returns
    -------
    float or (n,) array
        Transfer velocity at Schmidt number 600. [m/s]

    Notes
    -----
    Valid: a lake of some km2, wind below 8 m/s. Raises: nothing. Source: macintyre2010 (from memory, not
    verified).
    """
    return at_no_wind + 2.04 * CM_PER_HOUR * wind10


@compiled
def k600_renewal(dissipation: Array, viscosity: Array) -> Array:
    """Transfer velocity where eddies renew the surface.

    Parameters
    ----------
    dissipation : float or (n,) array
        Of turbulent energy near the surface; the buoyancy flux where only cooling stirs. [m2/s3]
    viscosity : float or (n,) array
        Kinematic viscosity of the water. [m2/s]

    Returns
    -------
    float or (n,) array
        Transfer velocity at Schmidt number 600. [m/s]

    Notes
    -----
    0.5 (eps nu)^(1/4) Sc^(-1/2). Valid: the factor is 0.4 to 0.5. Raises: nothing. Source: macintyre2010
    (from memory, not verified).
    """
    return RENEWAL * np.sqrt(np.sqrt(dissipation * viscosity) / REFERENCE_SCHMIDT)


@inlined
def gas_transfer_velocity(k600: Array, schmidt: Array, exponent: Array = 0.5) -> Array:
    """Water-side gas transfer velocity, scaled from Schmidt number 600.

    Parameters
    ----------
    k600 : float or (n,) array
        Transfer velocity of a gas whose Schmidt number is 600. [m/s]
    schmidt : float or (n,) array
        Schmidt number of the gas at the water temperature. [1]
    exponent : float or (n,) array, default 0.5
        1/2 for a wavy surface, 2/3 for a smooth one (wind below some 3 m/s). [1]

    Returns
    -------
    float or (n,) array
        Transfer velocity. [m/s]

    Notes
    -----
    Valid: schmidt > 0, exponent 1/2 to 2/3. Error: that of k600, and of the exponent: 1/2 in place of 2/3
    gives 11 % less at schmidt 300, 12 % more at 1200. Raises: nothing. Source: jahne1987 (exponents).
    """
    return k600 * power(schmidt / REFERENCE_SCHMIDT, -exponent)
