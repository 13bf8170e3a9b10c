"""The values a user may change: defaults.toml as data, for settings, ensembles and documentation."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from pondsim.units import si_unit_of, split, to_si


@dataclass(frozen=True)
class Parameter:
    """One row of defaults.toml.

    Attributes
    ----------
    name : dotted key, such as ``bed.oxygen_demand``
    value, low, high : default and the range ensembles draw from, SI
    least, most : what a scenario may say, SI
    si_unit : their unit
    unit : unit the row is written in, "" for a plain number
    texts : value, low and high as written
    drawn : whether members draw it without being asked to
    about, source, mark : meaning, key in references.bib (or words), and a key of `pondsim.words.MARKS`
    """

    name: str
    value: float
    low: float
    high: float
    least: float
    most: float
    si_unit: str
    unit: str
    texts: tuple[str, str, str]
    about: str
    source: str
    mark: str
    drawn: bool = True


@cache
def _rows() -> dict[str, dict[str, Any]]:
    """Rows by dotted key, numbers as text."""
    path = Path(__file__).parents[1] / "data" / "defaults.toml"
    tables = tomllib.loads(path.read_text(encoding="utf-8"))
    rows = {f"{section}.{key}": row for section, table in tables.items() for key, row in table.items()}
    for row in rows.values():
        row.update({key: str(row[key]) for key in ("value", "low", "high")})
        row["allowed"] = tuple(str(limit) for limit in row["allowed"])
    return rows


def default_texts(name: str) -> dict[str, Any]:
    """The row of defaults.toml as written; KeyError for an unknown name."""
    return _rows()[name]


@cache
def default_parameter(name: str) -> Parameter:
    """The row of defaults.toml in SI; KeyError for an unknown name."""
    row = default_texts(name)
    unit = split(row["value"])[1]
    si_unit = si_unit_of(unit)
    texts = (row["value"], row["low"], row["high"])
    value, low, high = (to_si(text, si_unit) for text in texts)
    least, most = (to_si(text, si_unit) for text in row["allowed"])
    return Parameter(
        *(name, value, low, high, least, most, si_unit, unit, texts),
        *(row["about"], row["source"], row["mark"], row.get("drawn", True)),
    )


def default_parameters() -> dict[str, Parameter]:
    """Every row of defaults.toml, by dotted key, in the order of the file."""
    return {name: default_parameter(name) for name in _rows()}


def parameter_value(name: str) -> float:
    """Default of one parameter, SI: ``parameter_value("aeration.transfer_efficiency_fine")`` is 0.04."""
    return default_parameter(name).value
