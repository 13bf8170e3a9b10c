"""Readings as part of the results, so that a page or a picture on them needs the results file alone.

All rows of all instruments lie one after the other along ``reading``, with their time and the place of their
instrument in the attribute ``instruments``: the indexed ragged array of the CF conventions. What looks wrong
stands in the attribute ``reading_flags``; every value is kept as it was read.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr

from pondsim.errors import ScenarioError
from pondsim.records import Record, to_json
from pondsim.scenario.settings import Place, Readings, Scenario
from pondsim.site.reading_flags import Flag, flags_of
from pondsim.site.readings import UNITS, Instrument, read_instrument

DIM = "reading"


@dataclass(frozen=True)
class ReadingData:
    """Variables, coordinates, attributes and records of results; all empty where nothing was read."""

    data: dict[str, Any] = field(default_factory=dict)
    coordinates: dict[str, Any] = field(default_factory=dict)
    attributes: dict[str, str] = field(default_factory=dict)
    records: tuple[Record, ...] = ()


def readings_of(scenario: Scenario, *, whole: bool = False) -> ReadingData:
    """The readings of a scenario as results hold them.

    Parameters
    ----------
    scenario : Scenario
        As read.
    whole : bool, default False
        Whether readings outside the period are kept as well.

    Returns
    -------
    ReadingData
        ``read_NAME`` by reading, NaN where an instrument did not read it; coordinate ``reading_time``;
        ``reading_instrument``. Attributes are JSON texts.

    Raises
    ------
    ScenarioError
        With the faults of every file.
    """
    if not scenario.readings:
        return ReadingData()
    found, problems = [], []
    for given in scenario.readings:
        try:
            found.append(_kept(given, scenario.place, scenario.pond.normal_pool, _written(given.file)))
        except ScenarioError as error:
            problems += error.problems
    if problems:
        raise ScenarioError(problems)
    start, end = (np.datetime64(moment, "s") for moment in (scenario.period.start, scenario.period.end))
    if whole:
        times = [one.time[[0, -1]] for one, _ in found]
        held = min(first for first, _ in times), max(last for _, last in times)
    else:
        held = start, end
    made = _gathered([one for one, _ in found], [flag for _, flags in found for flag in flags], *held)
    outside = [_outside_record(one, start, end) for one, _ in found if not _inside(one, start, end).any()]
    return replace(made, records=(*made.records, *outside))


def _inside(one: Instrument, start: np.datetime64, end: np.datetime64) -> Any:
    return (one.time >= start) & (one.time <= end)


def _outside_record(one: Instrument, start: np.datetime64, end: np.datetime64) -> Record:
    """An instrument of which nothing was read within the period."""
    first, last = one.time[[0, -1]].astype("datetime64[m]")
    times = {"first": first, "last": last, "start": start, "end": end}
    return Record(
        "readings_outside", "caution", one.name, times={key: str(time) for key, time in times.items()}
    )


@lru_cache(maxsize=64)
def _kept(given: Readings, place: Place, pool: float, written: int) -> tuple[Instrument, tuple[Flag, ...]]:
    """An instrument and its flags, read again only where its file was `written` anew: members share it."""
    one = read_instrument(given, place)
    return one, tuple(flags_of(one, place, pool))


def _written(path: Path) -> int:
    try:
        return path.stat().st_mtime_ns
    except OSError:
        return 0  # the reader says why


def _gathered(
    instruments: Sequence[Instrument], flags: Sequence[Flag], start: np.datetime64, end: np.datetime64
) -> ReadingData:
    inside = [_inside(one, start, end) for one in instruments]
    names = [name for name in UNITS if any(name in one.values for one in instruments)]
    data: dict[str, Any] = {
        f"read_{name}": (
            (DIM,),
            np.concatenate([_values(one, name, rows) for one, rows in _pairs(instruments, inside)]),
        )
        for name in names
    }
    places = [np.full(int(rows.sum()), place) for place, rows in enumerate(inside)]
    data["reading_instrument"] = ((DIM,), np.concatenate(places).astype(np.int32))
    times = np.concatenate([one.time[rows] for one, rows in _pairs(instruments, inside)])
    attributes = {
        "instruments": [_described(one, rows) for one, rows in _pairs(instruments, inside)],
        "reading_flags": [_flag(one) for one in flags if one.last >= start and one.first <= end],
    }
    return ReadingData(
        data,
        {"reading_time": ((DIM,), times.astype("datetime64[ns]"))},
        {name: json.dumps(value) for name, value in attributes.items()},
        tuple(_clock_record(one) for one in flags if one.kind == "clock"),
    )


def _clock_record(one: Flag) -> Record:
    """A clock that the daily swing contradicts: all that is said against these readings may come from it."""
    numbers = {"offset": (one.size, "s"), "error": (one.error, "s")}
    if math.isfinite(one.suggested):
        numbers |= {"stated": (one.suggested - one.size, "s")}
    names = {"variable": one.variable}
    return Record("clock_against_sun", "caution", one.instrument, numbers, names=names)


def _pairs(instruments: Sequence[Instrument], inside: list[Any]) -> list[tuple[Instrument, Any]]:
    return list(zip(instruments, inside, strict=True))


def _values(one: Instrument, name: str, rows: Any) -> Any:
    return one.values[name][rows] if name in one.values else np.full(int(rows.sum()), np.nan)


def _described(one: Instrument, rows: Any) -> dict[str, Any]:
    """What is known of an instrument beside its readings; SI, times in local standard time."""
    return {
        "name": one.name,
        "zone": one.zone,
        "depth_m": one.depth,
        "elevation_m": one.elevation,
        "step_s": one.step,
        "quantities": list(one.values),
        "services": [str(moment) for moment in one.services],
        "gap_codes": one.coded,
        "outside_period": int(np.sum(~rows)),
        "from_saturation": list(one.as_share),
    }


def _flag(one: Flag) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "instrument": one.instrument,
        "variable": one.variable,
        "first": str(one.first),
        "last": str(one.last),
        "count": one.count,
        **{key: _number(getattr(one, key)) for key in ("size", "error", "suggested")},
    }


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None


def dataset_of_readings(scenario: Scenario) -> xr.Dataset:
    """The readings alone, all of them, as a dataset like that of results; arguments as of `readings_of`."""
    found = readings_of(scenario, whole=True)
    attributes = found.attributes | {"remarks": to_json(found.records)}
    return xr.Dataset(found.data, found.coordinates, attributes)
