"""A design that runs a part of its site's period: what the site dates outside that part is left out."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

from pondsim.scenario.settings import BloomCrash, HotSpell, Inflow, Period, Scenario

EVENTS = {  # list of sections, by its path in the scenario, in words
    "inflow": "storms",
    "bloom_crash": "bloom crashes",
    "weather.hot_spell": "hot spells",
}


def without_events_outside(
    scenario: Scenario, where: dict[str, tuple[Path, int | None]], design: Path
) -> tuple[Scenario, list[str]]:
    """The scenario without the site's events outside a period that the design gives, and notes on them.

    An event in the file that gives the period stays where it is and is a fault.
    """
    set_by = {where[key][0] for key in ("period.start", "period.end") if key in where}
    if design not in set_by:
        return scenario, []
    notes = []
    for path, words in EVENTS.items():
        home, _, name = path.rpartition(".")
        holder: Any = getattr(scenario, home) if home else scenario
        events = getattr(holder, name)
        kept = [
            place
            for place, event in enumerate(events, 1)
            if where.get(f"{path}.{place}", (design, None))[0] == design or _touches(event, scenario.period)
        ]
        if len(kept) < len(events):
            left = len(events) - len(kept)
            _renumber(where, path, kept)
            notes.append(_left_out(left, len(events), words))
            holder = replace(holder, **{name: tuple(events[place - 1] for place in kept)})
            changed: dict[str, Any] = {home: holder}
            scenario = replace(scenario, **changed) if home else holder
    return scenario, notes


def _left_out(left: int, count: int, words: str) -> str:
    if count == 1:
        return f"the site's only {words.removesuffix('es' if words.endswith('shes') else 's')} " + (
            "lies outside the period and is left out"
        )
    verbs = "lies outside the period and is" if left == 1 else "lie outside the period and are"
    return f"{left} of the site's {count} {words} {verbs} left out"


def _touches(event: Inflow | BloomCrash | HotSpell, period: Period) -> bool:
    """Whether an event begins within the period, or a hot spell reaches into it."""
    ends = event.start
    if isinstance(event, HotSpell):
        ends += timedelta(seconds=event.duration)
    return period.start <= event.start < period.end or period.start < ends <= period.end


def _renumber(where: dict[str, tuple[Path, int | None]], path: str, kept: list[int]) -> None:
    """Give the entries kept their new places, so that a fault is still told at its line."""
    old = {key: found for key, found in where.items() if key.startswith(f"{path}.")}
    for key in old:
        del where[key]
    for now, place in enumerate(kept, 1):
        for key, found in old.items():
            if key == f"{path}.{place}" or key.startswith(f"{path}.{place}."):
                where[f"{path}.{now}{key.removeprefix(f'{path}.{place}')}"] = found
