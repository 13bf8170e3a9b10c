"""The pond as `[[dredging]]` leaves it: stage tables that get deeper while the work goes on."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pondsim.scenario.dredging import share_done
from pondsim.scenario.settings import Scenario, Zone

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Cut:
    """What one dredging takes out when it is done.

    Attributes
    ----------
    volume : in place, under normal pool [m3]
    bed : elevation of the deepest bed of its zone after it [m]
    """

    volume: float
    bed: float


def cuts(scenario: Scenario) -> list[Cut]:
    """What each dredging of the file takes out, in its order, over what those before it have left."""
    zones = {zone.name: zone for zone in scenario.zone}
    found, pool = [], scenario.pond.normal_pool
    for work in scenario.dredging:
        old = zones[work.zone]
        new = zones[work.zone] = _deeper(old, pool, work.depth, work.full_from)
        found.append(Cut(_volume(new, pool) - _volume(old, pool), new.stage[0]))
    return found


def zones_at(scenario: Scenario, seconds: float) -> tuple[Zone, ...]:
    """The zones with the stage tables of a moment, in seconds since the start of the period.

    A zone that is dredged at any time has tables of one length at all times. Work dated before the period has
    been done.
    """
    zones = []
    for zone in scenario.zone:
        now = zone
        for work in scenario.dredging:
            if work.zone == zone.name:
                depth = work.depth * share_done(scenario, work, seconds)
                now = _deeper(now, scenario.pond.normal_pool, depth, work.full_from)
        zones.append(now)
    return tuple(zones)


def _deeper(zone: Zone, pool: float, depth: float, full_from: float) -> Zone:
    """A zone whose bed lies deeper by `depth` under `full_from` of water and more, by nothing at the shore.

    Between the two the cut grows in a straight line with the depth of the water. Rows are set where it bends,
    so that the volume is exactly that of the cut. All depths [m].
    """
    stage, area = np.array(zone.stage), np.array(zone.area)
    bend = max(pool - full_from, float(stage[0]))
    below = stage < pool
    old = np.concatenate([np.sort(np.append(stage[below], bend)), [pool, pool], stage[~below]])
    held = np.interp(old, stage, area)
    share = np.clip((pool - old) / full_from, 0.0, 1.0) if full_from > 0.0 else np.ones(old.size)
    share[int(below.sum()) + 2 :] = 0.0  # from the second row at normal pool on
    return replace(zone, stage=tuple((old - depth * share).tolist()), area=tuple(held.tolist()))


def moments_of_digging(scenario: Scenario, time: FloatArray) -> list[int]:
    """Places in `time` [s] at which the pond is another than at the place before."""

    def done(seconds: float) -> list[float]:
        return [share_done(scenario, work, seconds) for work in scenario.dredging]

    shares = [done(float(moment)) for moment in time]
    return [place for place in range(1, len(shares)) if shares[place] != shares[place - 1]]


def taken_out(scenario: Scenario, seconds: float) -> FloatArray:
    """Bed taken out of each zone until a moment, under normal pool [m3]."""
    pool = scenario.pond.normal_pool
    now = zones_at(scenario, seconds)
    return np.array([_volume(a, pool) - _volume(b, pool) for a, b in zip(now, scenario.zone, strict=True)])


def _volume(zone: Zone, pool: float) -> float:
    stage = np.append([one for one in zone.stage if one < pool], pool)
    area = np.interp(stage, zone.stage, zone.area)
    return float(np.sum(np.diff(stage) * (area[1:] + area[:-1])) / 2.0)
