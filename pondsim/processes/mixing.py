"""Exchange without net flow: wind, convection, dispersion and density-driven exchange."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.elementary import power
from pondsim.jit.lanes import whole_lanes
from pondsim.physics.entrainment import turbulent_diffusivity
from pondsim.physics.mixing import (
    DECAY_BY_WIND,
    FRICTION_PER_WIND,
    background_diffusivity,
    buoyancy_frequency_squared,
    convective_diffusivity,
    decay_in_wind,
    gravity_exchange_flow,
    okubo_diffusivity,
    wind_decay,
    wind_diffusivity_below,
)
from pondsim.physics.water import pond_density
from pondsim.processes.constituents import FIRST_CLASS, HEAT, SALT
from pondsim.processes.work import Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import QUICKEST, FloatArray, Grid

LEAST_SHARE = 1e-4  # of the wind; any less is calm in whatever wind
G_PER_KG = 1.0  # kg/m3 of salt is g/kg in fresh water, to 0.3 %


@dataclass(frozen=True, eq=False)
class MixingSettings(Bundle):
    """What stirs the pond."""

    decay_at_one: float  # of the wind's drift with depth, at a wind of 1 m/s [1/m]
    wind_reduction: FloatArray  # (zones,) share of the measured wind that reaches the water [1]
    floor: float  # m2/s
    dissipation: float  # of turbulence below the reach of the wind [m2/s3]
    background: float  # multiplier [1]
    convective: float  # m2/s
    cooling_entrainment: float  # buoyancy flux at the base of the mixed layer over that of the surface [1]
    gravity: float  # coefficient of the density-driven exchange [1]
    dispersion: float  # at the reference wind [m2/s]
    dispersion_at_rest: float  # of it with no wind [1]
    dispersion_per_wind: float  # growth of that share with the reduced wind [s/m]
    stopping_step: float  # density step that stops sinking water [kg/m3]
    area_for_background: float  # m2


def mixing_settings(scenario: Scenario, area: float, length: float, cover: FloatArray) -> MixingSettings:
    """Settings of a scenario, for a pond of the given plan area [m2] and length [m]."""
    mixing = scenario.mixing
    return MixingSettings(
        decay_at_one=float(wind_decay(1.0, scenario.place.latitude)),
        wind_reduction=mixing.wind_reduction * (1.0 - cover),
        floor=mixing.diffusivity_floor,
        dissipation=mixing.dissipation,
        background=mixing.background_multiplier,
        convective=mixing.convective_diffusivity,
        cooling_entrainment=mixing.cooling_entrainment,
        gravity=mixing.gravity_exchange,
        dispersion=mixing.dispersion_multiplier * float(okubo_diffusivity(length)),
        dispersion_at_rest=mixing.dispersion_at_rest,
        dispersion_per_wind=mixing.dispersion_per_wind,
        stopping_step=mixing.stopping_step,
        area_for_background=area,
    )


@compiled_for_loop
def set_densities(work: Work) -> None:
    """Density of each box from temperature, salt and solids."""
    solids = work.forth
    for box in range(work.volume.size):
        solids[box] = 0.0
    for constituent in range(FIRST_CLASS, work.solids_end[0]):
        for box in range(work.volume.size):
            solids[box] += work.concentration[constituent, box]
    for box in range(work.volume.size):
        work.density[box] = pond_density(
            work.concentration[HEAT, box], work.concentration[SALT, box] * G_PER_KG, solids[box]
        )


@compiled_for_loop
def set_exchanges(settings: MixingSettings, grid: Grid, work: Work, wind2: float) -> None:
    """Exchange through every face at the present wind and densities.

    Beside the exchange itself, `work.turnover` gets what convection adds to the stiffness: the diffusivity
    grows with the instability, so that small differences die out up to three times as fast as it says.
    """
    boxes = work.volume.size
    passed = work.passed
    passed[0] = 0.0
    by_wind, calm = decay_in_wind(1.0, wind2), decay_in_wind(settings.decay_at_one, 0.0)
    for box in range(whole_lanes(boxes)):  # the first faces lie on top of each box
        n2 = buoyancy_frequency_squared(work.density[box + 1], work.density[box], work.face_distance[box])
        background = settings.background * background_diffusivity(settings.area_for_background, n2)
        turbulent = turbulent_diffusivity(settings.dissipation, n2)
        convective = convective_diffusivity(n2, settings.convective)
        felt = wind2 * work.wind_share[box]
        decay = min(work.drift_decay[box] * by_wind, calm)
        stirred = wind_diffusivity_below(work.depth[box], FRICTION_PER_WIND * felt, decay, n2)
        conductance = work.face_ratio[box]
        limit = min(work.volume[box], work.volume[box + 1]) / grid.quickest
        still = max(background, settings.floor, turbulent)
        exchange = (still + stirred + convective) * conductance
        stiff = min(2.0 * convective, max(1.2 * settings.convective - convective, 0.0)) * conductance
        work.exchange[box] = min(exchange, limit)
        passed[box + 1] = 2.0 * min(stiff, limit)
    for box in range(boxes):
        work.turnover[box] += passed[box] + passed[box + 1]
    faces = work.exchange.size
    for face in range(boxes, faces):
        a, b = grid.face_lower[face], grid.face_upper[face]
        work.difference[face] = work.density[a] - work.density[b]
        work.limit[face] = min(work.volume[a], work.volume[b]) / QUICKEST
    for place in range(whole_lanes(faces - boxes)):
        face = boxes + place
        factor = settings.dispersion_at_rest + settings.dispersion_per_wind * wind2 * work.face_wind[face]
        conductance = work.face_ratio[face]
        height = work.face_area[face] / work.face_width[face]
        exchange = settings.dispersion * factor * conductance + gravity_exchange_flow(
            settings.gravity, work.face_width[face], height, work.face_opening[face], work.difference[face]
        )
        work.exchange[face] = min(exchange, work.limit[face])


@compiled_for_loop
def update_wind_shares(settings: MixingSettings, grid: Grid, work: Work) -> None:
    """Share of the wind felt over each box and passage, and the width of the passage of each face."""
    for box in range(work.volume.size):
        zone = grid.box_zone[box]
        work.wind_share[box] = settings.wind_reduction[zone] * work.open_water[zone]
        share = max(work.wind_share[box], LEAST_SHARE)
        work.drift_decay[box] = settings.decay_at_one * power(share, DECAY_BY_WIND)
    for face in range(work.volume.size, work.exchange.size):
        zone, other = grid.connection_zone[grid.face_connection[face]]
        felt = settings.wind_reduction[zone] * work.open_water[zone]
        felt += settings.wind_reduction[other] * work.open_water[other]
        work.face_wind[face] = 0.5 * felt
        work.face_width[face] = grid.connection_width[grid.face_connection[face]]
