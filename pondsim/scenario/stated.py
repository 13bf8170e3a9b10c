"""Which values of a scenario the user stated, and the source that `[sources]` gives for each.

A value of the user's never carries the source of the default it replaces. A source stands for the keys of the
same file, or for any key where a design gives it: a design that changes a value of its site file thereby
drops the site's source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from pondsim.scenario.settings import Scenario
from pondsim.scenario.unreadable import likely

SECTION = "sources"
STATED = "stated by the user"
Where = dict[str, tuple[Path, int | None]]


def with_sources(scenario: Scenario, where: Where, design: Path) -> Scenario:
    """The scenario with every key that stands in the files, and its source where one is given."""
    given = dict(scenario.sources)
    stated = {}
    for key, (file, _) in where.items():
        if key.split(".")[0] == SECTION:
            continue
        source = ""
        for above in _and_above(key):
            if above in given and where[f"{SECTION}.{above}"][0] in (file, design):
                source = given[above]
                break
        stated[key] = source
    return replace(scenario, stated=stated)


def unknown_sources(scenario: Scenario, where: Where) -> Iterator[tuple[str, str]]:
    """Faults of sources of keys that no file gives: dotted key and message."""
    for key, _ in scenario.sources or ():
        if key not in where:
            keys = [known for known in where if known.split(".")[0] != SECTION]
            yield (
                f"{SECTION}.{key}",
                f"is the source of a key that these files do not give{likely(key, keys)}",
            )


def source_stated(scenario: Scenario, key: str, value: Any, default: Any) -> str | None:
    """Source of a value that the user stated; None where the default stands.

    A value that differs from the default without a key in the files was set from outside them: by a change
    laid over a design, or in Python.
    """
    if key in scenario.stated:
        return scenario.stated[key] or STATED
    return None if value == default else STATED


def _and_above(key: str) -> Iterator[str]:
    """The key, its section, the section above that."""
    while key:
        yield key
        key = key.rpartition(".")[0]
