"""Beside pondsim.physics.quality: published forms that serve tests alone."""

from __future__ import annotations

import numpy as np

from pondsim.physics import Array


def lognormal_quantile(median: Array, variation: Array, normal: Array) -> Array:
    """Value of a lognormal quantity at a standard normal number, for draws and for quantiles.

    Parameters
    ----------
    median : float or (n,) array
        [any unit]
    variation : float or (n,) array
        Standard deviation over mean. [1]
    normal : float or (n,) array
        Standard normal number; 1.2816 is the value that nine events of ten stay below. [1]

    Returns
    -------
    float or (n,) array
        Median times exp(z sqrt(ln(1 + v^2))). [that unit]

    Notes
    -----
    Valid: lognormal spread. Raises: nothing. Source: nurp1983 (that events are lognormal), exact.
    """
    return median * np.exp(normal * np.sqrt(np.log1p(variation * variation)))


def event_load(concentration: Array, area: Array, runoff: Array) -> Array:
    """Mass one storm brings.

    Parameters
    ----------
    concentration : float or (n,) array
        Event mean. [kg/m3]
    area : float or (n,) array
        That drains. [m2]
    runoff : float or (n,) array
        Depth. [m]

    Returns
    -------
    float or (n,) array
        Mass. [kg]

    Notes
    -----
    Valid: any. Raises: nothing. Source: by definition.
    """
    return concentration * area * runoff
