"""Values laid over every design of a comparison: from options, and as named variants from one file."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pondsim.cli._common import wrapped
from pondsim.errors import Problem, ScenarioError

if TYPE_CHECKING:
    from pondsim.scenario.read import Reading
    from pondsim.scenario.tree import Entry
    from pondsim.scenario.vary import Change

AS_STATED, AS_SET = "as stated", "as set"
OPTION = Path("--set")


@dataclass(frozen=True)
class Variant:
    """A name, and the values that it lays over every design."""

    name: str
    changes: tuple[Change, ...]


def changes_of(options: Sequence[str]) -> tuple[Change, ...]:
    """Changes of options such as ``zone.arm.bed_oxygen_demand=3 g/m2/d``; as in a file, quotes left out."""
    from pondsim.scenario.vary import Change  # noqa: PLC0415

    found = []
    for text in options:
        key, equals, value = text.partition("=")
        if not equals or not key.strip() or not value.strip():
            raise ScenarioError(
                f'--set {text}: write KEY=VALUE, such as --set "zone.arm.bed_oxygen_demand=3 g/m2/d"'
            )
        found.append(Change(key.strip(), _value(value.strip()), OPTION))
    return tuple(found)


def _value(text: str) -> Any:
    """A number, list or truth value as TOML reads it; any other text as it stands."""
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        return text


def read_variants(path: Path, base: str = AS_STATED) -> tuple[Variant, ...]:
    """Variants of a file, after one of the name `base` that changes nothing.

    Each is a section ``[[variant]]`` with a name and, in ``[variant.set]``, dotted keys with their values.

    Raises
    ------
    ScenarioError
        The file is no TOML, a variant has no name or the same as another, or another key stands there.
    """
    from pondsim.scenario.tree import is_list_of_sections, is_section, load  # noqa: PLC0415

    tree, _ = load(path)
    strange = [name for name in tree.value if name != "variant"]
    entry = tree.value.get("variant")
    if strange or entry is None or not is_list_of_sections(entry):
        where = tree.value[strange[0]].line if strange else None
        message = "wants sections [[variant]] with name and [variant.set], and nothing else."
        raise ScenarioError(Problem(path, where, strange[0] if strange else "", message))
    found = [Variant(base, ())]
    for item in entry.value:
        name = item.value.get("name")
        other = [key for key in item.value if key not in ("name", "set")]
        if name is None or not isinstance(name.value, str) or not name.value.strip() or other:
            raise ScenarioError(
                Problem(
                    path, item.line, "variant", "wants name, a text, and [variant.set], and nothing else."
                )
            )
        if name.value in [one.name for one in found]:
            raise ScenarioError(Problem(path, name.line, "variant.name", f'= "{name.value}" is given twice.'))
        laid = item.value.get("set")
        if laid is not None and not is_section(laid):
            raise ScenarioError(
                Problem(path, laid.line, "variant.set", "is no section; write [variant.set].")
            )
        changes = tuple(_changes(laid, "")) if laid is not None else ()
        found.append(Variant(name.value, changes))
    return tuple(found)


def _changes(entry: Entry, before: str) -> Iterator[Change]:
    """Changes of a section, whether its keys are dotted or nested."""
    from pondsim.scenario.tree import is_section  # noqa: PLC0415
    from pondsim.scenario.vary import Change  # noqa: PLC0415

    for name, one in entry.value.items():
        key = f"{before}{name}"
        if is_section(one):
            yield from _changes(one, f"{key}.")
        else:
            yield Change(key, _plain(one), one.file, one.line)


def _plain(entry: Entry) -> Any:
    """A value of the tree as TOML gives it."""
    value = entry.value
    return (
        [_plain(item) if hasattr(item, "value") else item for item in value]
        if isinstance(value, list)
        else value
    )


def read_with(paths: Sequence[Path], changes: Sequence[Change]) -> list[Reading]:
    """Designs with values laid over each that has their section; said where one has not.

    Raises
    ------
    ScenarioError
        A results file, which can take no value; a key that no design has, or a value that does not fit.
    """
    from pondsim.scenario.old_names import new_key  # noqa: PLC0415
    from pondsim.scenario.vary import NoSectionError, read_changed  # noqa: PLC0415

    stale = [path for path in paths if path.suffix == ".nc"]
    if stale:
        raise ScenarioError(
            f"{stale[0]}: is a results file, whose values are what they were; give the design file"
        )
    readings: list[Reading] = []
    taken: set[str] = set()
    for path in paths:
        own = list(changes)
        while True:
            try:
                readings.append(read_changed(path, own))
                break
            except NoSectionError as error:
                left = [change for change in own if new_key(change.key) != error.key]
                if len(left) == len(own):
                    raise
                own = left
                click.echo(
                    wrapped(f"Remark: {path.name}: {error.key} does not apply, it has no such section."),
                    err=True,
                )
        taken |= {change.key for change in own}
    for change in changes:
        if change.key not in taken:
            raise change.fault("is a key of a section that no design has.")
    return readings
