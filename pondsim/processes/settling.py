"""Settling of solids and dead algae, eroding banks, and mud stirred up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.constants import WATER_DENSITY
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.physics.water import viscosity
from pondsim.physics.waves import bed_shear_stress, orbital_velocity, wave_height, wave_period
from pondsim.processes import constituents as s
from pondsim.processes.constituents import OXYGEN_PER_DRY_MATTER
from pondsim.processes.living_rows import GROWN
from pondsim.processes.state import State
from pondsim.processes.work import Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import QUICKEST, FloatArray, Grid

# Traces fall at the end of each part of a hydraulic step: sand that is next to nowhere would set the stages.
TRACE = 1e-5  # kg/m3 of a class, a tenth of the error allowed (judgement)
LEAST_FETCH = 300.0  # m; below it the wave laws do not reach, and waves are off by default


@dataclass(frozen=True, eq=False)
class SolidsSettings(Bundle):
    """Settling classes and what moves them."""

    velocity: FloatArray  # (classes,) m/s
    share: FloatArray  # (classes,) of what comes in
    organic_share: float
    sinking: FloatArray  # (constituents,) m/s, the velocities of the classes among them
    measured_viscosity: float  # of the water in which these hold; 0 where they hold in any [Pa s]
    bank_erosion: FloatArray  # (zones,) kg/s
    waves: bool
    fetch: float  # m
    at_return: bool
    critical_stress: float  # Pa
    erosion_rate: float  # kg/m2/s at twice the critical stress
    grain_size: float  # m
    half_supply: float  # kg/m2 of fresh mud at which half of the possible erosion happens
    bound_in: float  # kg/m2 of muck in which phosphorus is bound
    jet_friction: float  # of the bed, under the diluted jet of a waterfall


def solids_settings(scenario: Scenario, length: float) -> SolidsSettings:
    """Settings of a scenario for a pond of the given length [m]."""
    fetch = scenario.pond.fetch or length
    stirred, velocity = scenario.resuspension, scenario.solids.settling_velocity
    organic = scenario.organic_matter
    dead = organic.grown_settling if scenario.algae.mode == GROWN else organic.detritus_settling
    sinking = {s.BOXES[s.DETRITUS].name: dead}
    measured_in = scenario.solids.velocities_at if scenario.solids.by_temperature else None
    return SolidsSettings(
        velocity=np.array(velocity, dtype=float),
        share=np.array(scenario.solids.share, dtype=float),
        organic_share=scenario.solids.organic_share,
        sinking=np.array([sinking.get(kept.name, 0.0) for kept in s.BOXES] + list(velocity), dtype=float),
        measured_viscosity=0.0 if measured_in is None else float(viscosity(measured_in)),
        bank_erosion=np.array(
            [z.shoreline * scenario.solids.shoreline_erosion for z in scenario.zone], dtype=float
        ),
        waves=bool(stirred.waves) or fetch >= LEAST_FETCH,
        fetch=fetch,
        at_return=bool(stirred.at_return),
        critical_stress=stirred.critical_stress,
        erosion_rate=stirred.erosion_rate,
        grain_size=stirred.grain_size,
        half_supply=stirred.half_supply,
        bound_in=stirred.bound_layer * scenario.bed.dry_density,
        jet_friction=stirred.jet_friction,
    )


@compiled_for_loop
def update_settling(settings: SolidsSettings, work: Work) -> None:
    """Velocity of all that settles over that stated: warm water is thinner, so things sink faster in it."""
    for box in range(work.thinness.size):
        work.thinness[box] = 1.0
        if settings.measured_viscosity > 0.0:
            work.thinness[box] = settings.measured_viscosity / viscosity(work.concentration[s.HEAT, box])


@compiled_for_loop
def update_erosion(
    settings: SolidsSettings, grid: Grid, work: Work, wind10: float, jet_zone: int, jet_speed: float
) -> None:
    """Rate at which mud would lift in each zone under the present wind and waterfall, were there enough."""
    for zone in range(grid.zone_bottom.size):
        work.erosion[zone] = 0.0
        depth = work.surface[zone] - grid.zone_bottom[zone]
        wind = wind10 * work.open_water[zone]
        if settings.waves and wind > 0.5 and depth > 0.05:
            for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
                if work.bed_area[box] <= 0.0:
                    continue
                below = max(work.surface[zone] - 0.5 * (work.bottom[box] + work.top[box]), 0.05)
                height = wave_height(wind, settings.fetch, below)
                period = wave_period(wind, settings.fetch, below)
                speed = orbital_velocity(height, period, below)
                stress = bed_shear_stress(speed, period, settings.grain_size)
                work.erosion[zone] += _lift(settings, stress) * work.bed_area[box]
        if settings.at_return and zone == jet_zone and jet_speed > 0.0:
            stress = settings.jet_friction * WATER_DENSITY * jet_speed * jet_speed
            reached = min(np.pi * depth * depth, work.surface_area[zone])
            work.erosion[zone] += _lift(settings, stress) * reached


@compiled_for_loop
def set_traces(settings: SolidsSettings, work: Work, flows: FloatArray, duration: float) -> None:
    """Find the classes of which there are but traces, and that nothing brings for `duration` [s].

    `flows` (inflows, 2) are those at the start and the end of the hydraulic step [m3/s].
    """
    stirred, held = 0.0, 0.0
    for zone in range(work.erosion.size):
        stirred += work.erosion[zone] + settings.bank_erosion[zone]
    for box in range(work.volume.size):
        held += work.volume[box]
    for k in range(settings.share.size):
        most, brought = 0.0, 0.0
        for box in range(work.volume.size):
            most = max(most, work.concentration[s.FIRST_CLASS + k, box])
        for row in range(flows.shape[0]):
            fastest = max(flows[row, 0], flows[row, 1])
            brought += fastest * work.inflow_concentration[row, s.FIRST_CLASS + k] * duration
        traces = stirred <= 0.0 and most < TRACE and brought < TRACE * held
        work.falls_later[s.FIRST_CLASS + k] = 1 if traces else 0


@compiled_for_loop
def settle_traces(settings: SolidsSettings, grid: Grid, work: Work, state: State, duration: float) -> None:
    """Let traces fall for `duration` [s]; organic matter that reaches the bed is left in work.forth.

    Each box empties exponentially while it gains evenly what falls from above: exact for the uppermost box,
    and conserving and never below zero for all.
    """
    boxes = work.volume.size
    for box in range(boxes):
        work.forth[box] = 0.0
    for k in range(settings.share.size):
        row = s.FIRST_CLASS + k
        if work.falls_later[row] == 0 or settings.sinking[row] <= 0.0:
            continue
        for zone in range(grid.zone_bottom.size):
            fallen, settled = 0.0, 0.0
            for box in range(grid.first_box[zone + 1] - 1, grid.first_box[zone] - 1, -1):
                area = max(work.area_bottom[box] + work.bed_area[box], 1e-6)
                velocity = settings.sinking[row] * work.thinness[box]
                emptied = duration * min(velocity * area / state.rows[s.WATER, box], 1.0 / QUICKEST)
                before = max(state.rows[row, box], 0.0)
                left = np.exp(-emptied)
                after = before * left + fallen * ((1.0 - left) / emptied if emptied > 1e-6 else 1.0)
                lost = before + fallen - after
                state.rows[row, box] += after - before
                on_bed = lost * work.bed_area[box] / area
                fallen = lost - on_bed
                settled += on_bed
                work.forth[box] += on_bed * settings.organic_share * OXYGEN_PER_DRY_MATTER
            state.zones[s.FIRST_BED_CLASS + k, zone] += settled
    for box in range(boxes):
        state.lines[s.REDUCING_SOLIDS] += work.forth[box]


@compiled_for_loop
def _lift(settings: SolidsSettings, stress: float) -> float:
    return settings.erosion_rate * max(stress / settings.critical_stress - 1.0, 0.0)


@compiled_for_loop
def add_rates(settings: SolidsSettings, grid: Grid, work: Work, state: State, rates: State) -> None:
    """Settle into the box below and onto the bed; lift fresh mud; wash banks in."""
    boxes = work.volume.size
    fastest = 0.0
    for constituent in range(settings.sinking.size):
        if work.falls_later[constituent] == 0:
            fastest = max(fastest, settings.sinking[constituent])
    work.back[boxes] = 0.0
    for box in range(boxes):
        area = work.area_bottom[box] + work.bed_area[box]
        work.most[box] = work.volume[box] / (QUICKEST * max(area, 1e-6))  # a film is not emptied faster
        work.forth[box] = 0.0
        work.turnover[box] += min(fastest * work.thinness[box], work.most[box]) * area
    for constituent in range(settings.sinking.size):
        if settings.sinking[constituent] > 0.0 and work.falls_later[constituent] == 0:
            _settle(settings, grid, work, constituent, rates)
    organic = 0.0
    for box in range(boxes):
        made = work.forth[box] * settings.organic_share * OXYGEN_PER_DRY_MATTER
        work.bed_rate[s.BED_ORGANICS, box] += made
        organic += made
    rates.lines[s.REDUCING_SOLIDS] += organic
    for zone in range(grid.zone_bottom.size):
        _add_bank_and_mud(settings, grid, work, zone, state, rates)


@compiled_for_loop
def lift_to_zero(grid: Grid, state: State) -> None:
    """Bring solids that the scheme's error left below zero to zero, at the cost of the rest of their zone.

    Where the water of a whole zone is below zero, too much has settled: the bed gives it back. What moves is
    within the error allowed per step, and the zone's mass of every class stays as it is. What comes after the
    classes (phosphorus, algae) has no such bed, and stays as it is.
    """
    end = state.zones.shape[0]
    for row in range(s.FIRST_CLASS, state.rows.shape[0]):
        on_bed = s.FIRST_BED_CLASS + row - s.FIRST_CLASS
        for zone in range(grid.zone_bottom.size):
            below, above = 0.0, 0.0
            for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
                below += min(state.rows[row, box], 0.0)
                above += max(state.rows[row, box], 0.0)
            if below < 0.0 and above > -below:
                for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
                    state.rows[row, box] = max(state.rows[row, box], 0.0) * (1.0 + below / above)
            elif below < 0.0 and on_bed < end and state.zones[on_bed, zone] > -(below + above):
                state.zones[on_bed, zone] += below + above
                for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
                    state.rows[row, box] = 0.0


@compiled_for_loop
def _settle(settings: SolidsSettings, grid: Grid, work: Work, constituent: int, rates: State) -> None:
    """Settle one constituent; solids that reach the bed of a box are added up in work.forth."""
    boxes, sinking = work.volume.size, settings.sinking[constituent]
    for box in range(boxes):
        velocity = min(sinking * work.thinness[box], work.most[box])
        work.back[box] = velocity * work.concentration[constituent, box]
    for box in range(boxes):
        work.rate[constituent, box] += work.back[box + 1] * work.area_bottom[box + 1] - work.back[box] * (
            work.area_bottom[box] + work.bed_area[box]
        )
    if constituent < s.FIRST_CLASS:
        into = s.SETTLES_INTO[constituent]
        for box in range(boxes):
            work.bed_rate[into, box] += work.back[box] * work.bed_area[box]
        return
    for box in range(boxes):
        work.forth[box] += work.back[box] * work.bed_area[box]
    for zone in range(grid.zone_bottom.size):
        settled = 0.0
        for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
            settled += work.back[box] * work.bed_area[box]
        rates.zones[s.FIRST_BED_CLASS + constituent - s.FIRST_CLASS, zone] += settled


@compiled_for_loop
def _add_bank_and_mud(
    settings: SolidsSettings, grid: Grid, work: Work, zone: int, state: State, rates: State
) -> None:
    first, top = grid.first_box[zone], grid.first_box[zone + 1] - 1
    work.stirred[:, zone] = 0.0
    if settings.bank_erosion[zone] > 0.0:
        for k in range(settings.share.size):
            washed = settings.bank_erosion[zone] * settings.share[k]
            work.rate[s.FIRST_CLASS + k, top] += washed
            rates.solids_in[k] += washed
    if work.erosion[zone] <= 0.0:
        return
    held, area = 0.0, 0.0
    for k in range(settings.share.size):
        held += max(state.zones[s.FIRST_BED_CLASS + k, zone], 0.0)
    for box in range(first, top + 1):
        area += work.bed_area[box]
    if held <= 0.0 or area <= 0.0:
        return
    lifted = work.erosion[zone] * held / (held + settings.half_supply * area)
    for k in range(settings.share.size):
        of_class = lifted * max(state.zones[s.FIRST_BED_CLASS + k, zone], 0.0) / held
        rates.zones[s.FIRST_BED_CLASS + k, zone] -= of_class
        for box in range(first, top + 1):
            work.rate[s.FIRST_CLASS + k, box] += of_class * work.bed_area[box] / area
    # fresh organic matter lies in what is fresh and in as much below as its supply counts
    work.stirred[0, zone] = lifted / (held + settings.half_supply * area)
    work.stirred[1, zone] = lifted / (held + settings.bound_in * area)
    for box in range(first, top + 1):  # organic matter leaves the bed with the mud that holds it
        share = work.bed_area[box] / area
        organic = work.bed[s.BED_ORGANICS, box] * lifted * share / max(held * share, 1e-12)
        organic = min(organic, lifted * share * settings.organic_share * OXYGEN_PER_DRY_MATTER)
        work.bed_rate[s.BED_ORGANICS, box] -= organic
        rates.lines[s.REDUCING_SOLIDS] -= organic
