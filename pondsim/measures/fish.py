"""Water fit for fish: the share of the pond's volume with oxygen enough and not too warm."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.measures.places import LAYERS, boxes, once

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]
READ = ("dissolved_oxygen", "water_temperature", *LAYERS)


def _interfaces(values: Array, centres: Array, bottoms: Array, tops: Array) -> tuple[Array, Array]:
    """Values at the bottom and top of each layer, linear between centres, level beyond the outer ones."""
    at_bottom, at_top = values.copy(), values.copy()
    there = np.isfinite(values)
    for k in range(values.shape[-1] - 1):
        both = there[..., k] & there[..., k + 1]
        gap = np.where(both, centres[..., k + 1] - centres[..., k], 1.0)
        share = (tops[..., k] - centres[..., k]) / np.where(gap > 0, gap, 1.0)
        between = values[..., k] + share * (values[..., k + 1] - values[..., k])
        at_top[..., k] = np.where(both, between, values[..., k])
        at_bottom[..., k + 1] = np.where(both, between, values[..., k + 1])
    return at_bottom, at_top


def _interval(start: Array, end: Array) -> tuple[Array, Array]:
    """Where on [0, 1] a straight line from `start` to `end` is not negative; empty ones come out reversed."""
    rise = end - start
    crossing = np.clip(np.divide(-start, rise, out=np.zeros_like(rise), where=rise != 0.0), 0.0, 1.0)
    from_, to = np.zeros_like(rise), np.ones_like(rise)
    from_ = np.where((start < 0.0) & (end >= 0.0), crossing, from_)
    to = np.where((start >= 0.0) & (end < 0.0), crossing, to)
    never = (start < 0.0) & (end < 0.0)
    return np.where(never, 1.0, from_), np.where(never, 0.0, to)


def fit_share(
    margins: list[Array], bottoms: Array, tops: Array, volumes: Array, axis: tuple[int, ...] = (-2, -1)
) -> Array:
    """Share of volume in which every margin is at least zero.

    Parameters
    ----------
    margins : list of (..., zone, layer) arrays
        What must not be negative, at layer centres; NaN where there is no layer. [any]
    bottoms, tops : (..., zone, layer) arrays
        Elevations of the layers. [m]
    volumes : (..., zone, layer) array
        Volumes. [m3]
    axis : tuple of int
        Summed over; the default is the whole pond, (-1,) is by zone.

    Returns
    -------
    array
        Share, 0 to 1; NaN where there is no water. [1]

    Notes
    -----
    Each margin is a straight line between the centres of two layers and each half of a layer holds half of
    its volume, so the share moves smoothly as a profile does.
    """
    share = _fit_of_layers(margins, bottoms, tops)
    return _over(share, volumes, axis)


def _fit_of_layers(margins: list[Array], bottoms: Array, tops: Array) -> Array:
    """Share of each layer in which every margin is at least zero; NaN where one is not known."""
    centres = 0.5 * (bottoms + tops)
    halves_from: list[list[Array]] = [[], []]
    halves_to: list[list[Array]] = [[], []]
    for margin in margins:
        at_bottom, at_top = _interfaces(margin, centres, bottoms, tops)
        for half, (start, end) in enumerate(((at_bottom, margin), (margin, at_top))):
            from_, to = _interval(start, end)
            halves_from[half].append(from_)
            halves_to[half].append(to)
    share = sum(
        0.5 * np.clip(np.min(to, axis=0) - np.max(from_, axis=0), 0.0, 1.0)
        for from_, to in zip(halves_from, halves_to, strict=True)
    )
    return np.where(np.all([np.isfinite(m) for m in margins], axis=0), share, np.nan)


def _over(share: Array, volumes: Array, axis: tuple[int, ...]) -> Array:
    """Share of layers, over some dimensions by their volumes; NaN where there is no water."""
    there = np.isfinite(volumes) & np.isfinite(share)
    whole = np.sum(np.where(there, volumes, 0.0), axis=axis)
    fit = np.sum(np.where(there, volumes * share, 0.0), axis=axis)
    return np.asarray(np.divide(fit, whole, out=np.full_like(whole, np.nan), where=whole > 0.0))


def fit_for_fish(dataset: xr.Dataset, *, by_zone: bool = False) -> Array:
    """Share of volume fit for fish through time, by the limits the scenario states.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results; attributes ``fish_oxygen_mg_per_L`` and ``fish_temperature_degC`` hold the limits.
    by_zone : bool, default False
        By (time, zone) in place of the whole pond by time.

    Returns
    -------
    array
        Share, 0 to 1. [1]
    """
    limits = [float(dataset.attrs[f"fish_{what}"]) for what in ("oxygen_mg_per_L", "temperature_degC")]

    def share() -> Array:
        oxygen = boxes(dataset, "dissolved_oxygen") - limits[0]
        warmth = limits[1] - boxes(dataset, "water_temperature")
        bottoms, tops = (boxes(dataset, f"layer_{end}_elevation") for end in ("bottom", "top"))
        return _fit_of_layers([oxygen, warmth], bottoms, tops)

    found = once(dataset, ("fit for fish", *limits), READ, share)
    return _over(found, boxes(dataset, "box_volume"), (-1,) if by_zone else (-2, -1))
