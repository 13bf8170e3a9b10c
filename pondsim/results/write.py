"""Results to a netCDF file, written beside its place and renamed once it is whole."""

from __future__ import annotations

import io
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.errors import ScenarioError
from pondsim.results.declared import TIME_BOUNDS, describe

if TYPE_CHECKING:
    import xarray as xr

BOX_DIMENSIONS = {"time", "zone", "layer"}
WORTH_PACKING = 100  # values
PACKED = {"compression": "gzip", "compression_opts": 2, "shuffle": True}
CHUNK = 2**20  # bytes of a piece that is packed by itself, about


def check_writable(path: Path) -> None:
    """Make sure that a file can be written at `path`, before long work begins.

    Raises
    ------
    ScenarioError
        The folder does not exist, is none, nothing can be written in it, or a device or pipe is there.
    """
    path = Path(path)
    folder = path.parent
    try:
        if path.is_dir():
            raise ScenarioError(f"{path}: is a folder; give the name of a file in it")
        if path.exists() and not path.is_file():
            raise ScenarioError(f"{path}: is not a regular file; choose another place")
        if not folder.is_dir():
            raise ScenarioError(f"{path}: there is no folder {folder}; make it first or choose another place")
        with written_beside(path) as probe:
            probe.touch()
            probe.unlink()
    except OSError as error:
        raise ScenarioError(f"{path}: cannot be written ({error.strerror}); choose another place") from error


@contextmanager
def written_beside(path: Path) -> Iterator[Path]:
    """A name beside `path` that nobody can guess, to write to; at the end the file takes its place.

    Where the writing fails nothing of it stays.
    """
    partial = path.with_name(f".{path.name[:200]}.{secrets.token_hex(8)}.part")
    try:
        yield partial
        if partial.exists():
            os.replace(partial, path)
    finally:
        with suppress(OSError):  # a read-only disk forbids it; the first error is the one to tell
            partial.unlink(missing_ok=True)


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
    described = _with_bounds(_with_history(describe(dataset)))
    try:
        packed = _packed(described)
        with written_beside(path) as partial:
            partial.write_bytes(packed)
    except OSError as error:
        raise ScenarioError(f"{path}: could not be written ({error.strerror or error})") from error


def _with_history(dataset: xr.Dataset) -> xr.Dataset:
    """With the moment at which it was first written."""
    version = dataset.attrs.get("pondsim_version", "")
    dataset.attrs.setdefault(
        "history", f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ} computed by pondsim {version}"
    )
    return dataset


def _with_bounds(dataset: xr.Dataset) -> xr.Dataset:
    """With the steps over which means were taken, as CF has them: each ends at its time."""
    times = dataset["time"].values
    if times.size > 1:
        begins = np.concatenate([times[:1] - (times[1] - times[0]), times[:-1]])
        dataset["time"].attrs["bounds"] = TIME_BOUNDS
        dataset[TIME_BOUNDS] = (("time", "bound"), np.stack([begins, times], axis=1))
    return dataset


def _packed(dataset: xr.Dataset) -> memoryview:
    """The dataset as the bytes of a netCDF 4 file; box by box values in single precision: seven digits.

    They are packed in memory, because the HDF5 library kills the process where a disk fills up under it.
    """
    import h5netcdf  # noqa: PLC0415  (not wanted for --help)

    memory = io.BytesIO()
    with h5netcdf.File(memory, "w") as file:
        file.dimensions = {str(name): size for name, size in dataset.sizes.items()}
        file.attrs.update(dataset.attrs)
        for name, variable in dataset.variables.items():
            _write_variable(file, str(name), variable, dataset)
    return memory.getbuffer()


def _write_variable(file: Any, name: str, variable: xr.Variable, dataset: xr.Dataset) -> None:
    import h5py  # noqa: PLC0415

    values, attributes, options = variable.values, dict(variable.attrs), {}
    if values.dtype.kind == "M":
        start = dataset["time"].values[0]
        since = np.datetime_as_string(start, unit="s").replace("T", " ")
        values = (values - start).astype("timedelta64[s]").astype(np.int64)
        if name != TIME_BOUNDS:  # bounds have the units of what they bound
            attributes |= {"units": f"seconds since {since}", "calendar": "standard"}
            attributes |= {"units_metadata": "leap_seconds: none"}
    elif values.dtype.kind in "OUS" or (name in dataset.coords and not values.size):
        values, options = values.astype(str).astype(object), {"dtype": h5py.string_dtype()}
    elif values.dtype.kind == "f":
        values = values.astype(np.float32 if set(variable.dims) >= BOX_DIMENSIONS else np.float64, copy=False)
        if name not in dataset.coords:
            options = {"fillvalue": values.dtype.type(np.nan)}
    elif values.dtype.kind == "b":
        values = values.astype(np.int8)
    if "reading_time" in dataset.coords and variable.dims == dataset["reading_time"].dims:
        attributes |= {} if name == "reading_time" else {"coordinates": "reading_time"}
    if values.size > WORTH_PACKING and values.dtype.kind != "O":
        rows = max(1, min(len(values), CHUNK // max(values[:1].nbytes, 1)))
        options |= {**PACKED, "chunks": (rows, *values.shape[1:])}
    options = {"dtype": values.dtype, **options}
    written = file.create_variable(name, variable.dims, **options)
    written[...] = values
    written.attrs.update(attributes)
