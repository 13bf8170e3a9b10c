"""Beside pondsim.physics.runoff: published forms that serve tests alone."""

from __future__ import annotations

from pondsim.physics import Array


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
