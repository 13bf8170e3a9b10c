"""Settling or rising of the rows of the living pond, from box to box and onto the bed."""

from __future__ import annotations

from pondsim.jit.compiled import compiled_for_loop
from pondsim.processes.work import Work


@compiled_for_loop
def _bound(work: Work, box: int, velocity: float, area: float) -> None:
    """What sinking empties of a box, for the step's stability."""
    work.turnover[box] += min(velocity * work.thinness[box], work.most[box]) * area


@compiled_for_loop
def sink(work: Work, row: int, velocity: float) -> None:
    """Let a row settle [m/s], or rise where `velocity` is below 0.

    What reaches the bed of each box is left in work.forth, to be taken in by the caller. Comes after the
    settling of solids, which sets work.most.
    """
    boxes = work.volume.size
    work.back[boxes] = 0.0
    if velocity >= 0.0:
        for box in range(boxes):
            here = max(work.concentration[row, box], 0.0)
            _bound(work, box, velocity, work.area_bottom[box] + work.bed_area[box])
            work.back[box] = min(velocity * work.thinness[box], work.most[box]) * here
        for box in range(boxes):
            work.rate[row, box] += work.back[box + 1] * work.area_bottom[box + 1] - work.back[box] * (
                work.area_bottom[box] + work.bed_area[box]
            )
            work.forth[box] = work.back[box] * work.bed_area[box]
        return
    for box in range(boxes):
        here = max(work.concentration[row, box], 0.0)
        _bound(work, box, -velocity, work.area_bottom[box + 1])
        fast = min(-velocity * work.thinness[box], work.most[box])
        risen = fast * here * work.area_bottom[box + 1]  # 0 at the surface
        work.rate[row, box] -= risen
        work.back[box] = risen
        work.forth[box] = 0.0
    for box in range(boxes - 1):
        work.rate[row, box + 1] += work.back[box]
