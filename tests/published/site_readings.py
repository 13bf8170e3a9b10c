"""Beside pondsim.physics.site_readings: published forms that serve tests alone."""

from __future__ import annotations

from pondsim.physics import Array

PRESSURE_PER_HEIGHT = 2.5 * 133.322 / (100 * 0.3048)  # Pa/m, 2.5 mmHg for each 100 ft


def true_pressure(sea_level: Array, elevation: Array) -> Array:
    """Air pressure at a place from one that a weather report has reduced to sea level.

    Parameters
    ----------
    sea_level : float or (n,) array
        As reported. [Pa]
    elevation : float or (n,) array
        Of the place. [m]

    Returns
    -------
    float or (n,) array
        [Pa]

    Notes
    -----
    2.5 mmHg for each 100 ft; valid to some 3000 ft. Raises: nothing.
    Source: a state's sampling procedure, read.
    """
    return sea_level - PRESSURE_PER_HEIGHT * elevation


def drift_corrected(reading: Array, first: Array, last: Array, share: Array) -> Array:
    """Reading of a meter that drifts evenly between two checks.

    Parameters
    ----------
    reading : float or (n,) array
        As read. [any unit]
    first, last : float or (n,) array
        What it read too high at the first and at the last check. [the same]
    share : float or (n,) array
        Of the time between them gone. [1]

    Returns
    -------
    float or (n,) array
        [the same]

    Notes
    -----
    Raises: nothing. Source: by definition.
    """
    return reading - first - (last - first) * share
