"""Beside pondsim.physics.ice: published forms that serve tests alone."""

from __future__ import annotations

import numpy as np

from pondsim.constants import (
    FUSION_HEAT,
    ICE_DENSITY,
)
from pondsim.physics import Array
from pondsim.physics.ice import ICE_CONDUCTIVITY


def ice_of_frost(frost: Array, exchange: Array, snow_depth: Array, snow_conductivity: Array) -> Array:
    """Thickness of black ice grown from open water under snow that stays as deep as it is.

    Parameters
    ----------
    frost : float or (n,) array
        Sum over time of the degrees by which the air is below freezing. [K s]
    exchange : float or (n,) array
        Heat exchange between surface and air. [W/m2/K]
    snow_depth : float or (n,) array
        [m]
    snow_conductivity : float or (n,) array
        Above 0. [W/m/K]

    Returns
    -------
    float or (n,) array
        (r^2 + 2 k S/(rho L))^(1/2) - r, r = k (1/exchange + snow/its conductivity). [m]

    Notes
    -----
    Exact for ice that stores no heat on water at 0 degC. Raises: nothing. Source: stefan1891.
    """
    r = ICE_CONDUCTIVITY * (1.0 / exchange + snow_depth / snow_conductivity)
    return np.sqrt(r * r + 2.0 * ICE_CONDUCTIVITY * frost / (ICE_DENSITY * FUSION_HEAT)) - r
