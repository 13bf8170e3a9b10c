"""The error of a step over what is allowed: the largest of any box, bed, zone and constituent."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.elementary import bits
from pondsim.processes import constituents as s
from pondsim.processes.living_rows import LivingRows, bed_table, box_table
from pondsim.processes.state import State
from pondsim.processes.work import Work
from pondsim.site.pond import FloatArray, Grid, IntArray


@dataclass(frozen=True, eq=False)
class Allowed(Bundle):
    """Errors allowed per step: absolute, and relative to the value; one for each row of a state."""

    absolute: FloatArray  # (constituents,) in the unit of the concentration
    relative: FloatArray
    bed_absolute: FloatArray  # (rows of the bed,) in their unit, or that per area
    bed_relative: FloatArray
    zone_absolute: FloatArray  # (rows of zones,) in their unit, or that per area
    zone_relative: FloatArray


def allowed_errors(tolerance: float, rows: LivingRows) -> Allowed:
    """The errors of the table of states times `tolerance`."""

    def errors(table: tuple[s.Kept, ...]) -> tuple[FloatArray, FloatArray]:
        absolute, relative = np.array([(k.absolute, k.relative) for k in table]).reshape(-1, 2).T
        return tolerance * absolute, tolerance * relative

    classes = rows.first - s.FIRST_CLASS
    box, bed = errors(box_table(rows)), errors(bed_table(rows))
    return Allowed(*box, *bed, *errors((*s.ZONES, *[s.BED_SOLIDS] * classes)))


@compiled_for_loop
def relative_error(
    grid: Grid, work: Work, allowed: Allowed, state: State, error: State, count: IntArray
) -> float:
    """Largest error of any box, bed, zone and constituent over what is allowed; NaN is infinite.

    Every one counts: an average would hide one bad box. Where it is worst stands in count[4], and which state
    it is, in the order of boxes, bed and zones, in count[5].
    """
    worst = _worst_of_boxes(work, allowed, state, error, count)
    worst = _worst_of_bed(work, allowed, state, error, count, worst)
    worst = _worst_of_zones(grid, work, allowed, state, error, count, worst)
    return np.inf if np.isnan(worst) else worst


@compiled_for_loop
def _worst_of_boxes(work: Work, allowed: Allowed, state: State, error: State, count: IntArray) -> float:
    """Of concentrations: an error of the amount and one of the water that holds it partly cancel."""
    per_volume, changed, ratio = work.forth, work.back, work.passed  # scratch
    boxes, worst, most = state.rows.shape[1], 0.0, 0
    for box in range(boxes):
        per_volume[box] = 1.0 / state.rows[s.WATER, box]
        changed[box] = error.rows[s.WATER, box] * per_volume[box]
    for constituent in range(state.rows.shape[0]):
        absolute, relative = allowed.absolute[constituent], allowed.relative[constituent]
        relative_change = 0.0 if constituent == s.WATER else 1.0
        for box in range(boxes):
            value = state.rows[constituent, box] * per_volume[box]
            wrong = error.rows[constituent, box] * per_volume[box] - relative_change * value * changed[box]
            ratio[box] = abs(wrong) / (absolute + relative * abs(value))
        found = most
        for box in range(boxes):
            # compared as whole numbers, which floats above 0 are ordered like, with NaN above all others
            found = max(found, bits(ratio[box]))
        if found > most:
            most = found
            for box in range(boxes - 1, -1, -1):  # the first of several that are none
                if bits(ratio[box]) == most:
                    worst = ratio[box]
                    count[4], count[5] = box, constituent
    return np.inf if np.isnan(worst) else worst


@compiled_for_loop
def _worst_of_bed(
    work: Work, allowed: Allowed, state: State, error: State, count: IntArray, worst: float
) -> float:
    for row in range(state.bed.shape[0]):
        for box in range(state.bed.shape[1]):
            size = max(work.bed_area[box], 1.0) if s.BED_PER_AREA[row] else 1.0
            limit = allowed.bed_absolute[row] * size + allowed.bed_relative[row] * abs(state.bed[row, box])
            ratio = abs(error.bed[row, box]) / limit
            if not ratio <= worst:
                worst = ratio
                count[4], count[5] = box, state.rows.shape[0] + row
    return worst


@compiled_for_loop
def _worst_of_zones(
    grid: Grid, work: Work, allowed: Allowed, state: State, error: State, count: IntArray, worst: float
) -> float:
    for row in range(state.zones.shape[0]):
        for zone in range(state.zones.shape[1]):
            size = max(work.surface_area[zone], 1.0)
            value = abs(state.zones[row, zone])
            limit = allowed.zone_absolute[row] * size + allowed.zone_relative[row] * value
            ratio = abs(error.zones[row, zone]) / limit
            if not ratio <= worst:
                worst = ratio
                count[4] = grid.first_box[zone]
                count[5] = state.rows.shape[0] + state.bed.shape[0] + row
    return worst
