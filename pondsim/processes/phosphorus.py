"""Phosphorus of dead algae, binders, and what animals and people bring."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.physics.bed_stores import debt_share
from pondsim.physics.kinetics import OXYGEN_PER_CARBON
from pondsim.processes import constituents as s
from pondsim.processes.living_rows import LivingRows
from pondsim.processes.state import State
from pondsim.processes.work import LIVING_WARMTH, Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import FloatArray, Grid

PHOSPHORUS_LOAD, DEMAND_LOAD, AMMONIUM_LOAD = range(3)  # columns of the stated loads


@dataclass(frozen=True, eq=False)
class PhosphorusSettings(Bundle):
    """Rates at 20 degC."""

    rows: LivingRows
    decay: float  # 1/s, of dead algae
    anoxic: float  # of it without oxygen
    speed: float  # of their phosphorus over that of their carbon
    reduced_share: float
    debt_ceiling: float  # kg/m3
    ammonium_per_oxygen: float
    fading: float  # 1/s, of dye
    decay_half: float  # kg/m3 of oxygen that halves decay
    binding: float  # 1/s, at which a binder takes phosphorus that abounds
    binding_half: float  # kg/m3 of dissolved phosphorus that halves it


def phosphorus_settings(scenario: Scenario, rows: LivingRows) -> PhosphorusSettings:
    """Settings of a scenario."""
    fading = [dye.fading for dye in scenario.dye]
    return PhosphorusSettings(
        rows=rows,
        decay=scenario.organic_matter.grown_decay,
        anoxic=scenario.organic_matter.anoxic_decay,
        speed=scenario.phosphorus.detritus_speed,
        reduced_share=scenario.bed.reduced_share,
        debt_ceiling=scenario.bed.debt_ceiling,
        ammonium_per_oxygen=scenario.bed.ammonium_release,
        fading=float(np.mean(fading)) if fading else 0.0,
        decay_half=scenario.organic_matter.decay_half_saturation,
        binding=scenario.phosphorus.binding,
        binding_half=scenario.phosphorus.binding_half_saturation,
    )


def worth_of(scenario: Scenario, rows: LivingRows) -> FloatArray:
    """What a unit of each row after the settling classes holds: phosphorus [kg], oxygen demand [kg]."""
    worth = np.zeros((2, rows.end))
    if rows.grown:
        worth[0, [rows.dissolved, rows.detrital, rows.on_solids]] = 1.0
        algae = slice(rows.algae, rows.algae + rows.kinds)
        worth[0, algae] = 1.0 / scenario.algae.carbon_to_phosphorus
        worth[1, algae] = OXYGEN_PER_CARBON
    if rows.binder >= 0:
        worth[0, rows.binder + 1] = 1.0
    return worth


@compiled_for_loop
def add_rates(settings: PhosphorusSettings, work: Work, rates: State) -> None:
    """Decay of dead algae and of their phosphorus, with and without oxygen."""
    dissolved, detrital = settings.rows.dissolved, settings.rows.detrital
    lost, without = 0.0, 0.0
    for box in range(work.volume.size):
        oxygen, volume = max(work.concentration[s.OXYGEN, box], 0.0), work.volume[box]
        warm = settings.decay * work.living_warmth[LIVING_WARMTH, box] * volume
        oxic = warm * oxygen / (settings.decay_half + oxygen)
        anoxic = settings.anoxic * (warm - oxic)
        dead = max(work.concentration[s.DETRITUS, box], 0.0)
        owed = (
            anoxic
            * dead
            * debt_share(settings.reduced_share, work.concentration[s.DEBT, box], settings.debt_ceiling)
        )
        freed = settings.speed * (oxic + anoxic) * max(work.concentration[detrital, box], 0.0)
        work.rate[s.DETRITUS, box] -= (oxic + anoxic) * dead
        work.rate[s.OXYGEN, box] -= oxic * dead
        work.rate[s.DEBT, box] += owed
        work.rate[s.AMMONIUM, box] += settings.ammonium_per_oxygen * (oxic + anoxic) * dead
        work.rate[detrital, box] -= freed
        work.rate[dissolved, box] += freed
        work.pathway[s.ORGANIC_DECAY_ROW, box] -= oxic * dead
        work.turnover[box] += settings.speed * warm + oxic * dead / (oxygen + settings.decay_half)
        without += anoxic * dead
        lost += anoxic * dead - owed
    rates.lines[s.ORGANIC_ANOXIC] += without
    rates.lines[s.REDUCING_LOST] += lost


@compiled_for_loop
def add_binding(settings: PhosphorusSettings, grid: Grid, work: Work, dosed: FloatArray) -> None:
    """A binder is dosed at the surface and takes dissolved phosphorus, as much as it can.

    dosed: (zones,) phosphorus that the product of the moment can bind [kg/s].
    """
    row, dissolved = settings.rows.binder, settings.rows.dissolved
    for zone in range(grid.zone_bottom.size):
        work.rate[row, grid.first_box[zone + 1] - 1] += dosed[zone]
    for box in range(work.volume.size):
        quickest = settings.binding * work.volume[box]
        binder = settings.binding * max(work.concentration[row, box], 0.0) * work.volume[box]
        phosphorus = max(work.concentration[dissolved, box], 0.0)
        bound = binder * phosphorus / (settings.binding_half + phosphorus)
        work.rate[row, box] -= bound
        work.rate[row + 1, box] += bound
        work.rate[dissolved, box] -= bound
        work.turnover[box] += binder / (settings.binding_half + phosphorus) + quickest


@compiled_for_loop
def add_loads(settings: PhosphorusSettings, grid: Grid, work: Work, loads: FloatArray, rates: State) -> None:
    """Stated loads reach the top box of their zone; loads: (zones, 3) columns as named above [kg/s]."""
    for zone in range(grid.zone_bottom.size):
        top = grid.first_box[zone + 1] - 1
        work.rate[settings.rows.dissolved, top] += loads[zone, PHOSPHORUS_LOAD]
        work.rate[s.BOD, top] += loads[zone, DEMAND_LOAD]
        work.rate[s.AMMONIUM, top] += loads[zone, AMMONIUM_LOAD]
        rates.lines[s.PHOSPHORUS_LOADS] += loads[zone, PHOSPHORUS_LOAD]
        rates.lines[s.ORGANIC_LOADS] += loads[zone, DEMAND_LOAD]


@compiled_for_loop
def add_dye(settings: PhosphorusSettings, grid: Grid, work: Work, dyed: FloatArray) -> None:
    """Dye is mixed into its zones and fades; dyed: (zones,) extinction times volume [m2/s]."""
    row = settings.rows.dye
    for zone in range(grid.zone_bottom.size):
        volume = 0.0
        for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
            volume += work.volume[box]
        for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
            faded = settings.fading * work.concentration[row, box]
            work.rate[row, box] += (dyed[zone] / volume - faded) * work.volume[box]
