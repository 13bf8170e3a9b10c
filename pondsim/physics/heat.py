"""Heat through the water surface."""

from __future__ import annotations

from pondsim.constants import STEFAN_BOLTZMANN
from pondsim.jit.compiled import compiled, inlined
from pondsim.jit.elementary import at_least, at_most, power
from pondsim.physics import Array

FREE_CONVECTION = 0.027  # W/m2/Pa/K^(1/3), published as 2.7 W/m2/mb/K^(1/3)
FORCED_CONVECTION = 0.031  # W/m2/Pa/(m/s), published as 3.1 W/m2/mb/(m/s)
BOWEN = 61.0  # Pa/K at 1000 mb, published as 0.61 mb/K
BOWEN_PRESSURE = 1e5  # Pa
WATER_EMISSIVITY = 0.97
SMOOTHING_K = 0.05  # the cube root is rounded off below this difference of virtual temperature


@inlined
def virtual_temperature(temperature: Array, vapour: Array, pressure: Array) -> Array:
    """Temperature at which dry air would be as light as this moist air.

    Parameters
    ----------
    temperature : float or (n,) array
        Temperature of the air. [K]
    vapour : float or (n,) array
        Vapour pressure in it. [Pa]
    pressure : float or (n,) array
        Air pressure. [Pa]

    Returns
    -------
    float or (n,) array
        Virtual temperature. [K]

    Notes
    -----
    Valid: vapour far below pressure. Raises: nothing. Source: ryan1974.
    """
    return temperature / (1.0 - 0.378 * vapour / pressure)


@inlined
def evaporation_function(
    water_temperature: Array,
    water_vapour: Array,
    air_temperature: Array,
    air_vapour: Array,
    wind2: Array,
    pressure: Array,
) -> Array:
    """Evaporation heat per vapour pressure difference, with free convection over warm water.

    Parameters
    ----------
    water_temperature, air_temperature : float or (n,) array
        Of the water surface, and of the air at 2 m. [K]
    water_vapour, air_vapour : float or (n,) array
        Saturation vapour pressure at the water surface, and vapour pressure of the air. [Pa]
    wind2 : float or (n,) array
        Wind 2 m above the water. [m/s]
    pressure : float or (n,) array
        Air pressure. [Pa]

    Returns
    -------
    float or (n,) array
        Wind function. [W/m2/Pa]

    Notes
    -----
    The cube root of the difference d of virtual temperatures is written d/(d^2 + e^2)^(1/3), e = 0.05 K, so
    that its slope stays finite: 0.1 % less at 1 K. Valid: ponds and lakes, also with no wind.
    Raises: nothing. Source: ryan1974 (coefficients and the wind height of 2 m from memory).
    """
    d = virtual_temperature(water_temperature, water_vapour, pressure) - virtual_temperature(
        air_temperature, air_vapour, pressure
    )
    d = at_least(d, 0.0)
    return FREE_CONVECTION * d / power(d * d + SMOOTHING_K**2, 1.0 / 3.0) + FORCED_CONVECTION * wind2


@inlined
def evaporation_heat(wind_function: Array, water_vapour: Array, air_vapour: Array) -> Array:
    """Heat lost by evaporation; negative where dew forms on the water.

    Parameters
    ----------
    wind_function : float or (n,) array
        From `evaporation_function`. [W/m2/Pa]
    water_vapour, air_vapour : float or (n,) array
        Saturation vapour pressure at the water surface, and vapour pressure of the air. [Pa]

    Returns
    -------
    float or (n,) array
        Heat leaving the water. [W/m2]

    Notes
    -----
    Valid: as `evaporation_function`. Raises: nothing. Source: ryan1974.
    """
    return wind_function * (water_vapour - air_vapour)


@inlined
def sensible_heat(
    wind_function: Array, water_temperature: Array, air_temperature: Array, pressure: Array
) -> Array:
    """Heat lost to the air by conduction and convection, by the Bowen ratio.

    Parameters
    ----------
    wind_function : float or (n,) array
        From `evaporation_function`. [W/m2/Pa]
    water_temperature, air_temperature : float or (n,) array
        Of the water surface, and of the air at 2 m. [K]
    pressure : float or (n,) array
        Air pressure. [Pa]

    Returns
    -------
    float or (n,) array
        Heat leaving the water; negative under warmer air. [W/m2]

    Notes
    -----
    Valid: as `evaporation_function`. Raises: nothing. Source: ryan1974, bowen1926.
    """
    return BOWEN * pressure / BOWEN_PRESSURE * wind_function * (water_temperature - air_temperature)


@compiled
def longwave_from_sky(air_temperature: Array, air_vapour: Array, cloud_share: Array) -> Array:
    """Long-wave radiation of the sky that the water absorbs; the 3 % reflected are already taken off.

    Parameters
    ----------
    air_temperature : float or (n,) array
        At 2 m. [K]
    air_vapour : float or (n,) array
        Vapour pressure of the air. [Pa]
    cloud_share : float or (n,) array
        Share of sky under cloud, 0 to 1. [1]

    Returns
    -------
    float or (n,) array
        Heat absorbed. [W/m2]

    Notes
    -----
    Clear sky after Brutsaert, times 1 + 0.17 cloud^2, emissivity not above 1. Valid: vapour 300 to 4000 Pa;
    scatter some 5 %. Raises: nothing. Source: brutsaert1975, tva1972 (cloud); both from memory.
    """
    clear = 1.24 * power(0.01 * air_vapour / air_temperature, 1.0 / 7.0)
    emissivity = at_most(clear * (1.0 + 0.17 * cloud_share * cloud_share), 1.0)
    square = air_temperature * air_temperature
    return WATER_EMISSIVITY * emissivity * STEFAN_BOLTZMANN * square * square


@inlined
def longwave_from_water(water_temperature: Array) -> Array:
    """Long-wave radiation that the water sends out.

    Parameters
    ----------
    water_temperature : float or (n,) array
        Of the water surface. [K]

    Returns
    -------
    float or (n,) array
        Heat leaving the water. [W/m2]

    Notes
    -----
    Emissivity 0.97. Valid: open water. Raises: nothing. Source: tva1972.
    """
    square = water_temperature * water_temperature
    return WATER_EMISSIVITY * STEFAN_BOLTZMANN * square * square
