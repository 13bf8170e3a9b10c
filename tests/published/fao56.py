"""Daily radiation and evaporation of FAO Irrigation and Drainage Paper 56: forms that serve tests alone.

It is made for grass: water reflects 6 to 8 % of sunlight, grass 23 %. SI; daily totals are daily means.
"""

from __future__ import annotations

import numpy as np

from pondsim.constants import DAY, ZERO_CELSIUS
from pondsim.physics import Array

SOLAR_CONSTANT = 0.0820e6 / 60.0  # W/m2, printed as 0.0820 MJ/m2/min
STEFAN_BOLTZMANN_DAY = 4.903e-3 / DAY  # W/m2/K4, printed as 4.903e-9 MJ/m2/K4/d
PSYCHROMETER = 0.000662  # 1/K, ventilated


def extraterrestrial_radiation(latitude: Array, day_of_year: Array) -> Array:
    """Sunlight on a level surface above the atmosphere, daily mean.

    Parameters
    ----------
    latitude : float or (n,) array
        North is positive. [rad]
    day_of_year : float or (n,) array
        1 on 1 January.

    Returns
    -------
    float or (n,) array
        Mean over 24 h. [W/m2]

    Notes
    -----
    Valid: any latitude. Raises: nothing. Source: allen1998 (equation 21).
    """
    year = 2.0 * np.pi * day_of_year / 365.0
    declination = 0.409 * np.sin(year - 1.39)
    sunset = daylight_angle(latitude, day_of_year)
    height = sunset * np.sin(latitude) * np.sin(declination)
    height = height + np.cos(latitude) * np.cos(declination) * np.sin(sunset)
    return SOLAR_CONSTANT / np.pi * (1.0 + 0.033 * np.cos(year)) * height


def clear_sky_radiation(extraterrestrial: Array, elevation: Array) -> Array:
    """Sunlight under a clear sky, daily mean.

    Parameters
    ----------
    extraterrestrial : float or (n,) array
        Above the atmosphere. [W/m2]
    elevation : float or (n,) array
        Above sea level. [m]

    Returns
    -------
    float or (n,) array
        At the ground. [W/m2]

    Notes
    -----
    Valid: no calibrated values at hand. Raises: nothing. Source: allen1998 (equation 37).
    """
    return (0.75 + 2e-5 * elevation) * extraterrestrial


def sunshine_radiation(extraterrestrial: Array, sunshine_share: Array) -> Array:
    """Sunlight from hours of sunshine, daily mean.

    Parameters
    ----------
    extraterrestrial : float or (n,) array
        Above the atmosphere. [W/m2]
    sunshine_share : float or (n,) array
        Hours of sunshine over hours of daylight. [1]

    Returns
    -------
    float or (n,) array
        At the ground. [W/m2]

    Notes
    -----
    Valid: no calibrated values at hand. Raises: nothing. Source: allen1998 (equation 35).
    """
    return (0.25 + 0.50 * sunshine_share) * extraterrestrial


def net_longwave(
    warmest: Array, coldest: Array, air_vapour: Array, sunlight: Array, clear_sky: Array
) -> Array:
    """Long-wave radiation that grass loses, daily mean.

    Parameters
    ----------
    warmest, coldest : float or (n,) array
        Air temperature of the day. [K]
    air_vapour : float or (n,) array
        Vapour pressure of the air. [Pa]
    sunlight, clear_sky : float or (n,) array
        At the ground, as it was and under a clear sky. [W/m2]

    Returns
    -------
    float or (n,) array
        Net loss. [W/m2]

    Notes
    -----
    Valid: daily values. Raises: nothing. Source: allen1998 (equation 39).
    """
    fourth = 0.5 * (warmest**4 + coldest**4)
    humidity = 0.34 - 0.14 * np.sqrt(1e-3 * air_vapour)
    return STEFAN_BOLTZMANN_DAY * fourth * humidity * (1.35 * sunlight / clear_sky - 0.35)


def psychrometer_vapour_pressure(dry_bulb: Array, wet_bulb: Array, pressure: Array) -> Array:
    """Vapour pressure of the air from a ventilated psychrometer.

    Parameters
    ----------
    dry_bulb, wet_bulb : float or (n,) array
        Temperatures. [K]
    pressure : float or (n,) array
        Air pressure. [Pa]

    Returns
    -------
    float or (n,) array
        Vapour pressure. [Pa]

    Notes
    -----
    Valid: some 5 m/s past the bulbs. Raises: nothing. Source: allen1998 (equation 15).
    """
    return tetens_vapour_pressure(wet_bulb) - PSYCHROMETER * pressure * (dry_bulb - wet_bulb)


def wind_at_2m(wind: Array, height: Array) -> Array:
    """Wind 2 m above ground from wind at another height.

    Parameters
    ----------
    wind : float or (n,) array
        Measured. [m/s]
    height : float or (n,) array
        Of the anemometer. [m]

    Returns
    -------
    float or (n,) array
        Wind at 2 m. [m/s]

    Notes
    -----
    Logarithmic over short grass. Valid: height above 1 m. Raises: nothing. Source: allen1998 (equation 47).
    """
    return wind * 4.87 / np.log(67.8 * height - 5.42)


def pressure_at_elevation(elevation: Array) -> Array:
    """Air pressure as the paper computes it.

    Parameters
    ----------
    elevation : float or (n,) array
        Above sea level. [m]

    Returns
    -------
    float or (n,) array
        Pressure. [Pa]

    Notes
    -----
    Valid: to some 4000 m. Raises: nothing. Source: allen1998 (equation 7).
    """
    return 101300.0 * ((293.0 - 0.0065 * elevation) / 293.0) ** 5.26


def reference_evapotranspiration(
    net_radiation: Array,
    temperature: Array,
    wind2: Array,
    saturated_vapour: Array,
    air_vapour: Array,
    pressure: Array,
) -> Array:
    """Evaporation of the reference grass.

    Parameters
    ----------
    net_radiation : float or (n,) array
        Short-wave and long-wave, less heat into the ground, daily mean. [W/m2]
    temperature : float or (n,) array
        Mean of the day's highest and lowest. [K]
    wind2 : float or (n,) array
        At 2 m. [m/s]
    saturated_vapour, air_vapour : float or (n,) array
        Saturation vapour pressure, mean of that at the highest and the lowest temperature, and that of the
        air. [Pa]
    pressure : float or (n,) array
        Air pressure. [Pa]

    Returns
    -------
    float or (n,) array
        Depth of water per time. [m/s]

    Notes
    -----
    Valid: daily values. Raises: nothing. Source: allen1998 (equation 6).
    """
    t = temperature - ZERO_CELSIUS
    slope = 4098.0 * tetens_vapour_pressure(temperature) / (t + 237.3) ** 2  # Pa/K
    psychrometric = 0.665e-3 * pressure  # Pa/K
    radiation_MJ = net_radiation * DAY * 1e-6
    drying_kPa = 1e-3 * (saturated_vapour - air_vapour)
    above = 0.408 * slope * radiation_MJ + psychrometric * 900.0 / (t + 273.0) * wind2 * drying_kPa
    return above / (slope + psychrometric * (1.0 + 0.34 * wind2)) * 1e-3 / DAY


def daylight_angle(latitude: Array, day_of_year: Array) -> Array:
    """Hour angle of sunset, 0 in polar night.

    Parameters
    ----------
    latitude : float or (n,) array
        North is positive. [rad]
    day_of_year : float or (n,) array
        1 on 1 January.

    Returns
    -------
    float or (n,) array
        Angle; times 24/pi it is the hours of daylight. [rad]

    Notes
    -----
    Valid: any latitude. Raises: nothing. Source: allen1998 (equation 25).
    """
    declination = 0.409 * np.sin(2.0 * np.pi * day_of_year / 365.0 - 1.39)
    return np.arccos(np.clip(-np.tan(latitude) * np.tan(declination), -1.0, 1.0))


def tetens_vapour_pressure(temperature: Array) -> Array:
    """Saturation vapour pressure as the paper computes it.

    Parameters
    ----------
    temperature : float or (n,) array
        Of the air. [K]

    Returns
    -------
    float or (n,) array
        0.02 to 0.1 % below `water.vapour_pressure` between 10 and 30 degC. [Pa]

    Notes
    -----
    Valid: -10 to 50 degC. Raises: nothing. Source: allen1998 (equation 11).
    """
    t = temperature - ZERO_CELSIUS
    return 610.8 * np.exp(17.27 * t / (t + 237.3))
