"""The water that leaves at the outlet, and what the intake draws: flow-weighted, from what was sampled.

Every value is that of all water that passed between two results. Means are weighted by the flow; hours and
extremes count while water flows.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.constants import SALINITY_PER_CHLORINITY, WATER_DENSITY
from pondsim.measures.places import at_station

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]
PLACES = {"outlet": "outflow", "intake": "circulation_flow", "inflow": "inflow"}  # place: its flow
BELOW = (3, 5)  # mg/L
SALTED = 100.0  # mg/L of chloride: storm inflow in summer reaches no more (judgement, as in defaults.toml)
MEANS = {  # variable: word of its measure; those that a file lacks are passed over
    "ammonium": "ammonium",
    "total_phosphorus": "total_phosphorus",
    "dissolved_phosphorus": "dissolved_phosphorus",
    "chlorophyll": "chlorophyll",
    "carbonaceous_bod": "bod",
}


def steps(dataset: xr.Dataset) -> Array:
    """Length of the step that ends at each time, 0 at the first. [s]"""
    times = dataset["time"].values
    return np.concatenate([[0.0], np.diff(times) / np.timedelta64(1, "s")])


def passed_volume(dataset: xr.Dataset, place: str) -> Array:
    """Water that passed a place in the step that ends at each time. [m3]"""
    flow = np.nan_to_num(np.asarray(dataset[PLACES[place]].values, dtype=float))
    return flow * steps(dataset)


def sampled(dataset: xr.Dataset, place: str, name: str) -> Array | None:
    """Concentration of what passed a place; NaN where nothing flowed, None where the file lacks it."""
    variable = f"{place}_{name}"
    return np.asarray(dataset[variable].values, dtype=float) if variable in dataset else None


def weighted_mean(values: Array, volume: Array) -> Array:
    """Mean over time weighted by the water that passed; NaN with none."""
    weight = np.where(np.isfinite(values), volume.reshape(-1, *(1,) * (values.ndim - 1)), 0.0)
    total = weight.sum(axis=0)
    held = np.sum(weight * np.nan_to_num(values), axis=0)
    return np.asarray(np.divide(held, total, out=np.full(np.shape(total), np.nan), where=total > 0.0))


def mass_passed(dataset: xr.Dataset, place: str, name: str) -> float | None:
    """What passed a place over the run, of a variable in mg/L; None where the file lacks it. [kg]"""
    values = sampled(dataset, place, name)
    if values is None:
        return None
    if values.ndim > 1:
        values = values.sum(axis=-1)
    return float(np.sum(np.nan_to_num(values) * passed_volume(dataset, place))) / 1e3


def organic_out(dataset: xr.Dataset) -> float | None:
    """Algae and dead algae that left, dry: at the outlet, and with the splash of the waterfall. [kg]"""
    left = mass_passed(dataset, "outlet", "organic_solids")
    splashed = sampled(dataset, "intake", "organic_solids")
    if left is None or splashed is None or "splash" not in dataset:
        return left
    lost = np.nan_to_num(splashed) * np.nan_to_num(dataset["splash"].values) * steps(dataset)
    return left + float(np.sum(lost)) / 1e3


def solids_removed(dataset: xr.Dataset) -> float:
    """Share of the solids that came in and did not leave, algae and dead algae counted; NaN with none. [1]

    Algae that grow in the pond and leave it count against it, so the share may be negative.
    """
    organic = organic_out(dataset)
    came = float(np.sum(dataset["solids_in_kg"].values))
    came += mass_passed(dataset, "inflow", "organic_solids") or 0.0
    if organic is None or came <= 0.0:
        return float("nan")
    return 1.0 - (float(np.sum(dataset["solids_out_kg"].values)) + organic) / came


def hours_passing(dataset: xr.Dataset, place: str, below: float | None = None) -> float:
    """Hours in which water passes a place, or in which it does with less oxygen than `below` [mg/L]. [h]"""
    oxygen = sampled(dataset, place, "dissolved_oxygen")
    if oxygen is None:
        return float("nan")
    there = np.isfinite(oxygen) if below is None else oxygen < below
    return float(np.sum(steps(dataset)[there])) / 3600.0


def chloride(salinity: Array) -> Array:
    """Chloride that goes with a salinity [g/kg]. [mg/L]"""
    return WATER_DENSITY * salinity / SALINITY_PER_CHLORINITY


def salt_measures(dataset: xr.Dataset) -> Iterator[tuple[str, Any]]:
    """Chloride at the outlet and near the bed; only where salted water comes in during the run."""
    came = sampled(dataset, "inflow", "salinity")
    if came is None or not np.any(chloride(came) > SALTED):
        return
    if "salinity" in dataset:
        near_bed = at_station(dataset, "salinity", "bottom").values
        yield "chloride_bottom_by_zone", np.nanmean(chloride(near_bed), axis=0)
    left = sampled(dataset, "outlet", "salinity")
    if left is not None:
        yield "outlet_chloride_mean", weighted_mean(chloride(left), passed_volume(dataset, "outlet"))
        yield "outlet_chloride_highest", np.nanmax(chloride(left))


def leaving_measures(dataset: xr.Dataset) -> Iterator[tuple[str, Any]]:
    """Measures of what passed outlet and intake, by the names of measures.toml."""
    for place in ("outlet", "intake"):
        oxygen, warmth, solids = (
            sampled(dataset, place, name)
            for name in ("dissolved_oxygen", "water_temperature", "suspended_solids")
        )
        if oxygen is None or warmth is None or solids is None:
            continue
        volume = passed_volume(dataset, place)
        yield f"{place}_oxygen_mean", weighted_mean(oxygen, volume)
        yield f"{place}_oxygen_lowest", np.nanmin(oxygen)
        yield f"{place}_temperature_mean", weighted_mean(warmth, volume)
        yield f"{place}_temperature_highest", np.nanmax(warmth)
        by_class = weighted_mean(solids, volume)
        yield f"{place}_suspended_solids", by_class.sum()
        yield f"{place}_hours", hours_passing(dataset, place)
        for limit in BELOW:
            yield f"{place}_hours_below_{limit}", hours_passing(dataset, place, limit)
        if place == "outlet":
            numbered = {str(number): share for number, share in enumerate(by_class, start=1)}
            yield "outlet_suspended_solids_by_settling_class", numbered
        for name, word in {"organic_solids": "organic_solids", **MEANS}.items():
            values = sampled(dataset, place, name)
            if values is not None:
                yield f"{place}_{word}", weighted_mean(values, volume)
    organic = organic_out(dataset)
    if organic is not None:
        yield "outlet_organic", organic
        yield "solids_removed", solids_removed(dataset)
