"""Beside pondsim.physics.jets: published forms that serve tests alone."""

from __future__ import annotations

import numpy as np

from pondsim.physics import Array


def round_jet_dilution(distance: Array, area: Array) -> Array:
    """Mean dilution of a round jet.

    Parameters
    ----------
    distance : float or (n,) array
        From the opening. [m]
    area : float or (n,) array
        Of the opening. [m2]

    Returns
    -------
    float or (n,) array
        Flow of the jet over the flow discharged, 1 at least. [1]

    Notes
    -----
    0.25 x/sqrt(A). Valid: beyond 6 to 10 diameters, free of walls and surface, same density. Raises: nothing.
    Source: fischer1979; from memory.
    """
    return np.maximum(0.25 * distance / np.sqrt(area), 1.0)
