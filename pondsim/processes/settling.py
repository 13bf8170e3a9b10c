"""Settling of solids and dead algae, eroding banks, and mud stirred up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.constants import WATER_DENSITY
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.physics.waves import bed_shear_stress, orbital_velocity, wave_height, wave_period
from pondsim.processes import state as s
from pondsim.processes.state import OXYGEN_PER_DRY_MATTER, State
from pondsim.processes.transport import QUICKEST
from pondsim.processes.work import Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import FloatArray, Grid

LEAST_FETCH = 300.0  # m; below it the wave laws do not reach, and waves are off unless asked for
HALF_SUPPLY = 0.05  # kg/m2 of fresh mud at which half of the possible erosion happens (judgement)
JET_FRICTION = 0.005  # bed friction of the diluted jet under a waterfall (judgement)


@dataclass(frozen=True, eq=False)
class SolidsSettings(Bundle):
    """Settling classes and what moves them."""

    velocity: FloatArray  # (classes,) m/s
    share: FloatArray  # (classes,) of what comes in
    organic_share: float
    detritus_velocity: float  # m/s
    bank_erosion: FloatArray  # (zones,) kg/s
    waves: bool
    fetch: float  # m
    at_return: bool
    critical_stress: float  # Pa
    erosion_rate: float  # kg/m2/s at twice the critical stress
    grain_size: float  # m


def solids_settings(scenario: Scenario, length: float) -> SolidsSettings:
    """Settings of a scenario for a pond of the given length [m]."""
    fetch = scenario.pond.fetch or length
    stirred = scenario.resuspension
    return SolidsSettings(
        velocity=np.array(scenario.solids.settling_velocity, dtype=float),
        share=np.array(scenario.solids.share, dtype=float),
        organic_share=scenario.solids.organic_share,
        detritus_velocity=scenario.organic_matter.detritus_settling,
        bank_erosion=np.array(
            [z.shoreline * scenario.solids.shoreline_erosion for z in scenario.zone], dtype=float
        ),
        waves=bool(stirred.waves) or fetch >= LEAST_FETCH,
        fetch=fetch,
        at_return=bool(stirred.at_return),
        critical_stress=stirred.critical_stress,
        erosion_rate=stirred.erosion_rate,
        grain_size=stirred.grain_size,
    )


@compiled_for_loop
def renew_erosion(
    settings: SolidsSettings, grid: Grid, work: Work, wind10: float, jet_zone: int, jet_speed: float
) -> None:
    """Rate at which mud would lift in each zone under the present wind and waterfall, were there enough."""
    for zone in range(grid.zone_bottom.size):
        work.erosion[zone] = 0.0
        depth = work.surface[zone] - grid.zone_bottom[zone]
        if settings.waves and wind10 > 0.5 and depth > 0.05:
            for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
                if work.bed_area[box] <= 0.0:
                    continue
                below = max(work.surface[zone] - 0.5 * (work.bottom[box] + work.top[box]), 0.05)
                height = wave_height(wind10, settings.fetch, below)
                period = wave_period(wind10, settings.fetch, below)
                speed = orbital_velocity(height, period, below)
                stress = bed_shear_stress(speed, period, settings.grain_size)
                work.erosion[zone] += _lift(settings, stress) * work.bed_area[box]
        if settings.at_return and zone == jet_zone and jet_speed > 0.0:
            stress = JET_FRICTION * WATER_DENSITY * jet_speed * jet_speed
            reached = min(np.pi * depth * depth, work.surface_area[zone])
            work.erosion[zone] += _lift(settings, stress) * reached


@compiled_for_loop
def _lift(settings: SolidsSettings, stress: float) -> float:
    return settings.erosion_rate * max(stress / settings.critical_stress - 1.0, 0.0)


@compiled_for_loop
def add_rates(settings: SolidsSettings, grid: Grid, work: Work, state: State, rates: State) -> None:
    """Settle into the box below and onto the bed; lift fresh mud; wash banks in."""
    fastest = settings.detritus_velocity
    for k in range(rates.bed_mass.shape[1]):
        fastest = max(fastest, settings.velocity[k])
    for box in range(grid.box_zone.size):
        zone = grid.box_zone[box]
        below = work.area_bottom[box]
        bed = work.bed_area[box]
        most = state.amounts[box, s.WATER] / (
            QUICKEST * max(below + bed, 1e-6)
        )  # a film is not emptied faster
        settled = 0.0
        for k in range(rates.bed_mass.shape[1]):
            column = s.FIRST_CLASS + k
            flux = min(settings.velocity[k], most) * work.concentration[box, column]
            rates.amounts[box, column] -= flux * (below + bed)
            if below > 0.0:
                rates.amounts[box - 1, column] += flux * below
            rates.bed_mass[zone, k] += flux * bed
            settled += flux * bed
        flux = min(settings.detritus_velocity, most) * work.concentration[box, s.DETRITUS]
        rates.amounts[box, s.DETRITUS] -= flux * (below + bed)
        if below > 0.0:
            rates.amounts[box - 1, s.DETRITUS] += flux * below
        organic = settled * settings.organic_share * OXYGEN_PER_DRY_MATTER
        rates.bed_organics[box] += flux * bed + organic
        rates.lines[s.REDUCING_SOLIDS] += organic
        work.turnover[box] += min(fastest, most) * (below + bed)
    for zone in range(grid.zone_bottom.size):
        _add_bank_and_mud(settings, grid, work, zone, state, rates)


@compiled_for_loop
def _add_bank_and_mud(
    settings: SolidsSettings, grid: Grid, work: Work, zone: int, state: State, rates: State
) -> None:
    top = grid.first_box[zone + 1] - 1
    if settings.bank_erosion[zone] > 0.0:
        for k in range(rates.bed_mass.shape[1]):
            washed = settings.bank_erosion[zone] * settings.share[k]
            rates.amounts[top, s.FIRST_CLASS + k] += washed
            rates.solids_in[k] += washed
    if work.erosion[zone] <= 0.0:
        return
    held = 0.0
    for k in range(rates.bed_mass.shape[1]):
        held += max(state.bed_mass[zone, k], 0.0)
    if held <= 0.0:
        return
    area = 0.0
    for box in range(grid.first_box[zone], top + 1):
        area += work.bed_area[box]
    lifted = work.erosion[zone] * held / (held + HALF_SUPPLY * area)
    for box in range(grid.first_box[zone], top + 1):
        share = work.bed_area[box] / area if area > 0.0 else 0.0
        for k in range(rates.bed_mass.shape[1]):
            rates.amounts[box, s.FIRST_CLASS + k] += lifted * share * max(state.bed_mass[zone, k], 0.0) / held
        # organic matter leaves the bed with the mud that holds it
        organic = state.bed_organics[box] * lifted * share / max(held * share, 1e-12)
        organic = min(organic, lifted * share * settings.organic_share * OXYGEN_PER_DRY_MATTER)
        rates.bed_organics[box] -= organic
        rates.lines[s.REDUCING_SOLIDS] -= organic
    for k in range(rates.bed_mass.shape[1]):
        rates.bed_mass[zone, k] -= lifted * max(state.bed_mass[zone, k], 0.0) / held
