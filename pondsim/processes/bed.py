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
def oxygen_at_bed(half: float, transfer: float, demand: float, oxygen: float) -> float:
    """Oxygen where transfer to the bed equals what the bed takes: k (O - O_b) = M O_b/(O_b + half) [kg/m3]."""
    b = demand + transfer * (half - oxygen)
    return 2.0 * transfer * oxygen * half / (b + np.sqrt(b * b + 4.0 * transfer * transfer * oxygen * half))


@compiled_for_loop
def _to_bed(grid: Grid, work: Work, box: int) -> float:
    """Transfer velocity from the middle of a layer to its bed, by the diffusivity of the moment [m/s]."""
    zone = grid.box_zone[box]
    first, end = grid.first_box[zone], grid.first_box[zone + 1]
    face = first - zone + (box - first)  # over the box; faces of a column come first
    most = 0.0
    if box + 1 < end:
        most = work.exchange[face] * work.face_distance[face] / work.face_area[face]
    if box > first:
        under = work.exchange[face - 1] * work.face_distance[face - 1] / work.face_area[face - 1]
        most = max(most, under)
    if end - first == 1:
        most = 1e-3
    return max(most, 1.4e-9) / (0.5 * work.thickness[box])


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
        at_bed = oxygen
        if work.bed_area[box] > 0.0 and oxygen > 0.0:
            wanted = (old + new) / work.bed_area[box]
            at_bed = oxygen_at_bed(settings.half_saturation, _to_bed(grid, work, box), wanted, oxygen)
        met = at_bed / (settings.half_saturation + at_bed)
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
