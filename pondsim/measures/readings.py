"""Readings that ride along with results, and what the run computed at their place and time."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.measures.living import SECCHI_PRODUCT
from pondsim.measures.places import at_depth, at_elevation, at_station

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]

LEFT_OUT = ("impossible", "out_of_water", "spike", "flat")  # kinds of flags whose readings are not scored
HOUR = 3600.0  # s


@dataclass(frozen=True)
class ReadingFlag:
    """A stretch of readings that looks wrong; `size` and `error` are NaN where they mean nothing.

    Attributes
    ----------
    kind : impossible, out_of_water, spike, flat, step, drift, gap or clock
    instrument, variable : of which; "" where the whole instrument is meant
    first, last : local standard time
    count : readings in it
    size : of a step or drift, in the unit of the readings; of a gap or clock in seconds
    error : by how much a clock's offset may be wrong [s]
    suggested : clock minus UTC that would fit [s]
    """

    kind: str
    instrument: str
    variable: str
    first: np.datetime64
    last: np.datetime64
    count: int
    size: float
    error: float
    suggested: float


@dataclass(frozen=True, eq=False)
class ReadSeries:
    """One quantity of one instrument.

    Attributes
    ----------
    instrument, zone, variable : names; the variable is that of the output it is held against
    depth, elevation : one of both, or neither [m]
    step : median time between readings [h]
    times : (n,) datetime64, local standard time
    values : (n,) in the unit of the output; NaN where there is none
    left_out : (n,) booleans: flagged so that it is not scored
    flags : of this series, and of its instrument as a whole
    services : moments of cleaning or calibration
    coded : values that stood as a gap code
    outside : rows of the instrument outside the period of the results
    """

    instrument: str
    zone: str
    variable: str
    depth: float | None
    elevation: float | None
    step: float
    times: Array
    values: Array
    left_out: Array
    flags: tuple[ReadingFlag, ...]
    services: Array
    coded: int
    outside: int

    @property
    def used(self) -> Array:
        """Values that are scored; NaN elsewhere."""
        return np.where(self.left_out, np.nan, self.values)

    @property
    def impossible(self) -> Array:
        """Which of the values cannot be."""
        stretches = [one for one in self.flags if one.kind == "impossible"]
        inside = [(self.times >= one.first) & (self.times <= one.last) for one in stretches]
        return np.any(inside, axis=0) if inside else np.zeros(self.times.size, dtype=bool)


def read_series(
    dataset: xr.Dataset, variable: str | None = None, zone: str | None = None
) -> list[ReadSeries]:
    """Readings of a results dataset, by instrument and quantity; empty where it holds none.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results, or readings alone.
    variable, zone : str, optional
        Only those of this output, and of this zone.
    """
    try:
        instruments = json.loads(str(dataset.attrs.get("instruments", "[]")))
        flags = [_flag(one) for one in json.loads(str(dataset.attrs.get("reading_flags", "[]")))]
        if "reading_time" not in dataset.coords:
            return []
        found = [
            _series(dataset, place, about, name, flags)
            for place, about in enumerate(instruments)
            for name in about["quantities"]
            if variable in (None, name) and zone in (None, about["zone"])
        ]
    except (KeyError, TypeError, ValueError):
        return []  # of a newer or damaged file; the run itself is still worth reading
    return [one for one in found if np.isfinite(one.values).any()]


def _flag(about: dict[str, Any]) -> ReadingFlag:
    numbers = (
        math.nan if about.get(key) is None else float(about[key]) for key in ("size", "error", "suggested")
    )
    first, last = (np.datetime64(str(about[key]), "s") for key in ("first", "last"))
    kind, instrument, variable = (str(about[key]) for key in ("kind", "instrument", "variable"))
    return ReadingFlag(kind, instrument, variable, first, last, int(about["count"]), *numbers)


def _series(
    dataset: xr.Dataset, place: int, about: dict[str, Any], name: str, flags: list[ReadingFlag]
) -> ReadSeries:
    rows = dataset["reading_instrument"].values == place
    times = dataset["reading_time"].values[rows]
    own = tuple(one for one in flags if one.instrument == about["name"] and one.variable in ("", name))
    left_out = np.zeros(times.size, dtype=bool)
    for one in own:
        if one.kind in LEFT_OUT:
            left_out |= (times >= one.first) & (times <= one.last)
    return ReadSeries(
        str(about["name"]),
        str(about["zone"]),
        name,
        None if about["depth_m"] is None else float(about["depth_m"]),
        None if about["elevation_m"] is None else float(about["elevation_m"]),
        float(about["step_s"]) / HOUR,
        times,
        np.asarray(dataset[f"read_{name}"].values[rows], dtype=float),
        left_out,
        own,
        np.array(about["services"], dtype="datetime64[s]"),
        int(about["gap_codes"].get(name, 0)),
        int(about["outside_period"]),
    )


def computed_line(dataset: xr.Dataset, series: ReadSeries, variable: str | None = None) -> Array | None:
    """What a run computed where an instrument hangs, at the times of the results.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.
    series : ReadSeries
        Says zone, and depth below the surface or elevation; with neither, the mean of the top metre is taken.
    variable : str, optional
        Another output at the same place.

    Returns
    -------
    (n,) array or None
        In the output's unit; NaN while the place is above the water or below the bed. None where the results
        lack the output or the zone.

    Notes
    -----
    Secchi depth is 1.7 over the extinction of the top metre. Source: poole1929.
    """
    name = variable or series.variable
    if name == "secchi_depth" and "light_extinction" in dataset:
        light = computed_line(dataset, replace(series, depth=None, elevation=None), "light_extinction")
        return None if light is None else SECCHI_PRODUCT / light
    if name not in dataset:
        return None
    dims = set(dataset[name].dims)
    if dims == {"time"}:
        return np.asarray(dataset[name].values, dtype=float)
    if not {"time", "zone", "layer"} <= dims or series.zone not in dataset["zone"].values:
        return None
    extra = list(dims - {"time", "zone", "layer"})
    held = dataset.assign({name: dataset[name].sum(extra, skipna=False)}) if extra else dataset
    if series.depth is not None:
        read = at_depth(held, name, series.depth)
    elif series.elevation is not None:
        read = at_elevation(held, name, series.elevation)
    else:
        read = at_station(held, name, "top")
    return np.asarray(read.sel(zone=series.zone).values, dtype=float)


def computed_at(dataset: xr.Dataset, series: ReadSeries, variable: str | None = None) -> Array | None:
    """The same at the times of the readings, by straight lines; NaN outside the run."""
    line = computed_line(dataset, series, variable)
    if line is None:
        return None
    return over_time(dataset["time"].values, line, series.times)


def over_time(times: Array, values: Array, wanted: Array) -> Array:
    """A series at other times by straight lines; NaN outside it, and beside its own NaN."""
    start = times[0]
    at, to = ((one - start) / np.timedelta64(1, "s") for one in (times, wanted))
    found = np.interp(to, at, values)
    return np.where((to >= at[0]) & (to <= at[-1]), found, np.nan)
