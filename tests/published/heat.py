"""Beside pondsim.physics.heat: published forms that serve tests alone."""

from __future__ import annotations

from pondsim.physics import Array
from pondsim.physics.heat import evaporation_function, evaporation_heat, longwave_from_water, sensible_heat
from pondsim.physics.water import vapour_pressure


def equilibrium_temperature(
    absorbed: float, air_temperature: float, air_vapour: float, wind2: float, pressure: float
) -> float:
    """Water temperature at which the surface loses as much heat as it absorbs.

    Parameters
    ----------
    absorbed : float
        Short-wave plus long-wave radiation absorbed. [W/m2]
    air_temperature : float
        At 2 m. [K]
    air_vapour : float
        Vapour pressure of the air. [Pa]
    wind2 : float
        Wind 2 m above the water. [m/s]
    pressure : float
        Air pressure. [Pa]

    Returns
    -------
    float
        Equilibrium temperature, found by bisection between -40 and 90 degC. [K]

    Notes
    -----
    Valid: open water. Raises: nothing; without a root, the nearer end comes back. Source: ryan1974.
    """
    low, high = 233.15, 363.15
    for _ in range(60):
        middle = 0.5 * (low + high)
        if surface_heat_loss(middle, air_temperature, air_vapour, wind2, pressure) < absorbed:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def surface_heat_loss(
    water_temperature: Array, air_temperature: Array, air_vapour: Array, wind2: Array, pressure: Array
) -> Array:
    """Heat leaving the water surface: long-wave, evaporation and sensible heat together.

    Parameters
    ----------
    water_temperature, air_temperature : float or (n,) array
        Of the water surface, and of the air at 2 m. [K]
    air_vapour : float or (n,) array
        Vapour pressure of the air. [Pa]
    wind2 : float or (n,) array
        Wind 2 m above the water. [m/s]
    pressure : float or (n,) array
        Air pressure. [Pa]

    Returns
    -------
    float or (n,) array
        Heat leaving the water, before what the sky and the sun send in. [W/m2]

    Notes
    -----
    Valid: open water. Raises: nothing. Source: ryan1974, tva1972.
    """
    water_vapour = vapour_pressure(water_temperature)
    wind_function = evaporation_function(
        water_temperature, water_vapour, air_temperature, air_vapour, wind2, pressure
    )
    return (
        longwave_from_water(water_temperature)
        + evaporation_heat(wind_function, water_vapour, air_vapour)
        + sensible_heat(wind_function, water_temperature, air_temperature, pressure)
    )
