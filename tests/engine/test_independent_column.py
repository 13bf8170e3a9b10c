"""The engine at its default grid against a column of 64 layers, over a storm and a night of cooling.

The column (independent_column.py) shares no code with pondsim. Where the engine moves the edge of the mixed
layer inside a layer and reads oxygen at the bed inside a layer, the column has layers of 5 cm. Wind, cooling
and what sinking water entrains are those of the defaults in both.
"""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr

from pondsim.measures import at_depth, at_station
from pondsim.scenario.settings import (
    Algae,
    Bed,
    GasTransfer,
    Ground,
    Mixing,
    Numerics,
    Pond,
    Profile,
    Scenario,
    Start,
    Weather,
)
from pondsim.simulate import run
from pondsim.site.weather import weather_series, weather_table
from tests.engine.independent_column import Column
from tests.engine.ponds import BEGIN, CELSIUS_0, LEVEL, bowl, inert_pond

DEPTH, HOURS = 3.5, 66
LAYERS = 16  # the default
STORM, NIGHT = (
    range(39, 45),
    range(44, 54),
)  # hours since the start: 15 to 21 h, and 20 to 6 h, of the second day
COOLER = 0.5  # K under the top meter, where the mixed layer ends


def hour_by_hour(hour: int) -> tuple[float, ...]:
    """Air, dew point [degC], wind [m/s], sun [W/m2], cloud [%]: hot and still, a storm, a clear night."""
    sun = 850.0 * max(np.sin(np.pi * (hour % 24 - 6) / 12.0), 0.0)
    air = 27.0 + 6.0 * np.sin(np.pi * (hour % 24 - 9) / 12.0)
    if hour in STORM:
        return 18.0, 15.0, 9.0, 0.1 * sun, 100.0
    if hour >= STORM.stop:
        return air - 12.0, 6.0, 1.5, sun, 0.0
    return air, 18.0, 1.5, sun, 20.0


def storm_and_night(folder: Path, **sections: Any) -> Scenario:
    """A pool of 3.5 m over two hot days, a storm and a clear night; `sections` replace what is set here."""
    file = folder / "storm.csv"
    air = "air_temperature [degC],dew_point [degC],wind_speed [m/s]"
    head = f"time,{air},solar_radiation [W/m2],cloud_cover [%]"
    rows = [
        f"{BEGIN + timedelta(hours=h):%Y-%m-%d %H:%M},{','.join(f'{x:.6f}' for x in hour_by_hour(h))}"
        for h in range(HOURS + 7)
    ]
    file.write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    temperature = tuple(CELSIUS_0 + t for t in (27.0, 26.0, 23.0, 20.0, 18.0))
    oxygen = tuple(x * 1e-3 for x in (8.0, 7.5, 5.0, 2.0, 0.2))
    profile = Profile("pool", (0.2, 0.8, 1.5, 2.3, 3.2), temperature, oxygen)
    settings: dict[str, Any] = {
        "days": HOURS / 24.0,
        "pond": Pond(normal_pool=LEVEL, bank_top=LEVEL + 2.0, length=60.0),
        "weather": Weather(file=file),
        "ground": Ground(temperature=CELSIUS_0 + 14.0),
        "bed": Bed(ammonium_release=0.0, organic_decay=0.0),
        "algae": Algae(mode="given"),
        "mixing": Mixing(),
        "gas_transfer": GasTransfer(),
        "start": Start(profile=(profile,), suspended_solids=0.0, bod5=0.0, ammonium=0.0, chloride=0.0),
        "numerics": Numerics(),
    }
    return inert_pond(bowl("pool", 2000.0, DEPTH), **(settings | sections))


def both_of(pond: Scenario, kind: type[Column]) -> tuple[xr.Dataset, Column, np.ndarray]:
    """Results of the engine, the column, and its profiles by hour."""
    series = weather_series(pond.weather, pond.period, pond.place)
    column = kind(pond, series.time, weather_table(series))
    return run(pond, how_long_start_matters=False), column, column.march(3600.0 * HOURS)


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> Any:
    return both_of(storm_and_night(tmp_path_factory.mktemp("weather")), Column)


def read(both: Any, depth: float, which: int) -> np.ndarray:
    """The column at a depth, by hour."""
    _, column, profiles = both
    return np.array([np.interp(column.surface - depth, column.middle, one[which]) for one in profiles])


def mixed_depth(temperature: np.ndarray, depth: np.ndarray) -> float:
    """Depth at which water is COOLER than at the top; profiles from the surface down."""
    below = np.flatnonzero(temperature < temperature[0] - COOLER)
    if not below.size:
        return float(depth[-1])
    k = below[0]
    part = (temperature[k - 1] - (temperature[0] - COOLER)) / (temperature[k - 1] - temperature[k])
    return float(depth[k - 1] + part * (depth[k] - depth[k - 1]))


def depths(both: Any) -> tuple[np.ndarray, np.ndarray]:
    """Depth of the mixed layer in the engine and in the column, by hour."""
    results, _, _ = both
    at = np.arange(0.3, DEPTH - 0.2, 0.02)
    ours = np.array([at_depth(results, "water_temperature", d).values[:, 0] for d in at]).T
    theirs = np.array([read(both, d, 0) for d in at]).T
    return tuple(np.array([mixed_depth(one, at) for one in every]) for every in (ours, theirs))


def test_depth_of_the_mixed_layer(both: Any) -> None:
    """Storm and night deepen it by more than a meter; both agree within half a layer.

    What sinking water entrains is 0.18 m of that: a column without it ends the night as much shallower.
    """
    ours, theirs = depths(both)
    assert theirs[NIGHT[-1]] - theirs[STORM[0]] > 1.0
    assert np.abs(ours - theirs).max() < 0.5 * DEPTH / LAYERS


def test_oxygen_of_each_layer(both: Any) -> None:
    """The column's means over the engine's layers; at the edge oxygen changes by 3 mg/L within 5 cm."""
    results, column, profiles = both
    ours = results["dissolved_oxygen"].values[:, 0, :]
    theirs = 1e3 * column.means(profiles[:, 1], np.linspace(LEVEL - DEPTH, LEVEL, LAYERS + 1))
    apart = np.abs(ours - theirs)
    assert np.quantile(apart, 0.95) < 0.1
    assert apart.max() < 0.3


@pytest.mark.parametrize("depth", [0.5, 1.0, 1.5, 2.0, 2.5])
def test_oxygen_at_a_depth(both: Any, depth: float) -> None:
    """A straight line between the middles of layers smears an edge: what the column holds within a layer.

    Within half a layer the reading at 1.5 m misses by 0.3 mg/L for an hour, though no layer does.
    """
    results, _, _ = both
    ours = at_depth(results, "dissolved_oxygen", depth).values[:, 0]
    offs = np.linspace(-DEPTH / LAYERS, DEPTH / LAYERS, 17)
    around = [1e3 * read(both, depth + off, 1) for off in offs]
    assert (ours - np.max(around, axis=0)).max() < 0.1
    assert (np.min(around, axis=0) - ours).max() < 0.1


def test_oxygen_of_the_top_meter_and_of_all_water(both: Any) -> None:
    results, column, profiles = both
    ours = at_station(results, "dissolved_oxygen", "top").values[:, 0]
    theirs = 1e3 * column.means(profiles[:, 1], np.array([LEVEL - 1.0, LEVEL]))[:, 0]
    assert theirs.max() - theirs.min() > 1.0
    assert np.abs(ours - theirs).max() < 0.1
    volume = results["box_volume"].values[:, 0, :]
    ours = (results["dissolved_oxygen"].values[:, 0, :] * volume).sum(axis=1) / volume.sum(axis=1)
    theirs = 1e3 * column.means(profiles[:, 1], np.array([LEVEL - DEPTH, LEVEL]))[:, 0]
    assert np.abs(ours - theirs).max() < 0.06
