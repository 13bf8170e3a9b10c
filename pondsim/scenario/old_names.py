"""Keys that were renamed: the old name is read for one version, with a remark.

A key says its old name where it is declared (`was`). Names are changed right after a file is read, so that
whatever comes after knows the new ones only.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from pondsim.errors import Problem
from pondsim.records import Record
from pondsim.scenario.keys import is_named, keys_of
from pondsim.scenario.settings import Scenario
from pondsim.scenario.tree import Entry, is_list_of_sections, is_section


@dataclass(frozen=True)
class OldName:
    """An old name that a file uses: the dotted key as it is now, the old name, its place."""

    key: str
    old: str
    file: Path
    line: int | None

    def record(self) -> Record:
        """What to tell the user."""
        numbers = {} if self.line is None else {"line": (self.line, "1")}
        names = {"key": self.key, "old": self.old, "file": self.file.name}
        return Record("old_name", numbers=numbers, names=names)


def new_names(section: type) -> dict[str, str]:
    """New names of a section's keys by their old ones."""
    return {key.was: name for name, key in keys_of(section).items() if key.was}


def with_new_names(tree: Entry, section: type = Scenario, before: str = "") -> tuple[Entry, list[OldName]]:
    """A tree whose keys have their new names, and the old ones found; a key with both keeps both."""
    found: list[OldName] = []
    renamed, keys = new_names(section), keys_of(section)
    values: dict[str, Entry] = {}
    for name, entry in tree.value.items():
        new = renamed.get(name, name)
        if new != name and new in tree.value:
            new = name  # the reader tells it as a fault
        elif new != name:
            found.append(OldName(before + new, name, entry.file, entry.line))
        key, below = keys.get(new), entry
        if key is not None and key.section is not None:
            below, inner = _below(entry, key.section, before + new, lone=key.lone)
            found += inner
        values[new] = below
    return Entry(values, tree.file, tree.line), found


def _below(entry: Entry, section: type, name: str, *, lone: bool) -> tuple[Entry, list[OldName]]:
    """The same of a section, or of each of a list."""
    if is_section(entry):
        return with_new_names(entry, section, f"{name}.")
    if not is_list_of_sections(entry):
        return entry, []
    items: list[Entry] = []
    found: list[OldName] = []
    for place, item in enumerate(entry.value, 1):
        label = item.value.get("name") if is_named(section) else None
        own = label.value if label is not None and isinstance(label.value, str) else place
        alone = lone and len(entry.value) == 1
        changed, inner = with_new_names(item, section, f"{name}." if alone else f"{name}.{own}.")
        items.append(changed)
        found += inner
    return Entry(items, entry.file, entry.line), found


def told_by_old_name(problem: Problem, old_names: Iterable[OldName]) -> Problem:
    """A fault of a key that the file gives by its old name, which the reader looks for in vain otherwise."""
    for one in old_names:
        if one.key == problem.key and (one.file, one.line) == (problem.file, problem.line):
            message = f"{problem.message} (It stands there by its old name, {one.old}.)"
            return Problem(problem.file, problem.line, problem.key, message)
    return problem


def new_key(key: str) -> str:
    """A dotted key with its parts by their new names."""
    section: type | None = Scenario
    done: list[str] = []
    parts = key.split(".")
    while parts and section is not None:
        name = new_names(section).get(parts[0], parts[0])
        declared = keys_of(section).get(name)
        done, parts = [*done, name], parts[1:]
        section = declared.section if declared is not None else None
        inner = {*keys_of(section), *new_names(section)} if section is not None else set()
        if declared is not None and declared.kind == "sections" and parts and parts[0] not in inner:
            done, parts = [*done, parts[0]], parts[1:]  # the name or the place of an entry
    return ".".join([*done, *parts])
