"""How a dug trench or sump fills: what settles over it, what runs in from its sides."""

from __future__ import annotations

import math

import numpy as np

from pondsim.physics import Array


def pit_fill(time: Array, depth: float, growth: float, trapping: float, creep: float, width: float) -> Array:
    """Height to which the floor of a pit has risen.

    Parameters
    ----------
    time : float or (n,) array
        Since it was dug. [s]
    depth : float
        Of its floor below the bed beside it, at first; 0 where there is no pit. [m]
    growth : float
        Rise of the bed beside it. [m/s]
    trapping : float
        Settling in the pit over that beside it, 1 or more. [1]
    creep : float
        What runs in from the sides at first, for each length of pit; it dies down with the depth left. [m2/s]
    width : float
        Of the floor. [m]

    Returns
    -------
    float or (n,) array
        [m]

    Notes
    -----
    The depth left, d, follows dd/dt = growth (1 - trapping) - creep/width d/depth, as in the infill of a dug
    channel without trapping; once the pit is full it rises with the bed. Made for sea channels: an order of
    magnitude, a factor of three either way. Raises: nothing. Source: kraus2002.
    """
    beside = growth * np.asarray(time, dtype=float)
    if depth <= 0.0:
        return beside
    loss, rate = growth * (trapping - 1.0), creep / (width * depth)
    if rate > 0.0:
        rest = -loss / rate
        left = rest + (depth - rest) * np.exp(-rate * np.asarray(time, dtype=float))
    else:
        left = depth - loss * np.asarray(time, dtype=float)
    return depth + beside - np.maximum(left, 0.0)


def pit_fill_time(
    height: float, depth: float, growth: float, trapping: float, creep: float, width: float
) -> float:
    """Time until the floor of a pit has risen by a height.

    Parameters
    ----------
    height : float
        [m]
    depth, growth, trapping, creep, width
        As for `pit_fill`.

    Returns
    -------
    float
        0 where nothing is left to rise, infinite where it never gets there. [s]

    Notes
    -----
    Bisection on `pit_fill`, which never falls. Raises: nothing. Source: kraus2002.
    """
    if height <= 0.0:
        return 0.0
    low, high = 0.0, 1.0
    while float(pit_fill(high, depth, growth, trapping, creep, width)) < height:
        low, high = high, 2.0 * high
        if high > 1e12:
            return math.inf
    for _ in range(80):
        middle = 0.5 * (low + high)
        if float(pit_fill(middle, depth, growth, trapping, creep, width)) < height:
            low = middle
        else:
            high = middle
    return high


def slope_safety(friction_angle: Array, slope: Array, weight_ratio: Array = 1.0) -> Array:
    """Factor of safety of a long slope without cohesion.

    Parameters
    ----------
    friction_angle : float or (n,) array
        Of the soil. [rad]
    slope : float or (n,) array
        Horizontal to 1 vertical. [1]
    weight_ratio : float or (n,) array
        1 under still water; weight under water over soaked, near 0.45, where water is drawn down fast. [1]

    Returns
    -------
    float or (n,) array
        Below 1 it slides. [1]

    Notes
    -----
    Valid: slopes long against their depth. Raises: nothing. Source: by derivation.
    """
    return np.tan(friction_angle) * slope * weight_ratio
