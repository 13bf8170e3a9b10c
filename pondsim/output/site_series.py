"""What was given, as the results show it: plan, weather, rain and the drainage areas."""

from __future__ import annotations

from typing import Any

import numpy as np

from pondsim.constants import ZERO_CELSIUS
from pondsim.engine.model import Model
from pondsim.scenario.settings import Scenario
from pondsim.site import drained
from pondsim.site.pond import FloatArray, zone_area

AREA_TOTALS = {  # variable: column of the totals of drainage areas
    "area_rain": drained.RAIN,
    "area_runoff": drained.RUNOFF,
    "area_losses": drained.LOSSES,
    "area_peak": drained.PEAK,
    "area_solids": drained.SOLIDS,
    "area_bod5": drained.BOD5_LOAD,
    "area_ammonium": drained.AMMONIUM_LOAD,
    "area_phosphorus": drained.PHOSPHORUS,
}


def site_of(scenario: Scenario, model: Model, stops: FloatArray) -> dict[str, Any]:
    """The pond in plan, and the weather at the output times."""
    grid, forcing = model.grid, model.forcing
    times = forcing.weather_first + forcing.weather_step * np.arange(len(forcing.weather))
    weather = np.stack([np.interp(stops, times, column) for column in forcing.weather.T])
    return {
        "zone_x": (("zone",), np.array([zone.centre[0] for zone in scenario.zone])),
        "zone_y": (("zone",), np.array([zone.centre[1] for zone in scenario.zone])),
        "zone_area": (
            ("zone",),
            np.array([zone_area(grid, z, grid.normal_pool) for z in range(model.layout.zones)]),
        ),
        "air_temperature": (("time",), weather[0] - ZERO_CELSIUS),
        "shortwave": (("time",), weather[2]),
        "wind_speed": (("time",), weather[4]),
    }


def drainage_of(scenario: Scenario, model: Model, stops: FloatArray) -> dict[str, Any]:
    """Rain, and what each drainage area made of it."""
    forcing = model.forcing
    length = np.diff(forcing.time)
    at = np.searchsorted(forcing.time, stops - 1e-6)

    def mean(values: FloatArray) -> FloatArray:
        total = np.cumsum(values * length.reshape(-1, *([1] * (values.ndim - 1))), axis=0)
        summed = np.concatenate([0.0 * values[:1], total])[at]
        rate = np.diff(summed, axis=0) / np.diff(stops).reshape(-1, *([1] * (values.ndim - 1)))
        return np.concatenate([rate[:1], rate])

    data: dict[str, Any] = {"rain_intensity": (("time",), mean(forcing.rain.mean(axis=1)))}
    count = len(scenario.drainage)
    if not count:
        return data
    data["area_flow"] = (("time", "drainage_area"), mean(forcing.inflow[:, -count:].mean(axis=2)))
    for name, column in AREA_TOTALS.items():
        data[name] = (("drainage_area",), forcing.area_totals[:, column])
    data["area_strip_keeps"] = (("drainage_area", "settling_class"), forcing.area_totals[:, drained.STRIP :])
    return data
