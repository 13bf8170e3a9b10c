"""Weather files: CSV text -> columns of SI numbers at their times, or every fault with its line."""

from __future__ import annotations

import csv
import difflib
import math
import re
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pondsim.errors import Problem, ScenarioError
from pondsim.units import UnitError, convert, from_si, same_kind, to_si

FloatArray = NDArray[np.float64]

MOST_PROBLEMS = 20  # said of one file; a file with a wrong clock has thousands
EMPTY = {"", "nan", "na", "n/a", "null", "none", "-", "--", "m"}
HEADER = re.compile(r"\s*([A-Za-z_][\w ]*?)\s*(?:\[\s*(.*?)\s*\])?\s*")
LIKELY = {
    "temp": "air_temperature",
    "temperature": "air_temperature",
    "rh": "relative_humidity",
    "wind": "wind_speed",
    "ghi": "solar_radiation",
    "radiation": "solar_radiation",
    "sky_cover": "cloud_cover",
    "precipitation": "rain",
    "date": "time",
    "datetime": "time",
}


class Column(NamedTuple):
    """What a column may hold; limits with the unit people read them in."""

    si_unit: str
    least: str
    most: str
    unit: str  # shown as an example


COLUMNS = {
    "air_temperature": Column("K", "-60 degC", "55 degC", "degC"),
    "dew_point": Column("K", "-70 degC", "40 degC", "degC"),
    "relative_humidity": Column("1", "0 %", "102 %", "%"),
    "wind_speed": Column("m/s", "0 m/s", "75 m/s", "mph"),
    "solar_radiation": Column("W/m2", "-20 W/m2", "1500 W/m2", "W/m2"),
    "cloud_cover": Column("1", "0 %", "100 %", "%"),
    "pressure": Column("Pa", "45 kPa", "110 kPa", "kPa"),
    "rain": Column("m/s", "0 mm/h", "500 mm/h", "mm/h"),
}


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


class Table(NamedTuple):
    """A weather file as read: times, lines and columns, NaN where a value is empty."""

    time: FloatArray  # seconds since the start of the period
    line: NDArray[np.int64]
    columns: dict[str, FloatArray]  # SI
    headers: dict[str, str]  # as written, with unit


def read_table(path: Path, start: datetime, wanted: tuple[float, float], faults: Faults) -> Table:
    """Read the rows of a weather file that a run needs.

    Parameters
    ----------
    path : Path
        CSV text; lines before the header that begin with # are skipped.
    start : datetime
        Local standard time from which seconds are counted.
    wanted : (float, float)
        Rows from here to here are read, and one more on either side if no row stands at the limit; values
        elsewhere are not looked at. Seconds since `start`. [s]
    faults : Faults
        Takes faults of values; the caller stops when it has added its own.

    Raises
    ------
    ScenarioError
        When the file cannot be read, or its header or times make no sense.
    """
    rows = rows_of(path, faults)
    faults.stop_if_any()
    (header_line, header), rows = rows[0], rows[1:]
    names = _header(header, header_line, faults)
    faults.stop_if_any()
    clock = names.index("time")
    time = np.array([_time(row, line, clock, start, faults) for line, row in rows])
    if not rows:
        faults.add(header_line, "", "has no rows below its header")
    faults.stop_if_any()
    inside = np.flatnonzero((time >= wanted[0]) & (time <= wanted[1]))
    chosen = range(len(rows))
    if inside.size:
        before = inside[0] > 0 and time[inside[0]] > wanted[0]
        after = inside[-1] + 1 < len(rows) and time[inside[-1]] < wanted[1]
        chosen = range(inside[0] - before, inside[-1] + 1 + after)
    rows = [rows[place] for place in chosen]
    columns: dict[str, FloatArray] = {}
    for place, (name, text) in enumerate(zip(names, header, strict=True)):
        if name != "time":
            columns[name] = _column(rows, place, name, text.strip(), faults)
            _check_shares(columns[name], name, text.strip(), header_line, faults)
    headers = {name: text.strip() for name, text in zip(names, header, strict=True)}
    lines = np.array([line for line, _ in rows], dtype=np.int64)
    return Table(time[chosen.start : chosen.stop], lines, columns, headers)


def rows_of(path: Path, faults: Faults) -> list[tuple[int, list[str]]]:
    """Line number and fields of a CSV file's header and each row below; notes rows of another length."""
    try:
        text = path.read_text(encoding="utf-8-sig")
        if "\0" in text:
            raise ValueError
    except OSError as error:
        raise ScenarioError(Problem(path, None, "", f"cannot be read: {error.strerror}")) from error
    except ValueError as error:  # UnicodeDecodeError too; UTF-16 may read as UTF-8 full of zeros
        raise ScenarioError(Problem(path, None, "", "is not text in UTF-8; save it as UTF-8")) from error
    rows: list[tuple[int, list[str]]] = []
    for line, fields in enumerate(csv.reader(text.splitlines()), start=1):
        if not any(field.strip() for field in fields) or (not rows and fields[0].startswith("#")):
            continue
        if rows and len(fields) != len(rows[0][1]):
            faults.add(line, "", f"has {len(fields)} values; the header has {len(rows[0][1])} columns")
        rows.append((line, fields))
    if not rows:
        faults.add(None, "", "is empty; the first line must hold the names of the columns, with units")
    return rows


def _header(header: list[str], line: int, faults: Faults) -> list[str]:
    names: list[str] = []
    for text in header:
        match = HEADER.fullmatch(text)
        name, unit = (match[1].replace(" ", "_"), match[2]) if match else (text.strip(), None)
        if name in names:
            faults.add(line, name, "stands twice in the header")
        names.append(name)
        if name == "time":
            if unit:
                faults.add(
                    line, text.strip(), 'takes no unit; write "time" with times such as 2025-06-03 14:00'
                )
        elif name not in COLUMNS:
            guess = LIKELY.get(name.lower()) or next(
                iter(difflib.get_close_matches(name.lower(), ["time", *COLUMNS], 1, 0.5)), ""
            )
            faults.add(
                line,
                text.strip(),
                f"is not a column of a weather file{f'; {guess} is meant?' if guess else ''}",
            )
        else:
            _check_unit(name, unit, text.strip(), line, faults)
    _check_names(names, line, faults)
    return names


def _check_unit(name: str, unit: str | None, text: str, line: int, faults: Faults) -> None:
    column = COLUMNS[name]
    example = f'write a unit such as "{name} [{column.unit}]"'
    if not unit:
        faults.add(line, text, f"has no unit; {example}")
        return
    try:
        if column.si_unit == "K":
            to_si(f"1 {unit}", "K")
        elif not same_kind(unit, column.si_unit):
            faults.add(line, text, f'"{unit}" is of another kind; {example}')
    except UnitError as error:
        faults.add(line, text, f"{str(error).rstrip('.')}; {example}")


def _check_names(names: list[str], line: int, faults: Faults) -> None:
    for name in ("time", "air_temperature", "wind_speed"):
        if name not in names:
            example = f"{name} [{COLUMNS[name].unit}]" if name in COLUMNS else name
            faults.add(line, name, f'is missing; the header needs a column "{example}"')
    moist = [name for name in ("dew_point", "relative_humidity") if name in names]
    if len(moist) != 1:
        faults.add(
            line, "", "needs one column of dew_point or relative_humidity" + (", not both" if moist else "")
        )
    if "solar_radiation" not in names and "cloud_cover" not in names:
        faults.add(line, "", "needs solar_radiation or cloud_cover, or both")


def _time(row: list[str], line: int, place: int, start: datetime, faults: Faults) -> float:
    text = row[place].strip() if place < len(row) else ""
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        faults.add(line, "time", f'"{text}" is not a time; write it as 2025-06-03 14:00')
        return math.nan
    if moment.tzinfo is not None:
        faults.add(line, "time", f'"{text}" has a time zone; write local standard time without one')
        return math.nan
    return (moment - start).total_seconds()


def _column(
    rows: list[tuple[int, list[str]]], place: int, name: str, text: str, faults: Faults
) -> FloatArray:
    """Values of one column in SI, NaN where empty."""
    column = COLUMNS[name]
    match = HEADER.fullmatch(text)
    unit = match[2] if match else column.unit
    values = np.full(len(rows), math.nan)
    for number, (line, fields) in enumerate(rows):
        field = fields[place].strip()
        if field.lower() in EMPTY:
            continue
        try:
            values[number] = float(field)
        except ValueError:
            values[number] = math.inf
        if math.isinf(values[number]):
            faults.add(line, text, f'"{field}" is not a number')
    values = convert(values, unit, column.si_unit)
    least, most = (convert(*_split(limit), column.si_unit) for limit in (column.least, column.most))
    for fault in np.flatnonzero(np.isfinite(values) & ((values < least) | (values > most))):
        low, high = (f"{float(from_si(limit, unit)):.4g}" for limit in (least, most))
        line, fields = rows[fault]
        faults.add(line, text, f"{fields[place].strip()} is outside what can be, {low} to {high} {unit}")
    return values


def _check_shares(values: FloatArray, name: str, text: str, line: int, faults: Faults) -> None:
    """Shares written under a head that says percent: air or sky of less than 1 % all through is none."""
    match = HEADER.fullmatch(text)
    highest = float(np.nanmax(values, initial=0.0))
    if name in ("relative_humidity", "cloud_cover") and match and match[2] == "%" and 0.0 < highest <= 0.01:
        message = (
            f'never exceeds {100.0 * highest:.3g} %: these look like shares; write "{name} [1]" at the head'
        )
        faults.add(line, text, message)


def _split(limit: str) -> tuple[float, str]:
    number, unit = limit.split(maxsplit=1)
    return float(number), unit
