"""Flows between boxes from continuity: the least-dissipation solution on the graph of boxes.

q = G (phi_a - phi_b), net q into a box = its change of volume less its sources. The system is linear in the
sources, so each source has its pattern, found once per hydraulic step by an envelope Cholesky factorisation.
There is no momentum in it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import reverse_cuthill_mckee

from pondsim.constants import GRAVITY, WATER_DENSITY
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.processes.work import Work
from pondsim.site.pond import FloatArray, Grid, IntArray

N2_SCALE = 1e-8  # 1/s2; vertical conductance falls as 1/(1 + N2/this)
MEMORY = 3600.0  # s, over which N2 is averaged for the flow pattern (judgement)


@dataclass(frozen=True, eq=False)
class Envelope(Bundle):
    """Order of the unknowns and where each row of the factor is kept."""

    place: IntArray  # (boxes,) row of each box
    first: IntArray  # (boxes,) first column of each row
    start: IntArray  # (boxes + 1,) where the row begins in the factor


def envelope_of(grid: Grid) -> Envelope:
    """Order zones by reverse Cuthill-McKee and lay out the envelope of the factor."""
    zones = grid.zone_bottom.size
    ends = grid.connection_zone
    links = coo_array(
        (np.ones(2 * len(ends)), (ends.T.ravel(), ends[:, ::-1].T.ravel())), shape=(zones, zones)
    )
    order = reverse_cuthill_mckee(links.tocsr(), symmetric_mode=True)
    boxes = np.concatenate([np.arange(grid.first_box[z], grid.first_box[z + 1]) for z in order])
    place = np.empty(boxes.size, dtype=np.int64)
    place[boxes] = np.arange(boxes.size)
    first = np.arange(boxes.size, dtype=np.int64)
    for a, b in zip(place[grid.face_lower], place[grid.face_upper], strict=True):
        first[max(a, b)] = min(first[max(a, b)], a, b)
    start = np.concatenate([[0], np.cumsum(np.arange(boxes.size) - first + 1)]).astype(np.int64)
    return Envelope(place, first, start)


@compiled_for_loop
def update_conductances(grid: Grid, work: Work, duration: float) -> None:
    """Conductance of each face: area over distance, far less across a stratified interface.

    `duration` [s] is that of the hydraulic step to come. Water that moves along a pattern changes the N2 that
    the pattern was found from: with N2 of the moment the two can take turns from step to step, and a column
    that is nearly mixed then decides by 1 mK where the water goes. So N2 is averaged: a pattern closes as
    water stratifies and opens over hours as it mixes. (The mean of log(1 + N2/scale), which treats both
    alike, lets them take turns again.)
    """
    fresh = 1.0 - np.exp(-duration / MEMORY)
    for face in range(grid.face_lower.size):
        a, b = grid.face_lower[face], grid.face_upper[face]
        conductance = work.face_ratio[face]
        if grid.face_connection[face] < 0:
            gradient = (work.density[a] - work.density[b]) / work.face_distance[face]
            n2 = max(GRAVITY / WATER_DENSITY * gradient, 0.0)
            known = work.stability[face]
            work.stability[face] = n2 if known < 0.0 else known + fresh * (n2 - known)
            conductance /= 1.0 + work.stability[face] / N2_SCALE
        work.conductance[face] = conductance


@compiled_for_loop
def factorise(grid: Grid, envelope: Envelope, work: Work) -> None:
    """Cholesky factor of the graph's Laplacian, one box of each pool held at zero potential."""
    factor, place, first, start = work.factor, envelope.place, envelope.first, envelope.start
    factor[:] = 0.0
    for face in range(grid.face_lower.size):
        conductance = work.conductance[face]
        i, j = place[grid.face_lower[face]], place[grid.face_upper[face]]
        if i < j:
            i, j = j, i
        factor[start[i] + j - first[i]] -= conductance
        factor[start[i + 1] - 1] += conductance
        factor[start[j + 1] - 1] += conductance
    for zone in range(grid.zone_bottom.size):
        if work.pool[zone] == zone:
            diagonal = start[place[grid.first_box[zone + 1] - 1] + 1] - 1
            factor[diagonal] = 2.0 * factor[diagonal] + 1.0
    for i in range(place.size):
        row = start[i] - first[i]
        for j in range(first[i], i):
            other = start[j] - first[j]
            total = factor[row + j]
            for k in range(max(first[i], first[j]), j):
                total -= factor[row + k] * factor[other + k]
            factor[row + j] = total / factor[start[j + 1] - 1]
        total = factor[row + i]
        for k in range(first[i], i):
            total -= factor[row + k] * factor[row + k]
        factor[row + i] = np.sqrt(total)


@compiled_for_loop
def solve_flows(grid: Grid, envelope: Envelope, work: Work, gain: FloatArray, flow: FloatArray) -> None:
    """Flow through each face when each box gains `gain` from outside and must keep its volume [m3/s].

    `gain` adds up to zero over each pool. It is overwritten.
    """
    factor, place, first, start = work.factor, envelope.place, envelope.first, envelope.start
    size = place.size
    potential = work.potential
    for box in range(size):
        potential[place[box]] = gain[box]
    for i in range(size):
        row = start[i] - first[i]
        total = potential[i]
        for k in range(first[i], i):
            total -= factor[row + k] * potential[k]
        potential[i] = total / factor[row + i]
    for i in range(size - 1, -1, -1):
        row = start[i] - first[i]
        potential[i] /= factor[row + i]
        for k in range(first[i], i):
            potential[k] -= factor[row + k] * potential[i]
    for face in range(grid.face_lower.size):
        a, b = grid.face_lower[face], grid.face_upper[face]
        flow[face] = work.conductance[face] * (potential[place[a]] - potential[place[b]])


@compiled_for_loop
def spread_rise(grid: Grid, work: Work, gain: FloatArray) -> None:
    """Subtract from the gain of each box the rise of its pool's level, so that gains add up to zero."""
    net = work.net
    net[:] = 0.0
    for box in range(gain.size):
        net[work.pool[grid.box_zone[box]]] += gain[box]
    for box in range(gain.size):
        gain[box] -= work.rise[box] * net[work.pool[grid.box_zone[box]]]
