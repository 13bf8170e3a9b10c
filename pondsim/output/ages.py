"""Steady ages of the water at the mean flows of a season."""

from __future__ import annotations

from typing import Any

import numpy as np

from pondsim.constants import DAY
from pondsim.engine.loop import Season
from pondsim.engine.model import Model
from pondsim.output.over_time import Shape
from pondsim.physics.tanks import steady_age
from pondsim.site.pond import FloatArray


def ages_of(model: Model, season: Season, shape: Shape) -> dict[str, Any]:
    """Steady ages of the water at the mean flows of the season [d], and mean volumes [m3].

    Water that comes in is new; for the age since the waterfall, so is what comes over it. Where neither ever
    comes the age is infinite.
    """
    duration = float(model.forcing.time[-1])
    transfers, pumped = season.sums.transfers / duration, season.sums.pumped / duration
    volume = season.sums.held / duration
    fresh = season.sums.fresh / duration
    plain = ("zone", "layer")
    since_inflow = _steady(volume, transfers + pumped, fresh)
    since_waterfall = _steady(volume, transfers, fresh + pumped.sum(axis=0))
    if model.circulation.most_flow <= 0.0:
        since_waterfall = np.full(volume.size, np.inf)
    return {
        "mean_box_volume": (plain, shape(volume)),
        "steady_age_since_inflow": (plain, shape(since_inflow / DAY)),
        "steady_age_since_waterfall": (plain, shape(since_waterfall / DAY)),
    }


def _steady(volume: FloatArray, flows: FloatArray, fresh: FloatArray) -> FloatArray:
    """Steady ages; infinite where new water never comes."""
    reached = fresh > 0.0
    while True:
        further = reached | (flows[reached] > 0.0).any(axis=0)
        if (further == reached).all():
            break
        reached = further
    age = np.full(volume.size, np.inf)
    if reached.any():
        age[reached] = steady_age(volume[reached], flows[np.ix_(reached, reached)], fresh[reached])
    return age
