"""Hour of sunrise, from the place and the day alone."""

from __future__ import annotations

from typing import Any

import numpy as np

Array = np.ndarray[Any, Any]


def sunrise_hour(dates: Array, latitude_deg: float, longitude_deg: float, utc_offset_h: float) -> Array:
    """Hour of the day at which the sun's centre rises.

    Parameters
    ----------
    dates : (n,) datetime64 array
        Days.
    latitude_deg, longitude_deg : float
        North and east are positive. [deg]
    utc_offset_h : float
        Local standard time minus UTC. [h]

    Returns
    -------
    (n,) array
        Local standard time. [h]

    Notes
    -----
    Valid between the polar circles; beyond them the hour of a sun that only touches the horizon. Raises:
    nothing. Error: about ten minutes. Source: allen1998 (declination, seasonal correction, hour angle).
    """
    days = np.asarray(dates).astype("datetime64[D]")
    number = (days - days.astype("datetime64[Y]").astype("datetime64[D]")).astype(float) + 1.0
    declination = 0.409 * np.sin(2.0 * np.pi * number / 365.0 - 1.39)
    angle = 2.0 * np.pi * (number - 81.0) / 364.0
    correction = 0.1645 * np.sin(2.0 * angle) - 0.1255 * np.cos(angle) - 0.025 * np.sin(angle)
    half_day = np.arccos(np.clip(-np.tan(np.radians(latitude_deg)) * np.tan(declination), -1.0, 1.0))
    noon = 12.0 - correction - (longitude_deg / 15.0 - utc_offset_h)
    return noon - half_day * 12.0 / np.pi
