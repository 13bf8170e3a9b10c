"""Keys laid over a design that was read: the same design with another pump, another drop, another zone.

What is laid over is converted and checked with the files, so that every rule of a file holds for it too.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pondsim.errors import Problem, ScenarioError
from pondsim.scenario.keys import Key, is_named, keys_of
from pondsim.scenario.old_names import new_key
from pondsim.scenario.read import MEANT, Reading, read
from pondsim.scenario.settings import Scenario
from pondsim.scenario.tree import ALTERNATIVES, Entry, is_list_of_sections, is_section
from pondsim.scenario.unreadable import likely
from pondsim.units import from_si

# Ways to say one thing: a key of one way, laid over a design, takes those of the other ways out of the files.
WAYS = (
    (
        ("flow", "total_head"),
        ("curve_flow", "curve_head", "curve_efficiency", "curve_power", "speed"),
        ("rated_flow", "rated_head", "speed"),
    ),
    (
        ("air_flow",),
        ("source_flow", "source_free_flow", "source_pressure", "source_power"),
        ("rated_flow", "rated_free_flow", "rated_pressure"),
    ),
    *(((one,), (other,)) for one, other in ALTERNATIVES),
)


TAKEN_OUT = object()  # as the value of a change: the key is as if the files did not give it


class NoSectionError(ScenarioError):
    """A key laid over a design whose section the design does not have; `key` as it was given."""

    def __init__(self, problem: Problem) -> None:
        self.key = problem.key
        super().__init__(problem)


@dataclass(frozen=True)
class Change:
    """One key laid over a design.

    Attributes
    ----------
    key : dotted key; an entry of a list goes by its name or its place counted from 1:
        ``pump.flow``, ``aeration.pool air.air_flow``, ``inflow.2.volume``
    value : as in a file: text with a unit, number, list or true and false; or `TAKEN_OUT`
    source : file or option it comes from, for messages
    line : line of that file, or None
    """

    key: str
    value: Any
    source: Path
    line: int | None = None

    def fault(self, message: str) -> ScenarioError:
        """An error at the place the change comes from."""
        return ScenarioError(Problem(self.source, self.line, self.key, message))

    def no_section(self, name: str, key: Key) -> NoSectionError:
        """The error that the design lacks the section the key belongs to."""
        written = f"[[{name}]]" if key.kind == "sections" else f"[{name}]"
        message = f"cannot be set: the design has no {written}; write it into the design first."
        return NoSectionError(Problem(self.source, self.line, self.key, message))


@dataclass(frozen=True)
class Found:
    """Where a dotted key leads: what is declared of it, and what the files give (None: nothing)."""

    declared: Key
    entry: Entry | None


def read_changed(path: str | Path, changes: Iterable[Change]) -> Reading:
    """Read a design with keys laid over it.

    Raises
    ------
    ScenarioError : a fault of the files, or of a change, at the place each comes from
    """
    changes = tuple(replace(change, key=new_key(change.key)) for change in changes)

    def edit(tree: Entry) -> Entry:
        for change in changes:
            tree = _laid(tree, Scenario, change, change.key.split("."))
        return tree

    return read(path, edit)


def find(path: str | Path, key: str, source: Path) -> Found:
    """What is declared and what is given of a dotted key; ScenarioError when there is no such key."""
    trees: list[Entry] = []

    def keep(tree: Entry) -> Entry:
        trees.append(tree)
        return tree

    read(path, keep)
    key = new_key(key)
    return _found(trees[0], Scenario, Change(key, None, source), key.split("."))


def _found(node: Entry | None, cls: type, change: Change, parts: list[str]) -> Found:
    key, rest = _declared(cls, change, parts)
    below = node.value.get(parts[0]) if node is not None and is_section(node) else None
    if not rest:
        return Found(key, below)
    if key.section is None:
        raise change.fault(f"is unknown: {parts[0]} is one value and has no keys of its own.")
    if key.kind == "sections":
        if below is None:
            raise change.no_section(parts[0], key)
        if is_section(below):
            return _found(below, key.section, change, rest)
        place, rest = _place(below, key, change, parts)
        return _found(below.value[place], key.section, change, rest)
    if below is None and key.default is None:
        raise change.no_section(parts[0], key)
    return _found(below, key.section, change, rest)


def _laid(node: Entry, cls: type, change: Change, parts: list[str]) -> Entry:
    """The tree with the change in it; `node` is left as it is."""
    key, rest = _declared(cls, change, parts)
    name, below = parts[0], node.value.get(parts[0])
    if not rest:
        if change.value is TAKEN_OUT:
            kept = {other: one for other, one in node.value.items() if other != name}
            return Entry(kept, node.file, node.line)
        return _with(node, name, Entry(change.value, change.source, change.line))
    if key.section is None:
        raise change.fault(f"is unknown: {name} is one value and has no keys of its own.")
    if below is None and (key.kind == "sections" or key.default is None):
        raise change.no_section(name, key)
    if below is None:
        below = Entry({}, change.source, change.line)
    if key.kind == "sections" and is_list_of_sections(below):
        place, rest = _place(below, key, change, parts)
        items = list(below.value)
        items[place] = _laid(items[place], key.section, change, rest)
        return _with(node, name, Entry(items, below.file, below.line))
    if not is_section(below):
        return node  # a fault of the file itself, told when it is converted
    return _with(node, name, _laid(below, key.section, change, rest))


def _with(node: Entry, name: str, entry: Entry) -> Entry:
    """A section with one entry set, and without what the files say of the same thing in another way."""
    out = other_ways(name)
    kept = {key: one for key, one in node.value.items() if key not in out or one.file == entry.file}
    return Entry({**kept, name: entry}, node.file, node.line)


def other_ways(name: str) -> set[str]:
    """Keys beside a key that say the same thing in another way."""
    return {
        key
        for ways in WAYS
        if any(name in way for way in ways)
        for way in ways
        if name not in way
        for key in way
        if not any(name in own and key in own for own in ways)
    }


def set_aside(path: str | Path, key: str) -> tuple[str, ...]:
    """Names of the keys of a design that a key laid over it takes out."""
    stem, _, name = new_key(key).rpartition(".")
    taken = []
    for other in sorted(other_ways(name)):
        with suppress(ScenarioError):  # not every section has every way
            if find(path, f"{stem}.{other}", Path(path)).entry is not None:
                taken.append(other)
    return tuple(taken)


def _declared(cls: type, change: Change, parts: list[str]) -> tuple[Key, list[str]]:
    """The key that `parts` begins with, and the parts after it."""
    keys = keys_of(cls)
    if parts[0] not in keys:
        hint = f"; {meant}" if (meant := MEANT.get((cls, parts[0]))) else likely(parts[0], list(keys))
        hint = hint or f"; known here: {', '.join(keys)}."
        what = f" ({parts[0]})" if len(parts) > 1 else ""
        raise change.fault(f"is an unknown key{what}{hint}")
    return keys[parts[0]], parts[1:]


def _place(below: Entry, key: Key, change: Change, parts: list[str]) -> tuple[int, list[str]]:
    """Place in a list of the entry that is meant, and the parts after its name."""
    assert key.section is not None
    names = [
        str(item.value["name"].value) if is_named(key.section) and "name" in item.value else str(place)
        for place, item in enumerate(below.value, 1)
    ]
    if key.lone and len(names) == 1 and parts[1] not in names:
        return 0, parts[1:]
    if parts[1] not in names:
        hint = likely(parts[1], names) or "."
        raise change.fault(f"names no {parts[0]} of this design{hint} It has: {', '.join(names)}.")
    if len(parts) == 2:
        raise change.fault("is a section; name one of its keys too.")
    return names.index(parts[1]), parts[2:]


def laid_value(key: str, value: float, kept: str, shown: str, source: Path, *, whole: bool = False) -> Change:
    """An SI value (its unit is `kept`) as it would stand in a file, in the unit `shown`."""
    if whole:
        return Change(key, round(value), source)
    if kept == "1":
        return Change(key, value, source)
    return Change(key, f"{from_si(value, shown):.12g} {shown}", source)
