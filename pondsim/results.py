"""Results as a described dataset, and that dataset as a file on disk and back."""

from __future__ import annotations

import json
import os
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    import xarray as xr

RESULTS_FORMAT = 1  # rises when a file of the older form can no longer be read
TIME_BOUNDS = "time_bounds"  # CF's way to say over which span a mean was taken
BOX_DIMENSIONS = ("time", "zone", "layer")
UDUNITS = {"standard_m3/s": "m3/s"}  # how a unit is spelt for other programs
COORDINATE_ATTRIBUTES = {
    "time": {"standard_name": "time", "long_name": "local standard time", "axis": "T"},
    "zone": {"long_name": "zone of the pond"},
    "layer": {
        "standard_name": "model_level_number",
        "long_name": "layer, 0 is the deepest",
        "positive": "up",
        "axis": "Z",
    },
    "drainage_area": {"long_name": "land that drains to the pond"},
    "settling_class": {"long_name": "settling class, slowest first"},
    "oxygen_pathway": {"long_name": "oxygen budget line"},
    "unit": {"long_name": "aeration unit"},
    "system": {"long_name": "system with an electric meter"},
    "month": {"long_name": "calendar month of the electricity bill"},
}


@dataclass(frozen=True)
class Variable:
    """One output as variables.toml declares it.

    Attributes
    ----------
    name : name in the dataset and in the file
    dims : its dimensions, in order
    units : unit of the values kept
    us, si : unit shown to people
    long_name : what it is, in words
    standard_name : name in the CF table, or "" where none truly fits
    mean : whether a value is the mean over the step that ends at its time
    required : whether a results file must have it
    """

    name: str
    dims: tuple[str, ...]
    units: str
    us: str
    si: str
    long_name: str
    standard_name: str
    mean: bool
    required: bool


@cache
def variables() -> dict[str, Variable]:
    """Every declared output, by name."""
    table = tomllib.loads(files("pondsim.data").joinpath("variables.toml").read_text(encoding="utf-8"))
    return {
        name: Variable(
            name,
            tuple(row["dims"]),
            row["units"],
            row.get("us", row["units"]),
            row.get("si", row["units"]),
            row["long_name"],
            row.get("standard_name", ""),
            row.get("mean", False),
            row.get("required", False),
        )
        for name, row in table.items()
    }


def describe(dataset: xr.Dataset) -> xr.Dataset:
    """Set the attributes of every declared variable, of the coordinates and of the whole.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results; variables that variables.toml does not declare keep what attributes they have.

    Returns
    -------
    xarray.Dataset
        A shallow copy with attributes; values are shared.

    Raises
    ------
    ValueError
        A declared variable has other dimensions than declared.
    """
    described = dataset.copy()
    for name, variable in variables().items():
        if name not in described:
            continue
        if described[name].dims != variable.dims:
            raise ValueError(f"{name} has dimensions {described[name].dims}, declared are {variable.dims}")
        described[name].attrs.update(_attributes(variable))
    for name, attributes in COORDINATE_ATTRIBUTES.items():
        if name in described.coords:
            described[name].attrs.update(attributes)
    described.attrs = {
        "Conventions": "CF-1.11",
        "results_format": RESULTS_FORMAT,
        **{key: _storable(value) for key, value in dataset.attrs.items() if value is not None},
    }
    return described


def _attributes(variable: Variable) -> dict[str, str]:
    """Attributes of one variable, as CF words them."""
    attributes = {"units": UDUNITS.get(variable.units, variable.units), "long_name": variable.long_name}
    if variable.standard_name:
        attributes["standard_name"] = variable.standard_name
    if "time" in variable.dims:
        attributes["cell_methods"] = "time: mean" if variable.mean else "time: point"
    comments = []
    if variable.mean:
        comments.append("mean over the output step that ends at the time given")
    if "layer" in variable.dims:
        comments.append("missing (NaN) where the zone has no such layer")
    if "standard_m3" in variable.units:
        comments.append("standard air: 68 degF and 14.696 psi")
    if comments:
        attributes["comment"] = "; ".join(comments)
    return attributes


def _storable(value: Any) -> Any:
    """`value` as something a file attribute can hold."""
    if isinstance(value, bool | np.bool_):
        return int(value)
    if isinstance(value, str | int | float | np.ndarray | np.number):
        return value
    if isinstance(value, dict):
        return json.dumps(value)
    if isinstance(value, list | tuple) and value:
        return "\n".join(value) if isinstance(value[0], str) else np.asarray(value)
    return str(value)


def check_writable(path: Path) -> None:
    """Make sure that a file can be written at `path`, before long work begins.

    Raises
    ------
    ScenarioError
        The folder does not exist, is none, nothing can be written in it, or a device or pipe is there.
    """
    path = Path(path)
    folder = path.parent
    if path.is_dir():
        raise ScenarioError(f"{path}: is a folder; give the name of a file in it")
    if path.exists() and not path.is_file():
        raise ScenarioError(f"{path}: is no regular file; choose another place")
    if not folder.is_dir():
        raise ScenarioError(f"{path}: there is no folder {folder}; make it first or choose another place")
    probe = _partial(path)
    try:
        probe.touch()
        probe.unlink()
    except OSError as error:
        raise ScenarioError(f"{path}: cannot be written ({error.strerror}); choose another place") from error


def _partial(path: Path) -> Path:
    return path.with_name(f".{path.name}.{os.getpid()}.part")


def save(dataset: xr.Dataset, path: Path | str) -> None:
    """Write results as netCDF; a file already there is replaced only once the new one is whole.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results as `pondsim.run` returns them.
    path : path
        Where to; by custom it ends in ``.nc``.

    Raises
    ------
    ScenarioError
        Nothing can be written there, or the disk is full.
    """
    path = Path(path)
    check_writable(path)
    described = _with_bounds(describe(dataset))
    partial = _partial(path)
    try:
        described.to_netcdf(partial, engine="h5netcdf", encoding=_encoding(described))
        os.replace(partial, path)
    except OSError as error:
        raise ScenarioError(f"{path}: could not be written ({error})") from error
    finally:
        partial.unlink(missing_ok=True)


def _with_bounds(dataset: xr.Dataset) -> xr.Dataset:
    """With the steps over which means were taken, as CF has them: each ends at its time."""
    times = dataset["time"].values
    if times.size > 1:
        begins = np.concatenate([times[:1], times[:-1]])
        ends = np.concatenate([times[1:2], times[1:]])
        dataset["time"].attrs["bounds"] = TIME_BOUNDS
        dataset[TIME_BOUNDS] = (("time", "bound"), np.stack([begins, ends], axis=1))
    return dataset


def _encoding(dataset: xr.Dataset) -> dict[str, dict[str, Any]]:
    """Compressed; box by box values in single precision, which still has seven digits."""
    encoding: dict[str, dict[str, Any]] = {}
    for name, values in dataset.data_vars.items():
        if values.dtype.kind != "f" or not values.size:
            continue
        kind = "float32" if set(BOX_DIMENSIONS) <= set(values.dims) else "float64"
        encoding[str(name)] = {"dtype": kind, "_FillValue": np.array(np.nan, kind)[()]}
        if values.size > 100:
            encoding[str(name)] |= {"zlib": True, "complevel": 4, "shuffle": True}
    if dataset.sizes.get("time"):
        start = np.datetime_as_string(dataset["time"].values[0], unit="s").replace("T", " ")
        encoding["time"] = {"dtype": "int64", "units": f"seconds since {start}", "calendar": "standard"}
    return encoding


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
        There is no such file, it is cut short or of another program, or lacks a required variable, or is of
        another results format.
    """
    import xarray as xr  # noqa: PLC0415  (half a second, not wanted for --help)

    path = Path(path)
    if not path.is_file():
        raise ScenarioError(f"{path}: there is no such file")
    try:
        with xr.open_dataset(
            path,
            engine="h5netcdf",
            decode_timedelta=False,
            drop_variables=list(without),
            phony_dims="access",  # without a word on files of other programs, which are refused below
        ) as opened:
            dataset = opened.load()
    except (OSError, KeyError, ValueError, RuntimeError, AttributeError, TypeError) as error:
        raise ScenarioError(
            f"{path}: is no netCDF file or is cut short; write it again with `pondsim run`"
        ) from error
    _refuse_foreign(dataset, path, without)
    dataset["time"].attrs.pop("bounds", None)
    return dataset.drop_vars(TIME_BOUNDS, errors="ignore")


def _refuse_foreign(dataset: xr.Dataset, path: Path, without: Iterable[str] = ()) -> None:
    attributes = dataset.attrs
    if "pondsim_version" not in attributes or "results_format" not in attributes:
        raise ScenarioError(f"{path}: is a netCDF file, but pondsim did not write it")
    if int(attributes["results_format"]) != RESULTS_FORMAT:
        raise ScenarioError(
            f"{path}: was written by pondsim {attributes['pondsim_version']} in results format "
            f"{attributes['results_format']}; this version reads format {RESULTS_FORMAT}: run it again"
        )
    needed = [name for name, variable in variables().items() if variable.required and name not in without]
    missing = [name for name in needed if name not in dataset]
    if missing:
        raise ScenarioError(f"{path}: lacks {', '.join(missing)}; run the design again")
