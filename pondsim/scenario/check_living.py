"""Checks of algae, phosphorus, and what people do to the water and the bed.

Each takes the scenario and yields dotted keys with a message that continues a sentence begun with the key.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from pondsim.scenario.check_pond import Fault, first_not_increasing, no_zone
from pondsim.scenario.settings import Scenario
from pondsim.scenario.unreadable import likely, unequal

MOST_FURTHER = 3  # kinds beside the ordinary one
GROWN_ONLY = ("treatment", "dredging", "load")  # lists of sections that act on states of grown algae


def algae(scenario: Scenario) -> Iterator[Fault]:
    """What belongs to given algae and to grown ones; readings and profile in order."""
    given = scenario.algae
    grown = given.mode == "grown"
    if grown and (given.reading or given.readings):
        key = "algae.reading" if given.reading else "algae.readings"
        yield key, 'holds given chlorophyll; take it out, or write mode = "given".'
    if grown and "algae.chlorophyll" in scenario.stated and "algae.mode" not in scenario.stated:
        yield (
            "algae.chlorophyll",
            'is that of given algae, and algae grow unless stated; write mode = "given" beside it, or take'
            " it out (start.chlorophyll is what is there on the first day).",
        )
    yield from _readings(scenario)
    if not grown and given.kind:
        yield "algae.kind", 'is for algae that grow; write algae.mode = "grown".'
    if len(given.kind) > MOST_FURTHER:
        yield (
            "algae.kind",
            f"has {len(given.kind)} entries; {MOST_FURTHER} further kinds at most are computed.",
        )
    dates = [one.date for one in given.reading]
    if len(dates) == 1:
        yield "algae.reading", "has one entry; write chlorophyll in its place, or two readings at least."
    for place, (before, after) in enumerate(pairwise(dates), 2):
        if after <= before:
            yield (
                f"algae.reading.{place}.date",
                "is not after the one before it; write the readings in order.",
            )
    depth, share = given.profile_depth, given.profile_share
    if len(depth) != len(share):
        yield "algae.profile_share", f"{unequal(share, depth, 'depth')}."
    if first_not_increasing(depth):
        yield "algae.profile_depth", "does not go down; write the top first."
    if given.growth_respiration + given.excretion >= 1.0:
        yield (
            "algae.excretion",
            "and growth_respiration add up to 100 % or more of growth; nothing would grow.",
        )


def _readings(scenario: Scenario) -> Iterator[Fault]:
    """Readings that stand for given chlorophyll are there, and stated once."""
    given = scenario.algae
    if given.readings is not None:
        names = [one.name for one in scenario.readings]
        if given.readings not in names:
            yield (
                "algae.readings",
                f'= "{given.readings}" names no [[readings]]{likely(given.readings, names)}',
            )
        if given.reading:
            yield "algae.readings", "stands beside algae.reading; keep one of them."
        if given.mode == "grown":
            yield "algae.readings", 'holds given chlorophyll; take it out, or write mode = "given".'


def bed(scenario: Scenario) -> Iterator[Fault]:
    """What settles goes to the stores once."""
    shares = scenario.bed.fast_share + scenario.bed.slow_share
    if shares > 1.0 + 1e-9:
        yield "bed.slow_share", f"and fast_share add up to {100.0 * shares:.4g} %; 100 % at most can settle."


def events(scenario: Scenario) -> Iterator[Fault]:
    """Zones that exist, ends after starts, and what needs grown algae."""
    for name in ("treatment", "dye", "cover"):
        for place, one in enumerate(getattr(scenario, name), 1):
            for zone in one.zones:
                yield from no_zone(f"{name}.{place}.zones", zone, scenario)
    for name in ("dredging", "load"):
        for place, one in enumerate(getattr(scenario, name), 1):
            yield from no_zone(f"{name}.{_label(one, place)}.zone", one.zone, scenario)
    for name in ("cover", "load"):
        for place, one in enumerate(getattr(scenario, name), 1):
            if one.end <= one.start:
                yield f"{name}.{_label(one, place)}.end", "is not after start."
    for name in GROWN_ONLY:
        if getattr(scenario, name) and scenario.algae.mode != "grown":
            yield (
                name,
                f'acts on what only grown algae have; write algae.mode = "grown", or leave {name} out.',
            )


def _label(one: object, place: int) -> str:
    return str(getattr(one, "name", place)).replace(" ", "_")
