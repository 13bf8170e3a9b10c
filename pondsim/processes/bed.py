"""What the bed takes from the water and gives to it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.processes import state as s
from pondsim.processes.state import State
from pondsim.processes.warmth import BED, warmth_now
from pondsim.processes.work import Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import FloatArray, Grid


@dataclass(frozen=True, eq=False)
class BedSettings(Bundle):
    """The bed's demand."""

    demand: FloatArray  # (zones,) at 20 degC [kg/m2/s]
    theta: float
    half_saturation: float  # kg/m3
    reduced_share: float
    organic_decay: float  # 1/s at 20 degC
    ammonium_release: float  # kg/kg


def bed_settings(scenario: Scenario) -> BedSettings:
    """Settings of a scenario; a zone's own demand goes before that of the bed section."""
    bed = scenario.bed
    own = [bed.oxygen_demand if z.bed_oxygen_demand is None else z.bed_oxygen_demand for z in scenario.zone]
    return BedSettings(
        demand=np.array(own, dtype=float),
        theta=bed.oxygen_demand_theta,
        half_saturation=bed.half_saturation,
        reduced_share=bed.reduced_share,
        organic_decay=bed.organic_decay,
        ammonium_release=bed.ammonium_release,
    )


@compiled_for_loop
def add_rates(
    settings: BedSettings,
    grid: Grid,
    work: Work,
    state: State,
    rates: State,
) -> None:
    """Demand met by oxygen, and the part of the unmet demand that leaves as bottom oxygen debt.

    The demand is that of the bed as it was at the start, plus that of organic matter settled since.
    """
    log_theta = np.log(settings.theta)
    for box in range(grid.box_zone.size):
        zone = grid.box_zone[box]
        factor = warmth_now(work, box, BED, log_theta)
        oxygen = max(work.concentration[box, s.OXYGEN], 0.0)
        old = settings.demand[zone] * work.bed_area[box] * factor
        new = settings.organic_decay * state.bed_organics[box] * factor
        met = oxygen / (settings.half_saturation + oxygen)
        owed = (1.0 - met) * settings.reduced_share
        rates.amounts[box, s.OXYGEN] -= (old + new) * met
        rates.amounts[box, s.DEBT] += (old + new) * owed
        rates.amounts[box, s.AMMONIUM] += settings.ammonium_release * (old + new)
        rates.bed_organics[box] -= new
        rates.pathways[zone, s.BED_DEMAND] -= (old + new) * met
        rates.lines[s.OXYGEN_OLD_BED] += old * met
        rates.lines[s.REDUCING_OLD_BED] += old * owed
        rates.lines[s.REDUCING_LOST] += new * (1.0 - met - owed)
        work.turnover[box] += (old + new) / (settings.half_saturation + oxygen)
