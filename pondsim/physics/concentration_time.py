"""Time of concentration: the time water takes along sheet, shallow and channel flow."""

from __future__ import annotations

import numpy as np

from pondsim.constants import HOUR
from pondsim.physics import Array

FOOT, INCH = 0.3048, 0.0254  # m
SHEET = 0.007 * HOUR * FOOT**-0.8 * INCH**0.5  # s/m^0.3, from hours, feet and inches
SHALLOW_UNPAVED = 16.1345 * FOOT  # m/s at slope 1
SHALLOW_PAVED = 20.3282 * FOOT


def sheet_flow_time(length: Array, roughness: Array, slope: Array, two_year_rain: Array) -> Array:
    """Travel time of a thin sheet over a plane, at the head of the flow path.

    Parameters
    ----------
    length : float or (n,) array
        Along the flow; 100 ft at most by present custom, 300 ft in the source. [m]
    roughness : float or (n,) array
        Of sheet flow, not of channels: 0.011 paving, 0.15 short grass, 0.24 dense grass, 0.41 lawn of
        Bermuda grass, 0.40 light and 0.80 dense underbrush in woods. [1]
    slope : float or (n,) array
        Of the land. [1]
    two_year_rain : float or (n,) array
        In 24 hours, met every second year. [m]

    Returns
    -------
    float or (n,) array
        Travel time, 0.007 (n L)^0.8 / (P^0.5 s^0.4) hours in feet and inches. [s]

    Notes
    -----
    Valid: slope > 0. Raises: nothing. Source: tr55 (equation 3-3); from memory, not verified.
    """
    return SHEET * (roughness * length) ** 0.8 / (two_year_rain**0.5 * slope**0.4)


def shallow_flow_velocity(slope: Array, paved: bool) -> Array:
    """Velocity of water that has gathered from a sheet but has no channel yet.

    Parameters
    ----------
    slope : float or (n,) array
        Of the watercourse. [1]
    paved : bool
        Whether it runs over paving, a gutter say.

    Returns
    -------
    float or (n,) array
        16.13 (unpaved) or 20.33 (paved) times the root of the slope, in ft/s. [m/s]

    Notes
    -----
    Valid: slopes above 0.005. Raises: nothing. Source: tr55 (appendix F); from memory, not verified.
    """
    return (SHALLOW_PAVED if paved else SHALLOW_UNPAVED) * np.sqrt(slope)


def channel_velocity(hydraulic_radius: Array, slope: Array, roughness: Array) -> Array:
    """Velocity in a channel or a pipe by Manning's equation.

    Parameters
    ----------
    hydraulic_radius : float or (n,) array
        Flow area over wetted perimeter; a quarter of the diameter of a full pipe. [m]
    slope : float or (n,) array
        Of the channel. [1]
    roughness : float or (n,) array
        0.013 concrete pipe, 0.03 clean earth channel, 0.05 and more with weeds. [1]

    Returns
    -------
    float or (n,) array
        R^(2/3) s^(1/2) / n. [m/s]

    Notes
    -----
    The source prints the factor 1.49 of feet where the exact one is 1.486. Valid: turbulent flow.
    Raises: nothing. Source: tr55 (equation 3-4), chow1988.
    """
    return hydraulic_radius ** (2.0 / 3.0) * slope**0.5 / roughness
