"""The files of a scenario as one tree: a design laid over the site file it names, or a site file alone."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pondsim.errors import Problem, ScenarioError
from pondsim.records import Record
from pondsim.scenario.convert import file_named
from pondsim.scenario.old_names import OldName, with_new_names
from pondsim.scenario.settings import Scenario
from pondsim.scenario.tree import Entry, doubles, load, overlay, replaced
from pondsim.scenario.unreadable import UnreadableError


@dataclass(frozen=True)
class Layers:
    """What the files say before any of it is converted.

    Attributes
    ----------
    tree : all keys, by their new names
    text : text of the site file and the design file
    notes : old names, and what the design replaces whole
    problems : names given twice in one file
    old_names : keys that stand there by an old name
    site : the site file, where the design names one
    """

    tree: Entry
    text: str
    notes: tuple[Record, ...]
    problems: tuple[Problem, ...]
    old_names: tuple[OldName, ...]
    site: Path | None = None


def load_layers(path: Path) -> Layers:
    """The design `path` over its site file, or a file that names no site.

    Raises ScenarioError when a file cannot be read, or the site cannot be found.
    """
    tree, text = load(path)
    site = tree.value.pop("site", None)
    tree, old = with_new_names(tree)
    twice = tuple(doubles(tree, Scenario))
    remarks = tuple(one.record() for one in old)
    if site is None:
        return Layers(tree, f"# ---- {path.name}\n{text}", remarks, twice, tuple(old))
    below = _site_file(site, path)
    base, base_text = load(below)
    if "site" in base.value:
        message = "stands in a site file; a design may lie over one site file only."
        raise ScenarioError(Problem(below, base.value["site"].line, "site", message))
    base, base_old = with_new_names(base)
    return Layers(
        Entry(overlay(base, tree, Scenario).value, path, None),
        f"# ---- {below.name}\n{base_text}\n# ---- {path.name}\n{text}",
        (*(one.record() for one in base_old), *remarks, *replaced(base, tree, Scenario)),
        (*doubles(base, Scenario), *twice),
        (*base_old, *old),
        below,
    )


def _site_file(site: Entry, path: Path) -> Path:
    """The site file that a design names."""
    if not isinstance(site.value, str) or not site.value:
        message = 'is not a file name; write such as site = "site.toml".'
        raise ScenarioError(Problem(path, site.line, "site", message))
    try:
        return file_named(site.value, path.parent)
    except UnreadableError as error:
        raise ScenarioError(Problem(path, site.line, "site", str(error))) from None
