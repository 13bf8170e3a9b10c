"""The water on the lip of a waterfall."""

from __future__ import annotations

import numpy as np

from pondsim.constants import GRAVITY
from pondsim.jit.compiled import compiled
from pondsim.physics import Array

SHARP_LIP = 3.33 * 0.3048**0.5  # m^0.5/s, Francis


@compiled
def critical_depth(flow_per_width: Array) -> Array:
    """Critical depth on a wide lip.

    Parameters
    ----------
    flow_per_width : float or (n,) array
        Flow per width of lip. [m2/s]

    Returns
    -------
    float or (n,) array
        Depth. [m]

    Notes
    -----
    Valid: level lip, no crossflow. Raises: nothing. Source: by derivation.
    """
    return np.cbrt(flow_per_width**2 / GRAVITY)


@compiled
def brink_depth(flow_per_width: Array) -> Array:
    """Depth of the water right at the edge of a free overfall.

    Parameters
    ----------
    flow_per_width : float or (n,) array
        Flow per width of lip. [m2/s]

    Returns
    -------
    float or (n,) array
        0.715 of the critical depth. [m]

    Notes
    -----
    Valid: mild approach channel. Raises: nothing. Source: rouse1936.
    """
    return 0.715 * critical_depth(flow_per_width)


@compiled
def head_over_sharp_lip(flow: Array, width: Array) -> Array:
    """Head needed over a sharp level lip without end contractions.

    Parameters
    ----------
    flow : float or (n,) array
        Over the lip. [m3/s]
    width : float or (n,) array
        Of the lip. [m]

    Returns
    -------
    float or (n,) array
        Head upstream of the drawdown. [m]

    Notes
    -----
    Valid: sharp, ventilated lip, head above 1 inch; below, the sheet clings. Raises: nothing.
    Source: francis1868.
    """
    return (flow / (SHARP_LIP * width)) ** (2.0 / 3.0)
