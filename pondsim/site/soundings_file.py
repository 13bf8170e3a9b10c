"""Points on the plan, in a CSV file: soundings, zone outlines, lines -> SI, or every fault with its line."""

from __future__ import annotations

import difflib
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from pondsim.site.dated_head import HEADER, Faults
from pondsim.site.dated_table import EMPTY, rows_of
from pondsim.site.pond import FloatArray
from pondsim.units import UnitError, convert, same_kind

EARTH = 6371008.8  # m, mean radius
PLAN, GLOBE = ("east", "north"), ("longitude", "latitude")
MOST_SPREAD = 0.2  # degrees that one pond may reach over

Rows = list[tuple[int, list[str]]]
Origin = tuple[float, float]


@dataclass(frozen=True, eq=False)
class Points:
    """Rows of a file.

    Attributes
    ----------
    x, y : east and north of the mark [m]
    columns : lengths beside them, NaN where a field is empty [m]
    names : by row, "" where the file names nothing
    lines : of the file, by row
    origin : longitude and latitude of the mark; None with plan coordinates [deg]
    """

    x: FloatArray
    y: FloatArray
    columns: dict[str, FloatArray]
    names: list[str]
    lines: list[int]
    origin: Origin | None


def read_points(
    path: Path,
    lengths: tuple[str, ...],
    needed: tuple[str, ...] = (),
    *,
    name: str = "",
    least: int = 1,
    origin: Origin | None = None,
) -> Points:
    """Read places, with lengths beside them.

    Parameters
    ----------
    path : Path
        A header such as ``east [ft], north [ft], depth [ft]``, or ``longitude [deg], latitude [deg]`` in
        place of the first two; a row for each point.
    lengths, needed : tuple of str
        Columns it may have beside the places, all lengths; those it must have.
    name : str
        A column of names it must have.
    least : int
        Rows wanted.
    origin : (longitude, latitude), optional
        Mark for coordinates in degrees; else the first row. [deg]

    Raises
    ------
    ScenarioError
        Every fault of the file, by line.
    """
    faults = Faults(path)
    rows = rows_of(path, faults)
    faults.stop_if_any()
    (line, header), rows = rows[0], rows[1:]
    columns = _header(header, line, (lengths, needed, name), faults)
    faults.stop_if_any()
    if len(rows) < least:
        faults.add(line, "", f"has {len(rows)} points below its header; {least} at least are needed")
    values = {
        column: _numbers(rows, place, column, unit, faults)
        for column, (place, unit) in columns.items()
        if column != name
    }
    for column in (*PLAN, *GLOBE, *needed):
        for row in np.flatnonzero(np.isnan(values.get(column, np.zeros(0)))):
            faults.add(rows[row][0], column, "is empty; every point needs one")
    faults.stop_if_any()
    place = columns[name][0] if name else 0
    names = [fields[place].strip() if name else "" for _, fields in rows]
    lines = [number for number, _ in rows]
    if "east" in values:
        return Points(values.pop("east"), values.pop("north"), values, names, lines, None)
    east, north = values.pop("longitude"), values.pop("latitude")
    mark = origin or (float(east[0]), float(north[0]))
    x, y = from_degrees(east, north, mark)
    if max(np.ptp(east), np.ptp(north)) > MOST_SPREAD:
        faults.add(None, "", f"reaches over more than {MOST_SPREAD:g} degrees; one pond does not")
        faults.stop_if_any()
    return Points(x, y, values, names, lines, mark)


def from_degrees(longitude: FloatArray, latitude: FloatArray, mark: Origin) -> tuple[FloatArray, FloatArray]:
    """East and north of a mark [m]; within some km the error of the flat map is below a thousandth."""
    scale = EARTH * math.pi / 180.0
    east = scale * math.cos(math.radians(mark[1])) * (np.asarray(longitude) - mark[0])
    return east, scale * (np.asarray(latitude) - mark[1])


def _header(
    header: list[str], line: int, wanted: tuple[tuple[str, ...], tuple[str, ...], str], faults: Faults
) -> dict[str, tuple[int, str]]:
    """Place and unit of each column."""
    lengths, needed, name = wanted
    known = [*PLAN, *GLOBE, *lengths, *([name] if name else [])]
    found: dict[str, tuple[int, str]] = {}
    for place, text in enumerate(header):
        match = HEADER.fullmatch(text)
        column, unit = (match[1].lower(), match[2] or "") if match else (text.strip(), "")
        if column in found:
            faults.add(line, column, "stands twice in the header")
        elif column not in known:
            near = difflib.get_close_matches(column, known, 1, 0.6)
            hint = f'; did you mean "{near[0]}"?' if near else f"; known here: {', '.join(known)}."
            faults.add(line, column, f"is not a column of this file{hint}")
        elif column != name:
            _check_unit(column, unit, line, faults)
        found[column] = (place, unit)
    pair = GLOBE if found.keys() & set(GLOBE) else PLAN
    for column in (*pair, *needed, *([name] if name else [])):
        if column not in found:
            example = column if column == name else f"{column} [{'deg' if column in GLOBE else 'ft'}]"
            faults.add(line, column, f'is missing in the header; write such as "{example}"')
    if found.keys() & set(PLAN) and found.keys() & set(GLOBE):
        faults.add(line, "east", "stands beside longitude; write places one way")
    return found


def _check_unit(column: str, unit: str, line: int, faults: Faults) -> None:
    wanted = "deg" if column in GLOBE else "ft"
    try:
        if unit and same_kind(unit, wanted):
            return
        reason = f'"{unit}" is of another kind' if unit else "has no unit"
    except UnitError as error:
        reason = str(error).rstrip(".")
    faults.add(line, column, f'{reason}; write it as "{column} [{wanted}]"')


def _numbers(rows: Rows, place: int, column: str, unit: str, faults: Faults) -> FloatArray:
    """A column in SI, degrees for places on the globe; NaN where a field is empty."""
    values = np.full(len(rows), np.nan)
    for row, (line, fields) in enumerate(rows):
        text = fields[place].strip()
        if text.lower() in EMPTY:
            continue
        try:
            values[row] = float(text)
        except ValueError:
            values[row] = np.inf
        if not math.isfinite(values[row]):
            faults.add(line, column, f'"{text}" is not a number')
            values[row] = 0.0
    return np.asarray(convert(values, unit, "deg" if column in GLOBE else "m"), dtype=float)
