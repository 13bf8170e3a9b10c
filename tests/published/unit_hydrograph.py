"""Beside pondsim.physics.unit_hydrograph: published forms that serve tests alone."""

from __future__ import annotations

from pondsim.physics import Array
from pondsim.physics.unit_hydrograph import PEAK_UNIT


def unit_peak_flow(area: Array, runoff: Array, peak_time: Array, peak_factor: Array = 484.0) -> Array:
    """Peak of the unit hydrograph.

    Parameters
    ----------
    area : float or (n,) array
        That drains. [m2]
    runoff : float or (n,) array
        Of the short rain. [m]
    peak_time : float or (n,) array
        From `time_to_peak`. [s]
    peak_factor : float or (n,) array, default 484
        300 flat and swampy, 600 steep; in ft3/s h/mi2/in as printed. [1]

    Returns
    -------
    float or (n,) array
        Peak flow. [m3/s]

    Notes
    -----
    Valid: any. Raises: nothing. Source: nrcs2007.
    """
    return peak_factor / PEAK_UNIT * area * runoff / peak_time
