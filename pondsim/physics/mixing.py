"""Mixing of the water: vertical diffusivities, stability, horizontal exchange."""

from __future__ import annotations

import numpy as np

from pondsim.constants import GRAVITY, KARMAN, WATER_DENSITY
from pondsim.jit.compiled import compiled, compiled_for_loop, inlined
from pondsim.jit.elementary import at_least, exp, power
from pondsim.physics import Array

LEAST_BACKGROUND_N2 = 7.5e-5  # 1/s2, floor printed with the law (other texts: 7e-5)
FRICTION_PER_WIND = 1.2e-3  # surface friction velocity of the water over the wind at 2 m
CONVECTION_SCALE = 3e-5  # 1/s2, instability at which half of the convective diffusivity is reached
DECAY_BY_WIND = -1.84  # power of the wind with which the drift's decay with depth goes
CALMEST = 0.02  # m/s, no wind counts as less
EXCHANGE_SMOOTHING = 1e-3  # kg/m3, about 0.005 K: below it the square root is rounded off


@inlined
def buoyancy_frequency_squared(density_above: Array, density_below: Array, distance: Array) -> Array:
    """Square of the buoyancy frequency; positive where the lighter water lies above.

    Parameters
    ----------
    density_above, density_below : float or (n,) array
        Densities of two layers. [kg/m3]
    distance : float or (n,) array
        Between their centres. [m]

    Returns
    -------
    float or (n,) array
        N2. [1/s2]

    Notes
    -----
    Valid: distance > 0. Raises: nothing. Source: by definition.
    """
    return GRAVITY * (density_below - density_above) / (0.5 * (density_above + density_below) * distance)


@compiled
def wind_decay(wind2: Array, latitude: Array) -> Array:
    """Decay with depth of the drift that the wind drives.

    Parameters
    ----------
    wind2 : float or (n,) array
        Wind 2 m above the water; below 0.02 m/s it counts as that. [m/s]
    latitude : float or (n,) array
        Either sign. [rad]

    Returns
    -------
    float or (n,) array
        Decay. [1/m]

    Notes
    -----
    Valid: open water. Raises: nothing. Source: hendersonsellers1985; from memory.
    """
    return decay_in_wind(6.6 * np.sqrt(np.abs(np.sin(latitude))), wind2)


@inlined
def decay_in_wind(at_one: Array, wind2: Array) -> Array:
    """`wind_decay` from what it is at a wind of 1 m/s.

    Parameters
    ----------
    at_one : float or (n,) array
        `wind_decay` at 1 m/s. [1/m]
    wind2 : float or (n,) array
        Wind 2 m above the water; below 0.02 m/s it counts as that. [m/s]

    Returns
    -------
    float or (n,) array
        Decay. [1/m]

    Notes
    -----
    Valid: open water. Raises: nothing. Source: hendersonsellers1985; from memory.
    """
    return at_one * power(at_least(wind2, CALMEST), DECAY_BY_WIND)


@inlined
def wind_diffusivity_below(depth: Array, friction: Array, decay: Array, n2: Array) -> Array:
    """Vertical diffusivity stirred by the wind, damped by stratification.

    Parameters
    ----------
    depth : float or (n,) array
        Below the water surface. [m]
    friction : float or (n,) array
        Surface friction velocity of the water, 1.2e-3 times the wind at 2 m. [m/s]
    decay : float or (n,) array
        From `wind_decay`. [1/m]
    n2 : float or (n,) array
        Square of the buoyancy frequency; below 0 it is taken as 0. [1/s2]

    Returns
    -------
    float or (n,) array
        Diffusivity; 0 at no wind. [m2/s]

    Notes
    -----
    Valid: open water; at low wind it falls to nothing within centimetres, so add the molecular 1.4e-7 m2/s.
    Raises: nothing. Source: hendersonsellers1985; surface velocity and decay from memory.
    """
    fading = exp(-decay * depth)
    shear = at_least((friction * fading) ** 2, 1e-30)  # keeps 0/0 away at no wind and at great depth
    ratio = at_least(n2, 0.0) * (KARMAN * depth) ** 2 / shear
    richardson = (np.sqrt(1.0 + 40.0 * ratio) - 1.0) / 20.0
    return KARMAN * friction * depth * fading / (1.0 + 37.0 * richardson * richardson)


@inlined
def background_diffusivity(area: Array, n2: Array) -> Array:
    """Vertical diffusivity below the reach of the wind.

    Parameters
    ----------
    area : float or (n,) array
        Of the water surface. [m2]
    n2 : float or (n,) array
        Square of the buoyancy frequency; not below 7.5e-5. [1/s2]

    Returns
    -------
    float or (n,) array
        Diffusivity. [m2/s]

    Notes
    -----
    Valid: lakes of 0.1 to 10 km2; a pond lies below the data. Raises: nothing. Source: hondzo1993.
    """
    return 8.17e-8 * power(1e-6 * area, 0.56) * power(at_least(n2, LEAST_BACKGROUND_N2), -0.43)


@inlined
def convective_diffusivity(n2: Array, largest: Array, scale: Array = CONVECTION_SCALE) -> Array:
    """Vertical diffusivity where heavier water lies above lighter.

    Parameters
    ----------
    n2 : float or (n,) array
        Square of the buoyancy frequency. [1/s2]
    largest : float or (n,) array
        Approached when the water is very unstable. [m2/s]
    scale : float or (n,) array, default 3e-5
        Instability at which half of it is reached. [1/s2]

    Returns
    -------
    float or (n,) array
        Exactly 0 for n2 >= 0, then largest x^2/(1 + x^2), x = -n2/scale. [m2/s]

    Notes
    -----
    A judgement, not a law: any value much above the other diffusivities mixes alike. Its slope is continuous.
    Raises: nothing.
    """
    x = at_least(-n2 / scale, 0.0)
    return largest * x * x / (1.0 + x * x)


@compiled
def okubo_diffusivity(length: Array) -> Array:
    """Horizontal diffusivity at a length scale.

    Parameters
    ----------
    length : float or (n,) array
        Size of the patch; for a pond, its length. [m]

    Returns
    -------
    float or (n,) array
        Diffusivity. [m2/s]

    Notes
    -----
    Valid: ocean data, 100 m to 1000 km; small ponds lie off its low end. Raises: nothing. Source: okubo1971.
    """
    return 2.055e-4 * length**1.15


@inlined
def gravity_exchange_flow(
    coefficient: Array, width: Array, height: Array, opening: Array, density_difference: Array
) -> Array:
    """Flow each way through a part of the opening between neighboring zones whose waters differ in density.

    Parameters
    ----------
    coefficient : float or (n,) array
        Of the exchange, some 0.04. [1]
    width, height : float or (n,) array
        Of the part. [m]
    opening : float or (n,) array
        Height of the whole opening, from its sill to the surface. [m]
    density_difference : float or (n,) array
        Between both waters, either sign. [kg/m3]

    Returns
    -------
    float or (n,) array
        Flow each way, c W h sqrt(g H |d|/rho), H the height of the opening. [m3/s]

    Notes
    -----
    sqrt(|d|) is written d^2/(d^2 + e^2)^(3/4), e = 0.001 kg/m3: 0 and without slope at d = 0, and 1 % less
    than the root at d = 9 e. Waters without friction exchange 0.25 W H sqrt(g H d/rho) where d is the same at
    every height: half of the height each, each at half of sqrt(g H d/rho). Valid: an estimate of order, the
    coefficient is a judgement. Raises: nothing. Source: benjamin1968.
    """
    square = density_difference * density_difference
    smoothed = np.sqrt(square + EXCHANGE_SMOOTHING**2)
    root = square / (smoothed * np.sqrt(smoothed))
    return coefficient * width * height * np.sqrt(GRAVITY * opening / WATER_DENSITY) * root


@compiled_for_loop
def smooth_step(x: float) -> float:
    """From 0 at x <= 0 to 1 at x >= 1, level at both ends; for a law that must not jump.

    Valid: any x. Raises: nothing. Source: the cubic with these values and slopes, exact.
    """
    x = min(max(x, 0.0), 1.0)
    return x * x * (3.0 - 2.0 * x)
