"""The air of aeration units as a size to find."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path

from pondsim.errors import ScenarioError
from pondsim.scenario.settings import Aeration, Scenario
from pondsim.scenario.unreadable import likely
from pondsim.scenario.vary import Change, laid_value
from pondsim.site.at_once import most_at_once
from pondsim.site.equipment import unit_air
from pondsim.sizing.own import source_efficiency
from pondsim.sizing.size import Size, metered, within
from pondsim.units import DISPLAY, from_si, number_text, to_si

DIFFUSER_PRACTICE = ("0.5 scfm", "6 scfm")  # through each: half the least and twice the most of practice
DIFFUSER_MOST = "3 scfm"  # through each; above it practice lays more diffusers


def air_size(path: Path, scenario: Scenario, unit: str | None) -> Size:
    """Size of the air of units, all by one factor: the most of those that run at one time."""
    units = chosen_units(path, scenario, unit)
    each = {one.name: unit_air(one, scenario) for one in units}
    total = most_at_once(units, scenario.period, [one.diffusers * each[one.name] for one in units])
    diffusers = round(most_at_once(units, scenario.period, [one.diffusers for one in units]))
    if not total > 0.0:
        raise ScenarioError(
            f"{path}: the units give no air, so there is no factor to size by; state their air_flow"
        )
    names = [one.name for one in units]
    least, most = (to_si(text, "standard_m3/s") * diffusers for text in DIFFUSER_PRACTICE)

    kept = {one.name: source_efficiency(one, scenario) for one in units}

    def changes(value: float, source: Path) -> tuple[Change, ...]:
        laid = []
        for name in names:
            air = each[name] * value / total
            laid.append(laid_value(f"aeration.{name}.air_flow", air, "standard_m3/s", "scfm", source))
            if kept[name] is not None:
                laid.append(Change(f"aeration.{name}.source_efficiency", kept[name], source))
        return tuple(laid)

    def value_of(found: Scenario) -> float | None:
        own = [one for one in found.aeration if one.name in names]
        return most_at_once(own, found.period, [one.diffusers * unit_air(one, found) for one in own])

    most_each = to_si(DIFFUSER_MOST, "standard_m3/s")
    notes = (
        f"Standard air of {', '.join(names)} together, by one factor, through {diffusers} diffusers; above "
        f"{number_text(from_si(most_each * diffusers, 'scfm'))} scfm practice lays more diffusers.",
    )
    warned = [note for name in names for note in metered(path, f"aeration.{name}.power")]
    return Size(
        "air",
        "standard air of " + (names[0] if len(names) == 1 else "all units"),
        "standard_m3/s",
        *DISPLAY["air_flow"],
        total,
        within(total, least, most),
        False,
        changes,
        value_of,
        (*notes, *_efficiency_notes(kept), *warned),
        partial(without_units, tuple(names)),
    )


def _efficiency_notes(kept: dict[str, float | None]) -> tuple[str, ...]:
    """Where the electricity of sized air comes from."""
    told = [f"{name} {100.0 * share:.0f} %" for name, share in kept.items() if share is not None]
    if not told:
        return ()
    return (
        "The row of the design as it stands is the untouched run, on its own air sources. In the other rows "
        "the air is taken as stated, at every level of the pond, the pressure follows from tubing and depth, "
        f"and the efficiency is the design's at normal pool: {', '.join(told)}.",
    )


def without_units(names: tuple[str, ...], scenario: Scenario) -> Scenario:
    """The scenario without these aeration units."""
    return replace(scenario, aeration=tuple(one for one in scenario.aeration if one.name not in names))


def chosen_units(path: Path, scenario: Scenario, unit: str | None) -> tuple[Aeration, ...]:
    """Aeration units that are meant: one by its name, else all."""
    if not scenario.aeration:
        raise ScenarioError(f"{path}: has no [[aeration]], so there is no air to size")
    if unit is None or unit == "air":
        return scenario.aeration
    chosen = tuple(one for one in scenario.aeration if one.name == unit)
    if not chosen:
        names = [one.name for one in scenario.aeration]
        raise ScenarioError(
            f'--unit: "{unit}" names no unit of {path}{likely(unit, names) or "."} Units: {", ".join(names)}.'
        )
    return chosen
