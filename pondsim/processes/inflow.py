"""Water coming in: events, base flow and drainage areas, with what they carry."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop, copy
from pondsim.physics.kinetics import ultimate_from_bod5
from pondsim.physics.oxygen import oxygen_saturation
from pondsim.processes import constituents as s
from pondsim.processes.levels import insertion, mixed, mixture_density, withdrawal
from pondsim.processes.living_rows import LivingRows
from pondsim.processes.state import State, salt_from_chloride
from pondsim.processes.transport import add_inflow, add_transfer, count_in, sample
from pondsim.processes.work import Work
from pondsim.scenario.settings import BaseFlow, Drainage, Inflow, Scenario
from pondsim.site.drained import AMMONIUM, BOD5, DISSOLVED_P, FIRST_SOLIDS, SOLIDS_P, TEMPERATURE
from pondsim.site.pond import FloatArray, Grid, IntArray
from pondsim.site.weather import AIR_TEMPERATURE, PRESSURE


@dataclass(frozen=True, eq=False)
class InflowSettings(Bundle):
    """One row for each event, each base flow and each drainage area."""

    zone: IntArray  # (inflows,)
    # (inflows, constituents) concentrations; heat and oxygen, and all of drainage areas, are set each step
    concentration: FloatArray
    temperature: FloatArray  # (inflows,) NaN for that of the air [K]
    oxygen_share: FloatArray  # (inflows,) of saturation
    entrainment: float  # pond water taken along per inflow
    spread: float  # factor of the thickness of intrusions [1]
    ultimate: float  # demand over that of five days
    living: LivingRows


def inflow_settings(scenario: Scenario, zones: dict[str, int], living: LivingRows) -> InflowSettings:
    """Settings of a scenario: events first, then base flows, then drainage areas."""
    rows: list[Inflow | BaseFlow] = [*scenario.inflow, *scenario.base_flow]
    every: list[Inflow | BaseFlow | Drainage] = [*rows, *scenario.drainage]
    ultimate = float(ultimate_from_bod5(1.0, max(scenario.organic_matter.bod_decay, 1e-9)))
    share = np.array(scenario.solids.share, dtype=float)
    concentration = np.zeros((len(every), living.end))
    solids = slice(s.FIRST_CLASS, living.first)
    concentration[:, : s.FIRST_CLASS] = [kept.neutral for kept in s.BOXES]
    concentration[:, s.SALT] = [salt_from_chloride(row.chloride) for row in every]
    for index, row in enumerate(rows):
        concentration[index, s.BOD] = ultimate * row.bod5
        for constituent, kept in enumerate(s.BOXES):
            if kept.given:
                concentration[index, constituent] = getattr(row, kept.given, kept.neutral)
        concentration[index, solids] = row.suspended_solids * share
        if living.grown:
            concentration[index, living.dissolved] = row.phosphorus_dissolved * row.phosphorus
            concentration[index, living.on_solids] = (1.0 - row.phosphorus_dissolved) * row.phosphorus
    if living.grown:
        concentration[:, living.algae : living.algae + living.kinds] = scenario.algae.seed
    return InflowSettings(
        zone=np.array([zones[row.zone] for row in every], dtype=np.int64),
        concentration=concentration,
        temperature=np.array(
            [np.nan if row.temperature is None else row.temperature for row in rows]
            + [np.nan for _ in scenario.drainage],
            dtype=float,
        ),
        oxygen_share=np.array([row.oxygen_saturation for row in every], dtype=float),
        entrainment=scenario.mixing.inflow_entrainment,
        spread=scenario.mixing.intrusion_spread,
        ultimate=ultimate,
        living=living,
    )


@compiled_for_loop
def update_inflows(
    settings: InflowSettings, grid: Grid, work: Work, shed: FloatArray, flows: FloatArray
) -> None:
    """Concentrations of each inflow, what it takes along at the surface, and where it comes to rest.

    `shed` is what each drainage area carries now; areas are the last rows. `flows` (inflows, 2) are those at
    the start and the end of the hydraulic step [m3/s].
    """
    first_area = settings.zone.size - shed.shape[0]
    for row in range(settings.zone.size):
        if max(flows[row, 0], flows[row, 1]) <= 0.0:
            continue
        zone = settings.zone[row]
        concentration = work.inflow_concentration[row]
        for constituent in range(settings.concentration.shape[1]):
            concentration[constituent] = settings.concentration[row, constituent]
        given = settings.temperature[row]
        if row >= first_area:
            area = shed[row - first_area]
            given = area[TEMPERATURE]
            concentration[s.BOD] = settings.ultimate * area[BOD5]
            concentration[s.AMMONIUM] = area[AMMONIUM]
            for k in range(settings.living.first - s.FIRST_CLASS):
                concentration[s.FIRST_CLASS + k] = area[FIRST_SOLIDS + k]
            if settings.living.grown == 1:
                concentration[settings.living.dissolved] = area[DISSOLVED_P]
                concentration[settings.living.on_solids] = area[SOLIDS_P]
        concentration[s.HEAT] = max(work.now[AIR_TEMPERATURE], 273.2) if np.isnan(given) else given
        concentration[s.OXYGEN] = settings.oxygen_share[row] * oxygen_saturation(
            concentration[s.HEAT], concentration[s.SALT], work.now[PRESSURE]
        )
        work.take[row, :] = 0.0
        work.give[row, :] = 0.0
        taken = settings.entrainment
        flow = 0.5 * (flows[row, 0] + flows[row, 1])
        first, end = grid.first_box[zone], grid.first_box[zone + 1]
        withdrawal(grid, work, zone, work.top[end - 1], taken * flow, settings.spread, work.take[row])
        work.dilution[row] = taken
        mixed(work.take[row], first, end, work)
        for constituent in range(concentration.size):
            work.mixture[0, constituent] = (
                concentration[constituent] + taken * work.mixture[0, constituent]
            ) / (1.0 + taken)
        flow *= 1.0 + taken
        insertion(grid, work, zone, mixture_density(work), flow, settings.spread, work.give[row])


@compiled_for_loop
def add_rates(settings: InflowSettings, grid: Grid, work: Work, rates: State) -> None:
    """Add every inflow at its flow of the moment."""
    for row in range(settings.zone.size):
        flow, zone = work.source[row], settings.zone[row]
        if flow <= 0.0:
            continue
        add_transfer(grid, work, row, zone, work.dilution[row] * flow)
        copy(work.inflow_concentration[row], work.mixture[0])
        add_inflow(grid, work, row, zone, flow)
        count_in(work, zone, flow, rates)
        sample(s.AT_INFLOW, flow, 0.0, work, rates)
        rates.lines[s.WATER_INFLOW] += flow
