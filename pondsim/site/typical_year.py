"""Typical-year weather: the hourly CSV of the national solar laboratory's third set -> weather of a run.

The first line says the station's name, clock, place and elevation, the second names the columns with units.
Times are the station's standard time at the end of each hour, 01:00 to 24:00; sunlight is the mean of that
hour, all else is read at that time (from memory of the user's manual, not verified). Months come from
different years: only month, day and hour count.
"""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import HOUR
from pondsim.physics.oxygen import standard_pressure
from pondsim.physics.water import vapour_pressure
from pondsim.records import Record
from pondsim.scenario.settings import Period, Place, Weather
from pondsim.site.dated_head import Faults
from pondsim.site.dated_table import rows_of
from pondsim.site.series import WeatherSeries, weather_bridged, wind_at_10_m
from pondsim.site.weather_file import COLUMNS
from pondsim.units import convert, to_si

FloatArray = NDArray[np.float64]
Key = tuple[int, int, int]  # month, day, hour in which the value's hour began

READ = {  # columns whose units are certain: ours, unit in which they stand
    "GHI (W/m^2)": ("solar_radiation", "W/m2"),
    "TotCld (tenths)": ("cloud_cover", "0.1"),
    "Dry-bulb (C)": ("air_temperature", "degC"),
    "Dew-point (C)": ("dew_point", "degC"),
    "Pressure (mbar)": ("pressure", "hPa"),
    "Wspd (m/s)": ("wind_speed", "m/s"),
}
NO_VALUE = -9900.0  # at or below this the value is missing
FAR = 150e3  # m from the pond, above which it is said
EARTH = 6.371e6  # m
LAYOUT = "is not of the typical-year layout"


class Station(NamedTuple):
    """What the first line says; SI and radians."""

    name: str
    utc_offset: float
    latitude: float
    longitude: float
    elevation: float


def read_typical_year(path: Path, period: Period, place: Place, weather: Weather) -> WeatherSeries:
    """Read a typical-year file over the period, whatever its years.

    Parameters
    ----------
    path : Path
        The CSV file.
    period : Period
        Limits of the run; 29 February takes the values of the 28th.
    place : Place
        Its clock must be that of the station; pressure is carried from the station's elevation to its own.
    weather : Weather
        Height of the anemometer, and up to which length gaps are bridged by straight lines.

    Returns
    -------
    WeatherSeries
        At the middle of each hour: its mean sunlight, and the mean of what was read at both its ends.
        The file's rain is not used. Remarks say what was done.

    Raises
    ------
    ScenarioError
        The file is of another layout or clock, lacks a column, or has gaps.
    """
    faults = Faults(path)
    rows = rows_of(path, Faults(path))  # the first line is shorter than the others
    station = _station(rows, place, faults)
    hours, lines = _hours(rows[1:], faults)
    faults.stop_if_any()
    begin = period.start.replace(minute=0, second=0, microsecond=0) - timedelta(hours=1)
    count = math.ceil((period.end - begin).total_seconds() / HOUR) + 2
    ends = [begin + timedelta(hours=n) for n in range(count)]
    columns, bridged = _columns(ends, hours, lines, weather.fill_gaps, faults)
    faults.stop_if_any()
    first = (begin - period.start).total_seconds() + 0.5 * HOUR
    time = np.arange(count - 1, dtype=np.float64) * HOUR + first
    middle = {name: 0.5 * (values[1:] + values[:-1]) for name, values in columns.items()}
    carried = standard_pressure(place.elevation) / standard_pressure(station.elevation)
    air = middle["air_temperature"]
    return WeatherSeries(
        time=time,
        air_temperature=air,
        vapour_pressure=vapour_pressure(np.minimum(middle["dew_point"], air)),
        shortwave=np.maximum(columns["solar_radiation"][1:], 0.0),
        cloud_share=np.clip(columns["cloud_cover"][1:], 0.0, 1.0),
        wind_speed=wind_at_10_m(middle["wind_speed"], weather.wind_height),
        pressure=middle["pressure"] * carried,
        rain=np.zeros(time.size),
        records=tuple(_records(station, place, bridged)),
        has_rain=False,
    )


def _station(rows: list[tuple[int, list[str]]], place: Place, faults: Faults) -> Station:
    try:
        name, _, clock, north, east, height = rows[0][1][1:7]
        numbers = [float(text) for text in (clock, north, east, height)]
    except (IndexError, ValueError):
        faults.add(1, "", f"{LAYOUT}: number, name, state, hours from UTC, latitude, longitude, elevation")
        faults.stop_if_any()
        raise
    station = Station(
        name.title(), numbers[0] * HOUR, math.radians(numbers[1]), math.radians(numbers[2]), numbers[3]
    )
    if abs(station.utc_offset - place.utc_offset) > 1.0:
        here, there = place.utc_offset / HOUR, numbers[0]
        cure = f'write place.utc_offset = "{there:g} h" or take a nearer station'
        faults.add(1, "", f"keeps standard time of UTC{there:+g} h, the pond UTC{here:+g} h; {cure}")
    return station


def _hours(
    rows: list[tuple[int, list[str]]], faults: Faults
) -> tuple[dict[Key, dict[str, float]], dict[Key, int]]:
    """Values in SI and lines by month, day and hour."""
    header = rows[0][1] if rows else []
    for name in ("Date (MM/DD/YYYY)", "Time (HH:MM)", *READ):
        if name not in header:
            faults.add(2, name, "is missing in the second line")
    faults.stop_if_any()
    clock, places = header.index("Time (HH:MM)"), {name: header.index(name) for name in READ}
    hours: dict[Key, dict[str, float]] = {}
    lines: dict[Key, int] = {}
    for line, fields in rows[1:]:
        try:
            month, day, _ = (int(part) for part in fields[header.index("Date (MM/DD/YYYY)")].split("/"))
            key = (month, day, int(fields[clock].split(":")[0]) - 1)
            hours[key] = {READ[name][0]: float(fields[place]) for name, place in places.items()}
        except (IndexError, ValueError):
            faults.add(line, "", "has no date, hour or number where one is expected")
            continue
        if key in lines:
            faults.add(line, "Date (MM/DD/YYYY)", f"is the same hour as line {lines[key]}")
        lines[key] = line
    return hours, lines


def _columns(
    ends: list[datetime],
    hours: dict[Key, dict[str, float]],
    lines: dict[Key, int],
    longest: float,
    faults: Faults,
) -> tuple[dict[str, FloatArray], int]:
    """Columns in SI at the ends of hours, and how many values were bridged."""
    keys = [_key(end) for end in ends]
    columns: dict[str, FloatArray] = {}
    bridged = 0
    for written, (name, unit) in READ.items():
        raw = np.array([hours.get(key, {}).get(name, NO_VALUE) for key in keys])
        good = raw > NO_VALUE
        scaled = raw * 0.1 if unit == "0.1" else np.asarray(convert(raw, unit, COLUMNS[name].si_unit))
        _check_range(written, name, scaled, good, keys, lines, faults)
        here = np.flatnonzero(good)
        if not good.any() or not (good[0] and good[-1]):
            faults.add(None, written, "has no value at the edge of the period")
            continue
        for before, after in pairwise(here):
            gap = (after - before) * HOUR
            if after > before + 1 and gap > longest + 1.0:
                text = f"has no value for {after - before - 1} h before {ends[after]:%d %B %H:%M}"
                faults.add(lines.get(keys[after]), written, f"{text}; weather.fill_gaps may bridge it")
        bridged += int(np.sum(~good))
        columns[name] = np.interp(np.arange(len(keys)), here, scaled[good])
    return columns, bridged


def _key(end: datetime) -> Key:
    began = end - timedelta(hours=1)
    day = 28 if (began.month, began.day) == (2, 29) else began.day
    return began.month, day, began.hour


def _check_range(
    written: str,
    name: str,
    values: FloatArray,
    good: NDArray[np.bool_],
    keys: list[Key],
    lines: dict[Key, int],
    faults: Faults,
) -> None:
    column = COLUMNS[name]
    least, most = (to_si(limit, column.si_unit) for limit in (column.least, column.most))
    for row in np.flatnonzero(good & ((values < least) | (values > most))):
        faults.add(lines[keys[row]], written, f"is outside what can be, {column.least} to {column.most}")


def _records(station: Station, place: Place, bridged: int) -> list[Record]:
    found = [Record("typical_year", where=station.name)]
    across = math.cos(place.latitude) * (station.longitude - place.longitude)
    apart = EARTH * math.hypot(station.latitude - place.latitude, across)
    if apart > FAR:
        found.append(Record("station_far", "caution", station.name, {"distance": (apart, "m")}))
    return [*found, *([weather_bridged(bridged)] if bridged else [])]
