"""Values of a scenario that was read, by dotted key: reading one, and the same scenario with others."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

from pondsim.errors import Problem, ScenarioError
from pondsim.scenario.check import cross_problems
from pondsim.scenario.convert import default_value
from pondsim.scenario.from_code import from_code
from pondsim.scenario.in_period import without_events_outside
from pondsim.scenario.keys import Key, is_named, keys_of
from pondsim.scenario.old_names import new_key
from pondsim.scenario.settings import Scenario
from pondsim.scenario.unreadable import UnreadableError, likely
from pondsim.scenario.vary import other_ways

Value = float | int | str | bool | datetime | Path | None | list[Any] | tuple[Any, ...]


def value_at(scenario: Scenario, key: str) -> Any:
    """The value of a dotted key in a scenario that was read; None where there is none."""
    at: Any = scenario
    for part in key.split("."):
        if isinstance(at, tuple):
            named = [one for one in at if getattr(one, "name", None) == part]
            if not named and part.isdigit() and 0 < int(part) <= len(at):
                named = [at[int(part) - 1]]
            if not named and len(at) == 1:
                named = [getattr(at[0], part, None)]
            at = named[0] if named else None
        else:
            at = getattr(at, part, None)
        if at is None:
            return None
    return at


def with_value(scenario: Scenario, key: str, value: Value) -> Scenario:
    """The same scenario with another value of one key, checked as a file is.

    Parameters
    ----------
    scenario : Scenario
        It is left as it is.
    key : str
        Dotted key; an entry of a list goes by its name or its place counted from 1:
        ``pump.flow``, ``zone.deep_pool.bed_oxygen_demand``, ``inflow.2.volume``.
    value : number, text, list, date or None
        A number is SI. A text is read as in a file: ``"2 g/m2/d"``, and a list by its items. None takes the
        key out: its default stands. A key that says the same thing in another way, as a curve beside a stated
        flow, is taken out too, and with another period what is dated outside it.

    Raises
    ------
    ScenarioError
        No such key, a value out of its range or of another kind, or one that does not fit the other keys.
    """
    return with_values(scenario, {key: value})


def with_values(scenario: Scenario, values: Mapping[str, Value]) -> Scenario:
    """The same scenario with other values of several keys, whose fit is checked once all of them are set.

    Parameters and errors are those of `with_value`.
    """
    if not isinstance(scenario, Scenario):
        raise ScenarioError(
            f"with_value needs a scenario, not {scenario!r}; read a file first: read_scenario"
        )
    changed, values = scenario, {new_key(key): value for key, value in values.items()}
    for key, value in values.items():
        changed = _set(changed, Scenario, key, key.split("."), value, set(values))
    stated = {key: source for key, source in changed.stated.items() if key not in values}
    stated |= {key: "" for key, value in values.items() if value is not None}  # the file's source is gone
    changed = replace(changed, stated=stated)
    sections = {key.partition(".")[0] for key in values}
    faults = list(cross_problems(changed, set(), sections))
    if faults:  # those that were there before are not of these values
        before = set(cross_problems(scenario, set(), sections))
        new = [Problem(None, None, key, message) for key, message in faults if (key, message) not in before]
        if new:
            raise ScenarioError(new)
    return without_events_outside(changed)[0] if "period" in sections else changed


def _set(holder: Any, cls: type, whole: str, parts: list[str], value: Value, all_keys: set[str]) -> Any:
    """A section with one value set, however deep below it."""
    keys = keys_of(cls)
    name, rest = parts[0], parts[1:]
    if name not in keys:
        hint = likely(name, list(keys)) or f"; known here: {', '.join(keys)}."
        raise _fault(whole, f"is an unknown key{f' ({name})' if rest else ''}{hint}")
    key, below = keys[name], getattr(holder, name)
    if not rest:
        aside = {} if value is None else _without(whole, keys, all_keys)
        return replace(holder, **{name: _read(key, whole, value), **aside})
    if key.section is None:
        raise _fault(whole, f"is unknown: {name} is one value and has no keys of its own.")
    if not below:
        written = f"[[{name}]]" if key.kind == "sections" else f"[{name}]"
        raise _fault(whole, f"cannot be set: the scenario has no {written}; write it into the file first.")
    if key.kind == "section":
        return replace(holder, **{name: _set(below, key.section, whole, rest, value, all_keys)})
    place, rest = _place(below, key, whole, name, rest)
    item = _set(below[place], key.section, whole, rest, value, all_keys)
    return replace(holder, **{name: (*below[:place], item, *below[place + 1 :])})


def _read(key: Key, whole: str, value: Value) -> Any:
    if key.section is not None and not (value is None and not key.required):
        raise _fault(whole, "is a section; name one of its keys too.")
    try:
        return from_code(value, key)
    except UnreadableError as error:
        raise _fault(whole, str(error)) from None


def _without(whole: str, keys: dict[str, Key], all_keys: set[str]) -> dict[str, Any]:
    """Keys beside the one set that say the same in another way, as they are when left out."""
    stem, _, name = whole.rpartition(".")
    return {
        other: default_value(keys[other])
        for other in other_ways(name)
        if other in keys and f"{stem}.{other}" not in all_keys and not keys[other].required
    }


def _place(items: tuple[Any, ...], key: Key, whole: str, name: str, rest: list[str]) -> tuple[int, list[str]]:
    """Place of the entry of a list that is meant, and the parts after its name."""
    assert key.section is not None
    named = is_named(key.section)
    names = [item.name if named else str(place) for place, item in enumerate(items, 1)]
    if key.lone and len(names) == 1 and rest[0] not in names:
        return 0, rest
    if rest[0] not in names:
        hint = likely(rest[0], names) or "."
        raise _fault(whole, f"names no {name} of this scenario{hint} It has: {', '.join(names)}.")
    if len(rest) == 1:
        raise _fault(whole, "is a section; name one of its keys too.")
    return names.index(rest[0]), rest[1:]


def _fault(key: str, message: str) -> ScenarioError:
    return ScenarioError(Problem(None, None, key, message))
