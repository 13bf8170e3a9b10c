"""Daily radiation and evaporation of FAO Irrigation and Drainage Paper 56, in SI.

It is made for grass: water reflects 6 to 8 % of sunlight, grass 23 %. Daily totals are given as daily means.
"""

from __future__ import annotations

import numpy as np

from pondsim.constants import ZERO_CELSIUS
from pondsim.physics import Array

GRASS_ALBEDO = 0.23


def daylight_angle(latitude: Array, day_of_year: Array) -> Array:
    """Hour angle of sunset, 0 in polar night.

    Parameters
    ----------
    latitude : float or (n,) array
        North is positive. [rad]
    day_of_year : float or (n,) array
        1 on 1 January.

    Returns
    -------
    float or (n,) array
        Angle; times 24/pi it is the hours of daylight. [rad]

    Notes
    -----
    Valid: any latitude. Raises: nothing. Source: allen1998 (equation 25).
    """
    declination = 0.409 * np.sin(2.0 * np.pi * day_of_year / 365.0 - 1.39)
    return np.arccos(np.clip(-np.tan(latitude) * np.tan(declination), -1.0, 1.0))


def tetens_vapour_pressure(temperature: Array) -> Array:
    """Saturation vapour pressure as the paper computes it.

    Parameters
    ----------
    temperature : float or (n,) array
        Of the air. [K]

    Returns
    -------
    float or (n,) array
        0.02 to 0.1 % below `water.vapour_pressure` between 10 and 30 degC. [Pa]

    Notes
    -----
    Valid: -10 to 50 degC. Raises: nothing. Source: allen1998 (equation 11).
    """
    t = temperature - ZERO_CELSIUS
    return 610.8 * np.exp(17.27 * t / (t + 237.3))
