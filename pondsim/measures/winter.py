"""Ice: on how many days, how thick, and the oxygen under it; of results that hold `ice_thickness`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.measures.places import at_station
from pondsim.measures.series import hours_below

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]

LIES = 0.01  # m of ice, mean of the zone, from which ice counts as lying (judgement)


def days_with_ice(dataset: xr.Dataset) -> Array:
    """Days on which a centimetre of ice or more lies, by zone. [d]"""
    thick = dataset["ice_thickness"].transpose("time", "zone").values
    hours = hours_below(dataset["time"].values, -thick, -LIES)
    return np.asarray(hours / 24.0)


def thickest_ice(dataset: xr.Dataset) -> Array:
    """Greatest thickness of ice, mean of the zone, by zone. [m]"""
    return np.asarray(dataset["ice_thickness"].transpose("time", "zone").values.max(axis=0))


def lowest_under_ice(dataset: xr.Dataset) -> Array:
    """Lowest oxygen under ice, mean of the column, by zone; NaN where no ice lay. [mg/L]"""
    thick = dataset["ice_thickness"].transpose("time", "zone").values
    oxygen = at_station(dataset, "dissolved_oxygen", "column").transpose("time", "zone").values
    lowest = np.where(thick >= LIES, oxygen, np.inf).min(axis=0, initial=np.inf)
    return np.where(np.isfinite(lowest), lowest, np.nan)
