"""Sunlight at the pond: sun over the horizon, clear sky, what cloud leaves of it."""

from __future__ import annotations

from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import DAY, HOUR
from pondsim.physics.radiation import clear_sky_hourly, solar_elevation
from pondsim.scenario.settings import Place

FloatArray = NDArray[np.float64]

LEAST_TRANSMISSION = 0.25  # under full cover, see physics.radiation.cloud_transmission
CLOUD_EXPONENT = 3.4  # the same
SAMPLES = 6  # moments of each step that a mean of sunlight is taken over
BRIGHT = 100.0  # W/m2 of clear sky, above which sunlight tells the cloud (judgement)


def sun_elevation(time: FloatArray, start: datetime, place: Place) -> FloatArray:
    """Elevation of the sun over the horizon.

    Parameters
    ----------
    time : array
        Seconds since `start`. [s]
    start : datetime
        Local standard time.
    place : Place
        Latitude, longitude and offset to UTC.

    Returns
    -------
    array
        Negative at night. [rad]
    """
    new_year = datetime(start.year, 1, 1)
    utc = (start - new_year).total_seconds() + np.asarray(time) - place.utc_offset
    return solar_elevation(place.latitude, place.longitude, 1.0 + np.floor(utc / DAY), (utc % DAY) / HOUR)


def clear_sky(time: FloatArray, start: datetime, place: Place, step: float = HOUR) -> FloatArray:
    """Sunlight on a level surface without cloud, mean over a step centred on each time.

    Parameters
    ----------
    time : (n,) array
        Seconds since `start`. [s]
    start : datetime
        Local standard time.
    place : Place
        Latitude, longitude and offset to UTC.
    step : float
        Length of the mean. [s]

    Returns
    -------
    (n,) array
        [W/m2]

    Notes
    -----
    Valid: near sea level; a high, dry place has up to a tenth more. Raises: nothing. Source: haurwitz1945,
    see physics.radiation.clear_sky_hourly.
    """
    offsets = ((np.arange(SAMPLES) + 0.5) / SAMPLES - 0.5) * step
    moments = np.asarray(time)[:, None] + offsets
    height = sun_elevation(moments, start, place)
    return np.mean(clear_sky_hourly(height), axis=1)


def cloud_from_light(shortwave: FloatArray, clear: FloatArray) -> FloatArray:
    """Cloud share that explains the sunlight by day; straight lines through the night.

    Parameters
    ----------
    shortwave, clear : (n,) arrays
        Sunlight measured and without cloud. [W/m2]

    Returns
    -------
    (n,) array
        0 to 1. The ends are carried on; 0.5 everywhere when it is never bright. [1]

    Notes
    -----
    The inverse of 1 - 0.75 N^3.4. Raises: nothing. Source: kasten1980 (from memory, not verified).
    """
    bright = clear > BRIGHT
    if not np.any(bright):
        return np.full_like(clear, 0.5)
    kept = np.clip(shortwave[bright] / clear[bright], LEAST_TRANSMISSION, 1.0)
    cloud = ((1.0 - kept) / (1.0 - LEAST_TRANSMISSION)) ** (1.0 / CLOUD_EXPONENT)
    places = np.arange(clear.size)
    return np.interp(places, places[bright], cloud)
