"""Settling of particles: published forms that serve tests alone."""

from __future__ import annotations

import numpy as np

from pondsim.constants import GRAVITY
from pondsim.physics import Array

QUARTZ_EXCESS = 1.65  # density of quartz over that of water, less 1


def settling_stokes(
    diameter: Array, particle_density: Array, water_density: Array, viscosity: Array
) -> Array:
    """Settling velocity of a small sphere.

    Parameters
    ----------
    diameter : float or (n,) array
        Of the grain. [m]
    particle_density, water_density : float or (n,) array
        Densities. [kg/m3]
    viscosity : float or (n,) array
        Dynamic viscosity of the water. [Pa s]

    Returns
    -------
    float or (n,) array
        Velocity. [m/s]

    Notes
    -----
    Valid: particle Reynolds number below 1, quartz below some 0.06 mm. Raises: nothing. Source: stokes1851.
    """
    return GRAVITY * (particle_density - water_density) * diameter**2 / (18.0 * viscosity)


def settling_soulsby(diameter: Array, viscosity: Array, excess: Array = QUARTZ_EXCESS) -> Array:
    """Settling velocity of natural sand, for comparison.

    Parameters
    ----------
    diameter : float or (n,) array
        By sieve. [m]
    viscosity : float or (n,) array
        Kinematic viscosity of the water. [m2/s]
    excess : float or (n,) array, default 1.65
        Relative density less 1. [1]

    Returns
    -------
    float or (n,) array
        Velocity; 4 to 13 % from `settling_ferguson_church` between 0.1 and 1 mm. [m/s]

    Notes
    -----
    Valid: 0.06 to 2 mm. Raises: nothing. Source: soulsby1997; from memory.
    """
    size = dimensionless_diameter(diameter, viscosity, excess)
    return viscosity / diameter * ((10.36**2 + 1.049 * size**3) ** 0.5 - 10.36)


def removal_flow_through(settling_velocity: Array, area: Array, flow: Array, tanks: Array) -> Array:
    """Share of one settling class that a pond keeps at steady flow.

    Parameters
    ----------
    settling_velocity : float or (n,) array
        Of the class. [m/s]
    area : float or (n,) array
        Of the water surface; depth does not enter. [m2]
    flow : float or (n,) array
        Through the pond. [m3/s]
    tanks : float or (n,) array
        1 poor, 3 good, 5 or more very good settling. [1]

    Returns
    -------
    float or (n,) array
        1 - (1 + v A/(n Q))^-n; the mean over classes is `numpy.mean` of it. [1]

    Notes
    -----
    The same law as n mixed tanks in a row. Valid: flow > 0. Raises: nothing. Source: epa1986detention.
    """
    return 1.0 - (1.0 + settling_velocity * area / (tanks * flow)) ** -tanks


def trap_efficiency_gill(capacity_inflow_years: Array) -> Array:
    """Share of sediment that a reservoir keeps, median curve of Brune.

    Parameters
    ----------
    capacity_inflow_years : float or (n,) array
        Volume over the water that comes in a year. [a]

    Returns
    -------
    float or (n,) array
        Trap efficiency. [1]

    Notes
    -----
    Valid: 0.005 to 1 a; ponds that drain dry trap less. Raises: nothing. Source: brune1953, gill1979.
    """
    return capacity_inflow_years / (0.012 + 1.02 * capacity_inflow_years)


def trap_efficiency_churchill(volume: Array, flow: Array, length: Array) -> Array:
    """Share of local silt that a reservoir keeps, Churchill's curve.

    Parameters
    ----------
    volume : float or (n,) array
        Of water. [m3]
    flow : float or (n,) array
        Through it. [m3/s]
    length : float or (n,) array
        Along the flow. [m]

    Returns
    -------
    float or (n,) array
        Trap efficiency, 0 at least and 1 at most. [1]

    Notes
    -----
    Valid: a rough check. Raises: nothing. Source: churchill1948; from memory.
    """
    index = 0.3048 * volume**2 / (flow**2 * length)
    return np.minimum(np.maximum(1.12 - 8.0 * index**-0.2, 0.0), 1.0)


def critical_stress_shields(
    diameter: Array, viscosity: Array, water_density: Array, excess: Array = QUARTZ_EXCESS
) -> Array:
    """Bed stress at which loose grains begin to move.

    Parameters
    ----------
    diameter : float or (n,) array
        Of the grains. [m]
    viscosity : float or (n,) array
        Kinematic viscosity of the water. [m2/s]
    water_density : float or (n,) array
        Of the water. [kg/m3]
    excess : float or (n,) array, default 1.65
        Relative density less 1. [1]

    Returns
    -------
    float or (n,) array
        Critical stress. [Pa]

    Notes
    -----
    Valid: sand and coarse silt; mud holds together and needs 0.05 to 0.5 Pa by test. Raises: nothing.
    Source: soulsby1997; from memory.
    """
    size = dimensionless_diameter(diameter, viscosity, excess)
    share = 0.30 / (1.0 + 1.2 * size) + 0.055 * (1.0 - np.exp(-0.020 * size))
    return share * GRAVITY * water_density * excess * diameter


def settling_ferguson_church(
    diameter: Array, viscosity: Array, excess: Array = QUARTZ_EXCESS, c1: Array = 18.0, c2: Array = 1.0
) -> Array:
    """Settling velocity of natural grains from silt to gravel.

    Parameters
    ----------
    diameter : float or (n,) array
        By sieve. [m]
    viscosity : float or (n,) array
        Kinematic viscosity of the water. [m2/s]
    excess : float or (n,) array, default 1.65
        Relative density less 1. [1]
    c1, c2 : float or (n,) array, default 18 and 1.0
        18 and 0.4 for smooth spheres, to 24 and 1.2 for angular grains. [1]

    Returns
    -------
    float or (n,) array
        Velocity. [m/s]

    Notes
    -----
    Urban solids are flocs and settle slower than quartz of their size. Valid: 0.01 to 30 mm. Raises: nothing.
    Source: ferguson2004.
    """
    pull = excess * GRAVITY * diameter**2
    return pull / (c1 * viscosity + (0.75 * c2 * pull * diameter) ** 0.5)


def dimensionless_diameter(diameter: Array, viscosity: Array, excess: Array = QUARTZ_EXCESS) -> Array:
    """Grain diameter over the viscous length.

    Parameters
    ----------
    diameter : float or (n,) array
        Of the grain. [m]
    viscosity : float or (n,) array
        Kinematic viscosity of the water. [m2/s]
    excess : float or (n,) array, default 1.65
        Relative density less 1. [1]

    Returns
    -------
    float or (n,) array
        D*. [1]

    Notes
    -----
    Valid: any. Raises: nothing. Source: soulsby1997.
    """
    return diameter * (GRAVITY * excess / viscosity**2) ** (1.0 / 3.0)
