"""The pond as zones, layers and boxes: the geometry at a given water surface. boxes.py lays it out.

A box is one layer of one zone. Boxes are numbered zone by zone, from the deepest up. Faces join boxes: first
the top of each box, in the order of boxes, then those across the passages between zones. The top of a zone's
uppermost box joins it to itself, and is no face: its area stays 0.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

FILM = 0.01  # m of water that every zone keeps
QUICKEST = 30.0  # s; nothing renews a box faster: it is well mixed anyhow, and thin films stay tractable


@dataclass(frozen=True, eq=False)
class Grid(Bundle):
    """Boxes, faces and tables; nothing here changes during a run, but for what dredging makes deeper."""

    normal_pool: float  # m
    least_layer: float  # m
    quickest: float  # s; exchange renews no box faster
    interface: (
        FloatArray  # (zones, layers + 1) elevations, bottom first; all zones share them but dredged ones [m]
    )
    box_zone: IntArray  # (boxes,)
    box_layer: IntArray  # (boxes,)
    first_box: IntArray  # (zones + 1,) deepest box of each zone; the last entry closes the list
    zone_bottom: FloatArray  # (zones,) [m]
    film_volume: FloatArray  # (zones,) least water of each box of the zone [m3]
    table_rows: IntArray  # (zones,)
    table_stage: FloatArray  # (zones, rows) [m]
    table_area: FloatArray  # (zones, rows) [m2]
    table_volume: FloatArray  # (zones, rows) [m3]
    face_lower: IntArray  # (faces,) box on one side: the lower one in a column
    face_upper: IntArray  # (faces,) box on the other side
    face_connection: IntArray  # (faces,) passage it belongs to; -1 within a column
    connection_zone: IntArray  # (passages, 2)
    connection_width: FloatArray  # (passages,) [m]
    connection_sill: FloatArray  # (passages,) [m]
    connection_distance: FloatArray  # (passages,) [m]


@compiled_for_loop
def zone_area(grid: Grid, zone: int, elevation: float) -> float:
    """Plan area of a zone at an elevation, linear between the rows of its table [m2]."""
    rows = grid.table_rows[zone]
    stage = grid.table_stage[zone]
    area = grid.table_area[zone]
    if elevation <= stage[0]:
        return area[0]
    for row in range(1, rows):
        if elevation < stage[row]:
            share = (elevation - stage[row - 1]) / (stage[row] - stage[row - 1])
            return area[row - 1] + share * (area[row] - area[row - 1])
    return area[rows - 1]


@compiled_for_loop
def zone_volume(grid: Grid, zone: int, elevation: float) -> float:
    """Volume of a zone below an elevation, the exact integral of its linear areas [m3]."""
    rows = grid.table_rows[zone]
    stage = grid.table_stage[zone]
    area = grid.table_area[zone]
    volume = grid.table_volume[zone]
    if elevation <= stage[0]:
        return 0.0
    for row in range(1, rows):
        if elevation < stage[row]:
            rise = elevation - stage[row - 1]
            slope = (area[row] - area[row - 1]) / (stage[row] - stage[row - 1])
            return volume[row - 1] + rise * (area[row - 1] + 0.5 * slope * rise)
    return volume[rows - 1] + (elevation - stage[rows - 1]) * area[rows - 1]


@compiled_for_loop
def box_limits(grid: Grid, box: int, surface: float) -> tuple[float, float]:
    """Bottom and top elevation of a box under a water surface elevation [m].

    The top layer follows the surface. When it would get thinner than the least layer, the interface below
    moves down with it, and so on downward; nothing goes below the zone's bottom.
    """
    zone = grid.box_zone[box]
    layer = grid.box_layer[box]
    layers = grid.interface.shape[1] - 1
    floor = grid.zone_bottom[zone]
    if box == grid.first_box[zone + 1] - 1:
        top = surface
    else:
        top = min(grid.interface[zone, layer + 1], surface - grid.least_layer * (layers - 1 - layer))
    if box == grid.first_box[zone]:
        bottom = floor
    else:
        bottom = min(grid.interface[zone, layer], surface - grid.least_layer * (layers - layer))
    return max(bottom, floor), max(top, floor)


@compiled_for_loop
def box_volume(grid: Grid, box: int, surface: float) -> float:
    """Water in a box under a water surface elevation, never less than its film [m3]."""
    zone = grid.box_zone[box]
    bottom, top = box_limits(grid, box, surface)
    return max(zone_volume(grid, zone, top) - zone_volume(grid, zone, bottom), grid.film_volume[zone])


@compiled_for_loop
def boxes_over_time(
    grid: Grid, surface: FloatArray, bottom: FloatArray, top: FloatArray, bed: FloatArray
) -> None:
    """Elevations [m] and bed area [m2] of all boxes at many moments.

    `surface` (moments, zones) is given [m]; `bottom`, `top` and `bed` (moments, boxes) are written.
    """
    for moment in range(surface.shape[0]):
        for box in range(grid.box_zone.size):
            zone = grid.box_zone[box]
            below, above = box_limits(grid, box, surface[moment, zone])
            covered = zone_area(grid, zone, below) if box > grid.first_box[zone] else 0.0
            bottom[moment, box], top[moment, box] = below, above
            bed[moment, box] = zone_area(grid, zone, above) - covered


@compiled_for_loop
def surface_of_volume(grid: Grid, zones: IntArray, pool: int, volume: float, guess: float) -> float:
    """Water surface elevation at which the zones marked `pool` hold a volume together [m].

    Newton's method on the stage-volume relation, kept inside a bracket. A volume of films alone gives the
    lowest bottom.
    """
    low = 1e30
    high = -1e30
    for zone in range(zones.size):
        if zones[zone] == pool:
            low = min(low, grid.zone_bottom[zone])
            high = max(high, grid.table_stage[zone, grid.table_rows[zone] - 1] + 20.0)
    surface = min(max(guess, low), high)
    for _ in range(60):
        held = 0.0
        area = 0.0
        for zone in range(zones.size):
            if zones[zone] == pool:
                for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
                    held += box_volume(grid, box, surface)
                if surface > grid.zone_bottom[zone]:
                    area += zone_area(grid, zone, surface)
        if abs(held - volume) <= 1e-11 * volume or high - low < 1e-12:
            break
        if held > volume:
            high = surface
        else:
            low = surface
        step = surface - (held - volume) / area if area > 0.0 else 0.5 * (low + high)
        surface = step if low < step < high else 0.5 * (low + high)
    return surface


@compiled_for_loop
def face_height(grid: Grid, connection: int, box: int, other: int, surface: float) -> float:
    """Height over which two boxes touch above the sill of their passage [m]."""
    bottom_a, top_a = box_limits(grid, box, surface)
    bottom_b, top_b = box_limits(grid, other, surface)
    bottom = max(bottom_a, bottom_b, grid.connection_sill[connection])
    return max(min(top_a, top_b) - bottom, 0.0)
