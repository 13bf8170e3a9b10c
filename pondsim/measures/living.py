"""Smell, green water, phosphorus and the bed of one run."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from pondsim.measures.books import bed_growth, integral
from pondsim.measures.places import at_depth, at_station
from pondsim.measures.series import dawn_minimum, hours_below
from pondsim.measures.sun import sunrise_hour

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]
NOSE = 0.1  # m below the surface at which debt is read (judgement)
SMELL = 0.5  # mg/L, in results that do not name their limit
SECCHI_PRODUCT = 1.7  # Secchi depth times extinction, as in physics.light (poole1929)
# What results of grown algae have beside those of given ones.
OF_GROWN = ("chlorophyll", "total_phosphorus", "light_extinction", "bed_demand_at_20", "phosphorus_out_rate")
APART = 6.0  # h of clean surface that make two spells of one


class Spell(NamedTuple):
    """Bottom water at the surface of a zone."""

    zone: str
    begin: np.datetime64
    end: np.datetime64


def smell_limit(dataset: xr.Dataset) -> float:
    """Bottom oxygen debt at the surface that counts as smell. [mg/L]"""
    return float(dataset.attrs.get("smell_debt_mg_per_L", SMELL))


def smell_hours(dataset: xr.Dataset) -> Array:
    """Hours with smell by zone; straight lines between results. [h]"""
    debt = at_depth(dataset, "reduced_substances", NOSE).values
    return hours_below(dataset["time"].values, -debt, -smell_limit(dataset))


def smell_spells(dataset: xr.Dataset) -> list[Spell]:
    """Every spell of smell, in order; hours between results count from the first that has it to the last."""
    if "reduced_substances" not in dataset:
        return []
    times = dataset["time"].values
    debt = np.nan_to_num(at_depth(dataset, "reduced_substances", NOSE).values)
    found: list[Spell] = []
    for place, zone in enumerate(dataset["zone"].values):
        there = times[debt[:, place] > smell_limit(dataset)]
        if not there.size:
            continue
        breaks = np.flatnonzero(np.diff(there) / np.timedelta64(1, "h") > APART)
        begins, ends = np.append(0, breaks + 1), np.append(breaks, there.size - 1)
        found += [Spell(str(zone), there[a], there[b]) for a, b in zip(begins, ends, strict=True)]
    return sorted(found, key=lambda spell: spell.begin)


def year_numbers(dataset: xr.Dataset) -> dict[str, float]:
    """What a year of a pond with grown algae amounts to.

    Returns
    -------
    dict
        ``demand`` of the bed at 20 degC at the end [g/m2/d], ``dawn`` oxygen of the zone with the least,
        lowest 5 % of days [mg/L], ``chlorophyll`` and ``phosphorus`` of the top metre [ug/L], ``captured``
        share of the phosphorus [1], ``smell`` hours of the zone with most [h], ``muck`` growth of the bed [m]
    """
    area = np.asarray(dataset["zone_area"].values, dtype=float)
    share = area / area.sum()
    place = [float(dataset.attrs[key]) for key in ("latitude_deg", "longitude_deg", "utc_offset_h")]
    top = at_station(dataset, "dissolved_oxygen", "top").values
    _, dawns = dawn_minimum(dataset["time"].values, top, lambda dates: sunrise_hour(dates, *place))
    came, left = (float(integral(dataset, f"phosphorus_{way}_rate")) for way in ("in", "out"))
    means = {
        name: float(np.nanmean(at_station(dataset, variable, "top").values, axis=0) @ share)
        for name, variable in (("chlorophyll", "chlorophyll"), ("phosphorus", "total_phosphorus"))
    }
    return means | {
        "demand": float(dataset["bed_demand_at_20"].transpose("time", "zone").values[-1] @ share),
        "dawn": float(np.nanquantile(dawns, 0.05, axis=0).min()),
        "captured": 1.0 - left / came if came > 0.0 else float("nan"),
        "smell": float(np.max(smell_hours(dataset))),
        "muck": float(bed_growth(dataset) @ share),
    }


def living_measures(dataset: xr.Dataset) -> Iterator[tuple[str, Any]]:
    """Measures by name; those of grown algae only where they grow."""
    if "reduced_substances" in dataset:
        yield "hours_smell_by_zone", smell_hours(dataset)
    if not set(OF_GROWN) <= set(dataset.variables):
        return
    yield "chlorophyll_by_zone", np.nanmean(at_station(dataset, "chlorophyll", "top").values, axis=0)
    extinction = np.nanmedian(at_station(dataset, "light_extinction", "top").values, axis=0)
    yield "clarity_by_zone", SECCHI_PRODUCT / extinction
    yield "phosphorus_by_zone", np.nanmean(at_station(dataset, "total_phosphorus", "top").values, axis=0)
    came, left = (float(integral(dataset, f"phosphorus_{way}_rate")) for way in ("in", "out"))
    yield "phosphorus_captured", 1.0 - left / came if came > 0.0 else np.nan
    yield "outlet_phosphorus", left
    yield "bed_demand_by_zone", dataset["bed_demand_at_20"].transpose("time", "zone").values[-1]
