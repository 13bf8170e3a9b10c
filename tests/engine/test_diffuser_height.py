"""An inch of diffuser height, across the edge of a layer, moves the bottom's oxygen little."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import numpy as np

from pondsim.measures import at_station
from pondsim.scenario.settings import Aeration, Bed, GasTransfer, Ground, Mixing, Numerics, Start, Weather
from pondsim.simulate import run
from tests.engine.ponds import BEGIN, CELSIUS_0, LEVEL, Profile, bowl, inert_pond

DEPTH, LAYERS, DAYS, INCH = 3.5, 16, 6, 0.0254
EDGE = LEVEL - DEPTH + 2.0 * DEPTH / LAYERS  # m, on top of the second layer from the bed


def hot_days(folder: Path) -> Weather:
    """Hot, still days, all alike."""
    file = folder / "hot.csv"
    head = "time,air_temperature [degC],dew_point [degC],wind_speed [m/s],solar_radiation [W/m2]"
    rows = [f"{head},cloud_cover [%]"]
    for hour in range(24 * DAYS + 7):
        sun = 850.0 * max(np.sin(np.pi * (hour % 24 - 6) / 12.0), 0.0)
        air = 27.0 + 6.0 * np.sin(np.pi * (hour % 24 - 9) / 12.0)
        rows.append(f"{BEGIN + timedelta(hours=hour):%Y-%m-%d %H:%M},{air:.4f},18,1.5,{sun:.4f},20")
    file.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return Weather(file=file)


def test_an_inch_of_height_moves_the_bottom_little(tmp_path: Path) -> None:
    """Two diffusers an inch under and over the edge of a layer, in a stratified pond without bottom oxygen.

    Drawing nothing from the part of a layer under its edge, a plume left the box below it dead for weeks.
    """
    temperature = tuple(CELSIUS_0 + t for t in (27.0, 26.0, 23.0, 20.0, 18.0))
    oxygen = tuple(1e-3 * c for c in (8.0, 7.5, 5.0, 2.0, 0.2))
    weather, bottoms = hot_days(tmp_path), []
    for lift in (-INCH, INCH):
        pond = inert_pond(
            bowl("pool", 2000.0, DEPTH),
            days=DAYS,
            layers=LAYERS,
            weather=weather,
            ground=Ground(temperature=CELSIUS_0 + 14.0),
            bed=Bed(),
            mixing=Mixing(),
            gas_transfer=GasTransfer(),
            start=Start(profile=(Profile("pool", (0.2, 0.8, 1.5, 2.3, 3.2), temperature, oxygen),)),
            aeration=(Aeration("air", "pool", EDGE + lift, diffusers=2, air_flow=2e-4),),
            numerics=Numerics(),
        )
        results = run(pond, how_long_start_matters=False)
        bottoms.append(at_station(results, "dissolved_oxygen", "bottom").values[:, 0])
    low = [int((bottom < 3.0).sum()) for bottom in bottoms]
    assert 4 < low[0] < 48  # the air acts, and not at once
    assert abs(low[1] - low[0]) <= 3
    assert np.abs(bottoms[1] - bottoms[0]).max() < 0.5
    assert abs(bottoms[1].mean() - bottoms[0].mean()) < 0.15
