"""Wind held off by trees and buildings, by the direction it comes from."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from pondsim.scenario.settings import Shelter

FloatArray = NDArray[np.float64]


def sheltered_share(direction: FloatArray, shelters: Iterable[Shelter]) -> FloatArray:
    """Share of the wind that passes the shelter of its direction.

    Parameters
    ----------
    direction : (n,) array
        Compass bearing the wind comes from. [rad]
    shelters : iterable of Shelter
        Sectors, both ends included, which do not overlap.

    Returns
    -------
    (n,) array
        1 where no sector is named. [1]

    Notes
    -----
    Raises: nothing. Shares are what the user states.
    """
    share = np.ones_like(direction)
    for one in shelters:
        share[in_sector(direction, one.from_direction, one.to_direction)] = one.wind_share
    return share


def in_sector(direction: FloatArray, first: float, last: float) -> NDArray[np.bool_]:
    """Whether directions lie in the sector from `first` clockwise to `last`; equal ends are one direction."""
    wide = (last - first) % (2.0 * math.pi)
    if wide == 0.0 and last != first:  # from 0 to 360 degrees is all round
        wide = 2.0 * math.pi
    return np.asarray((direction - first) % (2.0 * math.pi) <= wide + 1e-9)
