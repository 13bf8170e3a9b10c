"""CSV for spreadsheets: the one place that writes it."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from typing import Any, TextIO

FORMULA = ("=", "+", "-", "@", "\t")  # how a cell begins that a spreadsheet would compute


class SheetWriter:
    """Writes rows of CSV in which no cell is a formula: a title such as "=1+1" stays a title.

    A text that a spreadsheet would compute gets an apostrophe before it, which marks text there; numbers stay
    numbers.
    """

    def __init__(self, out: TextIO) -> None:
        self._writer = csv.writer(out, lineterminator="\n")

    def writerow(self, cells: Iterable[Any]) -> None:
        """Write one row."""
        self._writer.writerow([harmless(cell) for cell in cells])

    def writerows(self, rows: Iterable[Iterable[Any]]) -> None:
        """Write many rows."""
        for row in rows:
            self.writerow(row)


def harmless(cell: Any) -> Any:
    """The cell, with an apostrophe before it where it is a text that a spreadsheet would compute."""
    if not isinstance(cell, str):
        return cell
    text = cell.replace("\r", "")  # alone it would end the line for some programs
    return f"'{text}" if len(text) > 1 and text.startswith(FORMULA) and not _is_number(text) else text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return text[-1].isdigit()
