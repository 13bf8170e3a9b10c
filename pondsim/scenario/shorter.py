"""A period that is a part of the site's: what is dated outside that part is left out."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

from pondsim.scenario.settings import BloomCrash, HotSpell, Inflow, Period, Scenario

HOT_SPELLS = "weather.hot_spell"
EVENTS = {  # list of sections, by its path in the scenario, in words
    "inflow": "storms",
    "bloom_crash": "bloom crashes",
    HOT_SPELLS: "hot spells",
}


def without_events_outside(
    scenario: Scenario, where: dict[str, tuple[Path, int | None]], design: Path
) -> tuple[Scenario, list[str]]:
    """The scenario without the site's events outside a period that the design gives, and notes on them.

    A storm or a bloom crash in the file that gives the period stays where it is and is a fault. A hot spell
    there is left out as well, so that a site can be run for some weeks of its year; one that a design adds
    to the period of its site is a fault.
    """
    set_by = {where[key][0] for key in ("period.start", "period.end") if key in where}
    shorter = design in set_by
    notes = []
    for path, words in EVENTS.items():
        home, _, name = path.rpartition(".")
        holder: Any = getattr(scenario, home) if home else scenario
        events = getattr(holder, name)
        kept = [
            place
            for place, event in enumerate(events, 1)
            if _touches(event, scenario.period)
            or _is_fault(path, in_design=_file(where, path, place, design) == design, shorter=shorter)
        ]
        if len(kept) < len(events):
            dropped = set(range(1, len(events) + 1)) - set(kept)
            own = any(_file(where, path, place, design) == design for place in dropped)
            _renumber(where, path, kept)
            notes.append(_note(len(dropped), len(events), words, of_site=not own))
            holder = replace(holder, **{name: tuple(events[place - 1] for place in kept)})
            changed: dict[str, Any] = {home: holder}
            scenario = replace(scenario, **changed) if home else holder
    return scenario, notes


def _is_fault(path: str, *, in_design: bool, shorter: bool) -> bool:
    """Whether an event outside the period stays, to be told as a fault."""
    if path == HOT_SPELLS:
        return in_design and not shorter
    return in_design or not shorter


def _file(where: dict[str, tuple[Path, int | None]], path: str, place: int, design: Path) -> Path:
    """File in which an event stands."""
    return where.get(f"{path}.{place}", (design, None))[0]


def _note(left: int, count: int, words: str, *, of_site: bool) -> str:
    if count == 1:
        whose = "site's " if of_site else ""
        one = words.removesuffix("es" if words.endswith("shes") else "s")
        return f"the {whose}only {one} lies outside the period and is left out"
    of = f"the site's {count}" if of_site else f"{count}"
    lie, are = ("lies", "is") if left == 1 else ("lie", "are")
    return f"{left} of {of} {words} {lie} outside the period and {are} left out"


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
