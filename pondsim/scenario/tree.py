"""A TOML file as a tree whose every entry knows its file and line, and a design laid over a site."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pondsim.errors import Problem, ScenarioError
from pondsim.records import Record
from pondsim.scenario.keys import is_named, keys_of
from pondsim.scenario.toml_faults import toml_fault, too_deep
from pondsim.scenario.toml_lines import key_lines

DEEPEST = 12  # levels of sections and lists within each other; a scenario has five

# Keys of one section that exclude each other: one in the design takes the other of the site away.
ALTERNATIVES = (
    ("file", "synthetic"),
    ("file", "design_storm"),
    ("synthetic", "design_storm"),
    ("curve_number", "soil_group"),
    ("curve_number", "cover"),
    *(("time_of_concentration", f"{kind}_flow") for kind in ("sheet", "shallow", "channel")),
)


@dataclass(frozen=True)
class Entry:
    """A value and where it stands.

    `value` is a dict of entries (a section), a list of entries (a list of sections) or a plain TOML value.
    """

    value: Any
    file: Path
    line: int | None


def load(path: Path) -> tuple[Entry, str]:
    """Read a TOML file into a tree, with its text.

    Raises ScenarioError when the file is not there, is no UTF-8 text or no TOML.
    """
    try:
        text = path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
        if "\0" in text:
            raise ValueError
    except OSError as error:
        missing = isinstance(error, FileNotFoundError)
        message = "file not found." if missing else f"the file cannot be read ({error.strerror})."
        raise ScenarioError(Problem(path, None, "", message)) from None
    except ValueError:  # UnicodeDecodeError too; UTF-16 of plain letters reads as UTF-8 full of zeros
        message = "the file is not UTF-8 text; save it as UTF-8, if it is a scenario."
        if path.suffix.lower() == ".nc":
            message = "is a results file; give the design file it came from."
        raise ScenarioError(Problem(path, None, "", message)) from None
    values = _values(text, path)
    lines = key_lines(text)

    def grow(value: Any, place: tuple[str | int, ...], line: int | None) -> Entry:
        line = lines.get(place, line)
        if isinstance(value, dict):
            value = {key: grow(item, (*place, key), line) for key, item in value.items()}
        elif isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
            value = [grow(item, (*place, index), line) for index, item in enumerate(value)]
        return Entry(value, path, line)

    return grow(values, (), None), text


def _values(text: str, path: Path) -> dict[str, Any]:
    """What the text says; ScenarioError when it is no TOML, or nests deeper than anything here."""
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        line, key, message = toml_fault(text, error)
        if path.suffix.lower() == ".toml":
            raise ScenarioError(Problem(path, line, key, message)) from None
        told = f"is not a design file or list (TOML). Line {line}: {f'{key} {message}'.strip()}"
        raise ScenarioError(Problem(path, None, "", told)) from None
    except RecursionError:
        raise ScenarioError(Problem(path, *too_deep(text, DEEPEST))) from None
    level: list[Any] = [values]
    for _ in range(DEEPEST):
        level = [below for one in level if isinstance(one, dict | list) for below in _below(one)]
    if level:
        raise ScenarioError(Problem(path, *too_deep(text, DEEPEST)))
    return values


def _below(value: dict[str, Any] | list[Any]) -> list[Any]:
    return list(value.values()) if isinstance(value, dict) else value


def is_section(entry: Entry) -> bool:
    """Whether the entry is a section."""
    return isinstance(entry.value, dict)


def is_list_of_sections(entry: Entry) -> bool:
    """Whether the entry is a list of sections."""
    return isinstance(entry.value, list) and bool(entry.value) and isinstance(entry.value[0], Entry)


def overlay(base: Entry, top: Entry, section: type) -> Entry:
    """Lay `top` over `base`: sections merge key by key, named lists entry by entry, all else is replaced.

    `section` is the dataclass the entries stand for: it says which lists have named entries.
    """
    if not (is_section(base) and is_section(top)):
        return top
    merged = dict(base.value)
    keys = keys_of(section)
    for name, entry in top.value.items():
        key, below = keys.get(name), base.value.get(name)
        if key is not None and key.kind == "sources" and below is not None:
            merged[name] = _merged(below, entry)
        elif key is None or key.section is None or below is None:
            merged[name] = entry
        elif key.kind == "section" or (key.lone and is_section(entry) and is_section(below)):
            merged[name] = overlay(below, entry, key.section)
        elif is_named(key.section) and is_list_of_sections(below) and is_list_of_sections(entry):
            merged[name] = _overlay_named(below, entry, key.section)
        else:
            merged[name] = entry
    for one, other in (*ALTERNATIVES, *((other, one) for one, other in ALTERNATIVES)):
        if one in top.value and other not in top.value and {one, other} <= set(keys):
            merged.pop(other, None)
    return Entry(merged, base.file, base.line)


def replaced(base: Entry, top: Entry, section: type) -> list[Record]:
    """Records of the lists of sections in `base` that those in `top` replace whole."""
    found: list[Record] = []
    for name, key in keys_of(section).items():
        below, over = base.value.get(name), top.value.get(name)
        if below is None or over is None or key.section is None:
            continue
        if is_section(below) and is_section(over):
            if not key.lone:
                found += replaced(below, over, key.section)
        elif is_list_of_sections(below) and not is_named(key.section):
            count = len(over.value) if isinstance(over.value, list) else 1
            numbers = {"own": (count, "1"), "of_site": (len(below.value), "1")}
            found.append(Record("list_replaced", numbers=numbers, names={"key": name}))
    return found


def doubles(tree: Entry, section: type) -> Iterator[Problem]:
    """Entries of one file that have the name of an earlier one, wherever lists have names."""
    for name, key in keys_of(section).items():
        found = tree.value.get(name)
        if found is None or key.section is None:
            continue
        entries = found.value if is_list_of_sections(found) else [found]
        first: dict[Any, int | None] = {}
        for entry in filter(is_section, entries):
            yield from (replace(one, key=f"{name}.{one.key}") for one in doubles(entry, key.section))
            label = _name(entry) if is_named(key.section) else None
            if label in first:
                message = f"is already in line {first[label]}; give each its own name."
                yield Problem(entry.file, entry.line, f"{name}.{label}", message)
            elif label is not None:
                first[label] = entry.line


def _merged(base: Entry, top: Entry) -> Entry:
    """Sections merged key by key all the way down."""
    if not (is_section(base) and is_section(top)):
        return top
    both = {name: _merged(base.value[name], one) for name, one in top.value.items() if name in base.value}
    return Entry({**base.value, **top.value, **both}, top.file, top.line)


def _overlay_named(base: Entry, top: Entry, section: type) -> Entry:
    merged = list(base.value)
    names = [_name(entry) for entry in merged]
    for entry in top.value:
        if _name(entry) is not None and _name(entry) in names:
            place = names.index(_name(entry))
            merged[place] = overlay(merged[place], entry, section)
        else:
            merged.append(entry)
    return Entry(merged, top.file, top.line)


def _name(entry: Entry) -> Any:
    found = entry.value.get("name")
    return found.value if found is not None and isinstance(found.value, str) else None
