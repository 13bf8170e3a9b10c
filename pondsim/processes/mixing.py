"""Exchange without net flow: wind, convection, dispersion and density-driven exchange."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.physics.mixing import (
    FRICTION_PER_WIND,
    background_diffusivity,
    buoyancy_frequency_squared,
    convective_diffusivity,
    gravity_exchange_flow,
    okubo_diffusivity,
    wind_decay,
    wind_diffusivity_below,
)
from pondsim.physics.water import pond_density
from pondsim.processes.state import FIRST_CLASS, HEAT, SALT, WATER, State
from pondsim.processes.transport import QUICKEST
from pondsim.processes.work import Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import FloatArray, Grid

DISPERSION_AT_REST = 0.5  # wind factor of dispersion with no wind; common practice, no source
DISPERSION_PER_WIND = 0.25  # s/m, its growth with the reduced wind; 1 at 2 m/s; common practice, no source
G_PER_KG = 1.0  # kg/m3 of salt is g/kg in fresh water, to 0.3 %
FADED = 30.0  # decay times depth at which nothing is left of the wind's stirring


@dataclass(frozen=True, eq=False)
class MixingSettings(Bundle):
    """What stirs the pond."""

    latitude: float  # rad
    wind_reduction: FloatArray  # (zones,) share of the measured wind that reaches the water [1]
    floor: float  # m2/s
    background: float  # multiplier [1]
    convective: float  # m2/s
    gravity: float  # coefficient of the density-driven exchange [1]
    dispersion: float  # at the reference wind [m2/s]
    area_for_background: float  # m2
    largest_background: float  # with hardly any stratification [m2/s]


def mixing_settings(scenario: Scenario, area: float, length: float, cover: FloatArray) -> MixingSettings:
    """Settings of a scenario, for a pond of the given plan area [m2] and length [m]."""
    mixing = scenario.mixing
    return MixingSettings(
        latitude=scenario.place.latitude,
        wind_reduction=mixing.wind_reduction * (1.0 - cover),
        floor=mixing.diffusivity_floor,
        background=mixing.background_multiplier,
        convective=mixing.convective_diffusivity,
        gravity=mixing.gravity_exchange,
        dispersion=mixing.dispersion_multiplier * float(okubo_diffusivity(length)),
        area_for_background=area,
        largest_background=mixing.background_multiplier * float(background_diffusivity(area, 0.0)),
    )


@compiled_for_loop
def set_densities(grid: Grid, work: Work) -> None:
    """Density of each box from temperature, salt and solids."""
    for box in range(grid.box_zone.size):
        solids = 0.0
        for constituent in range(FIRST_CLASS, work.concentration.shape[1]):
            solids += work.concentration[box, constituent]
        work.density[box] = pond_density(
            work.concentration[box, HEAT], work.concentration[box, SALT] * G_PER_KG, solids
        )


@compiled_for_loop
def set_exchanges(settings: MixingSettings, grid: Grid, work: Work, wind2: float, state: State) -> None:
    """Exchange through every face at the present wind and densities.

    Beside the exchange itself, `work.turnover` gets what convection adds to the stiffness: the diffusivity
    grows with the instability, so that small differences die out up to three times as fast as it says.
    """
    for zone in range(grid.zone_bottom.size):
        felt = wind2 * settings.wind_reduction[zone]
        work.friction[zone] = FRICTION_PER_WIND * felt
        work.decay[zone] = wind_decay(felt, settings.latitude)
    for face in range(grid.face_lower.size):
        a, b = grid.face_lower[face], grid.face_upper[face]
        area, distance = work.face_area[face], work.face_distance[face]
        if grid.face_connection[face] >= 0:
            exchange = 0.0
            if area > 0.0:
                wind = (
                    0.5
                    * wind2
                    * (settings.wind_reduction[grid.box_zone[a]] + settings.wind_reduction[grid.box_zone[b]])
                )
                factor = DISPERSION_AT_REST + DISPERSION_PER_WIND * wind
                width = grid.connection_width[grid.face_connection[face]]
                difference = work.density[a] - work.density[b]
                exchange = settings.dispersion * factor * area / distance + gravity_exchange_flow(
                    settings.gravity, width, area / width, difference
                )
        else:
            zone = grid.box_zone[a]
            n2 = buoyancy_frequency_squared(work.density[b], work.density[a], distance)
            diffusivity = settings.floor
            if settings.largest_background > settings.floor:
                background = background_diffusivity(settings.area_for_background, n2)
                diffusivity = max(settings.background * background, settings.floor)
            convective = convective_diffusivity(n2, settings.convective)
            depth = work.surface[zone] - work.top[a]
            stirred = 0.0
            if work.decay[zone] * depth < FADED:
                stirred = wind_diffusivity_below(depth, work.friction[zone], work.decay[zone], n2)
            exchange = (diffusivity + stirred + convective) * area / distance
            stiff = min(2.0 * convective, max(1.2 * settings.convective - convective, 0.0)) * area / distance
            limit = min(state.amounts[a, WATER], state.amounts[b, WATER]) / QUICKEST
            work.turnover[a] += 2.0 * min(stiff, limit)
            work.turnover[b] += 2.0 * min(stiff, limit)
        work.exchange[face] = min(exchange, min(state.amounts[a, WATER], state.amounts[b, WATER]) / QUICKEST)
