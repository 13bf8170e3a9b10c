"""Carry every constituent with the flows between boxes."""

from __future__ import annotations

from pondsim.jit.compiled import compiled_for_loop
from pondsim.processes import state as s
from pondsim.processes.levels import mixed
from pondsim.processes.state import State
from pondsim.processes.work import Work
from pondsim.site.pond import FloatArray, Grid

QUICKEST = 30.0  # s; nothing renews a box faster: it is well mixed anyhow, and thin films stay tractable


@compiled_for_loop
def add_rates(grid: Grid, work: Work, rates: State) -> None:
    """Upwind flow and equal exchange through each face, and water moved by plumes.

    `rates` is (boxes, constituents). Water itself is the constituent of concentration 1, so that volumes and
    masses move together.
    """
    concentration = work.concentration
    constituents = concentration.shape[1]
    for face in range(grid.face_lower.size):
        a, b = grid.face_lower[face], grid.face_upper[face]
        flow, exchange = work.flow[face], work.exchange[face]
        forth = max(flow, 0.0) + exchange
        back = max(-flow, 0.0) + exchange
        if forth + back == 0.0:
            continue
        for constituent in range(constituents):
            moved = forth * concentration[a, constituent] - back * concentration[b, constituent]
            rates.amounts[a, constituent] -= moved
            rates.amounts[b, constituent] += moved
        work.turnover[a] += forth + exchange
        work.turnover[b] += back + exchange
    sources = work.source.size
    for unit in range(work.plume_flow.size):
        if work.plume_flow[unit] > 0.0:
            add_transfer(grid, work, sources + unit, work.plume_flow[unit], rates)


@compiled_for_loop
def add_transfer(grid: Grid, work: Work, row: int, flow: float, rates: State) -> None:
    """Take `flow` from boxes in the shares take[row], mix it, and leave it in the shares give[row]."""
    boxes = grid.box_zone.size
    mixed(work.take[row], 0, boxes, work.concentration, work.mixture)
    for box in range(boxes):
        taken, given = flow * work.take[row, box], flow * work.give[row, box]
        if taken == 0.0 and given == 0.0:
            continue
        for constituent in range(work.mixture.size):
            rates.amounts[box, constituent] += (
                given * work.mixture[constituent] - taken * work.concentration[box, constituent]
            )
        work.turnover[box] += taken


@compiled_for_loop
def add_inflow(grid: Grid, work: Work, row: int, flow: float, rates: State) -> None:
    """Leave `flow` of the concentration in `work.mixture` in the boxes, in the shares give[row]."""
    for box in range(grid.box_zone.size):
        given = flow * work.give[row, box]
        if given != 0.0:
            for constituent in range(work.mixture.size):
                rates.amounts[box, constituent] += given * work.mixture[constituent]


@compiled_for_loop
def add_withdrawal(grid: Grid, work: Work, shares: FloatArray, flow: float, rates: State) -> None:
    """Draw `flow` from the boxes in the given shares; what it carries is left in `work.mixture`."""
    boxes = grid.box_zone.size
    mixed(shares, 0, boxes, work.concentration, work.mixture)
    for box in range(boxes):
        drawn = flow * shares[box]
        if drawn != 0.0:
            for constituent in range(work.mixture.size):
                rates.amounts[box, constituent] -= drawn * work.concentration[box, constituent]
            work.turnover[box] += drawn


@compiled_for_loop
def count_out(work: Work, zone: int, flow: float, rates: State) -> None:
    """Book what leaves the pond with `flow` of the concentrations in work.mixture."""
    carried = work.mixture
    rates.pathways[zone, s.OXYGEN_OUT] -= flow * carried[s.OXYGEN]
    rates.lines[s.HEAT_CARRIED] -= flow * carried[s.HEAT]
    rates.lines[s.SALT_CARRIED] -= flow * carried[s.SALT]
    rates.lines[s.REDUCING_CARRIED] -= flow * (carried[s.BOD] + carried[s.DEBT] + carried[s.DETRITUS])
    for k in range(rates.bed_mass.shape[1]):
        rates.solids_out[k] += flow * carried[s.FIRST_CLASS + k]


@compiled_for_loop
def concentrations(grid: Grid, work: Work, state: State) -> None:
    """Concentrations from amounts; water has exactly 1."""
    for box in range(grid.box_zone.size):
        per_volume = 1.0 / state.amounts[box, s.WATER]
        for constituent in range(work.mixture.size):
            work.concentration[box, constituent] = state.amounts[box, constituent] * per_volume
        work.concentration[box, s.WATER] = 1.0
