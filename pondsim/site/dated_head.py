"""The header of a dated table: which columns it may have, which it has, and faults with their line."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from typing import NamedTuple

from pondsim.errors import Problem, ScenarioError
from pondsim.scenario.settings import DatedFile
from pondsim.units import UnitError, same_kind, to_si

MOST_PROBLEMS = 20  # said of one file; a file with a wrong clock has thousands
ASIDE = re.compile(r"\s*\(([^()]*)\)$")
HEADER = re.compile(r"\s*([A-Za-z_][\w ]*?)\s*(?:\[\s*(.*?)\s*\])?\s*")


class Kind(NamedTuple):
    """What a column may hold; limits with the unit people read them in.

    `or_unit` is the SI unit of another kind that it may stand in, such as a depth in each step for rain.
    """

    si_unit: str
    least: str
    most: str
    unit: str  # shown as an example
    or_unit: str = ""


class Faults:
    """Collects what is wrong with one file."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.problems: list[Problem] = []

    def add(self, line: int | None, key: str, message: str) -> None:
        """Note one fault."""
        self.problems.append(Problem(self.path, line, key, message))

    def stop_if_any(self) -> None:
        """Raise ScenarioError with the first faults in the order of their lines."""
        if not self.problems:
            return
        found = sorted(self.problems, key=lambda problem: problem.line or 0)
        if len(found) > MOST_PROBLEMS:
            more = f"and {len(found) - MOST_PROBLEMS} more problems in this file"
            found = [*found[:MOST_PROBLEMS], Problem(self.path, None, "", more)]
        raise ScenarioError(found)


class Form(NamedTuple):
    """Which columns a file may have, and what people call them."""

    what: str  # such as "weather file"
    kinds: Mapping[str, Kind]
    likely: Mapping[str, str]
    check: Callable[[Collection[str], int, Faults], None] | None = None  # of the columns together


class Head(NamedTuple):
    """A column: its place in a row, header as written, and unit."""

    place: int
    text: str
    unit: str


def heads_of(
    header: list[str], line: int, given: DatedFile, form: Form, faults: Faults
) -> tuple[list[int], dict[str, Head]]:
    """Places of the time columns, and the columns by what they hold."""
    own = {column.header.strip(): column for column in given.column}
    texts = [text.strip() for text in header]
    clock: dict[str, int] = {}
    heads: dict[str, Head] = {}
    for place, text in enumerate(texts):
        match = HEADER.fullmatch(text)
        name, unit = (match[1].replace(" ", "_"), match[2] or "") if match else (text, "")
        if text in own:
            name, unit = own[text].holds, own[text].unit
        elif text in given.ignore:
            continue
        elif text in given.time_columns or name in given.time_columns:
            name = text if text in given.time_columns else name
            if name in clock:
                faults.add(line, name, "stands twice in the header")
            if unit and name == "time":
                message = 'takes no unit; write "time" with times such as 2025-06-03 14:00'
                faults.add(line, text, message)
            clock[name] = place
            continue
        if name in heads:
            faults.add(line, name, "stands twice in the header")
        if name in form.kinds:
            _check_unit(name, unit, text, line, form.kinds[name], faults)
            heads[name] = Head(place, text, unit)
        else:
            faults.add(line, text, _unknown(name, unit, text, form, known=text in own))
    for name in given.time_columns:
        if name not in clock:
            cure = 'the header needs a column "time"' if name == "time" else "as time_columns names it"
            faults.add(line, name, f"is missing; {cure}")
    _check_named(own, texts, line, faults)
    if form.check is not None:
        form.check(heads, line, faults)
    return [clock[name] for name in given.time_columns if name in clock], heads


def _check_named(own: Mapping[str, object], texts: list[str], line: int, faults: Faults) -> None:
    """A column that the scenario names must be there."""
    for text in own.keys() - set(texts):
        near = difflib.get_close_matches(text, texts, 1, 0.5)
        faults.add(line, text, f"is not in the header{f'; {near[0]} is meant?' if near else ''}")


def _unknown(name: str, unit: str, text: str, form: Form, *, known: bool) -> str:
    if known:
        return f"holds {name}, which a {form.what} cannot; known: {', '.join(form.kinds)}"
    aside = ASIDE.search(name)  # a unit as loggers write it: Temp (F)
    bare = name[: aside.start()].lower() if aside else name.lower()
    near = difflib.get_close_matches(bare, ["time", *form.kinds], 1, 0.5)
    guess = form.likely.get(bare) or next(iter(near), "")
    unit = unit or (aside[1] if aside else "...")
    written = f'column = [{{ header = "{text}", holds = "{guess}", unit = "{unit}" }}]'
    if guess == "time":
        written = f'time_columns = ["{text}"]'
    cure = f"; {guess} is meant? Write {written} into the section that names this file" if guess else ""
    return f"is not a column of a {form.what}{cure}{', or' if guess else ';'} leave it out by ignore"


def _check_unit(name: str, unit: str, text: str, line: int, kind: Kind, faults: Faults) -> None:
    example = f'write a unit such as "{name} [{kind.unit}]"'
    if not unit:
        faults.add(line, text, f"has no unit; {example}")
        return
    try:
        if kind.si_unit == "K":
            to_si(f"1 {unit}", "K")
        elif not same_kind(unit, kind.si_unit) and not (kind.or_unit and same_kind(unit, kind.or_unit)):
            faults.add(line, text, f'"{unit}" is of another kind; {example}')
    except UnitError as error:
        faults.add(line, text, f"{str(error).rstrip('.')}; {example}")


def si_unit_of_head(head: Head, kind: Kind) -> str:
    """SI unit in which a column is kept: the kind's own, or the other one it may stand in."""
    other = kind.or_unit and not same_kind(head.unit, kind.si_unit)
    return kind.or_unit if other else kind.si_unit
