"""Rain to runoff by curve number, from one storm to a season, and the peak by the graphical method."""

from __future__ import annotations

import numpy as np

from pondsim.jit.compiled import compiled
from pondsim.physics import Array

INCH = 0.0254  # m
PAVED_CURVE_NUMBER = 98.0  # roofs and paving


@compiled
def potential_retention(curve_number: Array) -> Array:
    """Water the ground holds back at most, once runoff has begun.

    Parameters
    ----------
    curve_number : float or (n,) array
        30 to 100. [1]

    Returns
    -------
    float or (n,) array
        1000/CN - 10 inches. [m]

    Notes
    -----
    Valid: curve number above 0. Raises: nothing. Source: nrcs2004.
    """
    return (1000.0 / curve_number - 10.0) * INCH


@compiled
def runoff_depth(rain: Array, retention: Array, abstraction: Array) -> Array:
    """Runoff of one storm.

    Parameters
    ----------
    rain : float or (n,) array
        Depth since the storm began. [m]
    retention : float or (n,) array
        From `potential_retention`. [m]
    abstraction : float or (n,) array
        Rain that wets and fills before any runs off; 0.2 times the retention by custom. [m]

    Returns
    -------
    float or (n,) array
        (P - Ia)^2 / (P - Ia + S), and 0 below Ia. [m]

    Notes
    -----
    Fitted to rain of a day; poor below half an inch of runoff. Raises: nothing. Source: nrcs2004
    (equation 10-11).
    """
    over = np.maximum(rain - abstraction, 0.0)
    return over * over / (over + retention + 1e-12)  # no division by zero where nothing is held back


@compiled
def excess_of_season(
    rain: np.ndarray, step: float, retention: float, abstraction: float, pause: float, recovery: float
) -> np.ndarray:
    """Runoff of every rain step of a season; the ground dries between storms.

    Parameters
    ----------
    rain : (n,) array
        Depth of each step. [m]
    step : float
        Length of each. [s]
    retention, abstraction : float
        As in `runoff_depth`. [m]
    pause : float
        Drying begins after so long without rain. [s]
    recovery : float
        Time in which the wetness falls to 1/e. [s]

    Returns
    -------
    (n,) array
        Runoff of each step. [m]

    Notes
    -----
    One number carries the past: the wetness, the rain that would have brought dry ground to its present
    state. Rain adds to it and runs off along the curve of `runoff_depth`; in dry spells it falls to zero, so
    that the initial abstraction comes back first in small storms, the retention after great ones. A storm on
    dry ground without pauses has exactly the curve's runoff. Runoff is never above the rain.
    Raises: nothing. Source: nrcs2004 (one storm), judgement (drying).
    """
    excess = np.zeros(rain.size)
    left = np.exp(-step / recovery)
    wetness, before, dry = 0.0, 0.0, pause
    for i in range(rain.size):
        if rain[i] > 0.0:
            wetness += rain[i]
            after = runoff_depth(wetness, retention, abstraction)
            excess[i] = min(after - before, rain[i])
            before, dry = after, 0.0
            continue
        dry += step
        if dry > pause:
            wetness *= left
            before = runoff_depth(wetness, retention, abstraction)
    return excess
