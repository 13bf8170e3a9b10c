"""Every measure of one run, named for people and for machines."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim import measures
from pondsim.comparison.electricity import electricity
from pondsim.comparison.entry import Entry
from pondsim.comparison.entry import number as _number

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]

LIMITS = (2, 3, 5)  # mg/L
STATIONS = ("top", "mid", "bottom")
COARSEST = 1.01  # h between results at which daily lows can still be judged
IN_SHORT_TABLE = {("top", 3), ("top", 5), ("bottom", 3)}
LINE_WORDS = {
    "mean_30_day": "30-day mean",
    "mean_7_day": "7-day mean",
    "mean_minimum_7_day": "7-day mean minimum",
    "minimum_1_day": "1-day minimum",
}
BUDGET_WORDS = {
    "surface_exchange": "exchange with the air",
    "waterfall": "waterfall",
    "bubbles": "aeration",
    "photosynthesis": "photosynthesis",
    "respiration": "respiration of algae",
    "organic_decay": "decay of organic matter",
    "nitrification": "nitrification",
    "bed_demand": "bed demand",
    "bottom_debt_oxidation": "bottom oxygen debt",
    "inflow": "carried in",
    "outflow": "carried out",
    "pumped_loss": "splash at the waterfall",
}


def entries(dataset: xr.Dataset) -> dict[str, Entry]:
    """Every measure of a run by its key, in the order they are shown."""
    found: dict[str, Entry] = {}
    fine = measures.step_hours(dataset["time"].values) <= COARSEST
    for part in (
        *((_criteria, _dawn, _hours_below) if fine else ()),  # lows between coarse times are not seen
        _fish,
        _circulation,
        _oxygen_budget,
        _solids,
        electricity,
        _outlet,
    ):
        found.update(part(dataset))
    return found


def _zones(dataset: xr.Dataset) -> list[str]:
    return [str(zone) for zone in dataset["zone"].values]


def _criteria(dataset: xr.Dataset) -> Iterator[tuple[str, Entry]]:
    for station in ("top", "bottom"):
        verdict = measures.judge(dataset, station)
        if not verdict.days:
            continue
        name = verdict.criterion.name
        section = f"Days failing the criteria ({name}), {station}, of {verdict.days}"
        for zone, days in zip(_zones(dataset), verdict.failing, strict=True):
            entry = Entry(section, zone, float(days), "d", "d", "d", -1, station == "top", bool(days))
            yield f"days_failing_{station}.{zone}", entry
        for line, lowest in verdict.lowest.items():
            limit = verdict.criterion.limits[line]
            section = f"Lowest {LINE_WORDS[line]} of oxygen, {station} (criterion {limit:g} mg/L)"
            for zone, value in zip(_zones(dataset), lowest, strict=True):
                low = _number(value)
                fails = low is not None and low < limit
                yield (
                    f"{line}_{station}.{zone}",
                    Entry(section, zone, low, "mg/L", "mg/L", "mg/L", 1, False, fails),
                )


def dawn_oxygen(dataset: xr.Dataset, station: str = "top") -> tuple[Array, Array]:
    """Days, and the lowest oxygen around sunrise by (day, zone). [mg/L]"""
    place = [float(dataset.attrs[key]) for key in ("latitude_deg", "longitude_deg", "utc_offset_h")]
    return measures.dawn_minimum(
        dataset["time"].values,
        measures.at_station(dataset, "dissolved_oxygen", station).values,
        lambda dates: measures.sunrise_hour(dates, *place),
    )


def _dawn(dataset: xr.Dataset) -> Iterator[tuple[str, Entry]]:
    days, oxygen = dawn_oxygen(dataset)
    if not len(days):
        return
    key = str(dataset.attrs.get("criterion", "warm_other"))
    limit = measures.criteria()[key].limits["minimum_1_day"]
    for name, words, numbers, main in (
        ("lowest", "Lowest oxygen at dawn, top", np.nanmin(oxygen, axis=0), True),
        ("mean", "Mean oxygen at dawn, top", np.nanmean(oxygen, axis=0), False),
    ):
        for zone, value in zip(_zones(dataset), numbers, strict=True):
            fails = name == "lowest" and bool(value < limit)
            entry = Entry(words, zone, _number(value), "mg/L", "mg/L", "mg/L", 1, main, fails)
            yield f"dawn_{name}_top.{zone}", entry


def _hours_below(dataset: xr.Dataset) -> Iterator[tuple[str, Entry]]:
    times = dataset["time"].values
    for station in STATIONS:
        oxygen = measures.at_station(dataset, "dissolved_oxygen", station).values
        for limit in LIMITS:
            hours = measures.hours_below(times, oxygen, limit)
            runs = measures.longest_run_below(times, oxygen, limit)
            main = (station, limit) in IN_SHORT_TABLE
            section = f"Hours below {limit} mg/L, {station}"
            for zone, value in zip(_zones(dataset), hours, strict=True):
                yield (
                    f"hours_below_{limit}_{station}.{zone}",
                    Entry(section, zone, _number(value), "h", "h", "h", -1, main),
                )
            section = f"Longest run below {limit} mg/L, {station}"
            for zone, value in zip(_zones(dataset), runs, strict=True):
                yield (
                    f"longest_below_{limit}_{station}.{zone}",
                    Entry(section, zone, _number(value), "h", "h", "h", -1),
                )


def _fish(dataset: xr.Dataset) -> Iterator[tuple[str, Entry]]:
    share = measures.fit_for_fish(dataset)
    section = "Water fit for fish, of the volume"
    for name, words, value in (
        ("mean", "mean", np.nanmean(share)),
        ("p10", "exceeded 90 % of the time", np.nanpercentile(share, 10)),
        ("lowest", "lowest", np.nanmin(share)),
    ):
        yield f"fit_for_fish_{name}", Entry(section, words, _number(value), "1", "%", "%", 1, True)
    by_zone = np.nanmean(measures.fit_for_fish(dataset, by_zone=True), axis=0)
    for zone, value in zip(_zones(dataset), by_zone, strict=True):
        entry = Entry("Water fit for fish by zone, mean", zone, _number(value), "1", "%", "%", 1)
        yield f"fit_for_fish_mean.{zone}", entry


def _circulation(dataset: xr.Dataset) -> Iterator[tuple[str, Entry]]:
    section, within = "Circulation", float(dataset.attrs["renewed_within_d"])
    turnover = _number(measures.nominal_turnover_days(dataset))
    yield "nominal_turnover", Entry(section, "nominal turnover time", turnover, "d", "d", "d", -1, True)
    share = _number(measures.renewed_share(dataset))
    yield (
        "renewed_share",
        Entry(section, f"mean age under {within:g} d", share, "1", "%", "%", 1, True, absent=0.0),
    )
    replaced = _number(measures.replaced_share(dataset))
    label = f"replaced within {within:g} d"
    yield "replaced_share", Entry(section, label, replaced, "1", "%", "%", 1, True, absent=0.0)
    age = _number(measures.mean_age(dataset))
    yield "days_since_waterfall", Entry(section, "days since waterfall", age, "d", "d", "d", -1, True)
    ages, shares = measures.age_by_zone(dataset), measures.renewed_share(dataset, by_zone=True)
    for zone, value in zip(_zones(dataset), ages, strict=True):
        entry = Entry("Days since the waterfall", zone, _number(value), "d", "d", "d", -1, True)
        yield f"days_since_waterfall.{zone}", entry
    for zone, value in zip(_zones(dataset), shares, strict=True):
        entry = Entry(
            f"Mean age since the waterfall under {within:g} d, by zone",
            zone,
            _number(value),
            "1",
            "%",
            "%",
            1,
            absent=0.0,
        )
        yield f"renewed_share.{zone}", entry


def _oxygen_budget(dataset: xr.Dataset) -> Iterator[tuple[str, Entry]]:
    for line, rate in measures.oxygen_budget(dataset).items():
        words = BUDGET_WORDS.get(line, line.replace("_", " "))
        entry = Entry(
            "Oxygen budget, mean; into the water is positive",
            words,
            rate,
            "kg/d",
            "lb/d",
            "kg/d",
            0,
            True,
            absent=0.0,
        )
        yield f"oxygen_budget.{line}", entry


def _solids(dataset: xr.Dataset) -> Iterator[tuple[str, Entry]]:
    by_class, whole = measures.solids_captured(dataset)
    section = "Solids captured"
    yield "solids_captured", Entry(section, "all classes", _number(whole), "1", "%", "%", 1, True)
    for number, share in enumerate(by_class, start=1):
        yield (
            f"solids_captured.{number}",
            Entry(section, f"settling class {number}", _number(share), "1", "%", "%", 1),
        )
    for zone, growth in zip(_zones(dataset), measures.bed_growth(dataset), strict=True):
        yield (
            f"bed_growth.{zone}",
            Entry("Bed growth over the run", zone, _number(growth), "m", "in", "mm", 0, True),
        )


def _outlet(dataset: xr.Dataset) -> Iterator[tuple[str, Entry]]:
    totals, section = measures.outlet_totals(dataset), "Outlet and level"
    yield (
        "outlet_peak",
        Entry(section, "peak outflow", totals["peak_m3_per_s"], "m3/s", "cfs", "L/s", -1, True),
    )
    yield (
        "highest_surface",
        Entry(section, "highest water", totals["highest_surface_m"], "m", "ft", "m", 0, True),
    )
    yield (
        "lowest_surface",
        Entry(section, "lowest water", totals["lowest_surface_m"], "m", "ft", "m", 0, True),
    )
    for name in ("splash", "seepage"):
        lost = totals.get(f"{name}_m3", 0.0)
        if lost:
            words = f"lost to {name}" if lost > 0.0 else "gained through the bed"
            entry = Entry(section, words, abs(lost), "m3", "acre ft", "m3", 0, True, absent=0.0)
            yield f"lost_to_{name}", entry
    yield "outlet_volume", Entry(section, "water out", totals["volume_m3"], "m3", "acre ft", "m3")
    yield "outlet_solids", Entry(section, "solids out", totals["solids_kg"], "kg", "lb", "kg", -1)
