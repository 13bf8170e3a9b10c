"""The one reader of dated tables: CSV text -> columns of SI numbers at their times, or every fault.

Weather, rain and readings come through here, so each may have any clock, any form of date, gap codes, columns
of other names and columns that are left out, all of which its section of the scenario states (`DatedFile`).
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pondsim.errors import Problem, ScenarioError
from pondsim.scenario.settings import DatedFile
from pondsim.site.dated_clock import Clock, ClockError, median_step, shift_to_center
from pondsim.site.dated_head import Faults, Form, Head, Kind, heads_of, si_unit_of_head
from pondsim.units import convert
from pondsim.words import counted

FloatArray = NDArray[np.float64]
Row = tuple[int, list[str]]  # line of the file, and its fields

EMPTY = {"", "nan", "na", "n/a", "null", "none", "-", "--", "m"}


@dataclass(frozen=True, eq=False)
class Dated:
    """A table as read.

    Attributes
    ----------
    time : center of what each row stands for, seconds since the start, local standard time [s]
    step : median step between rows [s]
    line : of the file, by row
    columns : values in the kind's SI unit, or in its `or_unit` as `heads` tells; NaN where there is none
    heads : of the columns
    coded : number of gap codes, by column
    header_line : line of the header
    """

    time: FloatArray
    step: float
    line: NDArray[np.int64]
    columns: dict[str, FloatArray]
    heads: dict[str, Head]
    coded: dict[str, int] = field(default_factory=dict)
    header_line: int = 1

    def unit(self, name: str) -> str:
        """Unit of a column as written."""
        return self.heads[name].unit

    def header(self, name: str) -> str:
        """Header of a column as written."""
        return self.heads[name].text


def rows_of(path: Path, faults: Faults, header_line: int = 0) -> list[Row]:
    """Line number and fields of a CSV file's header and each row below; notes rows of another length."""
    try:
        text = path.read_text(encoding="utf-8-sig")
        if "\0" in text:
            raise ValueError
    except OSError as error:
        raise ScenarioError(Problem(path, None, "", f"cannot be read: {error.strerror}")) from error
    except ValueError as error:  # UnicodeDecodeError too; UTF-16 may read as UTF-8 full of zeros
        raise ScenarioError(Problem(path, None, "", "is not text in UTF-8; save it as UTF-8")) from error
    rows: list[Row] = []
    for line, fields in enumerate(csv.reader(text.splitlines()), start=1):
        if line < header_line or not any(field.strip() for field in fields):
            continue
        if not rows and not header_line and fields[0].startswith("#"):
            continue
        if not rows:
            _check_commas(fields, line, faults)
        if rows and len(fields) != len(rows[0][1]):
            columns = counted(len(rows[0][1]), "column")
            faults.add(line, "", f"has {counted(len(fields), 'value')}; the header has {columns}")
        rows.append((line, fields))
    if not rows:
        faults.add(None, "", "is empty; the first line must hold the names of the columns, with units")
    return rows


def read_dated(
    path: Path,
    given: DatedFile,
    form: Form,
    start: datetime,
    utc_offset: float,
    faults: Faults,
    wanted: tuple[float, float] = (-math.inf, math.inf),
) -> Dated:
    """Read a table of dated values.

    Parameters
    ----------
    path : Path
        CSV text; lines before the header that begin with # are skipped.
    given : DatedFile
        How it is written.
    form : Form
        Which columns it may have.
    start : datetime
        Local standard time from which seconds are counted.
    utc_offset : float
        Local standard time of the pond minus UTC. [s]
    faults : Faults
        Takes faults of values; the caller stops when it has added its own.
    wanted : (float, float)
        Rows from here to here are read, and one more on either side if no row stands at the limit; values
        elsewhere are not looked at. Seconds since `start`. [s]

    Raises
    ------
    ScenarioError
        When the file cannot be read, or its header or times make no sense.
    """
    rows = rows_of(path, faults, given.header_line)
    faults.stop_if_any()
    (header_line, header), rows = rows[0], rows[1:]
    clock, heads = heads_of(header, header_line, given, form, faults)
    faults.stop_if_any()
    stamps = _times(rows, clock, given, start, utc_offset, faults)
    if not rows:
        faults.add(header_line, "", "has no rows below its header")
    faults.stop_if_any()
    step = median_step(stamps)
    time = stamps + shift_to_center(given.time_is, step)
    chosen = _inside(time, wanted)
    rows, time = rows[chosen], time[chosen]
    columns, coded = {}, {}
    for name, head in heads.items():
        columns[name], coded[name] = _column(rows, head, form.kinds[name], given.gap_codes, faults)
    lines = np.array([line for line, _ in rows], dtype=np.int64)
    return Dated(time, step, lines, columns, heads, coded, header_line)


def _check_commas(header: list[str], line: int, faults: Faults) -> None:
    """Columns that something else than commas parts: the file would seem to have one."""
    for mark, words in ((";", "semicolons"), ("\t", "tabs")):
        if len(header) == 1 and mark in header[0]:
            cure = "save it with commas between columns and points in numbers"
            faults.add(line, "", f"has {words} between its columns; {cure}")
            faults.stop_if_any()


def _inside(time: FloatArray, wanted: tuple[float, float]) -> slice:
    inside = np.flatnonzero((time >= wanted[0]) & (time <= wanted[1]))
    if not inside.size:
        return slice(0, time.size)
    before = inside[0] > 0 and time[inside[0]] > wanted[0]
    after = inside[-1] + 1 < time.size and time[inside[-1]] < wanted[1]
    return slice(int(inside[0]) - int(before), int(inside[-1]) + 1 + int(after))


def _times(
    rows: list[Row], places: list[int], given: DatedFile, start: datetime, utc_offset: float, faults: Faults
) -> FloatArray:
    try:
        clock = Clock(given, start, utc_offset)
    except ClockError as error:
        faults.add(None, "time_zone", str(error))
        return np.full(len(rows), math.nan)
    found = np.full(len(rows), math.nan)
    for number, (line, fields) in enumerate(rows):
        text = " ".join(fields[place].strip() for place in places if place < len(fields))
        try:
            found[number] = clock.seconds(text)
        except ClockError as error:
            faults.add(line, "time", str(error))
    return clock.settled(found)


def _column(
    rows: list[Row], head: Head, kind: Kind, codes: tuple[str, ...], faults: Faults
) -> tuple[FloatArray, int]:
    """Values of one column in SI, NaN where empty, and how many gap codes stood there."""
    values = np.full(len(rows), math.nan)
    texts = {code.strip().lower() for code in codes}
    numbers = {float(code) for code in codes if _is_number(code)}
    coded = 0
    for number, (line, fields) in enumerate(rows):
        text = fields[head.place].strip()
        lower = text.lower()
        if lower in EMPTY or lower in texts:
            coded += lower in texts
            continue
        try:
            values[number] = float(text)
        except ValueError:
            values[number] = math.inf
        if values[number] in numbers:
            values[number], coded = math.nan, coded + 1
        elif math.isinf(values[number]):
            faults.add(line, head.text, f'"{text}" is not a number')
    return np.asarray(convert(values, head.unit, si_unit_of_head(head, kind))), coded


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False
