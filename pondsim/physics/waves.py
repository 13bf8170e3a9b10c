"""Wind waves on a pond and their pull on the bed.

The wave laws were fitted to fetches of kilometres. At 50 to 300 m they give an order of magnitude.
"""

from __future__ import annotations

import math

import numpy as np

from pondsim.constants import GRAVITY, WATER_DENSITY
from pondsim.jit.compiled import compiled
from pondsim.physics import Array

VISCOSITY = 1e-6  # m2/s, of water near 20 degC


@compiled
def wind_stress_factor(wind10: Array) -> Array:
    """Adjusted wind that the wave laws ask for.

    Parameters
    ----------
    wind10 : float or (n,) array
        Wind 10 m above the water. [m/s]

    Returns
    -------
    float or (n,) array
        0.71 U^1.23. [m/s]

    Notes
    -----
    Valid: U in m/s. Raises: nothing. Source: spm1984.
    """
    return 0.71 * wind10**1.23


@compiled
def wave_height(wind10: Array, fetch: Array, depth: Array) -> Array:
    """Significant wave height, limited by fetch, in water of uniform depth.

    Parameters
    ----------
    wind10 : float or (n,) array
        Wind 10 m above the water; calm gives 0. [m/s]
    fetch, depth : float or (n,) array
        Open water up the wind, and its depth. [m]

    Returns
    -------
    float or (n,) array
        Height. [m]

    Notes
    -----
    Valid: fetch above some 300 m. Raises: nothing. Source: spm1984 (equation 3-39).
    """
    square = np.maximum(wind_stress_factor(wind10), 1e-3) ** 2
    shoal = np.tanh(0.530 * (GRAVITY * depth / square) ** 0.75)
    grown = np.tanh(0.00565 * (GRAVITY * fetch / square) ** 0.5 / shoal)
    return 0.283 * shoal * grown * square / GRAVITY


@compiled
def wave_period(wind10: Array, fetch: Array, depth: Array) -> Array:
    """Period of the significant wave.

    Parameters
    ----------
    wind10 : float or (n,) array
        Wind 10 m above the water. [m/s]
    fetch, depth : float or (n,) array
        Open water up the wind, and its depth. [m]

    Returns
    -------
    float or (n,) array
        Period. [s]

    Notes
    -----
    Valid: fetch above some 300 m. Raises: nothing. Source: spm1984 (equation 3-40).
    """
    factor = np.maximum(wind_stress_factor(wind10), 1e-3)
    square = factor * factor
    shoal = np.tanh(0.833 * (GRAVITY * depth / square) ** 0.375)
    grown = np.tanh(0.0379 * (GRAVITY * fetch / square) ** (1.0 / 3.0) / shoal)
    return 7.54 * shoal * grown * factor / GRAVITY


@compiled
def wave_number(period: float, depth: float) -> float:
    """Wave number of a small wave: the root of omega^2 = g k tanh(k d).

    Parameters
    ----------
    period : float
        Of the wave. [s]
    depth : float
        Of the water. [m]

    Returns
    -------
    float
        2 pi over the wave length. [1/m]

    Notes
    -----
    Newton's method on x = k d. Valid: period and depth above 0. Raises: nothing. Source: by derivation.
    """
    wanted = (2.0 * math.pi / period) ** 2 * depth / GRAVITY
    x = max(wanted, math.sqrt(wanted))
    for _ in range(20):
        t = math.tanh(x)
        change = (x * t - wanted) / (t + x * (1.0 - t * t))
        x -= change
        if abs(change) < 1e-12 * x:
            break
    return x / depth


@compiled
def orbital_velocity(height: float, period: float, depth: float) -> float:
    """Largest velocity of a small wave at the bed.

    Parameters
    ----------
    height : float
        Crest to trough. [m]
    period : float
        Of the wave. [s]
    depth : float
        Of the water. [m]

    Returns
    -------
    float
        Velocity. [m/s]

    Notes
    -----
    Valid: height well below depth. Raises: nothing. Source: by derivation (linear wave).
    """
    x = wave_number(period, depth) * depth
    if x > 300.0:  # no motion reaches the bed, and sinh would overflow
        return 0.0
    return math.pi * height / (period * math.sinh(x))


@compiled
def bed_shear_stress(velocity: float, period: float, grain_size: float) -> float:
    """Largest stress of a wave on the bed within its period.

    Parameters
    ----------
    velocity : float
        Orbital velocity at the bed, its amplitude. [m/s]
    period : float
        Of the wave. [s]
    grain_size : float
        Median, for the roughness of the bed. [m]

    Returns
    -------
    float
        Stress amplitude. [Pa]

    Notes
    -----
    The larger friction factor of the rough and the smooth bed. Valid: laminar to Reynolds number 5e5 on the
    smooth one. Raises: nothing. Source: soulsby1997; from memory.
    """
    if velocity <= 1e-9:
        return 0.0
    excursion = velocity * period / (2.0 * math.pi)
    rough = 1.39 * (12.0 * excursion / grain_size) ** -0.52
    smooth = 2.0 * (velocity * excursion / VISCOSITY) ** -0.5
    return 0.5 * WATER_DENSITY * max(rough, smooth) * velocity * velocity
