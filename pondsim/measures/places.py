"""A variable at a place people name: a zone and a depth, or top, mid and bottom of a zone.

Between the centres of two layers a value is interpolated linearly; above the highest centre and below the
lowest it stays that of the layer. So a reading does not jump when the grid is refined.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]

STATIONS = ("top", "mid", "bottom", "column")
TOP_METRE = 1.0  # m, "top" is the mean of this much water
ABOVE_BED = 0.3  # m, "bottom" is read this far above the deepest bed
SAMPLES = 10  # depths at which the top is sampled; exact where the profile is linear


def boxes(dataset: xr.Dataset, name: str) -> Array:
    """Values of a box variable as an array (time, zone, layer)."""
    return np.asarray(dataset[name].transpose("time", "zone", "layer").values, dtype=float)


def surface_and_bed(dataset: xr.Dataset) -> tuple[Array, Array]:
    """Elevations of the water surface and of the deepest bed by (time, zone). [m]"""
    tops, bottoms = boxes(dataset, "layer_top_elevation"), boxes(dataset, "layer_bottom_elevation")
    surface = np.max(np.where(np.isfinite(tops), tops, -np.inf), axis=-1)
    bed = np.min(np.where(np.isfinite(bottoms), bottoms, np.inf), axis=-1)
    return surface, bed


def water_depth(dataset: xr.Dataset) -> Array:
    """Depth of water over the deepest bed of each zone, by (time, zone). [m]"""
    surface, bed = surface_and_bed(dataset)
    return surface - bed


def value_at_elevation(values: Array, centres: Array, elevation: Array) -> Array:
    """Profiles read at an elevation, linearly between layer centres.

    Parameters
    ----------
    values, centres : (..., layer) arrays
        Profile, deepest layer first; NaN where there is no layer. [any], [m]
    elevation : (...) array
        Where to read. [m]

    Returns
    -------
    (...) array
        Values; NaN where a profile has no layer at all.
    """
    read = np.full(elevation.shape, np.nan)
    last_centre, last_value = np.full_like(read, np.nan), np.full_like(read, np.nan)
    for layer in range(values.shape[-1]):
        centre, value = centres[..., layer], values[..., layer]
        there = np.isfinite(centre) & np.isfinite(value)
        first = there & np.isnan(last_centre)
        read = np.where(first, value, read)  # holds below the lowest centre
        between = there & ~first & (elevation > last_centre)
        gap = np.where(between, np.maximum(centre - last_centre, 1e-9), 1.0)  # 0 between films of a dry zone
        share = np.clip((elevation - last_centre) / gap, 0.0, 1.0)
        read = np.where(between, last_value + share * (value - last_value), read)
        last_centre, last_value = np.where(there, centre, last_centre), np.where(there, value, last_value)
    return read


def _centres(dataset: xr.Dataset) -> Array:
    return 0.5 * (boxes(dataset, "layer_top_elevation") + boxes(dataset, "layer_bottom_elevation"))


def at_depth(dataset: xr.Dataset, name: str, depth: float) -> xr.DataArray:
    """A box variable at a depth below the surface of each zone.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.
    name : str
        Variable of dimensions time, zone, layer.
    depth : float
        Below the water surface. [m]

    Returns
    -------
    xarray.DataArray
        By (time, zone); NaN while the zone is shallower than `depth`.
    """
    surface, bed = surface_and_bed(dataset)
    read = value_at_elevation(boxes(dataset, name), _centres(dataset), surface - depth)
    return _series(dataset, name, np.where(surface - depth >= bed - 1e-9, read, np.nan))


def at_station(dataset: xr.Dataset, name: str, station: str) -> xr.DataArray:
    """A box variable at the top, mid or bottom of each zone, or over its whole column.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.
    name : str
        Variable of dimensions time, zone, layer.
    station : {"top", "mid", "bottom", "column"}
        Mean of the top metre; half depth; 0.3 m above the deepest bed; mean over the zone's volume.

    Returns
    -------
    xarray.DataArray
        By (time, zone).

    Raises
    ------
    ValueError
        No such station.
    """
    values, centres = boxes(dataset, name), _centres(dataset)
    surface, bed = surface_and_bed(dataset)
    depth = surface - bed
    if station == "top":
        return over_depths(dataset, name, 0.0, TOP_METRE)
    if station == "mid":
        read = value_at_elevation(values, centres, surface - 0.5 * depth)
    elif station == "bottom":
        read = value_at_elevation(values, centres, bed + np.minimum(ABOVE_BED, 0.5 * depth))
    elif station == "column":
        volume = boxes(dataset, "box_volume")
        there = np.isfinite(values) & np.isfinite(volume)
        whole = np.sum(np.where(there, volume, 0.0), axis=-1)
        held = np.sum(np.where(there, volume * values, 0.0), axis=-1)
        read = np.divide(held, whole, out=np.full_like(whole, np.nan), where=whole > 0.0)
    else:
        raise ValueError(f"station {station!r} is none of {', '.join(STATIONS)}")
    return _series(dataset, name, read)


def over_depths(dataset: xr.Dataset, name: str, upper: float, lower: float) -> xr.DataArray:
    """A box variable as the mean between two depths below the surface of each zone.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.
    name : str
        Variable of dimensions time, zone, layer.
    upper, lower : float
        Depths below the water surface; where the zone is shallower the bed takes the place of `lower`. [m]

    Returns
    -------
    xarray.DataArray
        By (time, zone); NaN while the bed lies above `upper`.
    """
    values, centres = boxes(dataset, name), _centres(dataset)
    surface, bed = surface_and_bed(dataset)
    depth = surface - bed
    reach = np.maximum(np.minimum(lower, depth) - upper, 0.0)
    shares = (np.arange(SAMPLES) + 0.5) / SAMPLES
    read = np.mean(
        [value_at_elevation(values, centres, surface - upper - share * reach) for share in shares], axis=0
    )
    return _series(dataset, name, np.where(depth >= upper - 1e-9, read, np.nan))


def _series(dataset: xr.Dataset, name: str, values: Array) -> xr.DataArray:
    """(time, zone) values with the coordinates and attributes of the variable they were read from."""
    template = dataset[name].isel(layer=0, drop=True).transpose("time", "zone")
    return template.copy(data=values)
