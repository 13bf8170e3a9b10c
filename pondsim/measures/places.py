"""A variable at a place people name: a zone and a depth, or top, mid and bottom of a zone.

At a depth a value is read on a straight line between the centres of two layers; above the highest centre and
below the lowest it stays that of the layer. A mean over some depth takes layers as the means they are, and of
a layer that it cuts the part that a straight line through it gives. So a reading does not jump when the grid
is refined.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]

STATIONS = ("top", "mid", "bottom", "column")
TOP_METRE = 1.0  # m, "top" is the mean of this much water
THIN = 0.01  # m, a range of depths thinner than that is read as a point
LAYERS = ("layer_top_elevation", "layer_bottom_elevation")
ABOVE_BED = 0.3  # m, "bottom" is read this far above the deepest bed

_Found = dict[tuple[Any, ...], tuple[Any, list[Array]]]
_FOUND: ContextVar[_Found | None] = ContextVar("found", default=None)


@contextmanager
def reading_once() -> Iterator[None]:
    """Within it nothing is read at the same place twice; results must not be changed there."""
    if _FOUND.get() is not None:
        yield
        return
    token = _FOUND.set({})
    try:
        yield
    finally:
        _FOUND.reset(token)


def once(dataset: xr.Dataset, what: tuple[Any, ...], names: tuple[str, ...], read: Callable[[], Any]) -> Any:
    """What `read` makes of variables, within `reading_once` made once, kept by the arrays themselves.

    `what` tells apart what is made of the same variables; arrays that come of it must not be changed.
    """
    found = _FOUND.get()
    if found is None:
        return read()
    arrays = [dataset.variables[name].values for name in names]
    key = (*what, *names, *map(id, arrays))
    if key not in found:
        values = read()
        for one in values if isinstance(values, tuple) else (values,):
            one.setflags(write=False)
        found[key] = values, arrays  # held, for no other array to take their place in memory
    return found[key][0]


def boxes(dataset: xr.Dataset, name: str) -> Array:
    """Values of a box variable as an array (time, zone, layer)."""
    found = dataset.variables[
        name
    ]  # itself: with coordinates it takes ten times as long, and pages ask often
    return np.asarray(found.transpose("time", "zone", "layer").values, dtype=float)


def surface_and_bed(dataset: xr.Dataset) -> tuple[Array, Array]:
    """Elevations of the water surface and of the deepest bed by (time, zone). [m]"""
    found: tuple[Array, Array] = once(dataset, ("surface",), LAYERS, lambda: _surface_and_bed(dataset))
    return found


def _surface_and_bed(dataset: xr.Dataset) -> tuple[Array, Array]:
    tops, bottoms = boxes(dataset, "layer_top_elevation"), boxes(dataset, "layer_bottom_elevation")
    surface = np.max(np.where(np.isfinite(tops), tops, -np.inf), axis=-1)
    bed = np.min(np.where(np.isfinite(bottoms), bottoms, np.inf), axis=-1)
    return surface, bed


def lowest_bed(dataset: xr.Dataset) -> Array:
    """Elevation of the deepest bed of each zone, after what was dredged in the run. [m]"""
    return np.asarray(np.min(surface_and_bed(dataset)[1], axis=0), dtype=float)


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


def mean_above(values: Array, tops: Array, bottoms: Array, elevation: Array) -> Array:
    """Mean of profiles over the height from an elevation up to the surface.

    Parameters
    ----------
    values, tops, bottoms : (..., layer) arrays
        Means of the layers, deepest first, and their elevations; NaN where there is no layer. [any], [m]
    elevation : (...) array
        Lowest point of the height, under the surface. [m]

    Returns
    -------
    (...) array
        The values of a layer lie on a straight line through its middle, as steep as the flatter of the two to
        its neighbors, level where it is an extreme: the means of layers and their range are kept. Of a column
        with no height the mean of its layers; NaN where a profile has none.
    """
    there = np.isfinite(values) & np.isfinite(tops) & np.isfinite(bottoms)
    height = np.where(there, tops - bottoms, 0.0)
    low = np.maximum(bottoms, elevation[..., np.newaxis])
    part = np.where(there, np.maximum(tops - low, 0.0), 0.0)
    off = 0.5 * (low - bottoms) / np.where(height > 0.0, height, 1.0)  # of the part's middle, in layers
    value = np.where(there, values + off * _change_over(values), 0.0)
    whole, layers = np.sum(part, axis=-1), np.sum(there, axis=-1)
    level = np.sum(np.where(there, values, 0.0), axis=-1) / np.where(layers > 0, layers, np.nan)
    return np.where(whole > 0.0, np.sum(part * value, axis=-1) / np.where(whole > 0.0, whole, 1.0), level)


def _change_over(values: Array) -> Array:
    """Change from the bottom to the top of each layer, 0 at both ends of a column and at extremes."""
    step = np.diff(values, axis=-1)
    none = np.zeros((*values.shape[:-1], 1))
    up = np.nan_to_num(np.concatenate([step, none], axis=-1))
    down = np.nan_to_num(np.concatenate([none, step], axis=-1))
    return np.where(up * down > 0.0, np.sign(up) * np.minimum(np.abs(up), np.abs(down)), 0.0)


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


def at_elevation(dataset: xr.Dataset, name: str, elevation: float) -> xr.DataArray:
    """A box variable at a fixed elevation, as `at_depth`; NaN while that is above the water or in the bed."""
    surface, bed = surface_and_bed(dataset)
    read = value_at_elevation(boxes(dataset, name), _centres(dataset), np.full_like(surface, elevation))
    there = (elevation <= surface + 1e-9) & (elevation >= bed - 1e-9)
    return _series(dataset, name, np.where(there, read, np.nan))


def at_station(dataset: xr.Dataset, name: str, station: str) -> xr.DataArray:
    """A box variable at the top, mid or bottom of each zone, or over its whole column.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.
    name : str
        Variable of dimensions time, zone, layer.
    station : {"top", "mid", "bottom", "column"}
        Mean of the top meter; half depth; 0.3 m above the deepest bed; mean over the zone's volume.

    Returns
    -------
    xarray.DataArray
        By (time, zone).

    Raises
    ------
    ValueError
        No such station.
    """
    if station == "top":
        return over_depths(dataset, name, 0.0, TOP_METRE)
    names = (name, *LAYERS, *(["box_volume"] if station == "column" else []))
    return _series(
        dataset, name, once(dataset, (station,), names, lambda: _at_station(dataset, name, station))
    )


def _at_station(dataset: xr.Dataset, name: str, station: str) -> Array:
    values = boxes(dataset, name)
    if station in ("mid", "bottom"):
        surface, bed = surface_and_bed(dataset)
        depth = surface - bed
        at = surface - 0.5 * depth if station == "mid" else bed + np.minimum(ABOVE_BED, 0.5 * depth)
        read = value_at_elevation(values, _centres(dataset), at)
    elif station == "column":
        volume = boxes(dataset, "box_volume")
        there = np.isfinite(values) & np.isfinite(volume)
        whole = np.sum(np.where(there, volume, 0.0), axis=-1)
        held = np.sum(np.where(there, volume * values, 0.0), axis=-1)
        read = np.divide(held, whole, out=np.full_like(whole, np.nan), where=whole > 0.0)
    else:
        raise ValueError(f"station {station!r} is none of {', '.join(STATIONS)}")
    return read


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
    read = once(dataset, (upper, lower), (name, *LAYERS), lambda: _over_depths(dataset, name, upper, lower))
    return _series(dataset, name, read)


def _over_depths(dataset: xr.Dataset, name: str, upper: float, lower: float) -> Array:
    values = boxes(dataset, name)
    tops, bottoms = (boxes(dataset, f"layer_{end}_elevation") for end in ("top", "bottom"))
    surface, bed = surface_and_bed(dataset)
    depth = surface - bed
    down = np.minimum(lower, depth)
    read = mean_above(values, tops, bottoms, surface - down)
    if upper > 0.0:  # the mean over both parts, less the part above
        above = mean_above(values, tops, bottoms, surface - np.minimum(upper, depth))
        height = down - upper
        between = (down * read - upper * above) / np.where(height > THIN, height, 1.0)
        at_upper = value_at_elevation(values, 0.5 * (tops + bottoms), surface - upper)
        read = np.where(height > THIN, between, at_upper)
    return np.where(depth >= upper - 1e-9, read, np.nan)


def _series(dataset: xr.Dataset, name: str, values: Array) -> xr.DataArray:
    """(time, zone) values with the coordinates and attributes of the variable they were read from."""
    template = dataset[name].isel(layer=0, drop=True).transpose("time", "zone")
    return template.copy(data=values)
