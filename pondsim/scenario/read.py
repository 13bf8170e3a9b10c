"""Scenario files to a Scenario in SI, with every problem found on the way told at its file and line."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pondsim.errors import Problem, ScenarioError
from pondsim.records import Record
from pondsim.scenario.check import cross_problems, not_checked
from pondsim.scenario.convert import convert, default_value
from pondsim.scenario.events_said import event_records
from pondsim.scenario.in_period import without_events_outside
from pondsim.scenario.keys import Key, is_named, keys_of
from pondsim.scenario.layers import load_layers
from pondsim.scenario.old_names import new_names, told_by_old_name
from pondsim.scenario.settings import Dredging, Dye, Pump, Scenario, Start, Treatment
from pondsim.scenario.settings_control import OXYGEN_ALONE, SetPoint
from pondsim.scenario.stated import SECTION, unknown_sources, with_sources
from pondsim.scenario.tree import Entry, is_list_of_sections, is_section, load
from pondsim.scenario.unreadable import UnreadableError, likely

GIVEN_BY_SITE = ("period", "place", "pond")  # sections without which a file can only be a design
ELSE_READ = ("variable", "quantity", "measures", "reads", "sensor", "temperature", "level")
TURNED = ("on_above", "off_below", "start_below", "stop_above")
IN_PROFILE = "write it under [[start.profile]], with zone, depth, temperature and dissolved_oxygen."
MEANT: dict[tuple[type, str], str] = {  # what a key that another section has would be here
    (Dredging, "start"): "write date, when the work begins.",
    (Dredging, "end"): "write date and duration.",
    (Dye, "end"): "dye has no end, it fades (fading).",
    (Treatment, "end"): "write start and duration.",
    **{(Start, name): IN_PROFILE for name in ("temperature", "water_temperature", "dissolved_oxygen")},
    (Pump, "head"): "write total_head beside a stated flow, rated_head beside rated_flow.",
    **{(SetPoint, name): f"a{OXYGEN_ALONE[1:]}" for name in ELSE_READ},
    **{(SetPoint, name): "equipment starts on_below and stops off_above." for name in TURNED},
}
Where = dict[str, tuple[Path, int | None]]


@dataclass(frozen=True)
class Reading:
    """A scenario, the text it was read from and where each key stands.

    Attributes
    ----------
    scenario : the scenario, SI
    text : text of the site file and the design file, for the results file
    where : file and line of each key given; entries of a list go by their name or their place counted from 1:
        ``zone.cove.area``, ``inflow.3.volume``
    notes : old names of keys, what the design replaces whole, events outside the period
    """

    scenario: Scenario
    text: str
    where: Where
    notes: tuple[Record, ...] = ()


def read_scenario(path: str | Path) -> Scenario:
    """Read a design with the site file it names, or a site file alone; ScenarioError lists all faults."""
    return read(path).scenario


def scenario_text(path: str | Path) -> str:
    """The text of the site file and the design file; ScenarioError when one cannot be read."""
    return load_layers(Path(path)).text


def read(path: str | Path, edit: Callable[[Entry], Entry] | None = None) -> Reading:
    """Read a scenario and remember where each key stands.

    `edit` is handed the tree of the files before anything is converted (see vary.py), and gives another.

    Raises
    ------
    ScenarioError : every problem of both files, in the order of files and lines
    """
    path = Path(path)
    layers = load_layers(path)
    tree = edit(layers.tree) if edit else layers.tree
    own = load(path)[0].value
    if own and "site" not in own and not any(key in own for key in GIVEN_BY_SITE):
        message = f'names no site, which gives {", ".join(GIVEN_BY_SITE)}; begin with: site = "site.toml"'
        raise ScenarioError(Problem(path, None, "", message))
    reader = _Reader(path, list(layers.problems), site=layers.site)
    scenario = reader.section(tree, Scenario, "")
    faulty = {problem.key.split(".")[0] for problem in reader.problems}
    stated = replace(scenario, stated=dict.fromkeys(reader.where, ""))
    for key, message in cross_problems(stated, faulty):
        reader.problems.append(problem_at(reader.where, path, key, message))
    for key, message in unknown_sources(scenario, reader.where):
        reader.problems.append(problem_at(reader.where, path, key, message))
    if reader.problems:
        waiting = not_checked(faulty, {key for key in reader.where if "." not in key})
        last = [Problem(path, None, "", waiting)] if waiting else []
        told = [told_by_old_name(one, layers.old_names) for one in _in_order(reader.problems, path)]
        raise ScenarioError([*told, *last])
    scenario = with_sources(scenario, reader.where, path)
    scenario, left_out = without_events_outside(scenario)
    said = (*layers.notes, *left_out, *event_records(scenario))
    return Reading(scenario, layers.text, reader.where, said)


def read_section(path: Path, cls: type) -> Any:
    """Read a file that is no scenario but one section of keys, such as unit prices.

    Raises ScenarioError with every problem, in the order of lines.
    """
    reader = _Reader(path)
    found = reader.section(load(path)[0], cls, "")
    if reader.problems:
        raise ScenarioError(_in_order(reader.problems, path))
    return found


def locate(where: Where, key: str) -> tuple[Path, int | None] | None:
    """File and line of a key, or of the section it would stand in; None when neither is in the files."""
    while key:
        if key in where:
            return where[key]
        key = key.rpartition(".")[0]
    return None


def problem_at(where: Where, path: Path, key: str, message: str) -> Problem:
    """A problem of a key that was read, placed where it stands; of the whole file `path` otherwise."""
    file, line = locate(where, key) or (path, None)
    return Problem(file, line, key, message)


def _in_order(problems: list[Problem], path: Path) -> list[Problem]:
    """The design file first, then by line; one fault told twice is kept once."""
    unique = list({str(problem): problem for problem in problems}.values())
    return sorted(unique, key=lambda one: (one.file != path, str(one.file), one.line or 0))


@dataclass
class _Reader:
    """Walks the tree along the dataclasses and gathers problems; what cannot be read becomes None."""

    path: Path
    problems: list[Problem] = field(default_factory=list)
    where: Where = field(default_factory=dict)
    site: Path | None = None

    def fault(self, entry: Entry, key: str, message: str) -> None:
        self.problems.append(Problem(entry.file, entry.line, key, message))

    def section(self, entry: Entry, cls: type, key: str) -> Any:
        keys = keys_of(cls)
        before = f"{key}." if key else ""
        values = {}
        for name, found in entry.value.items():
            if name in keys:
                self.where[before + name] = (found.file, found.line)
            else:
                self.fault(found, before + name, self._unknown(name, found, cls, key))
        for name, one in keys.items():
            if name in entry.value:
                values[name] = self.value(entry.value[name], one, before + name)
            elif one.required:
                values[name] = None
                self.fault(entry, before + name, _missing(name, one, None if key else self.site))
            else:
                values[name] = default_value(one)
        return cls(**values)

    def value(self, entry: Entry, key: Key, name: str) -> Any:
        if key.kind == "section":
            return self.one_section(entry, key, name)
        if key.kind == "sections":
            return self.list_of_sections(entry, key, name)
        if key.kind == "sources" and is_section(entry):
            return tuple(self.sources(entry, name))
        if key.kind == "sources":
            return self.one_section(entry, key, name)
        try:
            if is_section(entry) or is_list_of_sections(entry):
                raise UnreadableError(
                    f'is a section; write one value, as in {name.rpartition(".")[2]} = "..."'
                )
            return convert(entry.value, key, entry.file.parent)
        except UnreadableError as error:
            self.fault(entry, name, str(error))
            return None

    def sources(self, entry: Entry, name: str) -> Iterator[tuple[str, str]]:
        """Texts by dotted key, however the file nests them."""
        if not is_section(entry):
            if isinstance(entry.value, str) and entry.value.strip():
                self.where[name] = (entry.file, entry.line)
                yield name.removeprefix(f"{SECTION}."), entry.value.strip()
            else:
                self.fault(entry, name, 'is not text; write where the value comes from, such as "two cores".')
            return
        for part, below in entry.value.items():
            yield from self.sources(below, f"{name}.{part}")

    def one_section(self, entry: Entry, key: Key, name: str) -> Any:
        if not is_section(entry) or key.section is None:
            is_list = is_list_of_sections(entry)
            self.fault(
                entry, name, f"{'is a list' if is_list else 'is no section'}; write it once, as [{name}]."
            )
            return None
        return self.section(entry, key.section, name)

    def list_of_sections(self, entry: Entry, key: Key, name: str) -> Any:
        if entry.value == [] and not key.least:
            return ()
        if key.lone and key.section and is_section(entry):
            return (self.section(entry, key.section, name),)
        if not is_list_of_sections(entry) or key.section is None:
            self.fault(entry, name, f"is a list of sections; write [[{name}]] above each.")
            return None
        values = []
        for place, item in enumerate(entry.value, 1):
            label = item.value.get("name") if is_named(key.section) else None
            own = label.value if label is not None and isinstance(label.value, str) else str(place)
            own = name if key.lone and len(entry.value) == 1 else f"{name}.{own}"
            self.where[own] = (item.file, item.line)
            values.append(self.section(item, key.section, own))
        return tuple(values)

    def _unknown(self, name: str, entry: Entry, cls: type, key: str) -> str:
        kind = "section" if is_section(entry) or is_list_of_sections(entry) else "key"
        known = list(keys_of(cls))
        if name in new_names(cls):
            return f"is the old name of {new_names(cls)[name]}, which stands there too; keep that one."
        hint = f"; {MEANT[cls, name]}" if (cls, name) in MEANT else likely(name, known)
        homes = [
            home for home, one in keys_of(Scenario).items() if one.section and name in keys_of(one.section)
        ]
        if not hint and kind == "key":
            hint = f"; did you mean it for [{homes[0]}]?" if homes and cls is not Scenario else ""
        elif not hint and cls is Scenario and homes:
            marks = "[[{}]]" if is_list_of_sections(entry) else "[{}]"
            written = " or ".join(marks.format(f"{home}.{name}") for home in homes)
            hint = f"; it lies within another: write {written}."
        if not hint:
            hint = f"; known here: {', '.join(known)}."
        return f"is an unknown {kind}{hint}"


def _missing(name: str, key: Key, site: Path | None) -> str:
    """That a key or section is not there; `site`: the site file in which it is not either."""
    lacks = "is missing" if site is None else f"is missing here and in the site file, {site.name}"
    if key.kind == "sections":
        return f"{lacks}; write [[{name}]] with {_needed(key)}."
    if key.kind == "section":
        needed = _needed(key)
        return f"{lacks}; write [{name}]{f' with {needed}' if needed else ''}."
    return f"{lacks}: {key.doc}."


def _needed(key: Key) -> str:
    keys = keys_of(key.section) if key.section else {}
    return ", ".join(name for name, one in keys.items() if one.required)
