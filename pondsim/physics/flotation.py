"""Whether an empty well floats, and what holds it."""

from __future__ import annotations

from pondsim.physics import Array

TRADE_WATER = 999.55  # kg/m3, 62.4 lb/ft3


def flotation_safety(weight: Array, displaced: Array, water: float = TRADE_WATER) -> Array:
    """Factor of safety against floating: weight over the uplift on all that is displaced.

    Parameters
    ----------
    weight : float or (n,) array
        Of concrete, cover and counted soil. [kg]
    displaced : float or (n,) array
        Volume under the water table, walls and inside together. [m3]
    water : float
        Density. [kg/m3]

    Returns
    -------
    float or (n,) array
        Below 1 it floats. [1]

    Notes
    -----
    One of three definitions in use, which give 1.5 to 3 for one and the same tank: state it with the number.
    Friction on the walls is left out. Raises: nothing. Source: acpa41, fema312.
    """
    return weight / (displaced * water)


def net_uplift(weight: Array, displaced: Array, factor: float, water: float = TRADE_WATER) -> Array:
    """Weight that is missing for a factor of safety.

    Parameters
    ----------
    weight, displaced : float or (n,) array
        As for `flotation_safety`. [kg], [m3]
    factor : float
        Wanted. [1]
    water : float
        Density. [kg/m3]

    Returns
    -------
    float or (n,) array
        Weight to add; below 0 there is enough. [kg]

    Notes
    -----
    Raises: nothing. Source: fema312.
    """
    return displaced * water * factor - weight


def ballast_volume(missing: Array, concrete: float, water: float = TRADE_WATER) -> Array:
    """Concrete under water that weighs as much as is missing.

    Parameters
    ----------
    missing : float or (n,) array
        Weight. [kg]
    concrete, water : float
        Densities. [kg/m3]

    Returns
    -------
    float or (n,) array
        Volume. [m3]

    Notes
    -----
    Concrete poured under the water table weighs less by the water it displaces. Raises: nothing.
    Source: fema312.
    """
    return missing / (concrete - water)
