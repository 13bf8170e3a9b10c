"""What stands in a netCDF 4 file, straight from HDF5: a general reader takes several times as long.

Dimensions, hidden attributes and marks are those of the netCDF 4 format; times and gaps are decoded by
xarray, and only where there are some.
"""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import Any

import h5py
import numpy as np
import xarray as xr

HIDDEN = {
    *("CLASS", "NAME", "DIMENSION_LIST", "REFERENCE_LIST", "DIMENSION_LABELS"),
    *("_Netcdf4Dimid", "_Netcdf4Coordinates", "_nc3_strict", "_NCProperties", "_FillValue"),
}
NO_VARIABLE = b"This is a netCDF dimension but not a netCDF variable"
ENCODED = {"scale_factor", "add_offset", "missing_value"}  # these, and units since a moment, ask for decoding


def read_raw(path: Path, without: Collection[str]) -> xr.Dataset:
    """The variables at the root of a file but those named, and its attributes, in memory.

    Whatever is wrong with the file, any exception of the libraries may come of it.
    """
    plain: dict[str, xr.Variable] = {}
    encoded: dict[str, xr.Variable] = {}
    along: set[str] = set()
    with h5py.File(path, "r") as file:
        for name, stored in file.items():
            marked = bytes(stored.attrs.get("NAME", b"")).startswith(NO_VARIABLE)
            if name in without or marked or not isinstance(stored, h5py.Dataset):
                continue
            attributes = _attributes(stored.attrs)
            along |= set(str(attributes.pop("coordinates", "")).split())
            variable = xr.Variable(_dimensions(file, name, stored), _values(stored), attributes)
            since = " since " in str(attributes.get("units", ""))
            (encoded if since or ENCODED & set(attributes) else plain)[name] = variable
        found = _attributes(file.attrs)
    times = xr.decode_cf(xr.Dataset(encoded), decode_timedelta=False)
    whole = xr.Dataset({**plain, **times.variables}, attrs=found)
    return whole.set_coords([name for name in along if name in whole.variables])


def _dimensions(file: h5py.File, name: str, stored: h5py.Dataset) -> tuple[str, ...]:
    """Names of the scales of a variable; a scale is its own, and what has none counts its axes."""
    if "DIMENSION_LIST" in stored.attrs:
        listed = stored.attrs["DIMENSION_LIST"]
        return tuple(h5py.h5r.get_name(one[0], file.id).decode().lstrip("/") for one in listed)
    if stored.ndim == 1 and stored.attrs.get("CLASS", b"") == b"DIMENSION_SCALE":
        return (name,)
    return tuple(f"axis_{size}" for size in stored.shape)


def _values(stored: h5py.Dataset) -> Any:
    """Numbers and text; what is missing of whole numbers makes them floats."""
    text = h5py.check_string_dtype(stored.dtype)
    if text is not None and text.length is None:
        return np.asarray(stored.asstr()[...], dtype=str)
    values = stored[...]
    if "_FillValue" in stored.attrs and values.dtype.kind in "iuf":
        missing = values == stored.attrs["_FillValue"]
        values = np.where(missing, np.nan, values) if missing.any() else values
    return values


def _attributes(stored: h5py.AttributeManager) -> dict[str, Any]:
    """Attributes that are not those of the format."""
    return {name: _attribute(stored[name]) for name in stored if name not in HIDDEN}


def _attribute(value: Any) -> Any:
    if isinstance(value, h5py.Empty):
        return ""
    if isinstance(value, bytes):
        return value.decode()
    if isinstance(value, np.ndarray):
        return value.reshape(-1)[0] if value.size == 1 else value
    return value
