"""A dataset as the bytes of a netCDF file, and back: general readers and writers take several times as long.

Scales and offsets are decoded by xarray, and only where there are some.
"""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from threading import Lock
from typing import Any

import netCDF4
import numpy as np
import xarray as xr

from pondsim.coordinates import indexed
from pondsim.results.declared import TIME_BOUNDS

BOX_DIMENSIONS = {"time", "zone", "layer"}
WORTH_PACKING = 100  # values of a field; series hardly shrink
PACKED = {"compression": "zlib", "complevel": 1, "shuffle": True}
CHUNK = 2**20  # bytes of a piece that is packed by itself, about
ROOM_FOR_NAMES = 2**20  # bytes that names and attributes take, about; more is made where needed
ONE_AT_A_TIME = Lock()  # the library is not made for several threads
ENCODED = {"scale_factor", "add_offset", "missing_value"}  # these ask for decoding


def read_raw(path: Path, without: Collection[str] = ()) -> xr.Dataset:
    """The variables at the root of a file but those named, and its attributes, in memory.

    Raises
    ------
    OSError
        The file cannot be read.
    ValueError
        It is damaged, or no netCDF file.
    """
    return from_bytes(path.read_bytes(), without)


def from_bytes(content: bytes, without: Collection[str] = ()) -> xr.Dataset:
    """The same of the bytes of a file; ValueError where they are none."""
    try:
        with ONE_AT_A_TIME, netCDF4.Dataset("in memory", "r", memory=content) as file:
            return _dataset_of(file, without)
    except Exception as error:  # of a damaged file the libraries may raise anything
        raise ValueError(f"no netCDF file, or damaged: {error}") from error


def _dataset_of(file: netCDF4.Dataset, without: Collection[str]) -> xr.Dataset:
    plain: dict[str, xr.Variable] = {}
    encoded: dict[str, xr.Variable] = {}
    along: set[str] = set()
    file.set_auto_maskandscale(False)
    file.set_auto_chartostring(False)
    for name, stored in file.variables.items():
        if name in without:
            continue
        attributes = _attributes(stored)
        values = _values(stored, attributes.pop("_FillValue", None))
        along |= set(str(attributes.pop("coordinates", "")).split())
        if " since " in str(attributes.get("units", "")):
            values = _moments(values, attributes.pop("units"), attributes.pop("calendar", "standard"))
        variable = xr.Variable(stored.dimensions, values, attributes)
        (encoded if ENCODED & set(attributes) else plain)[name] = variable
    plain |= xr.conventions.decode_cf_variables(encoded, {}, decode_timedelta=False)[0]
    places = {name: variable for name, variable in plain.items() if variable.dims == (name,)}
    data = {name: variable for name, variable in plain.items() if name not in places}
    whole = xr.Dataset(data, indexed(places), _attributes(file))
    return whole.set_coords([name for name in along if name in whole.variables])


def _moments(values: Any, units: str, calendar: str) -> Any:
    """Times as netCDF4 reads them: xarray would import pint to see whether the numbers are its own."""
    options = {"only_use_cftime_datetimes": False, "only_use_python_datetimes": True}
    return np.array(netCDF4.num2date(values, units, calendar, **options), dtype="datetime64[ns]")


def _values(stored: netCDF4.Variable, missing: Any) -> Any:
    """Numbers and text; what is missing of whole numbers makes them floats."""
    values = stored[...]
    if stored.dtype is str:
        return np.asarray(values, dtype=str)
    if missing is not None and values.dtype.kind in "iu":
        gaps = values == missing
        values = np.where(gaps, np.nan, values) if gaps.any() else values
    return values


def _attributes(stored: netCDF4.Dataset | netCDF4.Variable) -> dict[str, Any]:
    return {name: stored.getncattr(name) for name in stored.ncattrs()}


def to_bytes(dataset: xr.Dataset, boxes: type[np.floating] = np.float64) -> bytes:
    """A dataset as the bytes of a netCDF 4 file.

    It is packed in memory, because the HDF5 library kills the process where a disk fills up under it.

    Parameters
    ----------
    dataset : xarray.Dataset
        Its attributes are numbers, texts or lists of them.
    boxes : type
        In which values box by box are kept: single precision has seven digits.
    """
    with ONE_AT_A_TIME:
        file = netCDF4.Dataset("in memory", "w", memory=dataset.nbytes + ROOM_FOR_NAMES)
        try:
            file.set_fill_off()  # every value is written
            file.setncatts(dataset.attrs)
            for name, size in dataset.sizes.items():
                file.createDimension(str(name), size)
            for name, variable in dataset.variables.items():
                _write_variable(file, str(name), variable, dataset, boxes)
        finally:
            content = file.close()
        return bytes(content[: _end_of(content)])


def _end_of(content: memoryview) -> int:
    """Where a file ends in memory, which the library takes in pieces of 64 kB.

    HDF5 File Format Specification 3.0, superblock of version 2 or 3: end of file address.
    """
    if content[8] not in (2, 3):
        return len(content)
    return int.from_bytes(content[28:36], "little")


def _write_variable(
    file: netCDF4.Dataset, name: str, variable: xr.Variable, dataset: xr.Dataset, boxes: type[np.floating]
) -> None:
    """One variable with its attributes; times count seconds from the first."""
    values, attributes = variable.values, dict(variable.attrs)
    options: dict[str, Any] = {}
    if values.dtype.kind == "M":
        start = dataset["time" if name == TIME_BOUNDS or "time" in dataset.coords else name].values[:1]
        since = np.datetime_as_string(start, unit="s")[0].replace("T", " ")
        values = (values - start).astype("timedelta64[s]").astype(np.int64)
        if name != TIME_BOUNDS:  # bounds have the units of what they bound
            attributes |= {"units": f"seconds since {since}", "calendar": "standard"}
            attributes |= {"units_metadata": "leap_seconds: none"}
    elif values.dtype.kind in "OUS" or (name in dataset.coords and not values.size):
        values = values.astype(str).astype(object)
    elif values.dtype.kind == "f":
        values = values.astype(boxes if set(variable.dims) >= BOX_DIMENSIONS else np.float64, copy=False)
        if name not in dataset.coords:
            options = {"fill_value": values.dtype.type(np.nan)}
    elif values.dtype.kind == "b":
        values = values.astype(np.int8)
    along = [str(one) for one in dataset.coords if one not in dataset.dims and name not in dataset.coords]
    along = [one for one in along if set(dataset.variables[one].dims) <= set(variable.dims)]
    if along:
        attributes |= {"coordinates": " ".join(along)}
    text = values.dtype.kind == "O"
    if values.size > WORTH_PACKING and values.ndim > 2:
        rows = max(1, min(len(values), CHUNK // max(values[:1].nbytes, 1)))
        options |= {**PACKED, "chunksizes": (rows, *values.shape[1:])}
    kind, dims = str if text else values.dtype, [str(name) for name in variable.dims]
    written = file.createVariable(name, kind, dims, **options)
    written.set_auto_maskandscale(False)
    if values.size:
        written[...] = values
    written.setncatts(attributes)
