"""What one storm does: water in and out, levels, detention, solids, and the oxygen of the days after."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.measures.leaving import sampled, weighted_mean
from pondsim.measures.places import at_station

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]

DAYS_AFTER = 5.0  # over which oxygen is watched
MELT_WARMTH = 5.0  # degC, water of melting snow is colder (judgement)
MELT_RAIN = 0.0025  # m, more rain than that is a storm (judgement; 0.1 in)
BACK = 0.1  # share of the rise left when the storm counts as drawn down
NAN = float("nan")
LEAVING = (
    *("outlet_oxygen", "outlet_oxygen_lowest", "outlet_temperature", "outlet_temperature_highest"),
    "organic_out",
)


def event_word(dataset: xr.Dataset) -> str:
    """What brings the water of the attributes ``event_start`` and ``event_end``: "storm" or "snowmelt".

    Snowmelt is cold water that comes in without rain: below 5 degC on the mean, with less than 2.5 mm
    (0.1 in) on the pond. Results that do not hold the temperature of what comes in are taken as a storm.
    """
    warmth = sampled(dataset, "inflow", "water_temperature")
    if warmth is None or "rain_intensity" not in dataset:
        return "storm"
    length, _, during = _steps(dataset)
    mean = float(weighted_mean(warmth, np.nan_to_num(dataset["inflow"].values) * length * during))
    rain = float(np.sum((dataset["rain_intensity"].values * length)[during]))
    return "snowmelt" if mean < MELT_WARMTH and rain < MELT_RAIN else "storm"


def event_measures(dataset: xr.Dataset) -> dict[str, float]:
    """The storm named by the attributes ``event_start`` and ``event_end``.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results with results every quarter of an hour or finer.

    Returns
    -------
    dict
        SI (temperatures in degC, oxygen in mg/L); NaN where a thing does not come to pass within the run:
        rain [m], runoff_AREA [m3] and peak_AREA [m3/s] of each drainage area, water_in by inflow and
        runoff, rain_on_pond (where the results hold it) while the storm lasts, water_out until the
        end of the run [m3], peak_in and peak_out [m3/s], level_before and level_highest [m], rise
        [m], detention [s], drawdown [s], solids_in, solids_out and organic_out [kg], outlet_oxygen,
        outlet_oxygen_lowest, outlet_temperature and outlet_temperature_highest of the water drawn at the
        outlet, phosphorus_out [kg] where it is computed, oxygen_before and oxygen_after: lowest of the top
        meter of any zone in the five days (or as many as there are) before and after the first rain.

    Notes
    -----
    Detention is the time between the centre of the inflow and that of an equal volume leaving after the
    storm began. Drawdown runs from the highest level until a tenth of the rise
    over normal pool, or over the level before where that was higher, is left. Outlet water is what the
    outlet draws by the law of withdrawal; means are weighted by the flow.
    """
    seconds = _seconds(dataset, dataset["time"].values)
    begin = _seconds(dataset, np.datetime64(dataset.attrs["event_start"]))
    length, after, during = _steps(dataset)
    inflow, outflow = (np.nan_to_num(dataset[name].values) for name in ("inflow", "outflow"))
    level = dataset["water_surface_elevation"].values
    found = {"rain": float(np.sum((dataset["rain_intensity"].values * length)[during]))}
    found |= _areas(dataset, length, during)
    found["water_in"] = float(np.sum((inflow * length)[during]))
    if "rain" in dataset:
        found["rain_on_pond"] = float(np.sum((np.nan_to_num(dataset["rain"].values) * length)[during]))
    found["water_out"] = float(np.sum((outflow * length)[after]))
    found["peak_in"] = float(np.max(inflow[during], initial=0.0))
    found["peak_out"] = float(np.max(outflow[after], initial=0.0))
    before = float(level[~after][-1]) if (~after).any() else float(level[0])
    found["level_before"], found["level_highest"] = before, float(np.max(level[after]))
    found["rise"] = found["level_highest"] - before
    found["detention"] = _detention(seconds, length, inflow * during, outflow * after)
    pool = max(before, float(dataset.attrs["normal_pool_m"]))
    found["drawdown"] = _drawdown(seconds, np.where(after, level, -np.inf), pool)
    for name in ("solids_in", "solids_out"):
        found[name] = float(np.sum((dataset[f"{name}_rate"].values * length)[after]))
    return found | _quality(dataset, seconds, begin, np.where(after, outflow * length, 0.0))


def _steps(dataset: xr.Dataset) -> tuple[Array, Array, Array]:
    """Length of each step [s], which lie after the event began, and which of them while it lasts."""
    seconds = _seconds(dataset, dataset["time"].values)
    begin, end = (_seconds(dataset, np.datetime64(dataset.attrs[f"event_{k}"])) for k in ("start", "end"))
    length = np.diff(seconds, prepend=seconds[0])
    after = (seconds > begin) & (length > 0.0)
    return length, after, after & (seconds <= end + 1.0)


def _seconds(dataset: xr.Dataset, moment: Any) -> Any:
    return (moment - dataset["time"].values[0]) / np.timedelta64(1, "s")


def _areas(dataset: xr.Dataset, length: Array, during: Array) -> dict[str, float]:
    found: dict[str, float] = {}
    if "area_flow" not in dataset:
        return found
    for name in dataset["drainage_area"].values:
        flow = dataset["area_flow"].sel(drainage_area=name).values
        found[f"runoff_{name}"] = float(np.sum((flow * length)[during]))
        found[f"peak_{name}"] = float(np.max(flow[during], initial=0.0))
    return found


def _detention(seconds: Array, length: Array, inflow: Array, outflow: Array) -> float:
    """Time between the centres of the inflow and of as much outflow; NaN if so much does not leave. [s]"""
    came, left = np.sum(inflow * length), np.cumsum(outflow * length)
    if came <= 0.0 or left[-1] < came:
        return NAN
    counted = np.diff(np.minimum(left, came), prepend=0.0)
    middle = seconds - 0.5 * length
    return float(np.sum(counted * middle) / came - np.sum(inflow * length * middle) / came)


def _drawdown(seconds: Array, level: Array, before: float) -> float:
    highest = int(np.argmax(level))
    low = np.flatnonzero(level[highest:] <= before + BACK * (level[highest] - before))
    return float(seconds[highest + low[0]] - seconds[highest]) if low.size else NAN


def _quality(dataset: xr.Dataset, seconds: Array, begin: float, left: Array) -> dict[str, float]:
    """The water that leaves from the storm's beginning on, and oxygen of the pond before and after."""
    found = _leaving(dataset, left)
    oxygen = at_station(dataset, "dissolved_oxygen", "top")
    poorest = oxygen.values.min(axis=1, where=np.isfinite(oxygen.values), initial=np.inf)
    span = DAYS_AFTER * 86400.0
    before = poorest[(seconds <= begin) & (seconds >= begin - span)]
    told = float(dataset.attrs.get("oxygen_before_mg_per_L", np.inf))  # of the days before the run began
    found["oxygen_before"] = min(float(np.min(before, initial=np.inf)), told)
    found["oxygen_after"] = float(np.min(poorest[(seconds > begin) & (seconds <= begin + span)]))
    return found


def _leaving(dataset: xr.Dataset, left: Array) -> dict[str, float]:
    """What was drawn at the outlet while `left` [m3] passed; NaN where nothing did, or the file lacks it."""
    found = dict.fromkeys(LEAVING, NAN)
    oxygen, warmth, organic = (
        sampled(dataset, "outlet", name)
        for name in ("dissolved_oxygen", "water_temperature", "organic_solids")
    )
    if oxygen is None or warmth is None or left.sum() <= 0.0:
        return found
    found["outlet_oxygen"] = float(weighted_mean(oxygen, left))
    found["outlet_oxygen_lowest"] = float(np.nanmin(np.where(left > 0.0, oxygen, np.nan)))
    found["outlet_temperature"] = float(weighted_mean(warmth, left))
    found["outlet_temperature_highest"] = float(np.nanmax(np.where(left > 0.0, warmth, np.nan)))
    if organic is not None:
        found["organic_out"] = float(np.sum(np.nan_to_num(organic) * left)) / 1e3
    phosphorus = sampled(dataset, "outlet", "total_phosphorus")  # ug/L
    if phosphorus is not None:
        found["phosphorus_out"] = float(np.sum(np.nan_to_num(phosphorus) * left)) / 1e6
    return found
