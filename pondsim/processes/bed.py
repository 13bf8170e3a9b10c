"""What the bed takes from the water and gives to it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.lanes import whole_lanes
from pondsim.processes import constituents as s
from pondsim.processes.state import State
from pondsim.processes.work import BED_FACTOR, Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import FloatArray, Grid


@dataclass(frozen=True, eq=False)
class BedSettings(Bundle):
    """The bed's demand."""

    demand: FloatArray  # (zones,) at 20 degC [kg/m2/s]
    theta: float  # of the demand, for the output; in the loop it is that of processes.temperature
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
def update_demand(settings: BedSettings, grid: Grid, work: Work) -> None:
    """Demand at 20 degC of the bed under each box, as it was at the start."""
    for box in range(work.bed_demand.size):
        work.bed_demand[box] = settings.demand[grid.box_zone[box]] * work.bed_area[box]


@compiled_for_loop
def _lean(grid: Grid, work: Work, box: int, oxygen: float) -> float:
    """Oxygen at the top of a layer less that in its middle, by its neighbors, never leaving less than 0."""
    zone = grid.box_zone[box]
    first, end = grid.first_box[zone], grid.first_box[zone + 1]
    up = max(work.concentration[s.OXYGEN, box + 1], 0.0) - oxygen if box + 1 < end else 0.0
    down = oxygen - max(work.concentration[s.OXYGEN, box - 1], 0.0) if box > first else up
    if box + 1 == end:
        up = down if box > first else 0.0
    if up * down <= 0.0:
        return 0.0
    lean = min(abs(0.25 * (up + down)), abs(up), abs(down), oxygen)
    return lean if up > 0.0 else -lean


@compiled_for_loop
def set_share_met(settings: BedSettings, grid: Grid, work: Work) -> None:
    """Share of the demand that oxygen meets, the mean of O/(half + O) over a layer's bed, into work.forth.

    Oxygen runs straight through the layer; the bed lies evenly over its height, but for a level part at the
    bottom of the lowest layer.
    """
    half, leans = settings.half_saturation, work.back
    for box in range(work.volume.size):
        leans[box] = _lean(grid, work, box, max(work.concentration[s.OXYGEN, box], 0.0))
    for box in range(whole_lanes(work.volume.size)):
        oxygen, lean = max(work.concentration[s.OXYGEN, box], 0.0), leans[box]
        left = 0.0  # share of the demand that is not met
        for k in range(4):
            left += 0.25 / (half + oxygen + lean * (0.5 * k - 0.75))
        work.forth[box] = 1.0 - half * left
    for zone in range(grid.zone_bottom.size):
        box = grid.first_box[zone]
        if work.bed_area[box] > 0.0:
            floor = min(grid.table_area[zone, 0] / work.bed_area[box], 1.0)
            lowest = max(work.concentration[s.OXYGEN, box], 0.0) - leans[box]
            work.forth[box] += floor * (lowest / (half + lowest) - work.forth[box])


@compiled_for_loop
def add_rates(settings: BedSettings, grid: Grid, work: Work, rates: State) -> None:
    """Demand met by oxygen, and the part of the unmet demand that leaves as bottom oxygen debt.

    The demand is that of the bed as it was at the start, plus that of organic matter settled since.
    """
    set_share_met(settings, grid, work)
    met_by_old, owed_by_old, lost = 0.0, 0.0, 0.0
    for box in range(work.volume.size):
        factor = work.temperature_factor[BED_FACTOR, box]
        oxygen = max(work.concentration[s.OXYGEN, box], 0.0)
        old = work.bed_demand[box] * factor
        new = settings.organic_decay * work.bed[s.BED_ORGANICS, box] * factor
        met = work.forth[box]
        owed = (1.0 - met) * settings.reduced_share
        work.rate[s.OXYGEN, box] -= (old + new) * met
        work.rate[s.DEBT, box] += (old + new) * owed
        work.rate[s.AMMONIUM, box] += settings.ammonium_release * (old + new)
        work.bed_rate[s.BED_ORGANICS, box] -= new
        work.pathway[s.BED_DEMAND_ROW, box] -= (old + new) * met
        work.turnover[box] += (old + new) / (settings.half_saturation + oxygen)
        met_by_old += old * met
        owed_by_old += old * owed
        lost += new * (1.0 - met - owed)
    rates.lines[s.OXYGEN_OLD_BED] += met_by_old
    rates.lines[s.REDUCING_OLD_BED] += owed_by_old
    rates.lines[s.REDUCING_LOST] += lost
