"""The flow pattern: flow through every face for one unit of each source of water, and their sum."""

from __future__ import annotations

from pondsim.jit.compiled import compiled_for_loop, copy
from pondsim.processes import constituents as s
from pondsim.processes import flows
from pondsim.processes.state import State
from pondsim.processes.work import INTAKE_DRAW, OUTLET_DRAW, PUMP_SYSTEM, Work
from pondsim.site.pond import FloatArray, Grid, box_volume

# Sources of water: one row for each inflow, then these; a row for each passage begins at SPILLS.
GROUND, PUMP, OUTLET, SURFACE, SPILLS = range(5)


@compiled_for_loop
def update_drift(grid: Grid, envelope: flows.Envelope, work: Work, state: State, duration: float) -> None:
    """Flows that bring every box back to its geometric volume within `duration` [s]."""
    gain = work.gain
    for box in range(gain.size):
        target = box_volume(grid, box, work.surface[grid.box_zone[box]])
        gain[box] = (state.rows[s.WATER, box] - target) / duration
    flows.spread_rise(grid, work, gain)
    flows.solve_flows(grid, envelope, work, gain, work.steady)


@compiled_for_loop
def update_patterns(
    grid: Grid, envelope: flows.Envelope, work: Work, inflow: FloatArray, returned: float
) -> None:
    """Flow through every face for one unit of each source that can give anything, else 0.

    `inflow`, (rows, 2), is that of start and end of each row before those above [m3/s], `returned` the share
    of the pumped flow that returns.
    """
    inflows, wet_bed, surface_area = inflow.shape[0], 0.0, 0.0
    for box in range(work.bed_area.size):
        wet_bed += work.bed_area[box]
    for zone in range(work.surface_area.size):
        surface_area += work.surface_area[zone]
    gain = work.gain
    for row in range(inflows + SPILLS + grid.connection_width.size):
        work.pattern[row, :] = 0.0
        source = row - inflows
        if not _gives(work, inflow, row):
            continue
        gain[:] = 0.0
        if source < 0:
            _add_moved(work, row, 1.0)
        elif source == GROUND:
            for box in range(gain.size):
                gain[box] = -work.bed_area[box] / wet_bed
        elif source == PUMP:
            _add_moved(work, row, returned)
            _add_draw(work, INTAKE_DRAW)
        elif source == OUTLET:
            _add_draw(work, OUTLET_DRAW)
        elif source == SURFACE:
            for zone in range(work.surface_area.size):
                gain[grid.first_box[zone + 1] - 1] = work.surface_area[zone] / surface_area
        else:
            a, b = grid.connection_zone[source - SPILLS]
            gain[grid.first_box[a + 1] - 1] = -1.0
            gain[grid.first_box[b + 1] - 1] = 1.0
        flows.spread_rise(grid, work, gain)
        flows.solve_flows(grid, envelope, work, gain, work.pattern[row])


@compiled_for_loop
def _gives(work: Work, inflow: FloatArray, row: int) -> bool:
    """Whether a source can give or take anything before the pattern is renewed."""
    source = row - inflow.shape[0]
    if source < 0:
        return inflow[row, 0] != 0.0 or inflow[row, 1] != 0.0
    if source == GROUND:
        return work.seeped[0] != 0.0
    if source == PUMP:
        return work.running[PUMP_SYSTEM] > 0.0
    return source < SPILLS or work.passage_open[source - SPILLS] == 0


@compiled_for_loop
def _add_moved(work: Work, row: int, share: float) -> None:
    """What a share of a source leaves in each box, with the water that it takes along there."""
    for box in range(work.gain.size):
        given = (1.0 + work.dilution[row]) * work.give[row, box]
        work.gain[box] += share * (given - work.dilution[row] * work.take[row, box])


@compiled_for_loop
def _add_draw(work: Work, row: int) -> None:
    """What intake or outlet draws from each box."""
    for box in range(work.gain.size):
        work.gain[box] -= work.draw[row, box]


@compiled_for_loop
def set_flows(work: Work) -> None:
    """Flow through every face at the sources of the moment."""
    copy(work.steady, work.flow)
    for row in range(work.source.size):
        amount = work.source[row]
        if amount != 0.0:
            for face in range(work.flow.size):
                work.flow[face] += amount * work.pattern[row, face]
