"""The heat budget of the demo's hottest hours by hand, and what moves them: numbers of behaviour.md. A minute."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import numpy as np
import xarray as xr
from common import M_IN_FT, computed, demo, fill, table

from pondsim.measures import at_depth
from pondsim.scenario.settings import Scenario

PAGE = "behaviour.md"
ZONE = "deep_pool"
DAY = "2025-08-06"
HOURS = (9, 11, 13, 15)
PRESSURE = 990.0  # mb
SIGMA = 5.67e-8
DEW = 23.8  # degC in the spell


def spell(reduction: float = 0.4, **changes: float) -> Scenario:
    """The existing pond over the weeks about its hot spell, with another spell or wind."""
    pond = demo("existing", mixing={"wind_reduction": reduction}, bed={"passes": 0})
    hot = tuple(replace(one, **changes) for one in pond.weather.hot_spell)
    period = replace(pond.period, start=datetime(2025, 7, 20), end=datetime(2025, 8, 14))
    return replace(pond, weather=replace(pond.weather, hot_spell=hot), period=period)


def vapor(celsius: float) -> float:
    """Saturation vapor pressure, Bolton 1980. [mb]"""
    return float(6.112 * np.exp(17.67 * celsius / (celsius + 243.5)))


def free_and_forced(water: float, air: float, wind2: float) -> tuple[float, float]:
    """The two parts of Ryan and Harleman's wind function. [W/m2/mb]"""
    light = [(t + 273.15) / (1.0 - 0.378 * vapor(e) / PRESSURE) for t, e in ((water, water), (air, DEW))]
    return 2.7 * max(light[0] - light[1], 0.0) ** (1.0 / 3.0), 3.1 * wind2


def budget(water: float, air: float, sun: float, wind2: float) -> dict[str, float]:
    """Heat into the water per area. [W/m2]"""
    sky = 1.24 * (vapor(DEW) / (air + 273.15)) ** (1.0 / 7.0) * SIGMA * (air + 273.15) ** 4
    function = sum(free_and_forced(water, air, wind2))
    return {
        "sun": 0.93 * sun,
        "sky": 0.97 * sky,
        "long wave": -0.97 * SIGMA * (water + 273.15) ** 4,
        "evaporation": -function * (vapor(water) - vapor(DEW)),
        "air": -0.61 * function * (water - air),
    }


def in_balance(air: float, sun: float, wind2: float) -> float:
    """Temperature at which the surface loses what it takes. [degC]"""
    at = np.linspace(10.0, 70.0, 6001)
    return float(at[np.argmin([abs(sum(budget(t, air, sun, wind2).values())) for t in at])])


def hand(pond: xr.Dataset, reduction: float) -> str:
    """The budget of some hours, and the warming of the uppermost layer by it and by the run."""
    rows = []
    top = pond["water_temperature"].sel(zone=ZONE).isel(layer=-1)
    thick = (pond["layer_top_elevation"] - pond["layer_bottom_elevation"]).sel(zone=ZONE).isel(layer=-1)
    for hour in HOURS:
        at = np.datetime64(f"{DAY}T{hour:02d}:30")
        here = pond.interp(time=at)
        water, deep = (float(one.interp(time=at)) for one in (top, thick))
        air, sun = float(here["air_temperature"]), float(here["shortwave"])
        wind2 = 0.748 * reduction * float(here["wind_speed"])
        parts = budget(water, air, sun, wind2)
        dim = float(here["light_extinction"].sel(zone=ZONE).isel(layer=-1))
        below = 0.45 * parts["sun"] * np.exp(-dim * deep)
        warms = (sum(parts.values()) - below) * 3600.0 / (4.15e6 * deep)
        ran = float(top.sel(time=f"{DAY}T{hour + 1:02d}:00") - top.sel(time=f"{DAY}T{hour:02d}:00"))
        free, forced = free_and_forced(water, air, wind2)
        cells = [f"{value:.0f}" for value in parts.values()] + [f"{below:.0f}"]
        cells += [f"{free:.1f} + {forced:.1f}", f"{warms:.1f}", f"{ran:.1f}"]
        rows.append([f"{hour}:30", f"{water:.1f}", *cells, f"{in_balance(air, sun, wind2):.0f}"])
    head = ["hour", "water degC", "sun", "sky", "long wave", "evaporation", "air", "light that goes deeper"]
    head += ["free + forced W/m2/mb", "warms by hand K/h", "run K/h", "in balance at degC"]
    return table(head, rows)


def moved() -> tuple[xr.Dataset, str]:
    """The hottest hour under other winds and spells."""
    rows, first = [], None
    for words, scenario in (
        ("the demo", spell()),
        ("wind not halved in the spell", spell(wind_factor=1.0)),
        ("and cut to 60 % by trees, not 40 %", spell(0.6, wind_factor=1.0)),
        ("no trees at all", spell(1.0, wind_factor=1.0)),
        ("a spell of 3 degF, not 6", spell(warmer=3.0 / 1.8)),
    ):
        pond = computed(scenario)
        first = pond if first is None else first
        hottest = float(pond["water_temperature"].sel(zone=ZONE).max())
        foot = float(at_depth(pond, "water_temperature", M_IN_FT).sel(zone=ZONE).max())
        rows.append([words, f"{hottest:.1f}", f"{foot:.1f}", f"{float(pond['air_temperature'].max()):.1f}"])
    head = ["", "uppermost layer, hottest degC", "at a depth of 1 ft", "air, hottest"]
    assert first is not None
    return first, table(head, rows)


if __name__ == "__main__":
    existing, others = moved()
    fill(PAGE, "hottest", hand(existing, 0.4))
    fill(PAGE, "hottest moved", others)
