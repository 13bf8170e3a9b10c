"""A results file back into memory; one that is damaged or of another program is refused in words."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.errors import ScenarioError
from pondsim.results.declared import RESULTS_FORMAT, TIME_BOUNDS, variables

if TYPE_CHECKING:
    import xarray as xr

LONGEST_NAME = 200  # letters of a name of a zone, a unit or a title: they head columns and pictures
# What an attribute must be where it is there. JSON is checked to be of the kind named.
TEXTS = {"title", "source", "pondsim_version", "scenario_text", "outlet_zone", "criterion", "currency"}
NUMBERS = {
    *("start_dependence_days", "tolerance", "hydraulic_step_s", "normal_pool_m", "latitude_deg"),
    *("longitude_deg", "utc_offset_h", "pump_flow_m3_per_s", "fish_oxygen_mg_per_L"),
    *("fish_temperature_degC", "renewed_within_d", "demand_interval_min"),
}
JSONS: dict[str, type] = {
    **{"layout": dict, "parameters": list, "events": list, "instruments": list, "reading_flags": list},
    "own_limits": list,
    **{"sources": dict, "givens": dict, "design_sheet": dict},
}
NEEDED = (  # attributes that every reader takes for granted
    *("latitude_deg", "longitude_deg", "utc_offset_h", "renewed_within_d"),
    *("fish_oxygen_mg_per_L", "fish_temperature_degC"),
)
MAY_BE_NAN = {"start_dependence_days"}


def load(path: Path | str, without: Iterable[str] = ()) -> xr.Dataset:
    """Read a results file into memory, whole or without some variables.

    Parameters
    ----------
    path : path
        A file that `save` wrote, with this version or another of the same results format.
    without : names, optional
        Variables to leave out, which saves time; the file need not have them.

    Returns
    -------
    xarray.Dataset
        The results.

    Raises
    ------
    ScenarioError
        There is no such file, it is cut short, damaged or of another program, lacks a required variable, or
        is of another results format.
    """
    from pondsim.results.raw import read_raw  # noqa: PLC0415  (half a second, not wanted for --help)

    path, without = Path(path), list(without)
    if not path.is_file():
        raise ScenarioError(f"{path}: there is no such file")
    try:
        dataset = read_raw(path, {*without, TIME_BOUNDS})
    except (OSError, ValueError) as error:
        raise ScenarioError(
            f"{path}: is not a netCDF file or is cut short; write it again with `pondsim run`"
        ) from error
    _refuse_foreign(dataset, path, without)
    faults = [
        *_faults_of_coordinates(dataset),
        *_faults_of_variables(dataset),
        *_faults_of_attributes(dataset),
    ]
    if faults:
        raise ScenarioError(f"{path}: is damaged: {'; '.join(faults[:3])}; run the design again")
    dataset["time"].attrs.pop("bounds", None)
    return dataset


def _refuse_foreign(dataset: xr.Dataset, path: Path, without: list[str]) -> None:
    attributes = dataset.attrs
    if "pondsim_version" not in attributes or "results_format" not in attributes:
        raise ScenarioError(f"{path}: is a netCDF file, but pondsim did not write it")
    if str(attributes["results_format"]) != str(RESULTS_FORMAT):
        raise ScenarioError(
            f"{path}: was written by pondsim {_short(attributes['pondsim_version'])} in results format "
            f"{_short(attributes['results_format'])}; this version reads format {RESULTS_FORMAT}: "
            "run it again"
        )
    needed = [name for name, variable in variables().items() if variable.required and name not in without]
    missing = [name for name in needed if name not in dataset]
    missing += [f"the attribute {name}" for name in NEEDED if name not in attributes]
    if missing:
        raise ScenarioError(f"{path}: lacks {', '.join(missing)}; run the design again")


def _short(value: Any) -> str:
    text = str(value)
    return text if len(text) <= 40 else f"{text[:40]}..."


def _faults_of_coordinates(dataset: xr.Dataset) -> list[str]:
    times = dataset["time"].values if "time" in dataset.coords else np.array([])
    if times.dtype.kind != "M" or times.ndim != 1 or times.size < 2 or np.isnat(times).any():
        return ["its times are none"]
    if (np.diff(times) <= np.timedelta64(0)).any():
        return ["its times do not rise"]
    faults = []
    for name in ("zone", "oxygen_pathway", "unit", "system", "month", "drainage_area"):
        if name not in dataset.dims:
            continue
        names = dataset[name].values.tolist() if name in dataset.coords else []
        if len(set(map(str, names))) < max(len(names), name == "zone") or len(names) != dataset.sizes[name]:
            faults.append(f"its names by {name} are not each there once")
        elif any(not isinstance(one, str) or len(one) > LONGEST_NAME for one in names):
            faults.append(f"a name by {name} is not text, or longer than {LONGEST_NAME} letters")
    if "zone" not in dataset.dims or "layer" not in dataset.dims or not dataset.sizes["layer"]:
        faults.append("it has no zones or no layers")
    return faults


def _faults_of_variables(dataset: xr.Dataset) -> list[str]:
    faults = []
    for name, declared in variables().items():
        if name not in dataset:
            continue
        found = dataset[name]
        if found.dims != declared.dims:
            faults.append(f"{name} has the dimensions ({_short(', '.join(map(str, found.dims)))})")
        elif found.dtype.kind not in "fiu":
            faults.append(f"{name} holds no numbers")
    return faults or _gaps(dataset)


def _gaps(dataset: xr.Dataset) -> list[str]:
    """Required values that are missing, or no numbers, where there is water."""
    boxes = np.isfinite(dataset["box_volume"].values[0]) if "box_volume" in dataset else np.array([[False]])
    faults = [] if boxes.any(axis=1).all() else ["a zone has no water"]
    for name, declared in variables().items():
        if not declared.required or name not in dataset or "time" not in declared.dims:
            continue
        values = dataset[name].values
        where = (slice(None), boxes) if declared.dims[1:] == ("zone", "layer") else ...
        if not np.isfinite(values[where]).all():
            faults.append(f"{name} has gaps")
    return faults


def _faults_of_attributes(dataset: xr.Dataset) -> list[str]:
    attributes = dataset.attrs
    faults = [
        f"attribute {name} is not text" for name in TEXTS if not isinstance(attributes.get(name, ""), str)
    ]
    if not faults and len(attributes.get("title", "")) > LONGEST_NAME:
        faults.append(f"its title is longer than {LONGEST_NAME} letters")
    for name in sorted(NUMBERS & set(attributes)):
        value = attributes[name]
        if not isinstance(value, int | float | np.number) or not (math.isfinite(value) or name in MAY_BE_NAN):
            faults.append(f"attribute {name} is not a number")
    faults += [
        f"attribute {name} is not a number"
        for name, value in attributes.items()
        if str(name).startswith("balance_") and np.asarray(value).dtype.kind != "f"
    ]
    for name, kind in JSONS.items():
        try:
            fits = isinstance(json.loads(attributes.get(name, "{}" if kind is dict else "[]")), kind)
        except (ValueError, TypeError, RecursionError):
            fits = False
        if not fits:
            faults.append(f"attribute {name} cannot be read")
    return faults
