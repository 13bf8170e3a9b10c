# ruff: noqa: RUF009 (each call makes one dataclass field)
"""The list of ponds of a board's page: results and costs of each."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pondsim.scenario.fields import file_name, sections, text


@dataclass(frozen=True)
class BoardPond:
    """One pond with the design proposed for it."""

    existing: Path = file_name(doc="results of the existing pond (.nc)")
    design: Path = file_name(doc="results of the proposed design (.nc)")
    name: str | None = text(
        default=None, doc="as it stands in the table; otherwise the title of the site file"
    )
    costs: Path | None = file_name(default=None, doc="costs of the design, from `pondsim quantities --json`")


@dataclass(frozen=True)
class Board:
    """The whole file."""

    pond: tuple[BoardPond, ...] = sections(BoardPond, least=1)
