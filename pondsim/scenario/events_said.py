"""What is worth a word of events before a run: dredging done already or deep, events that do nothing."""

from __future__ import annotations

import math
from collections.abc import Iterator

from pondsim.records import Record, iso
from pondsim.scenario.dredging import bed_at, begun, lowest_ever, share_done
from pondsim.scenario.in_period import span_of
from pondsim.scenario.settings import Dredging, Scenario, lowest_bed

MUCH_DEEPER = 1.5  # times as deep as the zone and its neighbors were (judgement)


def event_records(scenario: Scenario) -> list[Record]:
    """Records of the events of a scenario as read, those outside its period aside."""
    return [
        *_done_before(scenario),
        *_together(scenario),
        *_holes(scenario),
        *_loads(scenario),
        *_outages(scenario),
    ]


def _done_before(scenario: Scenario) -> Iterator[Record]:
    for work in begun(scenario):
        numbers = {
            "share": (share_done(scenario, work, 0.0), "1"),
            "bed": (bed_at(scenario, work.zone, 0.0), "m"),
        }
        yield Record("dredged_before", "note", work.zone, numbers, {"of": iso(work.date)})


def _together(scenario: Scenario) -> Iterator[Record]:
    """Works in one zone at one time."""
    for place, work in enumerate(scenario.dredging):
        for other in scenario.dredging[:place]:
            if other.zone == work.zone and _overlap(other, work):
                numbers = {
                    "depth": (other.depth + work.depth, "m"),
                    "left": (other.left * work.left, "1"),
                }
                times = {"first": iso(other.date), "second": iso(work.date)}
                yield Record("dredgings_add_up", "caution", work.zone, numbers, times)


def _overlap(one: Dredging, other: Dredging) -> bool:
    (begin, end), (first, last) = span_of(one), span_of(other)
    return begin < last and first < end


def _holes(scenario: Scenario) -> Iterator[Record]:
    """Zones dredged much deeper than they and their neighbors were."""
    pool = scenario.pond.normal_pool
    for zone in dict.fromkeys(work.zone for work in scenario.dredging):
        around = {name for link in scenario.connection if zone in link.between for name in link.between}
        deepest = max(pool - lowest_bed(scenario.zone, name) for name in around | {zone})
        bed = lowest_ever(scenario, zone)
        if pool - bed > MUCH_DEEPER * deepest:
            numbers = {"bed": (bed, "m"), "depth": (pool - bed, "m"), "around": (deepest, "m")}
            yield Record("dredged_hole", "caution", zone, numbers)


def _loads(scenario: Scenario) -> Iterator[Record]:
    for load in scenario.load:
        if not math.fsum((load.phosphorus, load.oxygen_demand, load.ammonium)):
            yield Record("load_brings_nothing", "note", load.name)


def _outages(scenario: Scenario) -> Iterator[Record]:
    if scenario.outage and scenario.pump is None and not scenario.aeration:
        numbers = {"outages": (len(scenario.outage), "1")}
        yield Record("outage_stops_nothing", numbers=numbers)
