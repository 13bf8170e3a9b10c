"""Series of a results file as CSV, one column per zone and depth, with units in the head."""

from __future__ import annotations

import difflib
import io
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.errors import ScenarioError
from pondsim.measures import STATIONS, at_depth, at_station, water_depth
from pondsim.results import Variable, variables
from pondsim.spreadsheet import SheetWriter
from pondsim.units import convert, show, to_si

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]

DEFAULT_NAMES = ("dissolved_oxygen", "water_temperature")
SHORT = {"oxygen": "dissolved_oxygen", "temperature": "water_temperature"}  # what people type
DEFAULT_DEPTHS = ("top", "mid", "bottom")
DIGITS = 6  # of every number, about what single precision keeps


def series_table(
    dataset: xr.Dataset,
    zones: tuple[str, ...],
    depths: tuple[str, ...],
    names: tuple[str, ...],
    system: str = "us",
) -> str:
    """CSV text of series.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.
    zones : tuple of str
        Names of zones; all when empty.
    depths : tuple of str
        Depths with a unit, or names of stations; top, mid and bottom when empty.
    names : tuple of str
        Variables; oxygen and temperature when empty.
    system : {"us", "si"}
        Units.

    Returns
    -------
    str
        Head and one row per time; an empty cell where there is no such water.

    Raises
    ------
    ScenarioError
        An unknown zone, variable or depth, or a depth the zone never has.
    """
    known = [str(zone) for zone in dataset["zone"].values]
    zones = tuple(one_of(zone, known, "zone") for zone in zones) or tuple(known)
    available = [str(name) for name in dataset.data_vars if "time" in dataset[name].dims]
    names = tuple(one_of(SHORT.get(name, name), available, "variable") for name in names) or DEFAULT_NAMES
    places = [_depth(depth) for depth in depths or DEFAULT_DEPTHS]
    columns: dict[str, Array] = {}
    for name in names:
        columns.update(_columns(dataset, name, zones, places, system))
    times = [str(time).replace("T", " ") for time in np.datetime_as_string(dataset["time"].values, unit="m")]
    out = io.StringIO()
    writer = SheetWriter(out)
    writer.writerow(["time", *columns])
    for time, *row in zip(times, *columns.values(), strict=True):
        writer.writerow([time, *(f"{value:.{DIGITS}g}" if np.isfinite(value) else "" for value in row)])
    return out.getvalue()


def one_of(name: str, known: tuple[str, ...] | list[str], kind: str) -> str:
    """`name` if it is known; else an error with the likely one, looked for among short names too."""
    if name in known:
        return name
    short = {word: whole for word, whole in SHORT.items() if whole in known}
    near = difflib.get_close_matches(name, [*known, *short], 1)
    likely = f"; did you mean {short.get(near[0], near[0])}?" if near else "."
    option = "--zone: " if kind == "zone" else ""
    raise ScenarioError(f"{option}there is no {kind} {name!r}{likely} Known: {', '.join(known)}.")


def _depth(text: str) -> tuple[str, float | None]:
    """Words for the head, and metres; None for a station such as top."""
    if text in STATIONS:
        return text, None
    depth = to_si(text, "m")
    if depth < 0.0:
        raise ScenarioError(f"depth {text} is above the water; write a depth below the surface, such as 3 ft")
    return text, depth


def _declared(dataset: xr.Dataset, name: str) -> Variable:
    """The declaration of a variable; one that is not declared is shown as it is kept."""
    if name in variables():
        return variables()[name]
    unit = str(dataset[name].attrs.get("units", "1"))
    return Variable(name, tuple(map(str, dataset[name].dims)), unit, unit, unit, name, "", False, False)


def _columns(
    dataset: xr.Dataset,
    name: str,
    zones: tuple[str, ...],
    places: list[tuple[str, float | None]],
    system: str,
) -> dict[str, Array]:
    """Columns of one variable by their heads."""
    declared = _declared(dataset, name)
    unit = declared.us if system == "us" else declared.si
    values = dataset[name].transpose("time", ...)
    columns: dict[str, Array] = {}
    for words, series in _by_place(dataset, name, zones, places, values):
        shown = series if unit == declared.units else convert(series, declared.units, unit)
        columns[f"{words}{name} [{unit}]"] = shown
    return columns


def _by_place(
    dataset: xr.Dataset,
    name: str,
    zones: tuple[str, ...],
    places: list[tuple[str, float | None]],
    values: xr.DataArray,
) -> list[tuple[str, Array]]:
    """Words that tell the columns of a variable apart, and their values."""
    if "layer" in values.dims:
        return _boxes(dataset, name, zones, places, values)
    if values.ndim == 1:
        return [("", np.asarray(values.values, dtype=float))]
    second = str(values.dims[1])
    keys = zones if second == "zone" else tuple(values[second].values)
    return [(f"{key} ", np.asarray(values.sel({second: key}).values, dtype=float)) for key in keys]


def _boxes(
    dataset: xr.Dataset,
    name: str,
    zones: tuple[str, ...],
    places: list[tuple[str, float | None]],
    values: xr.DataArray,
) -> list[tuple[str, Array]]:
    found: list[tuple[str, Array]] = []
    if values.ndim > 3:
        extra = next(str(dim) for dim in values.dims if dim not in ("time", "zone", "layer"))
        for key in values[extra].values:
            part = dataset.assign({name: values.sel({extra: key}, drop=True)})
            for words, series in _boxes(part, name, zones, places, part[name]):
                found.append((f"{words}{extra} {key} ", series))
        return found
    for words, depth in places:
        if depth is None:
            read = at_station(dataset, name, words)
        else:
            _refuse_too_deep(dataset, zones, words, depth)
            read = at_depth(dataset, name, depth)
        found += [(f"{zone} {words} ", np.asarray(read.sel(zone=zone).values, dtype=float)) for zone in zones]
    return found


def _refuse_too_deep(dataset: xr.Dataset, zones: tuple[str, ...], words: str, depth: float) -> None:
    deepest = dict(zip(map(str, dataset["zone"].values), water_depth(dataset).max(axis=0), strict=True))
    shallow = [
        f"{zone} ({show(deepest[zone], 'ft')}, {show(deepest[zone], 'm')})"
        for zone in zones
        if deepest[zone] < depth
    ]
    if shallow:
        raise ScenarioError(f"depth {words}: deeper than these zones ever are: {', '.join(shallow)}")
