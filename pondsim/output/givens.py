"""What a scenario gives, as plain values kept with the results, so that files can be compared."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from pondsim.scenario.defaults import default_parameter
from pondsim.scenario.settings import Scenario
from pondsim.units import from_si

DIGITS = 6  # of the numbers kept
KINDS = {  # of the sections that are not the pond itself
    "equipment": (
        *("intake", "gravity_line", "wet_well", "pump", "trench", "discharge", "waterfall", "layout"),
        "aeration",
    ),
    "events": ("bloom_crash", "outage", "treatment", "dye", "cover", "dredging", "load"),
    "tariff": ("tariff",),
}
LEFT_OUT = (
    "title",
    "sources",
    "period",
    "judging",
    "readings",
    "unknowns",
)  # the last four: none is compared
Given = tuple[str, list[Any]]  # key, and its value with a unit or ""


def givens_of(scenario: Scenario) -> dict[str, dict[str, list[Any]]]:
    """Every value of a scenario by kind and key.

    Parameters
    ----------
    scenario : Scenario
        As it was run.

    Returns
    -------
    dict
        ``equipment``, ``events``, ``tariff`` and ``pond`` (all the rest): by key, as in
        ``zone.cove.area``, a list of the value and its unit: SI, of a parameter that of defaults.toml, "" for
        words. Names of files are left out: what they brought stands in the results.
    """
    found: dict[str, dict[str, list[Any]]] = {kind: {} for kind in (*KINDS, "pond")}
    for key, value in _section(scenario, ""):
        first = key.partition(".")[0]
        if first not in LEFT_OUT:
            kind = next((kind for kind, names in KINDS.items() if first in names), "pond")
            found[kind][key] = value
    return found


def _section(section: Any, before: str) -> Iterator[Given]:
    for field in dataclasses.fields(section):
        key, value = field.metadata.get("key"), getattr(section, field.name)
        name = f"{before}{field.name}"
        if key is None or value is None or key.kind == "file":
            continue
        if key.kind == "section":
            yield from _section(value, f"{name}.")
        elif key.kind == "sections":
            for number, entry in enumerate(value, start=1):
                yield from _section(entry, f"{name}.{_entry(entry, number)}.")
        elif key.parameter:
            unit = default_parameter(key.parameter).unit
            yield name, [_plain(from_si(value, unit) if isinstance(value, float) else value), unit]
        else:
            yield name, [_plain(value), key.unit]


def _entry(entry: Any, number: int) -> str:
    """What tells an entry of a list apart."""
    between = getattr(entry, "between", ())
    return str(getattr(entry, "name", "") or "-".join(between) or number)


def _plain(value: Any) -> Any:
    """A value that JSON can hold."""
    if isinstance(value, float):
        return float(f"{value:.{DIGITS}g}")
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    if isinstance(value, datetime):
        return f"{value:%Y-%m-%d %H:%M}"
    return value if isinstance(value, int | str | bool) else str(value)
