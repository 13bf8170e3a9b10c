"""Carry every constituent with the flows between boxes."""

from __future__ import annotations

import numpy as np

from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.lanes import add_row, gather, move_rows, spread
from pondsim.processes import constituents as s
from pondsim.processes.levels import mixed
from pondsim.processes.state import State
from pondsim.processes.work import Work
from pondsim.site.pond import FloatArray, Grid


@compiled_for_loop
def concentrations(work: Work, state: State) -> None:
    """Volumes and concentrations from amounts, and the bed's states; water has exactly 1."""
    boxes = work.volume.size
    for box in range(boxes):
        work.volume[box] = state.rows[s.WATER, box]
        work.forth[box] = 1.0 / work.volume[box]
    spread(state.rows, work.forth, work.concentration, work.content)
    for box in range(boxes):
        work.concentration[s.WATER, box], work.content[box, s.WATER] = 1.0, 1.0
    for row in range(state.bed.shape[0]):
        for box in range(boxes):
            work.bed[row, box] = state.bed[row, box]


@compiled_for_loop
def hand_over(grid: Grid, work: Work, rates: State) -> float:
    """Move the rates of boxes from the rows that processes write to the vector of rates; leave the rows at 0.

    Returns the fastest relative rate [1/s].
    """
    boxes = work.volume.size
    gather(rates.rows, work.rate, work.transfers)
    for row in range(rates.bed.shape[0]):
        for box in range(boxes):
            rates.bed[row, box] = work.bed_rate[row, box]
            work.bed_rate[row, box] = 0.0
    for row in range(work.pathway.shape[0]):
        pathway = s.COUNTED_BY_BOX[row]
        for zone in range(grid.zone_bottom.size):
            total = 0.0
            for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
                total += work.pathway[row, box]
            rates.pathways[zone, pathway] += total
        for box in range(boxes):
            work.pathway[row, box] = 0.0
    for box in range(boxes):
        work.forth[box] = work.turnover[box] / work.volume[box]
        work.turnover[box] = 0.0
    fastest = 0.0
    for box in range(boxes):
        fastest = max(fastest, work.forth[box])
    return fastest


@compiled_for_loop
def add_rates(grid: Grid, work: Work) -> None:
    """Upwind flow and equal exchange through each face.

    Water itself is the constituent of concentration 1, so that volumes and masses move together. Between
    layers, the first faces, an upwind flow q exchanges q/2 beside what it carries, more than molecules do
    where water rises slowly through thick layers. There flow and exchange E together exchange
    sqrt(E^2 + (q/2)^2), close to the exact q/2 coth(q/(2 E)) of a steady profile (patankar1980).
    """
    for box in range(work.volume.size):
        half, exchange = 0.5 * abs(work.flow[box]), work.exchange[box]
        work.exchange[box] = np.sqrt(exchange * exchange + half * half) - half
    for face in range(work.flow.size):
        flow, exchange = work.flow[face], work.exchange[face]
        forth, back = max(flow, 0.0) + exchange, max(-flow, 0.0) + exchange
        if forth + back == 0.0:
            continue
        a, b = grid.face_lower[face], grid.face_upper[face]
        move_rows(work.transfers, a, b, forth, back, work.content)
        work.turnover[a] += forth + exchange
        work.turnover[b] += back + exchange


@compiled_for_loop
def add_transfer(grid: Grid, work: Work, row: int, zone: int, flow: float) -> None:
    """Take `flow` from boxes of a zone in the shares take[row], mix it, and leave it as give[row] says."""
    add_withdrawal(grid, work, work.take[row], zone, flow)
    add_inflow(grid, work, row, zone, flow)


@compiled_for_loop
def add_inflow(grid: Grid, work: Work, row: int, zone: int, flow: float) -> None:
    """Leave `flow` of the concentration in `work.mixture` in boxes of a zone, in the shares give[row]."""
    for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
        add_row(work.transfers, box, flow * work.give[row, box], work.mixture, 0)


@compiled_for_loop
def add_withdrawal(grid: Grid, work: Work, shares: FloatArray, zone: int, flow: float) -> None:
    """Draw `flow` from the boxes of a zone in the given shares; what it carries is left in `work.mixture`."""
    first, end = grid.first_box[zone], grid.first_box[zone + 1]
    mixed(shares, first, end, work)
    for box in range(first, end):
        drawn = flow * shares[box]
        add_row(work.transfers, box, -drawn, work.content, box)
        work.turnover[box] += drawn


@compiled_for_loop
def count_in(work: Work, zone: int, flow: float, rates: State) -> None:
    """Book what enters the pond with `flow` of the concentrations in work.mixture; negative leaves it."""
    rates.pathways[zone, s.OXYGEN_IN if flow > 0.0 else s.OXYGEN_OUT] += flow * work.mixture[0, s.OXYGEN]
    for constituent in range(s.FIRST_CLASS):
        if s.CARRIED[constituent] >= 0:
            rates.lines[s.CARRIED[constituent]] += flow * work.mixture[0, constituent]
    phosphorus, demand = 0.0, 0.0
    for row in range(work.solids_end[0], work.worth.shape[1]):
        phosphorus += work.worth[0, row] * work.mixture[0, row]
        demand += work.worth[1, row] * work.mixture[0, row]
    rates.lines[s.PHOSPHORUS_IN] += max(flow, 0.0) * phosphorus
    rates.lines[s.PHOSPHORUS_OUT] += max(-flow, 0.0) * phosphorus
    rates.lines[s.REDUCING_CARRIED] += flow * demand
    for k in range(rates.solids_in.size):
        solids = work.mixture[0, s.FIRST_CLASS + k]
        rates.solids_in[k] += max(flow, 0.0) * solids
        rates.solids_out[k] += max(-flow, 0.0) * solids


@compiled_for_loop
def sample(place: int, flow: float, chlorophyll: float, work: Work, rates: State) -> None:
    """Count what passes a place of `SAMPLED_AT` with `flow` [m3/s] of the concentrations in work.mixture.

    Chlorophyll [kg/m3], which may be given and no constituent, is counted behind the last of them.
    """
    last = rates.sampled.shape[1] - 1
    for constituent in range(last):
        rates.sampled[place, constituent] += flow * work.mixture[0, constituent]
    rates.sampled[place, last] += flow * chlorophyll


@compiled_for_loop
def drawn_chlorophyll(grid: Grid, work: Work, shares: FloatArray, zone: int) -> float:
    """Chlorophyll of water drawn from the boxes of a zone in the given shares [kg/m3]."""
    found = 0.0
    for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
        found += shares[box] * work.chlorophyll[box]
    return found
