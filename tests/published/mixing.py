"""Beside pondsim.physics.mixing: published forms that serve tests and studies alone."""

from __future__ import annotations

import numpy as np

from pondsim.constants import GRAVITY, WATER_DENSITY
from pondsim.physics import Array


def schmidt_stability(depth: np.ndarray, volume: np.ndarray, density: np.ndarray, area: float) -> float:
    """Work per area of surface that would mix the pond from top to bottom.

    Parameters
    ----------
    depth : (n,) array
        Of the centre of volume of each layer, below the surface, in any order. [m]
    volume : (n,) array
        Of each layer. [m3]
    density : (n,) array
        Of each layer. [kg/m3]
    area : float
        Of the water surface. [m2]

    Returns
    -------
    float
        Stability. [J/m2]

    Notes
    -----
    Valid: density uniform within a layer. Raises: nothing. Source: idso1973.
    """
    centre = np.sum(depth * volume) / np.sum(volume)
    return GRAVITY / area * np.sum((depth - centre) * density * volume)


def lake_number(
    stability: Array,
    area: Array,
    water_depth: Array,
    thermocline_height: Array,
    centre_height: Array,
    friction_velocity: Array,
    density: Array = WATER_DENSITY,
) -> Array:
    """Stability against the stir of the wind; well below 1 the bottom water is drawn up.

    Parameters
    ----------
    stability : float
        Schmidt stability. [J/m2]
    area : float
        Of the water surface. [m2]
    water_depth, thermocline_height, centre_height : float
        Height of the surface, of the thermocline and of the centre of volume above the bottom. [m]
    friction_velocity : float
        In the water: that in the air times sqrt(1.2/998). [m/s]
    density : float, default 998.2
        Of the surface water. [kg/m3]

    Returns
    -------
    float
        Lake number. [1]

    Notes
    -----
    Valid: stratified water with wind. Raises: nothing. Source: imberger1990.
    """
    restoring = stability * area * (water_depth - thermocline_height)
    stirring = density * friction_velocity**2 * area**1.5 * (water_depth - centre_height)
    return restoring / stirring
