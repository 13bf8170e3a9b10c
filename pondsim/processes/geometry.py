"""Water levels, pools and the shape of the boxes, renewed at each hydraulic step.

Zones joined by open passages form one level pool. A passage closes when the water falls to its sill; the
zone behind it then keeps a water surface of its own, and spills over the sill when it rises again.
"""

from __future__ import annotations

import numpy as np

from pondsim.jit.compiled import compiled_for_loop
from pondsim.processes.constituents import WATER
from pondsim.processes.state import State
from pondsim.processes.work import Work
from pondsim.site.pond import (
    FILM,
    Grid,
    box_limits,
    box_volume,
    face_height,
    surface_of_volume,
    zone_area,
)

OPENS = 0.02  # m over the sill on both sides at which a passage opens
CLOSES = 0.01  # m over the sill at which it closes
NUDGE = 1e-4  # m, step of the derivative of volume by level
# m, diffusivity over the speed of exchange sideways, 1e-6 m2/s over 2 cm/s: with the area of the water under
# a sill and the width over it, how near to the sill water from the side makes all alike (judgement)
OVER_SILL = 5e-5
THINNEST = 0.005  # m, least thickness used in distances and light


@compiled_for_loop
def _number_pools(grid: Grid, work: Work) -> None:
    for zone in range(work.pool.size):
        work.pool[zone] = zone
    for _ in range(work.pool.size):
        changed = False
        for passage in range(grid.connection_width.size):
            if work.passage_open[passage] == 0:
                continue
            a, b = grid.connection_zone[passage]
            low = min(work.pool[a], work.pool[b])
            if work.pool[a] != low or work.pool[b] != low:
                work.pool[a] = low
                work.pool[b] = low
                changed = True
        if not changed:
            break


@compiled_for_loop
def _set_levels(grid: Grid, work: Work, state: State) -> None:
    zones = work.pool.size
    for pool in range(zones):
        work.pool_volume[pool] = 0.0
    for box in range(grid.box_zone.size):
        work.pool_volume[work.pool[grid.box_zone[box]]] += state.rows[WATER, box]
    for pool in range(zones):
        if work.pool[pool] != pool:
            continue
        level = surface_of_volume(grid, work.pool, pool, work.pool_volume[pool], work.surface[pool])
        work.pool_level[pool] = level
        for zone in range(zones):
            if work.pool[zone] == pool:
                work.surface[zone] = max(level, grid.zone_bottom[zone])


@compiled_for_loop
def update_levels(grid: Grid, work: Work, state: State) -> None:
    """Find the pools and the water surface of each zone from the water in the boxes.

    Each zone stands alone for a moment, so that a zone far below its neighbour is not joined to it too soon.
    Two passages that open at once may leave the common level under the sill of one: that one closes again.
    """
    _number_pools(grid, work)
    _set_levels(grid, work, state)
    changed = _switch_passages(grid, work, OPENS)
    while changed:
        _number_pools(grid, work)
        _set_levels(grid, work, state)
        changed = _switch_passages(grid, work, np.inf)


@compiled_for_loop
def _switch_passages(grid: Grid, work: Work, opens: float) -> bool:
    """Close passages, and open those with more than `opens` over their sills [m]; whether any was."""
    changed = False
    for passage in range(grid.connection_width.size):
        a, b = grid.connection_zone[passage]
        over = min(work.surface[a], work.surface[b]) - grid.connection_sill[passage]
        is_open = work.passage_open[passage]
        if (is_open == 0 and over > opens) or (is_open == 1 and over < CLOSES):
            work.passage_open[passage] = 1 - is_open
            changed = True
    return changed


@compiled_for_loop
def update_boxes(grid: Grid, work: Work, state: State) -> None:
    """Set elevations, areas and the rise of every box for the present water surface."""
    for zone in range(grid.zone_bottom.size):
        work.pool_area[zone] = 0.0
    for zone in range(grid.zone_bottom.size):
        surface = work.surface[zone]
        first, end = grid.first_box[zone], grid.first_box[zone + 1]
        held = 0.0
        for box in range(first, end):
            bottom, top = box_limits(grid, box, surface)
            work.bottom[box] = bottom
            work.top[box] = top
            work.thickness[box] = max(top - bottom, THINNEST)
            work.depth[box] = surface - top
            work.film[box] = grid.film_volume[zone]
            work.area_top[box] = zone_area(grid, zone, top)
            work.area_bottom[box] = zone_area(grid, zone, bottom) if box > first else 0.0
            work.bed_area[box] = work.area_top[box] - work.area_bottom[box]
            higher = box_volume(grid, box, surface + NUDGE)
            work.rise[box] = (higher - box_volume(grid, box, surface)) / NUDGE
            work.pool_area[work.pool[zone]] += work.rise[box]
            held += state.rows[WATER, box]
        film = grid.film_volume[zone] * (end - first)
        work.surface_area[zone] = max(work.area_top[end - 1], film / FILM)
        work.wet[zone] = min(max(2.0 * held / film - 1.0, 0.0), 1.0)
    for zone in range(grid.zone_bottom.size):
        pool = work.pool[zone]
        for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
            if work.pool_area[pool] > 0.0:
                work.rise[box] /= work.pool_area[pool]
            else:  # a dry zone alone: the films of its boxes rise and fall together
                work.rise[box] = 1.0 / (grid.first_box[zone + 1] - grid.first_box[zone])
    for zone in range(grid.zone_bottom.size):
        if work.pool[zone] == zone and work.pool_area[zone] == 0.0:
            work.pool_area[zone] = work.surface_area[zone]
    _update_faces(grid, work)


@compiled_for_loop
def _update_faces(grid: Grid, work: Work) -> None:
    """Area and distance of each face; work.forth is the width in which a box meets other zones.

    Water over a sill is renewed from the side sooner than from below. With the speed u of that exchange in a
    width b it is alike down to sqrt(K A/(u b)) over the sill, some 5 cm: that far, at most half of the layer,
    what passes the layer edge at the sill has to go in the layer over it.
    """
    boxes = grid.box_zone.size
    for box in range(boxes):
        work.forth[box] = 0.0
    for face in range(boxes, grid.face_lower.size):
        a, b, passage = grid.face_lower[face], grid.face_upper[face], grid.face_connection[face]
        work.face_distance[face] = grid.connection_distance[passage]
        work.face_area[face] = 0.0
        if work.passage_open[passage] == 1:
            surface = work.surface[grid.box_zone[a]]
            work.face_opening[face] = surface - grid.connection_sill[passage]
            height = face_height(grid, passage, a, b, surface)
            work.face_area[face] = grid.connection_width[passage] * height
            work.forth[a] += work.face_area[face] / work.thickness[a]
            work.forth[b] += work.face_area[face] / work.thickness[b]
        work.face_ratio[face] = work.face_area[face] / work.face_distance[face]
    for face in range(boxes):
        a, b = grid.face_lower[face], grid.face_upper[face]
        if a == b:  # a zone's uppermost box has no face on top
            work.face_area[face] = 0.0
            work.face_distance[face] = work.thickness[a]
        else:
            over = 0.5 * work.thickness[b]
            if work.forth[a] == 0.0 and work.forth[b] > 0.0:
                over = min(over, np.sqrt(OVER_SILL * work.area_top[a] / work.forth[b]))
            work.face_area[face] = max(work.area_top[a], grid.film_volume[grid.box_zone[a]] / FILM)
            work.face_distance[face] = 0.5 * work.thickness[a] + over
        work.face_ratio[face] = work.face_area[face] / work.face_distance[face]
