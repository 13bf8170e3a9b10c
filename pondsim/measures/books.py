"""What came, went and was spent over a run: oxygen, solids, bed, electricity, water at the outlet."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.measures.places import surface_and_bed

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]


def run_days(dataset: xr.Dataset) -> float:
    """Length of the run. [d]"""
    times = dataset["time"].values
    return float((times[-1] - times[0]) / np.timedelta64(1, "s")) / 86400.0


def integral(dataset: xr.Dataset, name: str) -> Array:
    """Sum over time of a variable kept as the mean over each step, in its unit times seconds.

    The value at the first time belongs to no step of the run and is left out.
    """
    times = dataset["time"].values
    seconds = np.diff(times) / np.timedelta64(1, "s")
    values = np.asarray(dataset[name].transpose("time", ...).values, dtype=float)[1:]
    return np.asarray(np.tensordot(seconds, np.nan_to_num(values), axes=(0, 0)))


def oxygen_budget(dataset: xr.Dataset) -> dict[str, float]:
    """Oxygen into the water by budget line, mean over the run; out of it is negative. [kg/d]"""
    totals = dataset["oxygen_total"].sum("zone")
    days = run_days(dataset)
    return {
        str(line): float(total) / days
        for line, total in zip(totals["oxygen_pathway"].values, totals.values, strict=True)
    }


def electricity(dataset: xr.Dataset) -> dict[str, float]:
    """Electricity used by system and, as "all", in sum. [kWh]"""
    used: dict[str, float] = {}
    if "power_by_unit" in dataset and dataset.sizes["system"]:
        by_system = integral(dataset, "power_by_unit") / 3.6e6
        used = {str(s): float(v) for s, v in zip(dataset["system"].values, by_system, strict=True)}
    return {**used, "all": float(integral(dataset, "power")) / 3.6e6}


def hours_run(dataset: xr.Dataset) -> dict[str, float]:
    """Hours each system ran; empty for results that do not say. [h]"""
    if "running_share" not in dataset or not dataset.sizes["system"]:
        return {}
    hours = integral(dataset, "running_share") / 3600.0
    return {str(s): float(h) for s, h in zip(dataset["system"].values, hours, strict=True)}


def switchings(dataset: xr.Dataset, name: str) -> dict[str, float]:
    """How often each system started or tripped; `name` is "starts" or "trips". [1]"""
    if name not in dataset:
        return {}
    return {str(s): float(n) for s, n in zip(dataset["system"].values, dataset[name].values, strict=True)}


def money(dataset: xr.Dataset) -> dict[str, float]:
    """Cost of electricity over the run, in the currency of the attribute ``currency``.

    Returns
    -------
    dict
        ``energy``, ``demand``, ``fixed`` and ``all``; empty where no tariff was given.
    """
    if "bill_energy_charge" not in dataset:
        return {}
    parts = {part: float(dataset[f"bill_{part}_charge"].sum()) for part in ("energy", "demand", "fixed")}
    return {**parts, "all": sum(parts.values())}


def money_by_system(dataset: xr.Dataset) -> dict[str, float]:
    """Energy charge of each system over the run; demand and fixed charges belong to all together."""
    if "electricity_cost_by_system" not in dataset:
        return {}
    cost = dataset["electricity_cost_by_system"]
    return {str(s): float(c) for s, c in zip(cost["system"].values, cost.values, strict=True)}


def solids_captured(dataset: xr.Dataset) -> tuple[Array, float]:
    """Share of the solids that came in and did not leave, by settling class and in all; NaN with none. [1]

    What still hangs in the water at the end counts as captured.
    """
    came = np.asarray(dataset["solids_in_kg"].values, dtype=float)
    left = np.asarray(dataset["solids_out_kg"].values, dtype=float)
    share = np.divide(left, came, out=np.full_like(came, np.nan), where=came > 0.0)
    whole = float(1.0 - left.sum() / came.sum()) if came.sum() > 0.0 else float("nan")
    return 1.0 - share, whole


def bed_growth(dataset: xr.Dataset) -> Array:
    """Growth of the bed by zone over the run, by what settles alone. [m]"""
    return bed_settled(dataset)[-1]


def bed_settled(dataset: xr.Dataset) -> Array:
    """Growth of the bed since the start by time and zone; what is dredged is not taken off. [m]

    While a zone is dredged its bed lies deeper from one time to the next, and nothing is counted there.
    """
    thickness = dataset["bed_thickness"].transpose("time", "zone").values.astype(float)
    bed = np.minimum.accumulate(surface_and_bed(dataset)[1], axis=0)
    grown = np.where(np.diff(bed, axis=0) < 0.0, 0.0, np.diff(thickness, axis=0))
    return np.concatenate([0.0 * thickness[:1], np.cumsum(grown, axis=0)])


def outlet_totals(dataset: xr.Dataset) -> dict[str, float]:
    """What the pond owes downstream.

    Returns
    -------
    dict
        ``volume_m3`` and ``solids_kg`` that left, ``peak_m3_per_s``, ``highest_surface_m``,
        ``lowest_surface_m``, and ``splash_m3`` and ``seepage_m3`` where the results have them.
    """
    lost = {f"{name}_m3": float(integral(dataset, name)) for name in ("splash", "seepage") if name in dataset}
    return lost | {
        "volume_m3": float(integral(dataset, "outflow")),
        "solids_kg": float(np.nansum(dataset["solids_out_kg"].values)),
        "peak_m3_per_s": float(np.nanmax(dataset["outflow"].values)),
        "highest_surface_m": float(np.nanmax(dataset["water_surface_elevation"].values)),
        "lowest_surface_m": float(np.nanmin(dataset["water_surface_elevation"].values)),
    }
