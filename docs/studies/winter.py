"""A cold pond over a year, with and without air in winter and salt: figure and numbers of docs/winter.md."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import xarray as xr
from common import DOCS, bottom, computed, fill, save, table

from pondsim.figures.ice import ice_and_oxygen
from pondsim.measures import at_station
from pondsim.measures.winter import days_with_ice, lowest_under_ice, thickest_ice
from pondsim.physics.water import pond_density
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Scenario

COLD = DOCS.parent / "scenarios" / "cold_pond"
ZONE = "basin"
EARLY = ("2025-11-20", "2025-12-20")  # the first month under ice, before oxygen is short
WINTER = slice("2025-11-15", "2026-04-30")
SPRING = slice("2026-03-25", "2026-06-30")
FED = 4.0  # mg/L near the bed, which tells that the pond has turned over
M_IN_INCH = 0.0254
SKIN = 0.005  # m of ice that count as none
WIND_WORK = (0.4, 1.25)  # rho u*^3 that goes into lifting heavy water: lakes; a laboratory (from memory)
WEEKLY = tuple(datetime(2026, 1, 20, 11) + timedelta(days=7 * k) for k in range(9))


def main() -> None:
    """Run the pond as it is, with air in summer, with air all year, and without salt; draw and count."""
    existing = read_scenario(COLD / "existing.toml")
    runs = {
        "existing": computed(existing),
        "air May to October": computed(read_scenario(COLD / "air_in_summer.toml")),
        "air all year": computed(read_scenario(COLD / "air_all_year.toml")),
        "existing, no road salt": computed(replace(existing, inflow=())),
    }
    designs = [runs[name] for name in ("existing", "air May to October", "air all year")]
    save(ice_and_oxygen(designs, start="2025-11-01", end="2026-05-15"), "winter")
    fill("winter.md", "designs", _designs(runs))
    fill("winter.md", "words", _words(runs))
    fill("winter.md", "salt", _locked())


def _day(series: xr.DataArray) -> str:
    """First day on which something holds, from the part of the run that is given."""
    found = series["time"].values[series.values]
    return "never" if not found.size else f"{found[0].astype('datetime64[D]').item():%-d %B}"


def _designs(runs: dict[str, xr.Dataset]) -> str:
    rows = []
    for name, pond in runs.items():
        place = [str(zone) for zone in pond["zone"].values].index(ZONE)
        january = float(bottom(pond, ZONE, "water_temperature").sel(time="2026-01").mean())
        fed = bottom(pond, ZONE).sel(time=SPRING).rolling(time=24).min() > FED
        salt = float(bottom(pond, ZONE, "salinity").sel(time="2026-04-01").mean())
        above = float(at_station(pond, "salinity", "top").sel(zone=ZONE, time="2026-04-01").mean())
        rows.append(
            [
                name,
                f"{days_with_ice(pond)[place]:.0f}",
                f"{thickest_ice(pond)[place] / M_IN_INCH:.0f}",
                f"{lowest_under_ice(pond)[place]:.1f}",
                f"{january:.1f}",
                f"{1e3 * (salt - above):.0f}",
                _day(fed),
            ]
        )
    head = [
        ZONE,
        "days with ice",
        "thickest, in",
        "lowest oxygen under ice, mean of the column, mg/L",
        "near the bed in January, degC",
        "salt near the bed over the top on 1 April, mg/L",
        f"bottom above {FED:.0f} mg/L for a day, from 25 March",
    ]
    return table(head, rows)


def salted(times: float, weekly: bool = False) -> Scenario:
    """The cold pond to the end of June, its meltwater so many times as salty; or a thaw each week, all alike."""
    pond = read_scenario(COLD / "existing.toml")
    thaws = tuple(replace(one, chloride=times * one.chloride) for one in pond.inflow)
    if weekly:
        thaws = tuple(replace(thaws[1], start=day) for day in WEEKLY)
    period = replace(pond.period, end=datetime(2026, 7, 1))
    bed = replace(pond.bed, passes=0)
    return replace(pond, inflow=thaws if times else (), period=period, bed=bed)


def open_water(pond: xr.Dataset) -> np.datetime64:
    """The hour at which the last ice of spring goes."""
    ice = pond["ice_thickness"].sel(zone=ZONE)
    return np.datetime64(ice["time"].values[ice.values > SKIN][-1])


def days_locked(pond: xr.Dataset) -> float:
    """Days from open water to the first on which the bottom stays above 4 mg/L."""
    fed = bottom(pond, ZONE).sel(time=SPRING).rolling(time=24).min() > FED
    times = fed["time"].values[fed.values]
    return float((times[0] - open_water(pond)) / np.timedelta64(1, "D")) - 1.0 if times.size else np.inf


def energy_to_mix(pond: xr.Dataset) -> float:
    """Work that mixes the basin's column as it stands when the ice goes. [J/m2 of its surface]"""
    then = pond.sel(zone=ZONE, time=open_water(pond)).dropna("layer", how="all", subset=["box_volume"])
    volume = then["box_volume"].values
    density = pond_density(then["water_temperature"].values + 273.15, then["salinity"].values, 0.0)
    height = 0.5 * (then["layer_bottom_elevation"] + then["layer_top_elevation"]).values
    lifted = np.sum(volume * (np.average(density, weights=volume) - density) * height)
    return float(9.81 * lifted / pond["zone_area"].sel(zone=ZONE))


def work_of_wind(pond: xr.Dataset, reduced: float) -> tuple[float, float]:
    """Work that the wind of the fortnight after the ice does on heavy water, low and high. [J/m2/d]"""
    begin = open_water(pond)
    wind = reduced * pond["wind_speed"].sel(time=slice(begin, begin + np.timedelta64(14, "D"))).values
    friction = np.sqrt(1.2 * 1.2e-3 / 1e3) * wind  # drag coefficient of lakes, from memory
    low, high = (float(share * 1e3 * np.mean(friction**3) * 86400.0) for share in WIND_WORK)
    return low, high


def _locked() -> str:
    rows = []
    for words, scenario in (
        ("none", salted(0.0)),
        ("as it is", salted(1.0)),
        ("three times as salty", salted(3.0)),
        ("a thaw of 0.15 acre-ft each week, 15 g/L of chloride", salted(3.0, weekly=True)),
    ):
        pond = computed(scenario)
        low, high = work_of_wind(pond, scenario.mixing.wind_reduction)
        needed = max(energy_to_mix(pond), 0.0)
        top, deep = (at_station(pond, "salinity", at).sel(zone=ZONE) for at in ("top", "bottom"))
        step = 1e3 * float((deep - top).sel(time=open_water(pond)))
        by_hand = f"{needed / high:.1f} to {needed / low:.1f}" if needed > 0.05 * low else "0"
        rows.append([words, f"{step:.0f}", f"{needed:.1f}", by_hand, f"{days_locked(pond):.1f}"])
        print(rows[-1], low, high, flush=True)
    head = ["road salt", "salt near the bed over the top when the ice goes, mg/L", "work to mix it, J/m2"]
    return table([*head, "days of wind, by hand", "days until the bottom breathes, run"], rows)


def _words(runs: dict[str, xr.Dataset]) -> str:
    pond, aired = runs["existing"], runs["air all year"]
    column = at_station(pond, "dissolved_oxygen", "column").sel(zone=ZONE)
    first, last = (float(column.sel(time=day).mean()) for day in EARLY)
    low = column.sel(time=WINTER)
    below = _day(low < 2.0)
    used = float(aired["power"].sel(time=slice("2025-10-16", "2026-04-30")).sum()) / 1e3
    return (
        f"The basin's oxygen falls from {first:.1f} to {last:.1f} mg/L between 20 November and 20 December, "
        f"{(first - last) / 30.0:.2f} mg/L a day, and is below 2 mg/L from {below} on. "
        f"The two diffusers use {used:.0f} kWh from 16 October to 30 April."
    )


if __name__ == "__main__":
    main()
