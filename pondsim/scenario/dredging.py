"""How far a dredging is at a moment, and where it leaves the lowest bed of its zone."""

from __future__ import annotations

import math

from pondsim.scenario.settings import Dredging, Scenario, lowest_bed


def share_done(scenario: Scenario, work: Dredging, seconds: float) -> float:
    """Share of the work that is done at a moment, in seconds since the start of the period [1]."""
    begin = (work.date - scenario.period.start).total_seconds()
    return min(max((seconds - begin) / work.duration, 0.0), 1.0)


def begun(scenario: Scenario) -> tuple[Dredging, ...]:
    """Dredging dated before the period."""
    return tuple(work for work in scenario.dredging if work.date < scenario.period.start)


def left_of_stores(scenario: Scenario, since: float = -math.inf) -> tuple[float, ...]:
    """Share of the stores of each zone that dredging leaves between a moment and the start of the period [1].

    `since` is in seconds since the start, and negative.
    """
    left = dict.fromkeys([zone.name for zone in scenario.zone], 1.0)
    for work in begun(scenario):
        left[work.zone] *= work.left ** (share_done(scenario, work, 0.0) - share_done(scenario, work, since))
    return tuple(left.values())


def bed_at(scenario: Scenario, zone: str, seconds: float) -> float:
    """Elevation of the lowest bed of a zone at a moment, in seconds since the start of the period [m]."""
    bed, pool = lowest_bed(scenario.zone, zone), scenario.pond.normal_pool
    for work in scenario.dredging:
        if work.zone == zone:
            share = min(max((pool - bed) / work.full_from, 0.0), 1.0) if work.full_from > 0.0 else 1.0
            bed -= work.depth * share * share_done(scenario, work, seconds)
    return bed


def lowest_ever(scenario: Scenario, zone: str) -> float:
    """Elevation of the lowest bed of a zone once all its dredging is done [m]."""
    return bed_at(scenario, zone, math.inf)
