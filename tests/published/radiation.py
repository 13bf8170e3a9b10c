"""Beside pondsim.physics.radiation: published forms that serve tests alone."""

from __future__ import annotations

import numpy as np

from pondsim.physics import Array

SOLAR_CONSTANT = 1367.0  # W/m2, as the formulas below were published with


def extraterrestrial_hourly(solar_elevation: Array, day_of_year: Array) -> Array:
    """Sunlight on a level surface above the atmosphere.

    Parameters
    ----------
    solar_elevation : float or (n,) array
        Height of the sun. [rad]
    day_of_year : float or (n,) array
        1 on 1 January.

    Returns
    -------
    float or (n,) array
        0 at night. [W/m2]

    Notes
    -----
    Valid: any place. Raises: nothing. Source: allen1998 (distance of the sun).
    """
    distance = 1.0 + 0.033 * np.cos(2.0 * np.pi * day_of_year / 365.0)
    return SOLAR_CONSTANT * distance * np.maximum(np.sin(solar_elevation), 0.0)
