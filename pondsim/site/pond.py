"""The pond as zones, layers and boxes: stage-area tables, and the geometry at a given water surface.

A box is one layer of one zone. Boxes are numbered zone by zone, from the deepest up. Faces join boxes: first
the top of each box, in the order of boxes, then those across the passages between zones. The top of a zone's
uppermost box joins it to itself, and is no face: its area stays 0.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.scenario.settings import Scenario

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

SLIVER = 0.25  # a deepest box thinner than this share of its layer is joined to the box above
FILM = 0.01  # m of water that every zone keeps
LEAST_LAYER = 0.5  # share of the top layer's thickness below which lower interfaces move down with it
FILM_AREA = 0.1  # share of a zone's area that the film covers at least, where the bottom is a point


@dataclass(frozen=True, eq=False)
class Grid(Bundle):
    """Boxes, faces and tables; nothing here changes during a run."""

    normal_pool: float  # m
    least_layer: float  # m
    interface: FloatArray  # (layers + 1,) elevations shared by all zones, bottom first [m]
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
    layers = grid.interface.size - 1
    floor = grid.zone_bottom[zone]
    if box == grid.first_box[zone + 1] - 1:
        top = surface
    else:
        top = min(grid.interface[layer + 1], surface - grid.least_layer * (layers - 1 - layer))
    if box == grid.first_box[zone]:
        bottom = floor
    else:
        bottom = min(grid.interface[layer], surface - grid.least_layer * (layers - layer))
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


def pond_tables(scenario: Scenario) -> tuple[IntArray, FloatArray, FloatArray, FloatArray]:
    """Rows, stages, areas and volumes of all zones, padded to one length [1], [m], [m2], [m3]."""
    rows = np.array([len(zone.stage) for zone in scenario.zone])
    stage, area, volume = np.zeros((3, len(rows), rows.max()))
    for index, zone in enumerate(scenario.zone):
        count = rows[index]
        stage[index, :count] = zone.stage
        area[index, :count] = zone.area
        slices = np.diff(zone.stage) * (np.array(zone.area[1:]) + np.array(zone.area[:-1])) / 2
        volume[index, 1:count] = np.cumsum(slices)
    return rows, stage, area, volume


def layer_interfaces(normal_pool: float, bottom: float, layers: int, top_layer: float) -> FloatArray:
    """Elevations of the interfaces, bottom first: a top layer of given thickness, the rest equal [m]."""
    if layers == 1:
        return np.array([bottom, normal_pool])
    top = min(top_layer, (normal_pool - bottom) / layers)
    return np.append(np.linspace(bottom, normal_pool - top, layers), normal_pool)


def boxes_of_zone(interface: FloatArray, bottom: float) -> list[int]:
    """Layers in which a zone has a box; a sliver at the bottom is joined to the box above."""
    layers = [k for k in range(interface.size - 1) if interface[k + 1] > bottom]
    if not layers:
        return [interface.size - 2]
    lowest = layers[0]
    thickness = interface[lowest + 1] - max(bottom, interface[lowest])
    if len(layers) > 1 and thickness < SLIVER * (interface[lowest + 1] - interface[lowest]):
        layers = layers[1:]
    return layers


def build_grid(scenario: Scenario) -> Grid:
    """Lay out boxes and faces of a scenario's pond."""
    pond, zones = scenario.pond, scenario.zone
    rows, stage, area, volume = pond_tables(scenario)
    bottoms = stage[:, 0].copy()
    interface = layer_interfaces(pond.normal_pool, float(bottoms.min()), pond.layers, pond.top_layer)
    layers_of = [boxes_of_zone(interface, bottom) for bottom in bottoms]
    first = np.concatenate([[0], np.cumsum([len(layers) for layers in layers_of])]).astype(np.int64)
    box_zone = np.repeat(np.arange(len(zones)), np.diff(first))
    box_layer = np.concatenate([np.array(layers) for layers in layers_of]).astype(np.int64)
    index = {zone.name: place for place, zone in enumerate(zones)}
    ends = np.array([[index[a.between[0]], index[a.between[1]]] for a in scenario.connection], dtype=np.int64)
    ends = ends.reshape(-1, 2)
    film_area = np.array(
        [
            max(a[0], FILM_AREA * np.interp(pond.normal_pool, s[:n], a[:n]))
            for s, a, n in zip(stage, area, rows, strict=True)
        ]
    )
    grid = Grid(
        normal_pool=pond.normal_pool,
        least_layer=LEAST_LAYER * float(interface[-1] - interface[-2]) if pond.layers > 1 else 0.0,
        interface=interface,
        box_zone=box_zone,
        box_layer=box_layer,
        first_box=first,
        zone_bottom=bottoms,
        film_volume=FILM * film_area / np.diff(first),
        table_rows=rows,
        table_stage=stage,
        table_area=area,
        table_volume=volume,
        face_lower=np.zeros(0, dtype=np.int64),
        face_upper=np.zeros(0, dtype=np.int64),
        face_connection=np.zeros(0, dtype=np.int64),
        connection_zone=ends,
        connection_width=np.array([c.width for c in scenario.connection], dtype=float),
        connection_sill=np.array(
            [
                max(c.sill, bottoms[a] + FILM, bottoms[b] + FILM)
                for c, (a, b) in zip(scenario.connection, ends, strict=True)
            ],
            dtype=float,
        ),
        connection_distance=np.array(
            [
                max(c.distance or math.dist(zones[a].centre, zones[b].centre), 1.0)
                for c, (a, b) in zip(scenario.connection, ends, strict=True)
            ],
            dtype=float,
        ),
    )
    return _with_faces(grid, pond.bank_top)


def _with_faces(grid: Grid, highest: float) -> Grid:
    boxes = grid.box_zone.size
    tops = set(grid.first_box[1:] - 1)
    lower = list(range(boxes))
    upper = [box if box in tops else box + 1 for box in lower]
    passage = [-1] * boxes
    for connection, (a, b) in enumerate(grid.connection_zone):
        for box in range(grid.first_box[a], grid.first_box[a + 1]):
            for other in range(grid.first_box[b], grid.first_box[b + 1]):
                if face_height(grid, connection, box, other, highest) > 1e-6:
                    lower.append(box)
                    upper.append(other)
                    passage.append(connection)
    return replace(
        grid,
        face_lower=np.array(lower, dtype=np.int64),
        face_upper=np.array(upper, dtype=np.int64),
        face_connection=np.array(passage, dtype=np.int64),
    )


@compiled_for_loop
def face_height(grid: Grid, connection: int, box: int, other: int, surface: float) -> float:
    """Height over which two boxes touch above the sill of their passage [m]."""
    bottom_a, top_a = box_limits(grid, box, surface)
    bottom_b, top_b = box_limits(grid, other, surface)
    bottom = max(bottom_a, bottom_b, grid.connection_sill[connection])
    return max(min(top_a, top_b) - bottom, 0.0)
