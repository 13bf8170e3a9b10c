"""Beside pondsim.physics.gas_transfer: published forms that serve tests alone."""

from __future__ import annotations

import numpy as np

from pondsim.constants import DAY
from pondsim.physics import Array
from pondsim.physics.gas_transfer import CM_PER_HOUR


def k600_warming(wind10: Array) -> Array:
    """Transfer velocity over a lake whose surface warms, which holds the water at the top.

    Parameters
    ----------
    wind10 : float or (n,) array
        Wind 10 m above the water. [m/s]

    Returns
    -------
    float or (n,) array
        Transfer velocity at Schmidt number 600; below 0 under 0.1 m/s. [m/s]

    Notes
    -----
    Valid: wind 0.5 to 8 m/s. Raises: nothing. Source: macintyre2010 (from memory, not verified).
    """
    return CM_PER_HOUR * (1.74 * wind10 - 0.15)


def k600_crusius_power(wind10: Array) -> Array:
    """Transfer velocity over a small lake, power law.

    Parameters
    ----------
    wind10 : float or (n,) array
        Wind 10 m above the water. [m/s]

    Returns
    -------
    float or (n,) array
        Transfer velocity at Schmidt number 600. [m/s]

    Notes
    -----
    Valid: wind to about 6 m/s. Raises: nothing. Source: crusius2003.
    """
    return CM_PER_HOUR * (0.168 + 0.228 * wind10**2.2)


def k600_crusius_bilinear(wind10: Array) -> Array:
    """Transfer velocity over a small lake, two straight lines meeting near 3.7 m/s.

    Parameters
    ----------
    wind10 : float or (n,) array
        Wind 10 m above the water. [m/s]

    Returns
    -------
    float or (n,) array
        Transfer velocity at Schmidt number 600. [m/s]

    Notes
    -----
    Valid: wind to about 6 m/s. The larger of both lines, which cross at 3.68 m/s. Raises: nothing.
    Source: crusius2003.
    """
    return CM_PER_HOUR * np.maximum(0.72 * wind10, 4.33 * wind10 - 13.3)


def k600_crusius_constant(wind10: Array) -> Array:
    """Transfer velocity over a small lake, constant at low wind.

    Parameters
    ----------
    wind10 : float or (n,) array
        Wind 10 m above the water. [m/s]

    Returns
    -------
    float or (n,) array
        Transfer velocity at Schmidt number 600. [m/s]

    Notes
    -----
    Valid: wind to about 6 m/s. The larger of 1 cm/h and the line, which cross at 3.68 m/s. Raises: nothing.
    Source: crusius2003.
    """
    return CM_PER_HOUR * np.maximum(1.0, 5.14 * wind10 - 17.9)


def reaeration_oconnor_dobbins(velocity: Array, depth: Array) -> Array:
    """Reaeration rate of a stream at 20 degC, base e; not for a pond.

    Parameters
    ----------
    velocity : float or (n,) array
        Mean velocity. [m/s]
    depth : float or (n,) array
        Mean depth. [m]

    Returns
    -------
    float or (n,) array
        Rate per volume of water. [1/s]

    Notes
    -----
    Valid: 0.3 to 9 m, 0.15 to 0.5 m/s. Raises: nothing. Source: oconnor1958.
    """
    return 3.93 / DAY * velocity**0.5 * depth**-1.5
