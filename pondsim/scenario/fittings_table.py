"""Losses of fittings and entrances: fittings.toml as data, for the reader and for the line's hydraulics."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

Fittings = tuple[tuple[int, str], ...]  # how many, and of what name


@dataclass(frozen=True)
class Fitting:
    """One row of fittings.toml.

    Attributes
    ----------
    name : as a scenario names it
    friction_lengths : loss coefficient as a multiple of Crane's fT; 0 where `loss` says it [1]
    loss : loss coefficient itself; 0 where it is a multiple of fT [1]
    about, source, mark : what it is, key in references.bib, L (read in a library's table) or M (from memory)
    """

    name: str
    friction_lengths: float
    loss: float
    about: str
    source: str
    mark: str


@cache
def _tables() -> dict[str, dict[str, Fitting]]:
    path = Path(__file__).parents[1] / "data" / "fittings.toml"
    tables = tomllib.loads(path.read_text(encoding="utf-8"))
    return {
        table: {name: _fitting(name, row) for name, row in rows.items()} for table, rows in tables.items()
    }


def _fitting(name: str, row: dict[str, Any]) -> Fitting:
    lengths, loss = float(row.get("fT", 0.0)), float(row.get("K", 0.0))
    return Fitting(name, lengths, loss, row["about"], row["source"], row["mark"])


def fitting_table() -> dict[str, Fitting]:
    """Every fitting by name, in the order of the file."""
    return _tables()["fitting"]


def entrance_table() -> dict[str, Fitting]:
    """Every way into a pipe by name, in the order of the file."""
    return _tables()["entrance"]
