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
def _lean(grid: Grid, work: Work, box: int, oxygen: float) -> float:
    """Oxygen at the top of a layer less that in its middle, by its neighbors, never leaving less than 0."""
    zone = grid.box_zone[box]
    first, end = grid.first_box[zone], grid.first_box[zone + 1]
    up = max(work.concentration[box + 1, s.OXYGEN], 0.0) - oxygen if box + 1 < end else 0.0
    down = oxygen - max(work.concentration[box - 1, s.OXYGEN], 0.0) if box > first else up
    if box + 1 == end:
        up = down if box > first else 0.0
    if up * down <= 0.0:
        return 0.0
    lean = min(abs(0.25 * (up + down)), abs(up), abs(down), oxygen)
    return lean if up > 0.0 else -lean


@compiled_for_loop
def share_met(half: float, oxygen: float, lean: float, floor: float) -> float:
    """Mean of O/(half + O) over the bed of a layer, with oxygen straight from O - lean to O + lean.

    The bed lies evenly over the height of the layer but for a level part, `floor`, at its bottom.
    """
    met = 0.0
    for k in range(4):
        at = oxygen + lean * (0.5 * k - 0.75)
        met += 0.25 * at / (half + at)
    low = oxygen - lean
    return (1.0 - floor) * met + floor * low / (half + low)


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
        floor = 0.0
        if box == grid.first_box[zone] and work.bed_area[box] > 0.0:
            floor = min(grid.table_area[zone, 0] / work.bed_area[box], 1.0)
        met = share_met(settings.half_saturation, oxygen, _lean(grid, work, box, oxygen), floor)
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
