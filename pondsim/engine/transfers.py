"""Water carried between boxes, summed over a season, for the steady ages of water."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.engine.model import Model
from pondsim.engine.patterns import PUMP, SPILLS
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.processes import constituents as s
from pondsim.processes.state import State
from pondsim.processes.work import INTAKE_DRAW
from pondsim.site.pond import FloatArray
from pondsim.site.weather import RAIN


@dataclass(frozen=True, eq=False)
class Sums(Bundle):
    """Sums over time; divided by the length of the season they are means."""

    transfers: FloatArray  # (boxes, boxes) water carried between boxes [m3]
    pumped: FloatArray  # (boxes, boxes) the same through the circulation loop [m3]
    fresh: FloatArray  # (boxes,) new water [m3]
    held: FloatArray  # (boxes,) volume times time [m3 s]


def new_sums(boxes: int) -> Sums:
    """Sums of nothing yet."""
    return Sums(np.zeros((boxes, boxes)), np.zeros((boxes, boxes)), np.zeros(boxes), np.zeros(boxes))


@compiled_for_loop
def sum_flows(model: Model, sums: Sums, state: State, duration: float) -> None:  # noqa: PLR0912
    """Add what the last flows of a part of a step carried between boxes."""
    grid, work = model.grid, model.work
    transfers = sums.transfers
    for face in range(work.flow.size):
        a, b = grid.face_lower[face], grid.face_upper[face]
        transfers[a, b] += (max(work.flow[face], 0.0) + work.exchange[face]) * duration
        transfers[b, a] += (max(-work.flow[face], 0.0) + work.exchange[face]) * duration
    for box in range(work.sinking.size):
        a, b = grid.face_lower[box], grid.face_upper[box]
        transfers[a, b] += work.sinking[box] * duration
        transfers[b, a] += work.sinking[box] * duration
    rows = work.source.size
    inflows = model.inflow.zone.size
    for row in range(rows + work.plume_flow.size):
        if row < inflows:
            moved = work.dilution[row] * work.source[row]
        elif row == inflows + PUMP and work.source[row] > 0.0:
            moved = work.dilution[row] * work.source[row] * (1.0 - model.circulation.splash_loss)
        elif row >= rows:
            moved = work.plume_flow[row - rows]
        else:
            moved = 0.0
        if moved > 0.0:
            _sum_transfer(work.take[row], work.give[row], moved * duration, transfers)
    pumped = work.source[inflows + PUMP] * (1.0 - model.circulation.splash_loss) * duration
    if pumped > 0.0:
        _sum_transfer(work.draw[INTAKE_DRAW], work.give[inflows + PUMP], pumped, sums.pumped)
    for passage in range(grid.connection_width.size):
        spilled = work.source[inflows + SPILLS + passage] * duration
        a, b = grid.connection_zone[passage]
        top_a, top_b = grid.first_box[a + 1] - 1, grid.first_box[b + 1] - 1
        transfers[top_a, top_b] += max(spilled, 0.0)
        transfers[top_b, top_a] += max(-spilled, 0.0)
    for row in range(inflows):
        for box in range(work.give.shape[1]):
            sums.fresh[box] += work.give[row, box] * work.source[row] * duration
    for zone in range(grid.zone_bottom.size):
        sums.fresh[grid.first_box[zone + 1] - 1] += work.now[RAIN] * work.surface_area[zone] * duration
    for box in range(work.bed_area.size):
        sums.fresh[box] += max(-model.outflow.seepage, 0.0) * work.bed_area[box] * duration
    for box in range(model.layout.boxes):
        sums.held[box] += state.rows[s.WATER, box] * duration


@compiled_for_loop
def _sum_transfer(take: FloatArray, give: FloatArray, moved: float, transfers: FloatArray) -> None:
    for a in range(take.size):
        if take[a] > 0.0:
            for b in range(give.size):
                transfers[a, b] += moved * take[a] * give[b]
