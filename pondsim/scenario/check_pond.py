"""Checks of what is given: period, place, levels, zones and connections.

Each takes the scenario and yields dotted keys with a message that continues a sentence begun with the key.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import timedelta
from itertools import pairwise

from pondsim.scenario.settings import Scenario
from pondsim.scenario.unreadable import likely, unequal
from pondsim.units import show

Fault = tuple[str, str]

LEVEL = 1e-6  # m by which two elevations of a file may differ by rounding
LONGEST_PERIOD = timedelta(days=3653)  # ten years; hourly results of two zones then take 240 MB, of five 600
MOST_RESULTS = 110_000  # a year every 5 min, or ten years every hour with room to spare


def length(value: float) -> str:
    """A length in both systems."""
    return f"{show(value, 'ft', 5)} ({show(value, 'm', 5)})"


def no_zone(key: str, name: str, scenario: Scenario) -> Iterator[Fault]:
    """The fault of naming a zone that does not exist, if so."""
    names = [zone.name for zone in scenario.zone]
    if name not in names:
        yield key, f'= "{name}" names no zone{likely(name, names) or "."} Zones: {", ".join(names)}.'


def first_not_increasing(values: Sequence[float]) -> int | None:
    """Place, counted from 1, of the first value not above the one before it; None when all are."""
    pairs = pairwise(values)
    return next((place for place, (below, above) in enumerate(pairs, 2) if above <= below), None)


def period(scenario: Scenario) -> Iterator[Fault]:
    """The end comes after the start, by one output step at least, and the run fits into memory."""
    when = scenario.period
    span = when.end - when.start
    results = int(span.total_seconds() / when.output_step)
    if when.end <= when.start:
        yield (
            "period.end",
            f"= {when.end:%Y-%m-%d %H:%M} is not after period.start = {when.start:%Y-%m-%d %H:%M}.",
        )
    elif when.end - when.start < timedelta(seconds=when.output_step):
        yield "period.end", "leaves less than one output_step after period.start."
    elif span > LONGEST_PERIOD:
        yield (
            "period.end",
            f"makes the period {span.days} d long; one run takes ten years ({LONGEST_PERIOD.days} d) at "
            "most. Run the years one by one.",
        )
    elif results > MOST_RESULTS:
        yield (
            "period.end",
            f"makes {results} results of {show(when.output_step, 'min')}; one run takes {MOST_RESULTS} at "
            "most. Write a longer output_step, or a shorter period.",
        )


def clock(scenario: Scenario) -> Iterator[Fault]:
    """The clock fits the longitude: a sign is easily lost."""
    by_sun = scenario.place.longitude / math.pi * 12.0
    by_clock = scenario.place.utc_offset / 3600.0
    if abs((by_clock - by_sun + 12.0) % 24.0 - 12.0) > 4.0:
        yield (
            "place.utc_offset",
            f"= {by_clock:g} h does not fit place.longitude, where the sun says {by_sun:.1f} h; "
            "west is negative in both.",
        )


def levels(scenario: Scenario) -> Iterator[Fault]:
    """Low pool, normal pool and bank top lie above each other."""
    pond = scenario.pond
    if pond.normal_pool >= pond.bank_top:
        yield (
            "pond.normal_pool",
            f"= {length(pond.normal_pool)} is not below bank_top = {length(pond.bank_top)}.",
        )
    if pond.low_pool is not None and pond.low_pool >= pond.normal_pool:
        yield (
            "pond.low_pool",
            f"= {length(pond.low_pool)} is not below normal_pool = {length(pond.normal_pool)}.",
        )


def low_pool(scenario: Scenario) -> Iterator[Fault]:
    """At low pool there is still water."""
    low, bed = scenario.pond.low_pool, min(zone.stage[0] for zone in scenario.zone)
    if low is not None and low <= bed:
        yield "pond.low_pool", f"= {length(low)} is not above the deepest bed, {length(bed)}."


def stage_tables(scenario: Scenario) -> Iterator[Fault]:
    """Stages rise, areas do not shrink."""
    for zone in scenario.zone:
        key = f"zone.{zone.name}"
        if len(zone.stage) != len(zone.area):
            yield (
                f"{key}.area",
                f"{unequal(zone.area, zone.stage, 'stage')}; write one for each.",
            )
            continue
        if len(zone.stage) < 2:
            yield f"{key}.stage", "has one value; write two at least, bottom first."
        if place := first_not_increasing(zone.stage):
            yield f"{key}.stage", f"does not rise at value {place}; write elevations from the bottom up."
        if any(above < below for below, above in pairwise(zone.area)):
            yield (
                f"{key}.area",
                "shrinks upward; a zone is at least as wide above as below. Are the rows in order?",
            )
        if zone.area[-1] <= 0.0:
            yield f"{key}.area", "is nothing at the top; write the area at the highest stage."


def reach_of_tables(scenario: Scenario) -> Iterator[Fault]:
    """Every table reaches the bank top, and some zone holds water at normal pool."""
    pond = scenario.pond
    for zone in scenario.zone:
        if zone.stage[-1] < pond.bank_top - 1e-6:
            yield (
                f"zone.{zone.name}.stage",
                f"ends at {length(zone.stage[-1])}, below pond.bank_top = {length(pond.bank_top)}; "
                "carry the table up to the bank top.",
            )
    if all(zone.stage[0] >= pond.normal_pool for zone in scenario.zone):
        yield (
            "pond.normal_pool",
            f"= {length(pond.normal_pool)} is below the bed of every zone: the pond is dry.",
        )


def connections(scenario: Scenario) -> Iterator[Fault]:
    """A connection joins two zones that exist, over a sill between their beds and the bank top."""
    for place, passage in enumerate(scenario.connection, 1):
        key = f"connection.{place}"
        for name in passage.between:
            yield from no_zone(f"{key}.between", name, scenario)
        if passage.between[0] == passage.between[1]:
            yield f"{key}.between", f'joins "{passage.between[0]}" to itself; name two zones.'
        if passage.sill >= scenario.pond.bank_top:
            yield (
                f"{key}.sill",
                f"= {length(passage.sill)} is not below pond.bank_top = {length(scenario.pond.bank_top)}: "
                "no water would ever pass.",
            )
        ends = [zone for zone in scenario.zone if zone.name in passage.between]
        bed = max(ends, key=lambda zone: zone.stage[0], default=None)
        if bed is not None and passage.sill < bed.stage[0] - LEVEL:
            yield (
                f"{key}.sill",
                f'= {length(passage.sill)} is below the bed of "{bed.name}", {length(bed.stage[0])}: '
                "water passes over the higher bed of the two.",
            )


def unconnected_zones(scenario: Scenario) -> Iterator[Fault]:
    """All zones hang together."""
    names = [zone.name for zone in scenario.zone]
    neighbours: dict[str, set[str]] = {name: set() for name in names}
    for passage in scenario.connection:
        one, other = passage.between
        if one != other and one in neighbours and other in neighbours:
            neighbours[one].add(other)
            neighbours[other].add(one)
    if len(neighbours) < 2:
        return
    for name, near in neighbours.items():
        if not near:
            other = next(one for one in names if one != name)
            yield (
                f"zone.{name}",
                f"is connected to no other zone; write [[connection]] with "
                f'between = ["{name}", "{other}"] or another neighbor.',
            )
    together = _reachable(names[0], neighbours)
    apart = [name for name in neighbours if name not in together and neighbours[name]]
    if apart and neighbours[names[0]]:
        yield (
            f"zone.{apart[0]}",
            f'is cut off from "{names[0]}" ({", ".join(apart)}); write a [[connection]] between.',
        )


def _reachable(first: str, neighbours: dict[str, set[str]]) -> set[str]:
    found, waiting = {first}, [first]
    while waiting:
        new = neighbours[waiting.pop()] - found
        found |= new
        waiting.extend(new)
    return found
