"""Readings of the pond: files of loggers and notebooks -> series at a zone and a depth, in units of results.

What others build on: `read_readings(scenario)` gives one `Instrument` for each ``[[readings]]``, in the order
of the file. Nothing is left out or changed on the way: gaps are NaN, and what looks wrong is flagged by
site/reading_flags.py, beside the values.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import ZERO_CELSIUS
from pondsim.physics.oxygen import oxygen_saturation, standard_pressure
from pondsim.scenario.settings import Place, Readings
from pondsim.site.dated_head import Faults, Form, Kind, si_unit_of_head
from pondsim.site.dated_table import Dated, read_dated
from pondsim.units import from_si, to_si

FloatArray = NDArray[np.float64]
TimeArray = NDArray[np.datetime64]

MOST_IMPOSSIBLE = 0.1  # share of impossible values above which a unit must be wrong (judgement)
REPEATED = 2  # equal impossible values that look like a gap code

# What may be read, by the name of the output it is held against; not every run has all of them.
KINDS = {
    "dissolved_oxygen": Kind("kg/m3", "0 mg/L", "40 mg/L", "mg/L", or_unit="1"),
    "water_temperature": Kind("K", "-1 degC", "45 degC", "degC"),
    "water_surface_elevation": Kind("m", "-500 m", "9000 m", "ft"),
    "chlorophyll": Kind("kg/m3", "0 ug/L", "2000 ug/L", "ug/L"),
    "suspended_solids": Kind("kg/m3", "0 mg/L", "20000 mg/L", "mg/L"),
    "ammonium": Kind("kg/m3", "0 mg/L", "100 mg/L", "mg/L"),
    "circulation_flow": Kind("m3/s", "0 m3/s", "5 m3/s", "gpm"),
    "outflow": Kind("m3/s", "0 m3/s", "500 m3/s", "cfs"),
    "power": Kind("W", "0 kW", "1000 kW", "kW"),
    "total_phosphorus": Kind("kg/m3", "0 mg/L", "20 mg/L", "mg/L"),
    "secchi_depth": Kind("m", "0 m", "20 m", "ft"),
    "nitrate": Kind("kg/m3", "0 mg/L", "200 mg/L", "mg/L"),
}
SATURATION_SHARE = (0.0, 4.0)  # of oxygen that stands in percent of saturation
UNITS = {  # kept in, as the results keep the output of that name
    "dissolved_oxygen": "mg/L",
    "water_temperature": "degC",
    "water_surface_elevation": "m",
    "chlorophyll": "ug/L",
    "suspended_solids": "mg/L",
    "ammonium": "mg/L",
    "circulation_flow": "m3/s",
    "outflow": "m3/s",
    "power": "W",
    "total_phosphorus": "ug/L",
    "secchi_depth": "m",
    "nitrate": "mg/L",
}
WHOLE_POND = {"water_surface_elevation", "circulation_flow", "outflow", "power"}  # no zone or depth matters
LIKELY = {
    **{"do": "dissolved_oxygen", "oxygen": "dissolved_oxygen", "do_mg_l": "dissolved_oxygen"},
    **{"temp": "water_temperature", "temperature": "water_temperature", "level": "water_surface_elevation"},
    **{"stage": "water_surface_elevation", "water_level": "water_surface_elevation", "chl": "chlorophyll"},
    **{"tp": "total_phosphorus", "secchi": "secchi_depth", "tss": "suspended_solids"},
    **{"date": "time", "datetime": "time"},
}
FORM = Form("file of readings", KINDS, LIKELY)


@dataclass(frozen=True, eq=False)
class Instrument:
    """All that one ``[[readings]]`` says.

    Attributes
    ----------
    name, zone : as in the scenario
    depth : below the water surface; None where `elevation` is given, or neither matters [m]
    elevation : of a fixed instrument [m]
    time : (n,) datetime64[s], local standard time, rising: the center of what each reading stands for
    values : by what was read (a name of `KINDS`), (n,) arrays in the unit of `UNITS`, NaN where there is none
    impossible : by what was read, (n,) booleans: the value lies outside what can be
    coded : number of gap codes, by what was read
    step : median time between readings [s]
    services : moments of cleaning or calibration, datetime64[s]
    lines : of the file, by reading
    as_share : what was read as a share of saturation and turned into mg/L
    clock : of its file minus UTC as it was taken; NaN for a clock with daylight saving time [s]
    """

    name: str
    zone: str
    depth: float | None
    elevation: float | None
    time: TimeArray
    values: dict[str, FloatArray]
    impossible: dict[str, NDArray[np.bool_]]
    coded: dict[str, int]
    step: float
    services: TimeArray
    lines: NDArray[np.int64]
    as_share: tuple[str, ...] = field(default=())
    clock: float = math.nan


def read_instrument(given: Readings, place: Place) -> Instrument:
    """One file of readings.

    Parameters
    ----------
    given : Readings
        Where it hangs and how its file is written.
    place : Place
        Clock of local standard time; elevation, for readings in percent of saturation.

    Raises
    ------
    ScenarioError
        With every fault of the file, up to twenty, by line.

    Notes
    -----
    Percent of saturation becomes mg/L by the temperature beside it, fresh water and the standard pressure of
    the pond's elevation. Source: benson1984.
    """
    faults = Faults(given.file)
    start = datetime(2000, 1, 1)
    table = read_dated(given.file, given, FORM, start, place.utc_offset, faults)
    if not table.columns and not faults.problems:
        known = ", ".join(KINDS)
        faults.add(table.header_line, "", f"has no column that is read; known: {known}")
    _check_order(table, start, faults)
    faults.stop_if_any()
    values: dict[str, FloatArray] = {}
    impossible: dict[str, NDArray[np.bool_]] = {}
    for name in table.columns:
        values[name], impossible[name] = _column(table, name, place, faults)
    if "water_surface_elevation" in values:
        values["water_surface_elevation"] = values["water_surface_elevation"] + given.gauge_zero
    faults.stop_if_any()
    return Instrument(
        given.name,
        given.zone,
        given.depth,
        given.elevation,
        np.datetime64(start, "s") + np.rint(table.time).astype("timedelta64[s]"),
        values,
        impossible,
        table.coded,
        table.step,
        np.array(sorted(given.services), dtype="datetime64[s]"),
        table.line,
        tuple(name for name in table.columns if _is_share(table, name)),
        _clock(given, place),
    )


def _clock(given: Readings, place: Place) -> float:
    if given.time_zone is not None:
        return math.nan
    return place.utc_offset if given.utc_offset is None else given.utc_offset


def _is_share(table: Dated, name: str) -> bool:
    return si_unit_of_head(table.heads[name], KINDS[name]) != KINDS[name].si_unit


def _column(table: Dated, name: str, place: Place, faults: Faults) -> tuple[FloatArray, NDArray[np.bool_]]:
    """Values in the unit of results, and which of them cannot be."""
    kind, raw = KINDS[name], table.columns[name]
    share = _is_share(table, name)
    least, most = SATURATION_SHARE if share else (to_si(one, kind.si_unit) for one in (kind.least, kind.most))
    impossible = np.isfinite(raw) & ((raw < least) | (raw > most))
    _check_impossible(table, name, impossible, faults)
    if not share:
        return np.asarray(from_si(raw, UNITS[name])), impossible
    if "water_temperature" not in table.columns:
        message = "is a share of saturation; for mg/L the file must hold water_temperature too"
        faults.add(table.header_line, table.header(name), message)
        return raw, impossible
    warmth = np.clip(table.columns["water_temperature"], ZERO_CELSIUS, ZERO_CELSIUS + 45.0)
    saturation = oxygen_saturation(warmth, 0.0, standard_pressure(place.elevation))
    return np.asarray(from_si(raw * saturation, UNITS[name])), impossible


def _check_impossible(table: Dated, name: str, impossible: NDArray[np.bool_], faults: Faults) -> None:
    """Gap codes that nobody named, and units that cannot be right, are faults; a single slip is a flag."""
    head, raw = table.heads[name], table.columns[name]
    if not impossible.any():
        return
    first = int(np.flatnonzero(impossible)[0])
    found, counts = np.unique(raw[impossible], return_counts=True)
    if counts.max() >= REPEATED and counts.max() > 0.5 * impossible.sum():
        code = f"{from_si(float(found[np.argmax(counts)]), head.unit):.6g}"
        message = (
            f"{code} stands {counts.max()} times and cannot be; if it marks a gap, write "
            f'gap_codes = ["{code}"]'
        )
        faults.add(int(table.line[first]), head.text, message)
    elif impossible.mean() > MOST_IMPOSSIBLE:
        share, read = 100.0 * float(impossible.mean()), from_si(float(raw[first]), head.unit)
        message = f"{read:.6g} cannot be, nor can {share:.0f} % of this column; is its unit {head.unit}?"
        faults.add(int(table.line[first]), head.text, message)


def _check_order(table: Dated, start: datetime, faults: Faults) -> None:
    for row in np.flatnonzero(np.diff(table.time) <= 0.0):
        moment = np.datetime64(start, "s") + np.timedelta64(round(float(table.time[row + 1])), "s")
        text = str(moment).replace("T", " ")[:16]
        again = (
            "stands twice" if table.time[row + 1] == table.time[row] else "is not later than the line before"
        )
        message = f"{text} {again}; a clock with daylight saving time needs time_zone"
        faults.add(int(table.line[row + 1]), "time", message)
