"""Hold a run of a scenario against the ranges that a shallow eutrophic stormwater pond falls into.

    python docs/studies/plausible.py [SCENARIO] [--given] [KEY=VALUE ...]

With no scenario it is the demo's existing pond. Algae are given with --given. KEY=VALUE sets any key of the
scenario, such as bed.oxygen_demand="1.5 g/m2/d". It prints each range beside the number of the run, in the deepest
zone where a number belongs to one, and the lowest and highest of all zones.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import xarray as xr

from pondsim.measures import at_depth, at_station, dawn_oxygen, measures_of
from pondsim.scenario.read import read_scenario
from pondsim.scenario.values import with_value
from pondsim.simulate import run

DEMO = Path(__file__).parents[2] / "scenarios" / "campus" / "existing.toml"
STARTER = Path(__file__).parents[2] / "pondsim" / "starter" / "existing.toml"
NAMES = {
    "chlorophyll": "chlorophyll, top meter, median [ug/L]",
    "dawn": "dawn oxygen, top meter, median [mg/L]",
    "dawn_5": "dawn oxygen, lowest 5 % [mg/L]",
}
SECCHI = 1.7  # Secchi depth times extinction
INCH = 0.0254
Array = np.ndarray


@dataclass(frozen=True)
class Range:
    """A published or judged range: what it is, low, high, unit, and where it is from."""

    item: str
    low: float
    high: float
    unit: str
    source: str


RANGES = {
    "afternoon": Range("afternoon surface saturation, sunny days", 105, 220, "%", "judgement; bubbles"),
    "swing": Range("daily swing of oxygen, top meter", 2, 10, "mg/L", "Szyper; night use"),
    "night": Range("fall of oxygen at night", 0.15, 0.4, "mg/L/h", "Hornbach 2020"),
    "production": Range("gross production", 3, 12, "g/m2/d", "Hornbach 2020; ceiling by light"),
    "respired": Range("oxygen used over gross production", 0.8, 1.7, "1", "Hornbach 2020"),
    "warm_shallow": Range("top less bottom, hot afternoon, 1 to 1.5 m deep", 1, 5, "K", "common practice"),
    "warm_deep": Range("top less bottom, hot afternoon, 2 to 3.5 m deep", 4, 12, "K", "common practice"),
    "bottom": Range("oxygen 0.3 m over the deepest bed, stratified", 0, 2, "mg/L", "Taguchi 2020"),
    "depletion": Range("loss of oxygen below 2 m while there is any", 0.4, 2.5, "mg/L/d", "budget"),
    "growth": Range("growth of the bed away from the inlet", 0.02, 0.2, "in/yr", "Schroer 2018"),
    "forebay": Range("growth of the bed at the inlet", 0.2, 2, "in/yr", "common practice"),
    "solids": Range(
        "suspended solids captured, algae that leave counted", 50, 90, "%", "Minnesota manual; Chretien 2016"
    ),
    "phosphorus": Range("total phosphorus captured", 20, 65, "%", "Minnesota manual; Toronto 2024"),
    "total_p": Range("total phosphorus near the surface", 50, 500, "ug/L", "Taguchi 2020"),
    "secchi": Range("Secchi depth", 0.2, 1.0, "m", "Chang and Ouyang 1988"),
}


def _hours(dataset: xr.Dataset) -> tuple[Array, Array]:
    times = dataset["time"].values
    days = times.astype("datetime64[D]")
    return days, (times - days) / np.timedelta64(1, "h")


def _by_day(dataset: xr.Dataset, values: Array, begin: float, end: float, reduce) -> Array:
    days, hour = _hours(dataset)
    here = (hour >= begin) & (hour < end)
    return np.array([reduce(values[(days == day) & here], axis=0) for day in np.unique(days)[1:-1]])


def _sunny(dataset: xr.Dataset) -> Array:
    sun = _by_day(dataset, dataset["shortwave"].values, 0, 24, np.mean)
    return sun >= np.median(sun)


def _hot(dataset: xr.Dataset) -> Array:
    air = _by_day(dataset, dataset["air_temperature"].values, 12, 18, np.mean)
    return air >= np.quantile(air, 0.9)


def _depletion(dataset: xr.Dataset, zone: int) -> float:
    """Median daily fall of oxygen in the water under 2 m, over days that begin above 1.5 mg/L."""
    centre = 0.5 * (dataset["layer_top_elevation"] + dataset["layer_bottom_elevation"]).values[:, zone]
    under = centre < dataset["water_surface_elevation"].values[:, None] - 2.0
    volume = np.where(under, dataset["box_volume"].values[:, zone], 0.0)
    oxygen = np.nan_to_num(dataset["dissolved_oxygen"].values[:, zone])
    mean = (volume * oxygen).sum(1) / np.maximum(volume.sum(1), 1e-9)
    daily = _by_day(dataset, mean, 5, 7, np.mean)
    fall = daily[:-1] - daily[1:]
    falls = fall[(daily[:-1] > 1.5) & (fall > 0.0)]
    return float(np.median(falls)) if falls.size else float("nan")


def _median(values: Array) -> float:
    """Median, NaN of nothing."""
    return float(np.median(values)) if values.size else float("nan")


def numbers(dataset: xr.Dataset) -> dict[str, Array]:
    """Each number of the ranges by zone, or one for the pond."""
    days = float((dataset["time"].values[-1] - dataset["time"].values[0]) / np.timedelta64(1, "D"))
    oxygen = at_station(dataset, "dissolved_oxygen", "top").values
    share = (
        at_depth(dataset, "dissolved_oxygen", 0.15).values
        / at_depth(dataset, "oxygen_saturation", 0.15).values
    )
    warm = at_station(dataset, "water_temperature", "top").values
    cold = at_station(dataset, "water_temperature", "bottom").values
    bottom = at_station(dataset, "dissolved_oxygen", "bottom").values
    made = dataset["oxygen_total"].sum("zone").to_series()
    area = float(dataset["zone_area"].sum())
    used = -sum(
        made[line]
        for line in ("respiration", "organic_decay", "nitrification", "bed_demand", "bottom_debt_oxidation")
    )
    found = measures_of(dataset)
    grown = (dataset["bed_thickness"].values[-1] - dataset["bed_thickness"].values[0]) / INCH * 365.0 / days
    swing = _by_day(dataset, oxygen, 0, 24, np.max) - _by_day(dataset, oxygen, 0, 24, np.min)
    evening, morning = (_by_day(dataset, oxygen, h, h + 1, np.mean) for h in (21, 5))
    stratified = np.median(warm - cold) if warm.shape[1] == 1 else 2.0
    zones = range(bottom.shape[1])
    answer: dict[str, Array] = {
        "afternoon": 100.0 * np.nanmedian(_by_day(dataset, share, 14, 18, np.mean)[_sunny(dataset)], axis=0),
        "swing": np.median(swing, axis=0),
        "night": np.median((evening[:-1] - morning[1:]) / 8.0, axis=0),
        "production": np.array([made["photosynthesis"] * 1e3 / days / area]),
        "respired": np.array([used / made["photosynthesis"]]),
        "warm": np.median(_by_day(dataset, warm - cold, 14, 17, np.mean)[_hot(dataset)], axis=0),
        "bottom": np.array([_median(bottom[warm[:, z] - cold[:, z] > stratified, z]) for z in zones]),
        "depletion": np.array([_depletion(dataset, z) for z in zones]),
        "thickness": grown,
        "solids": np.array([100.0 * float(found["solids_removed"])]),
    }
    if "total_phosphorus" in dataset:
        came, left = (np.nansum(dataset[f"phosphorus_{way}_rate"].values[1:]) for way in ("in", "out"))
        chlorophyll = at_station(dataset, "chlorophyll", "top").values
        answer |= {
            "phosphorus": np.array([100.0 * (1.0 - left / came)]),
            "total_p": np.median(at_station(dataset, "total_phosphorus", "top").values, axis=0),
            "secchi": SECCHI / np.median(at_station(dataset, "light_extinction", "top").values, axis=0),
            "chlorophyll": np.median(chlorophyll, axis=0),
        }
    _, dawn = dawn_oxygen(dataset)
    answer |= {"dawn": np.nanmedian(dawn, axis=0), "dawn_5": np.nanquantile(dawn, 0.05, axis=0)}
    return answer


def _depths(dataset: xr.Dataset) -> Array:
    top = np.nanmax(dataset["layer_top_elevation"].values[0], axis=-1)
    return top - np.nanmin(dataset["layer_bottom_elevation"].values[0], axis=-1)


def judged(dataset: xr.Dataset) -> list[tuple[str, float, float, float, bool | None]]:
    """Rows: key of the range, number of the deepest zone, lowest and highest of all, whether it is inside."""
    found, depth = numbers(dataset), _depths(dataset)
    deep = int(np.argmax(depth))
    inlet = int(np.argmax(found["thickness"]))
    shallow = np.flatnonzero((depth > 1.0) & (depth < 1.6))
    chosen: dict[str, tuple[Array, int]] = {key: (found[key], deep) for key in RANGES if key in found}
    if shallow.size:
        chosen["warm_shallow"] = (found["warm"][shallow], 0)
    if depth[deep] >= 2.0:
        chosen["warm_deep"] = (found["warm"][[deep]], 0)
    chosen["growth"] = (np.delete(found["thickness"], inlet), 0)
    if inlet != deep:  # a forebay, not the pond itself
        chosen["forebay"] = (found["thickness"][[inlet]], 0)
    rows = []
    for key, limits in RANGES.items():
        if key in chosen:
            values, place = chosen[key]
            value = float(values[place if values.size > 1 else 0])
            if key in ("growth", "warm_shallow"):
                value = float(np.median(values))
            rows.append(
                (
                    key,
                    value,
                    float(np.nanmin(values)),
                    float(np.nanmax(values)),
                    limits.low <= value <= limits.high,
                )
            )
    for key in ("chlorophyll", "dawn", "dawn_5"):
        if key in found:
            rows.append(
                (key, float(found[key][deep]), float(found[key].min()), float(found[key].max()), None)
            )
    return rows


def lines_of(dataset: xr.Dataset) -> list[str]:
    """The table as printed."""
    head = f"{'what':56s}{'low':>7s}{'high':>7s}{'here':>9s}  {'zones':>15s}"
    out = [head]
    for key, value, low, high, inside in judged(dataset):
        limits = RANGES.get(key)
        words = f"{limits.item} [{limits.unit}]" if limits else NAMES[key]
        bounds = f"{limits.low:7g}{limits.high:7g}" if limits else " " * 14
        mark = "" if inside in (True, None) else "  outside"
        out.append(f"{words:56s}{bounds}{value:9.3g}  {low:7.3g}{high:8.3g}{mark}")
    return out


def main(arguments: list[str]) -> None:
    """Run and print."""
    given = "--given" in arguments
    changes = [a for a in arguments if "=" in a]
    files = [a for a in arguments if "=" not in a and not a.startswith("--")]
    scenario = read_scenario(Path(files[0]) if files else DEMO)
    if given:
        scenario = with_value(scenario, "algae.mode", "given")
    for change in changes:
        key, _, value = change.partition("=")
        scenario = with_value(scenario, key, value)
    begin = time.time()
    dataset = run(scenario, how_long_start_matters=False)
    print(f"{scenario.title}, {' '.join(changes)}: {time.time() - begin:.0f} s")
    print("\n".join(lines_of(dataset)))


if __name__ == "__main__":
    main(sys.argv[1:])
