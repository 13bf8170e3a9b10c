"""The bed as stores that age: fast of weeks, slow of seasons, old of years, and its phosphorus.

What settles fills the stores, decay empties them, with oxygen faster than without. The phosphorus they free
returns to the water or is bound; what is bound is released while the bed has no oxygen, until it is used up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.physics.bed_stores import bed_temperature_factor, debt_share
from pondsim.physics.kinetics import OXYGEN_PER_CARBON
from pondsim.processes import constituents as s
from pondsim.processes.living_rows import LivingRows, kinds_of
from pondsim.processes.sinking import sink
from pondsim.processes.state import State
from pondsim.processes.work import BED_WARMTH, Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import FloatArray, Grid


@dataclass(frozen=True, eq=False)
class StoreSettings(Bundle):
    """Rates at 20 degC."""

    rows: LivingRows
    share: FloatArray  # (4,) of what settles: fast, slow, old, inert
    decay: FloatArray  # (3,) of fast, slow, old [1/s]
    anoxic: float  # of it without oxygen
    theta: float
    winter_share: float
    half_saturation: float  # kg/m3
    reduced_share: float
    debt_ceiling: float  # kg/m3
    ammonium_release: float  # kg/kg
    detritus_sinking: float  # m/s
    algae_sinking: FloatArray  # (kinds,) m/s
    solids_sinking: float  # m/s, of the phosphorus on solids
    floc_sinking: float  # m/s
    mobile_share: float
    bed_return: float
    bed_return_anoxic: float
    bound_release: float  # 1/s
    burial: float  # 1/s
    phosphorus_per_carbon: float
    capture_half: float  # kg/m2 of binding capacity on the bed that takes half of what leaves it


def store_settings(scenario: Scenario, rows: LivingRows) -> StoreSettings:
    """Settings of a scenario."""
    bed, phosphorus, algae = scenario.bed, scenario.phosphorus, scenario.algae
    sinking = [kind.sinking for kind in kinds_of(algae)] if rows.grown else []
    floc = [treatment.settling for treatment in scenario.treatment]
    inert = max(1.0 - bed.fast_share - bed.slow_share, 0.0)
    return StoreSettings(
        rows=rows,
        share=np.array([bed.fast_share, bed.slow_share, 0.0, inert]),
        decay=np.array([bed.fast_decay, bed.slow_decay, bed.old_decay]),
        anoxic=bed.anoxic_decay,
        theta=bed.oxygen_demand_theta,
        winter_share=bed.winter_share,
        half_saturation=bed.half_saturation,
        reduced_share=bed.reduced_share,
        debt_ceiling=bed.debt_ceiling,
        ammonium_release=bed.ammonium_release,
        detritus_sinking=scenario.organic_matter.grown_settling,
        algae_sinking=np.array(sinking, dtype=float),
        solids_sinking=phosphorus.solids_settling,
        floc_sinking=float(np.mean(floc)) if floc else 0.0,
        mobile_share=phosphorus.mobile_share,
        bed_return=phosphorus.bed_return,
        bed_return_anoxic=phosphorus.bed_return_anoxic,
        bound_release=phosphorus.bound_release,
        burial=phosphorus.burial,
        phosphorus_per_carbon=1.0 / algae.carbon_to_phosphorus,
        capture_half=phosphorus.capture_half_saturation,
    )


@compiled_for_loop
def update_warmth(settings: StoreSettings, work: Work) -> None:
    """Temperature factor of the stores for a hydraulic step."""
    for box in range(work.volume.size):
        work.living_warmth[BED_WARMTH, box] = bed_temperature_factor(
            settings.theta, settings.winter_share, work.concentration[s.HEAT, box]
        )


@compiled_for_loop
def add_rates(settings: StoreSettings, work: Work, rates: State) -> None:
    """Decay of the stores; the share of the bed that finds oxygen stands in work.forth."""
    lost, without = 0.0, 0.0
    for box in range(work.volume.size):
        warm, met = work.living_warmth[BED_WARMTH, box], work.forth[box]
        slowed = met + settings.anoxic * (1.0 - met)
        asked = 0.0
        for store in range(3):
            here = warm * settings.decay[store] * work.bed[s.FAST + store, box]
            asked += here
            work.bed_rate[s.FAST + store, box] -= here * slowed
        oxic, anoxic = asked * met, settings.anoxic * asked * (1.0 - met)
        owed = anoxic * debt_share(
            settings.reduced_share, work.concentration[s.DEBT, box], settings.debt_ceiling
        )
        work.rate[s.OXYGEN, box] -= oxic
        work.rate[s.DEBT, box] += owed
        work.rate[s.AMMONIUM, box] += settings.ammonium_release * (oxic + anoxic)
        work.pathway[s.BED_DEMAND_ROW, box] -= oxic
        work.turnover[box] += asked / (settings.half_saturation + max(work.concentration[s.OXYGEN, box], 0.0))
        without += anoxic
        lost += anoxic - owed
    rates.lines[s.ORGANIC_ANOXIC] += without
    rates.lines[s.REDUCING_LOST] += lost
    _add_phosphorus(settings, work)


@compiled_for_loop
def _add_phosphorus(settings: StoreSettings, work: Work) -> None:
    """Phosphorus freed by decay, bound, released, buried and caught by a binder on the bed."""
    for box in range(work.volume.size):
        warm, met = work.living_warmth[BED_WARMTH, box], work.forth[box]
        slowed = warm * (met + settings.anoxic * (1.0 - met))
        fast = settings.decay[0] * slowed * work.bed[s.FAST_P, box]
        slow = settings.decay[1] * slowed * work.bed[s.SLOW_P, box]
        bound, capacity = work.bed[s.BOUND_P, box], max(work.bed[s.BED_BINDER, box], 0.0)
        back = settings.bed_return * met + settings.bed_return_anoxic * (1.0 - met)
        released = settings.bound_release * warm * (1.0 - met) * bound
        buried = settings.burial * bound
        leaving = (fast + slow) * back + released
        caught = leaving * capacity / (capacity + settings.capture_half * max(work.bed_area[box], 1e-3))
        work.bed_rate[s.FAST_P, box] -= fast
        work.bed_rate[s.SLOW_P, box] -= slow
        work.bed_rate[s.BOUND_P, box] += (fast + slow) * (1.0 - back) - released - buried
        work.bed_rate[s.BURIED_P, box] += buried + caught
        work.bed_rate[s.BED_BINDER, box] -= caught
        work.rate[settings.rows.dissolved, box] += leaving - caught


@compiled_for_loop
def take_in(settings: StoreSettings, work: Work) -> None:
    """Settle what belongs to the living pond, and share out all organic matter that reached the bed.

    Comes after the settling of solids and dead algae, which leaves what arrives with the row of settled
    organic matter.
    """
    rows = settings.rows
    boxes = work.volume.size
    for kind in range(settings.algae_sinking.size):
        sink(work, rows.algae + kind, settings.algae_sinking[kind])
        for box in range(boxes):
            work.bed_rate[s.BED_ORGANICS, box] += OXYGEN_PER_CARBON * work.forth[box]
        _share_phosphorus(settings, work, settings.phosphorus_per_carbon)
    sink(work, rows.detrital, settings.detritus_sinking)
    _share_phosphorus(settings, work, 1.0)
    sink(work, rows.on_solids, settings.solids_sinking)
    for box in range(boxes):
        work.bed_rate[s.BOUND_P, box] += settings.mobile_share * work.forth[box]
        work.bed_rate[s.BURIED_P, box] += (1.0 - settings.mobile_share) * work.forth[box]
    if rows.binder >= 0:
        sink(work, rows.binder, settings.floc_sinking)
        for box in range(boxes):
            work.bed_rate[s.BED_BINDER, box] += work.forth[box]
        sink(work, rows.binder + 1, settings.floc_sinking)
        for box in range(boxes):
            work.bed_rate[s.BURIED_P, box] += work.forth[box]
    for store in range(settings.share.size):
        share = settings.share[store]
        for box in range(boxes):
            work.bed_rate[s.FAST + store, box] += share * work.bed_rate[s.BED_ORGANICS, box]
    for box in range(boxes):
        work.bed_rate[s.BED_ORGANICS, box] = 0.0


@compiled_for_loop
def lift(settings: StoreSettings, grid: Grid, work: Work) -> None:
    """Lift the share of fresh organic matter and bound phosphorus that stirred mud takes along.

    It comes in the shares in which it settles, as far as there is enough, so that what lies down again has
    not aged: fast stores with slow and inert matter, bound phosphorus with buried.
    """
    rows, mobile = settings.rows, max(settings.mobile_share, 1e-6)
    for zone in range(grid.zone_bottom.size):
        fresh, deep = work.stirred[0, zone], work.stirred[1, zone]
        if fresh <= 0.0:
            continue
        for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
            fast = fresh * max(work.bed[s.FAST, box], 0.0)
            per_share = fast / max(settings.share[0], 1e-6)
            slow = min(fresh * max(work.bed[s.SLOW, box], 0.0), settings.share[1] * per_share)
            inert = min(fresh * max(work.bed[s.INERT, box], 0.0), settings.share[3] * per_share)
            with_fast = fresh * max(work.bed[s.FAST_P, box], 0.0)
            with_slow = slow * max(work.bed[s.SLOW_P, box], 0.0) / max(work.bed[s.SLOW, box], 1e-30)
            bound = deep * max(work.bed[s.BOUND_P, box], 0.0)
            buried = min(deep * max(work.bed[s.BURIED_P, box], 0.0), bound * (1.0 - mobile) / mobile)
            work.bed_rate[s.FAST, box] -= fast
            work.bed_rate[s.SLOW, box] -= slow
            work.bed_rate[s.INERT, box] -= inert
            work.bed_rate[s.FAST_P, box] -= with_fast
            work.bed_rate[s.SLOW_P, box] -= with_slow
            work.bed_rate[s.BOUND_P, box] -= bound
            work.bed_rate[s.BURIED_P, box] -= buried
            work.rate[s.DETRITUS, box] += fast + slow + inert
            work.rate[rows.detrital, box] += with_fast + with_slow
            work.rate[rows.on_solids, box] += bound + buried


@compiled_for_loop
def _share_phosphorus(settings: StoreSettings, work: Work, per_unit: float) -> None:
    """Phosphorus of organic matter in work.forth: what is inert keeps none of it."""
    fast = settings.share[0] / max(settings.share[0] + settings.share[1], 1e-9)
    for box in range(work.volume.size):
        arrived = per_unit * work.forth[box]
        work.bed_rate[s.FAST_P, box] += fast * arrived
        work.bed_rate[s.SLOW_P, box] += (1.0 - fast) * arrived


@compiled_for_loop
def add_dredging(grid: Grid, work: Work, dredged: FloatArray, rates: State) -> None:
    """Take out stores and phosphorus; dredged: (zones,) share of what is there [1/s]."""
    for zone in range(grid.zone_bottom.size):
        if dredged[zone] <= 0.0:
            continue
        for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
            for row in range(s.FAST, s.BED_BINDER + 1):
                out = dredged[zone] * work.bed[row, box]
                work.bed_rate[row, box] -= out
                if row <= s.INERT:
                    rates.lines[s.ORGANIC_DREDGED] += out
                elif row <= s.BURIED_P:
                    rates.lines[s.PHOSPHORUS_DREDGED] += out
