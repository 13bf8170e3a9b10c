"""What a figure shows of results: a part of the time, a zone, a variable in the reader's unit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.errors import ScenarioError
from pondsim.results import variables
from pondsim.units import convert

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]
Moment = str | np.datetime64 | None

WORDS = {  # of the variables people ask for most
    "dissolved_oxygen": "oxygen",
    "water_temperature": "temperature",
    "reduced_substances": "bottom oxygen debt",
    "suspended_solids": "suspended solids",
    "chlorophyll": "chlorophyll",
}


def window(dataset: xr.Dataset, start: Moment = None, end: Moment = None) -> xr.Dataset:
    """The results from `start` to `end`, both counted in.

    Raises
    ------
    ScenarioError
        No two results lie there.
    """
    if start is None and end is None:
        return dataset
    times = dataset["time"].values
    first = times[0] if start is None else _instant(start)
    last = times[-1] if end is None else _instant(end)
    there = (times >= first) & (times <= last)
    if there.sum() < 2:
        run = " to ".join(_moment(time) for time in (times[0], times[-1]))
        raise ScenarioError(
            f"from {_moment(first)} to {_moment(last)} there are no results to draw; the run goes from {run}"
        )
    return dataset.isel(time=there)


def _instant(moment: Any) -> np.datetime64:
    """A moment given as text or as numpy's own."""
    return np.datetime64(moment)


def _moment(time: Any) -> str:
    return str(np.datetime_as_string(time, unit="m")).replace("T", " ")


def of_zone(dataset: xr.Dataset, zone: str) -> xr.Dataset:
    """Results of one zone alone; itself where it has no other."""
    return dataset if dataset["zone"].values.tolist() == [zone] else dataset.sel(zone=[zone])


def box_variable(dataset: xr.Dataset, name: str) -> xr.Dataset:
    """The dataset with `name` by (time, zone, layer): settling classes are added up."""
    extra = [dim for dim in dataset[name].dims if dim not in ("time", "zone", "layer")]
    if not extra:
        return dataset
    return dataset.assign({name: dataset[name].sum(extra, skipna=False)})


def words(dataset: xr.Dataset, name: str) -> str:
    """A variable as people call it."""
    declared = variables().get(name)
    return WORDS.get(name) or (declared.long_name if declared else name.replace("_", " "))


def unit_of(dataset: xr.Dataset, name: str, system: str) -> tuple[str, str]:
    """Unit a variable is kept in, and the one people read."""
    declared = variables().get(name)
    if declared is None:
        kept = str(dataset[name].attrs.get("units", "1"))
        return kept, kept
    return declared.units, declared.us if system == "us" else declared.si


def in_unit(dataset: xr.Dataset, name: str, values: Array, system: str) -> Array:
    """Values of a variable in the unit people read."""
    kept, wanted = unit_of(dataset, name, system)
    return values if kept == wanted else np.asarray(convert(values, kept, wanted))


def days_of(dataset: xr.Dataset) -> float:
    """Length of what is shown. [d]"""
    times = dataset["time"].values
    return float((times[-1] - times[0]) / np.timedelta64(1, "s")) / 86400.0
