"""Circulation: nominal turnover time, days since the waterfall, renewed share. Never to be confused."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.constants import DAY
from pondsim.measures.fish import fit_share
from pondsim.measures.places import at_station, boxes

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]
PLACES = {"top": "near the surface", "bottom": "near the bed"}
FORGOTTEN = 14  # d, ages of a run are zero at its start; so long they are not looked at (judgement)
FOREVER = 1e9  # d, stands for "never" where a profile of days is interpolated


def mean_volume(dataset: xr.Dataset) -> float:
    """Mean volume of the pond over the run. [m3]"""
    return float(np.nansum(dataset["mean_box_volume"].values))


def has_loop(dataset: xr.Dataset) -> bool:
    """Whether a run has a waterfall loop, though it may never have run."""
    by_line = float(dataset.attrs.get("pump_flow_m3_per_s", 0.0)) > 0.0
    return by_line or np.isfinite(nominal_turnover_days(dataset))


def nominal_turnover_days(dataset: xr.Dataset) -> float:
    """Mean volume over the mean pumped flow of the run, standstills included; infinite with none. [d]

    It flatters every design with dead corners: show it only beside the renewed share.
    """
    flow = float(dataset["circulation_flow"].values[1:].mean()) if "circulation_flow" in dataset else 0.0
    return mean_volume(dataset) / flow / DAY if flow > 0.0 else float("inf")


def _ages(dataset: xr.Dataset, name: str) -> tuple[Array, Array]:
    """Steady ages and volumes by (zone, layer); an age that is missing where there is water is infinite."""
    volumes = np.asarray(dataset["mean_box_volume"].transpose("zone", "layer").values, dtype=float)
    ages = np.asarray(dataset[name].transpose("zone", "layer").values, dtype=float)
    there = np.isfinite(volumes) & (volumes > 0.0)
    return np.where(there, np.where(np.isfinite(ages), ages, np.inf), np.nan), np.where(there, volumes, 0.0)


def age_by_zone(dataset: xr.Dataset, name: str = "steady_age_since_waterfall") -> Array:
    """Volume mean of a steady age by zone; infinite where such water never comes. [d]"""
    ages, volumes = _ages(dataset, name)
    held = np.sum(np.where(volumes > 0.0, volumes * np.nan_to_num(ages, posinf=np.inf), 0.0), axis=-1)
    whole = volumes.sum(axis=-1)
    return np.asarray(np.divide(held, whole, out=np.full_like(whole, np.nan), where=whole > 0.0))


def mean_age(dataset: xr.Dataset, name: str = "steady_age_since_waterfall") -> float:
    """Volume mean of a steady age over the pond; infinite where some water never gets there. [d]"""
    ages, volumes = _ages(dataset, name)
    there = volumes > 0.0
    return float(np.sum(ages[there] * volumes[there]) / np.sum(volumes[there]))


def renewed_share(dataset: xr.Dataset, *, by_zone: bool = False, days: float | None = None) -> Array:
    """Share of volume whose steady age since the waterfall is below some days.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.
    by_zone : bool, default False
        By zone in place of the whole pond.
    days : float, optional
        Else the attribute ``renewed_within_d``. [d]

    Returns
    -------
    array
        Share, 0 to 1, interpolated over depth. [1]
    """
    within = float(dataset.attrs["renewed_within_d"] if days is None else days)
    ages, volumes = _ages(dataset, "steady_age_since_waterfall")
    margin = np.where(np.isinf(ages), -FOREVER, within - ages)
    # Mean elevations: a layer that was there for part of the time keeps its place.
    bottoms = _mean_over_time(boxes(dataset, "layer_bottom_elevation"))
    tops = _mean_over_time(boxes(dataset, "layer_top_elevation"))
    return fit_share([margin], bottoms, tops, volumes, axis=(-1,) if by_zone else (-2, -1))


def replaced_share(dataset: xr.Dataset) -> float:
    """Share of the water that has been over the waterfall within the days of ``renewed_within_d``.

    Each place is taken as mixed: 1 - exp(-days/age), mean over volume; 0 where the waterfall never comes. [1]
    """
    within = float(dataset.attrs["renewed_within_d"])
    ages, volumes = _ages(dataset, "steady_age_since_waterfall")
    there = volumes > 0.0
    share = 1.0 - np.exp(-within / np.maximum(ages[there], 1e-9))
    return float(np.sum(share * volumes[there]) / np.sum(volumes[there]))


@dataclass(frozen=True)
class AgeAt:
    """Median age of the water at one place of a run since the waterfall. [d]"""

    zone: str
    depth: str
    days: float


@dataclass(frozen=True)
class RunningAges:
    """Ages since the waterfall in a run: medians of the pond, at places (oldest first), of zones. [d]"""

    pond: float
    places: tuple[AgeAt, ...]
    zones: dict[str, float]


def running_ages(dataset: xr.Dataset) -> RunningAges | None:
    """Ages since the waterfall as they change in the run, near the surface and near the bed of each zone.

    Unlike steady ages they know of stratification. Medians over the run after its first 14 days, as no age
    can be more than the time since the start.

    Returns
    -------
    RunningAges or None
        None where results do not hold these ages, or for less than as long again.
    """
    if "age_since_waterfall" not in dataset:
        return None
    times = dataset["time"].values
    late = times >= times[0] + np.timedelta64(FORGOTTEN, "D")
    if times[-1] < times[0] + np.timedelta64(2 * FORGOTTEN, "D"):
        return None
    found = [
        AgeAt(str(zone), words, float(np.median(series[np.isfinite(series)])))
        for station, words in PLACES.items()
        for zone, series in zip(dataset["zone"].values, _at(dataset, station)[late].T, strict=True)
        if np.isfinite(series).any()
    ]
    ages, volumes = boxes(dataset, "age_since_waterfall")[late], boxes(dataset, "box_volume")[late]
    there = np.isfinite(ages) & np.isfinite(volumes)
    held = np.where(there, ages * volumes, 0.0).sum(axis=2)
    whole = np.where(there, volumes, 0.0).sum(axis=2)
    if not found or not np.all(whole.sum(axis=1) > 0.0):
        return None
    pond = float(np.median(held.sum(axis=1) / whole.sum(axis=1)))
    by_zone = np.divide(held, whole, out=np.full(held.shape, np.nan), where=whole > 0.0)
    zones = {
        str(zone): float(np.median(series[np.isfinite(series)])) if np.isfinite(series).any() else np.nan
        for zone, series in zip(dataset["zone"].values, by_zone.T, strict=True)
    }
    return RunningAges(pond, tuple(sorted(found, key=lambda one: -one.days)), zones)


def _at(dataset: xr.Dataset, station: str) -> Array:
    return np.asarray(at_station(dataset, "age_since_waterfall", station).values, dtype=float)


def _mean_over_time(values: Array) -> Array:
    there = np.isfinite(values)
    count = there.sum(axis=0)
    total = np.where(there, values, 0.0).sum(axis=0)
    return np.divide(total, count, out=np.full(total.shape, np.nan), where=count > 0)
