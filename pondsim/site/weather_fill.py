"""What a weather file lacks, from the file of another station: gaps, a dead sensor, days before it began."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import HOUR
from pondsim.physics.water import vapour_pressure
from pondsim.records import Record
from pondsim.scenario.settings import FillFrom, Period, Place, Weather
from pondsim.site.dated_head import Faults
from pondsim.site.dated_table import Dated
from pondsim.site.series import wind_at_10_m
from pondsim.site.weather_file import COLUMNS, FORM, check_names, read_table

FloatArray = NDArray[np.float64]

OVERLAP = 48.0 * HOUR  # s of hours in common, two whole days, below which means are not compared (judgement)
BETWEEN = 3.0 * HOUR  # s between two values of the other file over which a straight line is drawn
EVEN = 1.0  # s by which a time may be off its place
NEEDED = ("air_temperature", "wind_speed")  # columns that may come from another file alone, and:
LIGHT = ("solar_radiation", "cloud_cover")
RATIO = {
    "wind_speed",
    "solar_radiation",
}  # moved to the first file's mean by a factor; the rest by a difference
AS_READ = {"rain"}  # never moved
ANY_FORM = FORM._replace(check=None)


class Other(NamedTuple):
    """Another file: its table, and how it is written."""

    given: FillFrom
    table: Dated


def read_with_fill(
    path: Path, period: Period, place: Place, weather: Weather, faults: Faults
) -> tuple[Dated, list[Record]]:
    """The table of a weather file, with what it lacks taken from the files that ``fill_from`` names.

    Parameters
    ----------
    path, period, place, weather
        As of `read_weather`.
    faults : Faults
        Takes faults of values of the first file.

    Returns
    -------
    Dated
        Even times that cover the period, as far as any file does; NaN where no file has a value.
    list of Record
        For each column and file what was filled, and by how much the other station differs.

    Raises
    ------
    ScenarioError
        A file cannot be read, or all of them together lack a column.
    """
    length = (period.end - period.start).total_seconds()
    wanted, clock = (0.0, length), place.utc_offset
    if not weather.fill_from:
        return read_table(path, weather, period.start, clock, wanted, faults), []
    table = read_table(path, weather, period.start, clock, wanted, faults, form=ANY_FORM)
    others = []
    for given in weather.fill_from:
        own = Faults(given.file)
        found = read_table(given.file, given, period.start, clock, wanted, own, form=ANY_FORM)
        own.stop_if_any()
        others.append(Other(given, _at_height(found, given.wind_height, weather.wind_height)))
    faults.stop_if_any()
    tables = _alike_in_moisture([table, *(one.table for one in others)])
    names = _names(tables[0], tables[1:])
    check_names(names, table.header_line, faults)
    faults.stop_if_any()
    first = _on_even_times(tables[0], length, faults)
    faults.stop_if_any()
    records = []
    for other, found in zip(others, tables[1:], strict=True):
        first, said = _filled(first, found, other.given, names, faults)
        records += said
    return first, records


def _at_height(table: Dated, own: float, wanted: float) -> Dated:
    """Wind of an anemometer as one at another height would read it."""
    if "wind_speed" not in table.columns or own == wanted:
        return table
    factor = float(wind_at_10_m(np.ones(1), own)[0] / wind_at_10_m(np.ones(1), wanted)[0])
    return replace(table, columns={**table.columns, "wind_speed": table.columns["wind_speed"] * factor})


def _alike_in_moisture(tables: list[Dated]) -> list[Dated]:
    """Tables that all hold relative humidity where they do not all hold the same of it and dew point."""
    kinds = {name for table in tables for name in ("dew_point", "relative_humidity") if name in table.columns}
    if len(kinds) < 2:
        return tables
    found = []
    for table in tables:
        columns, heads = dict(table.columns), dict(table.heads)
        dew = columns.pop("dew_point", None)
        if dew is not None:
            head = heads.pop("dew_point")
            if "air_temperature" in columns and "relative_humidity" not in columns:
                share = vapour_pressure(dew) / vapour_pressure(columns["air_temperature"])
                columns["relative_humidity"], heads["relative_humidity"] = np.minimum(share, 1.0), head
        found.append(replace(table, columns=columns, heads=heads))
    return found


def _names(first: Dated, others: list[Dated]) -> list[str]:
    """Columns of the first file, and those that it needs and lacks."""
    lacking = [name for name in NEEDED if name not in first.columns]
    for kinds in (("dew_point", "relative_humidity"), LIGHT):
        if not any(name in first.columns for name in kinds):
            lacking += kinds
    there = [name for name in lacking if any(name in other.columns for other in others)]
    return [*first.columns, *there]


def _on_even_times(table: Dated, length: float, faults: Faults) -> Dated:
    """Rows at every step from the start of the period to its end; empty where the file has no line."""
    step = table.step
    apart = np.diff(table.time)
    uneven = np.abs(apart - step * np.rint(apart / step)) > EVEN if step else apart >= 0.0
    if np.any(uneven | (apart <= 0.0)):
        return table  # told with the lines by those who check times
    before = max(math.ceil((table.time[0] - EVEN) / step), 0)
    last = float(table.time[-1])
    count = round((last - table.time[0]) / step) + 1 + max(math.ceil((length - last - EVEN) / step), 0)
    time = table.time[0] + step * (np.arange(before + count) - before)
    place = np.rint((table.time - time[0]) / step).astype(np.int64)
    columns = {}
    for name, values in table.columns.items():
        columns[name] = np.full(time.size, np.nan)
        columns[name][place] = values
    near = np.clip(np.searchsorted(place, np.arange(time.size), side="right") - 1, 0, None)
    return replace(table, time=time, columns=columns, line=table.line[near])


def _filled(
    first: Dated, other: Dated, given: FillFrom, names: list[str], faults: Faults
) -> tuple[Dated, list[Record]]:
    columns, heads, records = dict(first.columns), dict(first.heads), []
    for name in names:
        if name not in other.columns:
            continue
        own = columns.get(name, np.full(first.time.size, np.nan))
        theirs = _at_times(other, name, first.time)
        both = np.isfinite(own) & np.isfinite(theirs)
        compared = float(np.sum(both)) * first.step >= OVERLAP and name not in AS_READ
        bias = _bias(name, own[both], theirs[both]) if compared else math.nan
        moved = _moved(name, theirs, bias) if compared and given.match_means else theirs
        empty = np.isnan(own) & np.isfinite(moved)
        if not empty.any():
            continue
        columns[name] = np.where(empty, moved, own)
        heads.setdefault(name, other.heads[name])
        records.append(_record(name, int(empty.sum()), bias, both.sum() * first.step, given))
    return replace(first, columns=columns, heads=heads), records


def _at_times(other: Dated, name: str, time: FloatArray) -> FloatArray:
    """A column of another file at given times, by straight lines between values that lie near each other."""
    values = other.columns[name]
    good = np.isfinite(values)
    found = np.full(time.size, np.nan)
    if good.sum() < 2:
        return found
    at, value = other.time[good], values[good]
    after = np.clip(np.searchsorted(at, time, side="left"), 1, at.size - 1)
    near = (at[after] - at[after - 1] <= BETWEEN + EVEN) & (time >= at[0] - EVEN) & (time <= at[-1] + EVEN)
    found[near] = np.interp(time[near], at, value)
    return found


def _bias(name: str, own: FloatArray, theirs: FloatArray) -> float:
    """By how much the other file reads more, or how many times as much, over the hours both have."""
    if name not in RATIO:
        return float(np.mean(theirs) - np.mean(own))
    return float(np.mean(theirs) / np.mean(own)) if np.mean(own) > 0.0 and np.mean(theirs) > 0.0 else math.nan


def _moved(name: str, theirs: FloatArray, bias: float) -> FloatArray:
    if not math.isfinite(bias):
        return theirs
    if name in RATIO:
        return theirs / bias
    moved = theirs - bias
    return np.clip(moved, 0.0, 1.0) if COLUMNS[name].si_unit == "1" else moved


def _record(name: str, values: int, bias: float, overlap: float, given: FillFrom) -> Record:
    unit = "1" if name in RATIO else COLUMNS[name].si_unit.replace("K", "delta_K")
    numbers = {"values": (float(values), "1"), "overlap": (float(overlap), "s")}
    if math.isfinite(bias):
        numbers |= {"factor" if name in RATIO else "difference": (bias, unit)}
        numbers |= {"moved": (float(given.match_means), "1")}
    names = {"column": name, "file": given.file.name}
    return Record("weather_filled", "caution", numbers=numbers, names=names)
