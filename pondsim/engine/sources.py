"""How much water each source gives or takes at a moment: inflows, ground, pump, outlet and spills."""

from __future__ import annotations

from pondsim.engine.moment import head_of, level_of
from pondsim.engine.patterns import GROUND, OUTLET, PUMP, SPILLS
from pondsim.jit.compiled import compiled_for_loop
from pondsim.processes import circulation, outflow
from pondsim.processes import constituents as s
from pondsim.processes.state import State
from pondsim.processes.work import PUMP_SYSTEM, Work
from pondsim.site.pond import FloatArray, Grid

MOMENT = 1.0  # s; no outlet or pump takes what a zone holds faster


@compiled_for_loop
def set_sources(
    grid: Grid,
    work: Work,
    inflow: FloatArray,
    share: float,
    fall: circulation.CirculationSettings,
    outlet: outflow.OutflowSettings,
    state: State,
) -> None:
    """Flow of every source but the water surface's [m3/s].

    `inflow`, (rows, 2) [m3/s], is that of the hydraulic step's start and end, `share` how much of it is over.
    """
    rows = inflow.shape[0]
    for row in range(rows):
        first, last = inflow[row]
        work.source[row] = first + share * (last - first)
    work.source[rows + GROUND] = work.seeped[0]
    work.source[rows + PUMP] = 0.0
    work.loop_power[0] = 0.0
    if fall.most_flow > 0.0:
        level = head_of(grid, work, fall.intake_zone, state)
        circulation.set_loop(fall, work, rows + PUMP, level, work.running[PUMP_SYSTEM])
        flow = work.source[rows + PUMP]
        work.source[rows + PUMP] = flow * _still_drawn(grid, work, fall.intake_zone, state, flow)
    work.source[rows + OUTLET] = 0.0
    if outlet.zone >= 0:
        flow = outflow.outlet_flow(outlet, head_of(grid, work, outlet.zone, state))
        work.source[rows + OUTLET] = flow * _still_drawn(grid, work, outlet.zone, state, flow)
    for passage in range(grid.connection_width.size):
        spilled = 0.0
        if work.passage_open[passage] == 0:
            a, b = grid.connection_zone[passage]
            levels = level_of(grid, work, a, state), level_of(grid, work, b, state)
            spilled = outflow.spill_flow(grid, passage, levels[0], levels[1])
        work.source[rows + SPILLS + passage] = spilled


@compiled_for_loop
def _still_drawn(grid: Grid, work: Work, zone: int, state: State, flow: float) -> float:
    """Share of a flow that a zone can still give [1].

    0 where it holds half of its film or less, 1 where it holds more than the film, and more than a moment of
    the flow above half of it: a wide hole would empty a puddle within milliseconds. How fast the share
    follows the water counts for the number of stages.
    """
    first, end = grid.first_box[zone], grid.first_box[zone + 1]
    held = 0.0
    for box in range(first, end):
        held += state.rows[s.WATER, box]
    half = 0.5 * grid.film_volume[zone] * (end - first)
    scale = max(half, flow * MOMENT)
    share = (held - half) / scale
    if 0.0 < share < 1.0:
        for box in range(first, end):
            work.turnover[box] += flow / scale * work.volume[box]
    return min(max(share, 0.0), 1.0)
