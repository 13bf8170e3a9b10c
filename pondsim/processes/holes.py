"""Water that plumes and the waterfall keep open in the ice, and the heat that the falling sheet loses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.constants import GRAVITY, WATER_DENSITY, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.physics.heat import (
    evaporation_function,
    evaporation_heat,
    longwave_from_sky,
    longwave_from_water,
    sensible_heat,
)
from pondsim.physics.water import vapour_pressure
from pondsim.processes import constituents as s
from pondsim.processes.work import INTAKE_DRAW, PUMP_SYSTEM, Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import FloatArray, Grid, IntArray
from pondsim.site.weather import (
    AIR_TEMPERATURE,
    CLOUD_SHARE,
    PRESSURE,
    SHORTWAVE,
    VAPOUR_PRESSURE,
    WIND_SPEED,
)

WIND2_SHARE = 0.748  # wind at 2 m over wind at 10 m, FAO-56 equation 47
PER_WATER_HEAT = 1.0 / (WATER_DENSITY * WATER_HEAT_CAPACITY)  # m3 K per J


@dataclass(frozen=True, eq=False)
class HoleSettings(Bundle):
    """How far stirred water stays open; `on` is False where nothing may freeze."""

    on: bool
    radius: float  # of open water over a diffuser at most, over the depth of the diffuser
    water_albedo: float
    wind_reduction: float
    plunge_reach: float  # local depths from the waterfall's lip that its stir keeps open


def hole_settings(scenario: Scenario) -> HoleSettings:
    """Settings of a scenario."""
    radius = scenario.ice.hole_radius if scenario.ice else 0.0
    reduction = scenario.mixing.wind_reduction
    reach = scenario.waterfall.hole_reach if scenario.waterfall else 0.0
    return HoleSettings(scenario.ice is not None, radius, scenario.light.albedo, reduction, reach)


@compiled_for_loop
def _loss(settings: HoleSettings, work: Work, temperature: float, wind2: float, sun: float) -> float:
    """Heat that open water at a temperature loses [W/m2]."""
    now = work.now
    air, vapour, pressure = now[AIR_TEMPERATURE], now[VAPOUR_PRESSURE], now[PRESSURE]
    wet = vapour_pressure(temperature)
    function = evaporation_function(temperature, wet, air, vapour, wind2, pressure)
    lost = longwave_from_water(temperature) - longwave_from_sky(air, vapour, now[CLOUD_SHARE])
    lost += evaporation_heat(function, wet, vapour) + sensible_heat(function, temperature, air, pressure)
    return lost - sun * (1.0 - settings.water_albedo)


@compiled_for_loop
def _hole(most: float, supplied: float, loss: float) -> float:
    """Area that stays open: what the warmth brought up can keep so [m3 K/s], against a loss [W/m2]; [m2]."""
    if loss <= 0.0:
        return most
    return min(most, max(supplied, 0.0) / (loss * PER_WATER_HEAT))


@compiled_for_loop
def update_holes(
    settings: HoleSettings,
    grid: Grid,
    work: Work,
    unit_zone: IntArray,
    unit_elevation: FloatArray,
    diffusers: IntArray,
    lip_zone: int,
    lip_width: float,
    steps: int,
) -> None:
    """Open water and the heat lost by the falling sheet for the next step.

    A hole is as large as its stir reaches, and no larger than the heat brought up from below 0 degC can feed.
    """
    if not settings.on:
        return
    wind2 = WIND2_SHARE * work.now[WIND_SPEED] * settings.wind_reduction
    loss = _loss(settings, work, ZERO_CELSIUS, wind2, work.now[SHORTWAVE])
    for zone in range(grid.zone_bottom.size):
        work.hole[zone] = 0.0
    sources = work.source.size
    for unit in range(unit_zone.size):
        if work.plume_flow[unit] > 0.0:
            zone = unit_zone[unit]
            depth = work.surface[zone] + work.ice_load[zone] - unit_elevation[unit]
            radius = settings.radius * max(depth, 0.0)
            warm = _warmth(grid, work, work.take[sources + unit], zone) * work.plume_flow[unit]
            work.hole[zone] += _hole(np.pi * radius * radius * diffusers[unit], warm, loss)
    work.fall_loss[0] = 0.0
    if work.running[PUMP_SYSTEM] > 0.0 and work.drop[0] > 0.0:
        warm, flow = 0.0, work.loop_flow[0]
        for box in range(grid.box_zone.size):
            warm += work.draw[INTAKE_DRAW, box] * (work.concentration[s.HEAT, box] - ZERO_CELSIUS)
        depth = max(work.surface[lip_zone] - grid.zone_bottom[lip_zone], 0.0)
        most = lip_width * settings.plunge_reach * depth
        work.hole[lip_zone] += _hole(most, warm * flow, loss)
        speed = 0.5 * (2.0 * GRAVITY * work.drop[0] / steps) ** 0.5  # the mean over a fall
        sheet = _loss(settings, work, ZERO_CELSIUS + warm, speed, 0.0)
        work.fall_loss[0] = max(2.0 * lip_width * work.drop[0] * sheet * PER_WATER_HEAT, 0.0)


@compiled_for_loop
def _warmth(grid: Grid, work: Work, shares: FloatArray, zone: int) -> float:
    """Degrees above freezing of water taken from a zone in the given shares [K]."""
    warm = 0.0
    for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
        warm += shares[box] * (work.concentration[s.HEAT, box] - ZERO_CELSIUS)
    return warm
