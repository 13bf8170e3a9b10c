"""Numbers by calendar month: electricity, and the bill where a tariff is given."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]
CHARGES = {  # variable of the results: its word on the bill
    "bill_energy_charge": "energy",
    "bill_demand_charge": "demand",
    "bill_fixed_charge": "fixed",
}


def electricity_by_month(dataset: xr.Dataset) -> tuple[list[str], Array]:
    """Electricity of all equipment by calendar month of local standard time.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.

    Returns
    -------
    months : list of str
        Such as "2025-05", those the run touches.
    used : array
        A step belongs to the month in which it begins. [kWh]
    """
    times = dataset["time"].values
    hours = np.diff(times) / np.timedelta64(1, "s") / 3600.0
    power = np.nan_to_num(np.asarray(dataset["power"].values, dtype=float)[1:]) / 1000.0
    months, place = np.unique(times[:-1].astype("datetime64[M]"), return_inverse=True)
    return [str(month) for month in months], np.bincount(place, power * hours, len(months))


def bill_by_month(dataset: xr.Dataset) -> tuple[list[str], dict[str, Array]] | None:
    """What the electricity costs by month and charge; None where the results have no tariff. [$]"""
    there = [name for name in CHARGES if name in dataset]
    if not there:
        return None
    months = [str(month) for month in dataset["month"].values]
    return months, {CHARGES[name]: np.asarray(dataset[name].values, dtype=float) for name in there}


def energy_billed(dataset: xr.Dataset) -> dict[str, dict[str, float]]:
    """Energy on the bill by system and month; empty where the results have no tariff. [kWh]"""
    if "bill_energy" not in dataset or not dataset.sizes.get("system", 0):
        return {}
    table = dataset["bill_energy"].transpose("system", "month")
    months = [str(month) for month in dataset["month"].values]
    return {
        str(system): dict(zip(months, map(float, used), strict=True))
        for system, used in zip(table["system"].values, table.values, strict=True)
    }


def peak_power_billed(dataset: xr.Dataset) -> dict[str, float]:
    """Highest power of each month over the demand interval; empty where there is no tariff. [kW]"""
    if "bill_peak_power" not in dataset:
        return {}
    months = [str(month) for month in dataset["month"].values]
    return dict(zip(months, map(float, dataset["bill_peak_power"].values), strict=True))
