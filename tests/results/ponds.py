"""Small made-up results for tests, in the form a run returns them."""

from __future__ import annotations

import json

import numpy as np
import pandas as pd
import xarray as xr

from pondsim.comparison import compare

KG_PER_DAY = np.array([[3.0, 1, 0, 5, -4, -6], [2.0, 0, 0, 4, -3, -4]])
PATHWAYS = ("surface_exchange", "waterfall", "bubbles", "photosynthesis", "respiration", "bed_demand")
ZONES = ("pool", "arm")
TOPS = np.array([98.0, 99.0, 100.0])  # m, deepest layer first
BOTTOMS = np.array([97.0, 98.0, 99.0])
VOLUMES = np.array([[100.0, 300.0, 600.0], [np.nan, 100.0, 400.0]])  # m3; the arm has no deepest layer


def givens(*, equipment=None, events=None, tariff=None, pond=None):
    """What was given, as a run keeps it."""
    kinds = {"equipment": equipment, "events": events, "tariff": tariff, "pond": pond}
    return json.dumps({kind: values or {} for kind, values in kinds.items()})


def small_pond(oxygen=8.0, temperature=25.0, *, days=40, title="As it is", pumped=0.0, **attributes):
    """Two zones, three layers of 1 m, hourly; `oxygen` and `temperature` broadcast to (time, zone, layer)."""
    times = pd.date_range("2025-06-01", periods=24 * days + 1, freq="h").to_numpy("datetime64[s]")
    shape = (len(times), len(ZONES), 3)
    there = np.broadcast_to(np.isfinite(VOLUMES), shape)

    def boxes(value):
        return ("time", "zone", "layer"), np.where(there, np.broadcast_to(value, shape), np.nan)

    ones = np.ones(len(times))
    data = {
        "water_surface_elevation": ("time", 100.0 * ones),
        "box_volume": boxes(VOLUMES),
        "layer_top_elevation": boxes(TOPS),
        "layer_bottom_elevation": boxes(BOTTOMS),
        "water_temperature": boxes(temperature),
        "dissolved_oxygen": boxes(oxygen),
        "oxygen_saturation": boxes(8.0),
        "bed_thickness": (("time", "zone"), np.linspace(0, 1, len(times))[:, None] * [0.01, 0.002]),
        "outflow": ("time", 0.002 * ones),
        "circulation_flow": ("time", pumped * ones),
        "power": ("time", 1000.0 * ones if pumped else 0.0 * ones),
        "oxygen_total": (
            ("zone", "oxygen_pathway"),
            days * np.array([[3.0, 1, 0, 5, -4, -6], [2.0, 0, 0, 4, -3, -4]]),
        ),
        "mean_box_volume": (("zone", "layer"), VOLUMES),
        "steady_age_since_waterfall": (
            ("zone", "layer"),
            np.array([[2.0, 2.0, 2.0], [np.nan, 6.0, 6.0]]) if pumped else VOLUMES * np.inf,
        ),
        "solids_in_kg": ("settling_class", np.array([100.0, 300.0])),
        "solids_out_kg": ("settling_class", np.array([50.0, 50.0])),
        "zone_area": ("zone", np.array([600.0, 400.0])),
    }
    coordinates = {
        "time": times.astype("datetime64[ns]"),
        "zone": list(ZONES),
        "layer": [0, 1, 2],
        "settling_class": [0, 1],
        "oxygen_pathway": list(PATHWAYS),
    }
    described = {
        "title": title,
        "pondsim_version": "0.1.0",
        "scenario_text": "title = 'x'\n",
        "tolerances": {"oxygen": 1e-3},
        "normal_pool_m": 100.0,
        "latitude_deg": 40.0,
        "longitude_deg": -75.0,
        "utc_offset_h": -5.0,
        "pump_flow_m3_per_s": pumped,
        "criterion": "warm_other",
        "fish_oxygen_mg_per_L": 5.0,
        "fish_temperature_degC": 32.0,
        "renewed_within_d": 3.0,
        "start_dependence_days": 4.0,
        "balance_water": 1e-9,
        "balance_solids": np.array([1e-9, 1e-9]),
        "remarks": "",
        "givens": givens(equipment={"pump.flow": [pumped, "m3/s"]} if pumped else {}),
    }
    return xr.Dataset(data, coordinates, described | attributes)


def with_old_water(pond, days=15.0):
    """The deepest layer of the pool so many days old, all other water 2 d; 99 d in the first fortnight."""
    ages = np.where(np.isfinite(VOLUMES), 2.0, np.nan)
    ages[0, 0] = days
    ages = np.broadcast_to(ages, pond["box_volume"].shape).copy()
    ages[: 14 * 24] = np.where(np.isfinite(ages[: 14 * 24]), 99.0, np.nan)
    return pond.assign(age_since_waterfall=(("time", "zone", "layer"), ages))


def arm(low, pool=6.0):
    """Oxygen of the pool and of the arm, the same at all depths and hours."""
    return np.array([[[pool], [low]]])


def four(lows=(1.0, 2.5, 2.5, 2.0), powers=(0.0, 100.0, 200.0, 50.0), bad_days=(20, 10, 15, 35), length=40):
    """Designs of which so many days fall to `low` in the arm; else 8 mg/L, and constant power."""
    ponds = []
    for k, (low, power, days) in enumerate(zip(lows, powers, bad_days, strict=True)):
        oxygen = np.full((24 * length + 1, 2, 3), 8.0)
        oxygen[: 24 * days, 1] = low
        pond = small_pond(oxygen, days=length, title=("existing", "loop", "loop and air", "air")[k])
        pond["power"] = ("time", np.full(pond.sizes["time"], power))
        ponds.append(pond)
    return ponds


def switched(*, starts, trips=0.0, hours=900.0):
    """A pond of 40 days whose pump ran so."""
    pond = small_pond(title="Loop", pumped=0.01)
    ran = np.full(pond.sizes["time"], hours / 960.0)
    return pond.assign_coords(system=["pump"]).assign(
        running_share=(("time", "system"), ran[:, None]),
        power_by_unit=(("time", "system"), pond["power"].values[:, None]),
        starts=("system", [starts]),
        trips=("system", [trips]),
    )


def pair(**design):
    """The pond whose arm has 2 mg/L beside a loop that brings it to 4.5, compared."""
    existing = small_pond(arm(2.0), title="existing")
    existing["oxygen_total"] = existing["oxygen_total"] * (existing["oxygen_pathway"] != "waterfall")
    return compare([existing, small_pond(arm(4.5), title="loop", pumped=0.02, **design)])
