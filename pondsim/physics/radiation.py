"""Sun and sunlight, hour by hour."""

from __future__ import annotations

import numpy as np

from pondsim.physics import Array


def _year_angle(day_of_year: Array) -> Array:
    return 2.0 * np.pi * (day_of_year - 1.0) / 365.0


def declination(day_of_year: Array) -> Array:
    """Angle of the sun over the equator.

    Parameters
    ----------
    day_of_year : float or (n,) array
        1 at the start of 1 January, fractions welcome.

    Returns
    -------
    float or (n,) array
        North is positive. [rad]

    Notes
    -----
    Valid: this century, error below 0.3 degree with leap years. Raises: nothing. Source: spencer1971.
    """
    a = _year_angle(day_of_year)
    value = 0.006918 - 0.399912 * np.cos(a) + 0.070257 * np.sin(a)
    value = value - 0.006758 * np.cos(2 * a) + 0.000907 * np.sin(2 * a)
    return value - 0.002697 * np.cos(3 * a) + 0.00148 * np.sin(3 * a)


def equation_of_time(day_of_year: Array) -> Array:
    """Sundial time minus clock time.

    Parameters
    ----------
    day_of_year : float or (n,) array
        1 at the start of 1 January.

    Returns
    -------
    float or (n,) array
        As an hour angle; 15 degrees are an hour. [rad]

    Notes
    -----
    Valid: this century, error below 1 minute of time. Raises: nothing. Source: spencer1971.
    """
    a = _year_angle(day_of_year)
    value = 0.0000075 + 0.001868 * np.cos(a) - 0.032077 * np.sin(a)
    return value - 0.014615 * np.cos(2 * a) - 0.040849 * np.sin(2 * a)


def solar_elevation(latitude: Array, longitude: Array, day_of_year: Array, utc_hour: Array) -> Array:
    """Height of the sun above the horizon, without refraction.

    Parameters
    ----------
    latitude, longitude : float or (n,) array
        North and east are positive. [rad]
    day_of_year : float or (n,) array
        Day of the moment in UTC, 1 on 1 January, whole.
    utc_hour : float or (n,) array
        Hours after midnight UTC, 0 to 24.

    Returns
    -------
    float or (n,) array
        Negative at night. [rad]

    Notes
    -----
    Valid: this century, error below 0.5 degree. Raises: nothing. Source: spencer1971.
    """
    day = day_of_year + utc_hour / 24.0
    tilt = declination(day)
    hour_angle = np.pi * (utc_hour / 12.0 - 1.0) + longitude + equation_of_time(day)
    sine = np.sin(latitude) * np.sin(tilt) + np.cos(latitude) * np.cos(tilt) * np.cos(hour_angle)
    return np.arcsin(np.clip(sine, -1.0, 1.0))


def clear_sky_hourly(solar_elevation: Array) -> Array:
    """Sunlight on a level surface under a clear sky.

    Parameters
    ----------
    solar_elevation : float or (n,) array
        Height of the sun. [rad]

    Returns
    -------
    float or (n,) array
        Direct and scattered; 0 at night. [W/m2]

    Notes
    -----
    1098 sin(h) exp(-0.059/sin(h)). Valid: near sea level, error some 10 % with haze. Raises: nothing.
    Source: haurwitz1945; constants as a solar library has them.
    """
    sine = np.maximum(np.sin(solar_elevation), 1e-3)  # exp(-59): nothing is left at night
    return 1098.0 * sine * np.exp(-0.059 / sine)


def cloud_transmission(cloud_share: Array) -> Array:
    """Share of clear-sky sunlight that comes through cloud.

    Parameters
    ----------
    cloud_share : float or (n,) array
        Share of sky under cloud, 0 to 1. [1]

    Returns
    -------
    float or (n,) array
        1 - 0.75 cloud^3.4. [1]

    Notes
    -----
    Valid: hourly means; single hours scatter widely. Raises: nothing. Source: kasten1980; from memory.
    """
    return 1.0 - 0.75 * cloud_share**3.4
