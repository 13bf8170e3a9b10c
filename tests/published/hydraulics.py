"""Beside pondsim.physics.hydraulics: published forms that serve tests alone."""

from __future__ import annotations

import math

from pondsim.constants import GRAVITY


def weir_rehbock(width: float, head: float, crest_height: float) -> float:
    """Flow over a sharp-crested weir across the whole channel.

    Parameters
    ----------
    width : float
        Of the crest. [m]
    head : float
        Over the crest, four heads upstream; below 0 gives no flow. [m]
    crest_height : float
        Of the crest above the bed. [m]

    Returns
    -------
    float
        Flow. [m3/s]

    Notes
    -----
    Valid: head 0.03 to 0.75 m, crest above 0.3 m, head below crest height, ventilated. Raises: nothing.
    Source: rehbock1929.
    """
    if head <= 0.0:
        return 0.0
    coefficient = 0.602 + 0.083 * head / crest_height
    return 2.0 / 3.0 * math.sqrt(2.0 * GRAVITY) * coefficient * width * (head + 0.0012) ** 1.5
