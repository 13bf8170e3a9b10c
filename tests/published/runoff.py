"""Beside pondsim.physics.runoff: published forms that serve tests alone."""

from __future__ import annotations

import numpy as np

from pondsim.constants import HOUR
from pondsim.physics import Array
from pondsim.physics.runoff import INCH

PER_MILE_AND_INCH = 0.3048**3 / (1609.344**2 * INCH)  # ft3/s/mi2/in -> 1/s

# Type II storm: (Ia/P, C0, C1, C2) of log10 qu, qu in ft3/s/mi2/in, time of concentration in hours.
# The first row is a check value; the others are from memory too.
TYPE_II_PEAKS = np.array(
    [
        (0.10, 2.55323, -0.61512, -0.16403),
        (0.30, 2.46532, -0.62257, -0.11657),
        (0.35, 2.41896, -0.61594, -0.08820),
        (0.40, 2.36409, -0.59857, -0.05621),
        (0.45, 2.29238, -0.57005, -0.02281),
        (0.50, 2.20282, -0.51599, -0.01259),
    ]
)


def graphical_peak(unit_peak: Array, area: Array, runoff: Array, pond_factor: Array = 1.0) -> Array:
    """Peak flow by the graphical method.

    Parameters
    ----------
    unit_peak : float or (n,) array
        From `unit_peak_type_ii`. [1/s]
    area : float or (n,) array
        That drains. [m2]
    runoff : float or (n,) array
        Of the day. [m]
    pond_factor : float or (n,) array, default 1
        Below 1 where ponds and swamps are spread over the area. [1]

    Returns
    -------
    float or (n,) array
        Peak flow. [m3/s]

    Notes
    -----
    Valid: one uniform area. Raises: nothing. Source: tr55.
    """
    return unit_peak * area * runoff * pond_factor


def unit_peak_type_ii(concentration_time: float, abstraction_over_rain: float = 0.1) -> float:
    """Peak flow per area and depth of runoff in a Type II storm of 24 hours.

    Parameters
    ----------
    concentration_time : float
        0.1 to 10 h. [s]
    abstraction_over_rain : float, default 0.1
        Initial abstraction over the day's rain; taken as 0.1 at least and 0.5 at most. [1]

    Returns
    -------
    float
        Unit peak discharge, straight lines between the published ratios. [1/s]

    Notes
    -----
    A hand check beside the unit hydrograph. Valid: one uniform area. Raises: nothing. Source: tr55; the
    coefficients are from memory, not verified.
    """
    hours = np.log10(concentration_time / HOUR)
    share, c0, c1, c2 = TYPE_II_PEAKS.T
    peaks = 10.0 ** (c0 + c1 * hours + c2 * hours**2)
    return float(np.interp(abstraction_over_rain, share, peaks)) * PER_MILE_AND_INCH
