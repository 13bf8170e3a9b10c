"""The one rule of what is dated: an event that overlaps the period takes effect, cut to it; no other does."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from pondsim.records import Record, iso
from pondsim.scenario.settings import (
    BloomCrash,
    Cover,
    DesignStorm,
    Dredging,
    Dye,
    HotSpell,
    Inflow,
    Load,
    Outage,
    Period,
    Scenario,
    Treatment,
)

OfYears = Treatment | Dye | Cover | Load | Dredging
Event = Inflow | BloomCrash | HotSpell | Outage | DesignStorm | OfYears
EVENTS = {  # list of sections, by its path in the scenario: what one is called, and several
    "inflow": ("inflow event", "inflow events"),
    "bloom_crash": ("bloom crash", "bloom crashes"),
    "weather.hot_spell": ("hot spell", "hot spells"),
    "outage": ("outage", "outages"),
}
OF_YEARS = {  # these stay in the scenario: years of one bed move what is dated later into its year
    "treatment": ("treatment", "treatments"),
    "dye": ("dye", "dyes"),
    "cover": ("cover", "covers"),
    "load": ("load", "loads"),
    "dredging": ("dredging", "dredgings"),
}
MIXING_IN = 6 * 3600.0  # s over which dye spreads through its zones (judgement)


def span_of(event: Event) -> tuple[datetime, datetime]:
    """First and last moment at which an event has any effect, recovery after a bloom crash included."""
    if isinstance(event, Cover | Load):
        return event.start, event.end
    if isinstance(event, Dredging):
        return event.date, event.date + timedelta(seconds=event.duration)
    if isinstance(event, Outage):
        if event.end is not None:
            return event.start, event.end
        seconds = event.duration
    elif isinstance(event, Dye):
        seconds = MIXING_IN
    elif isinstance(event, BloomCrash):
        seconds = event.duration + event.recovery
    elif isinstance(event, Inflow) and event.hydrograph_time:
        seconds = event.hydrograph_time[-1]
    else:
        seconds = event.duration
    return event.start, datetime.max if seconds is None else event.start + timedelta(seconds=seconds)


def overlaps(event: Event, period: Period) -> bool:
    """Whether an event has any effect within the period."""
    first, last = span_of(event)
    return first < period.end and last > period.start


def without_events_outside(scenario: Scenario) -> tuple[Scenario, list[Record]]:
    """The scenario without events wholly outside its period, and a record of each kind left out or cut.

    A design storm outside the period stays in the scenario, and brings no rain (site/rain.py).
    """
    notes: list[Record] = []
    for path, words in EVENTS.items():
        home, _, name = path.rpartition(".")
        holder: Any = getattr(scenario, home) if home else scenario
        events = getattr(holder, name)
        kept = tuple(event for event in events if overlaps(event, scenario.period))
        out = [event for event in events if event not in kept]
        notes += [*_left_out(out, len(events), words, scenario.period), *_cut(kept, words, scenario.period)]
        if out:
            holder = replace(holder, **{name: kept})
            changed: dict[str, Any] = {home: holder}
            scenario = replace(scenario, **changed) if home else holder
    for name, words in OF_YEARS.items():
        notes += _of_years(getattr(scenario, name), words, scenario.period)
    storm = scenario.rain.design_storm if scenario.rain else None
    if storm is not None:
        words = ("design storm", "design storms")
        inside = overlaps(storm, scenario.period)
        notes += [] if inside else _left_out([storm], 1, words, scenario.period)
        notes += _cut((storm,) if inside else (), words, scenario.period)
    return scenario, notes


def _of_years(events: tuple[OfYears, ...], words: tuple[str, str], period: Period) -> Iterator[Record]:
    """What is left out or cut of events that stay in the scenario; dredging before the period is done."""
    here = [one for one in events if not (isinstance(one, Dredging) and one.date < period.start)]
    inside = tuple(one for one in here if overlaps(one, period))
    yield from _left_out([one for one in here if one not in inside], len(events), words, period)
    yield from _cut(inside, words, period)


def _left_out(out: Sequence[Event], count: int, words: tuple[str, str], period: Period) -> list[Record]:
    times = {"start": iso(period.start), "end": iso(period.end)}
    of_years = words in OF_YEARS.values() and all(span_of(one)[0] >= period.end for one in out)
    later = {"later": (float(of_years), "1")}
    if len(out) == 1:
        of = {"of": iso(span_of(out[0])[0])}
        return [Record("event_outside", "note", "", later, times | of, {"kind": words[0]})]
    if out:
        numbers = {"out": (len(out), "1"), "given": (count, "1")}
        return [Record("events_outside", "note", "", numbers | later, times, {"kind": words[1]})]
    return []


def _cut(kept: Sequence[Event], words: tuple[str, str], period: Period) -> Iterator[Record]:
    """What began before the period, and water that comes after its end: most else simply goes on."""
    for event in kept:
        first, last = span_of(event)
        before = first < period.start
        after = last > period.end and isinstance(event, Inflow | DesignStorm | Dredging)
        if before or after:
            numbers = {"before": (float(before), "1"), "after": (float(after), "1")}
            yield Record("event_cut", numbers=numbers, times={"of": iso(first)}, names={"kind": words[0]})
