"""From a scenario to the grid of its pond: tables, layers, boxes and faces, and what digging changes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace
from functools import lru_cache
from typing import Any

import numpy as np

from pondsim.scenario.settings import Scenario, Zone
from pondsim.site.dredged import zones_at
from pondsim.site.pond import FILM, QUICKEST, FloatArray, Grid, IntArray, face_height

SLIVER = 0.25  # a deepest box thinner than this share of its layer is joined to the box above
LEAST_LAYER = 0.5  # share of the top layer's thickness below which lower interfaces move down with it
LEAST_GAP = 0.75  # mean layers: a sill closer to a higher one, the top layer or the bottom has no interface
MOST_MEANS = 1.5  # mean layers: a sill under which layers would be thicker has no interface
LEAST_STRETCH = 0.5  # share of its thickness that a layer keeps where others are dug past it
GRIDS_KEPT = 64  # of the last ponds that were laid out
# m2/s: layers of mean thickness exchange as much as this needs, though they be renewed faster than boxes are
# elsewhere; else a mixed layer would be the worse mixed, the finer its grid (judgement)
MOST_DIFFUSIVITY = 1.5e-3
FILM_AREA = 0.1  # share of a zone's area that the film covers at least, where the bottom is a point


def pond_tables(zones: Sequence[Zone]) -> tuple[IntArray, FloatArray, FloatArray, FloatArray]:
    """Rows, stages, areas and volumes of all zones, padded to one length [1], [m], [m2], [m3]."""
    rows = np.array([len(zone.stage) for zone in zones])
    stage, area, volume = np.zeros((3, len(rows), rows.max()))
    for index, zone in enumerate(zones):
        count = rows[index]
        stage[index, :count] = zone.stage
        area[index, :count] = zone.area
        slices = np.diff(zone.stage) * (np.array(zone.area[1:]) + np.array(zone.area[:-1])) / 2
        volume[index, 1:count] = np.cumsum(slices)
    return rows, stage, area, volume


def layer_interfaces(
    normal_pool: float, bottom: float, layers: int, top_layer: float, sills: Sequence[float] = ()
) -> FloatArray:
    """Elevations of the interfaces, bottom first: a top layer of given thickness, the rest nearly equal [m].

    Water passes a sill by whole layers: with the sill inside a layer it would pass as if the sill lay at the
    bottom of that layer. So an interface lies at every sill that is not too close to a higher one and leaves
    enough layers under it. Layers between two of them are equal, as many as keep the thickest layer thinnest.
    """
    if layers == 1:
        return np.array([bottom, normal_pool])
    top = normal_pool - min(top_layer, (normal_pool - bottom) / layers)
    mean = (top - bottom) / (layers - 1)
    close = LEAST_GAP * mean
    ends = [top]
    for sill in sorted(sills, reverse=True):
        left = layers - 1 - len(ends)  # layers there would be under it
        if bottom + close <= sill <= min(ends[-1] - close, bottom + MOST_MEANS * mean * left):
            ends.append(sill)
    ends = [bottom, *reversed(ends)]
    gaps = np.diff(ends)
    parts = np.ones(gaps.size, dtype=int)
    for _ in range(layers - 1 - gaps.size):
        parts[np.argmax(gaps / parts)] += 1
    below = [np.linspace(a, b, n, endpoint=False) for a, b, n in zip(ends[:-1], ends[1:], parts, strict=True)]
    return np.concatenate([*below, [top, normal_pool]])


def stated_interfaces(scenario: Scenario) -> FloatArray:
    """Interfaces of a scenario's pond as stated, before any digging [m]."""
    pond, bottom = scenario.pond, {zone.name: zone.stage[0] for zone in scenario.zone}
    sills = [high for low, high in _steps(scenario, bottom) if high > low]
    return layer_interfaces(pond.normal_pool, min(bottom.values()), pond.layers, pond.top_layer, sills)


def _steps(scenario: Scenario, bottom: dict[str, float]) -> list[tuple[float, float]]:
    """Of each passage the lower bed beside it, and its sill, no lower than the higher bed [m]."""
    found = []
    for link in scenario.connection:
        beds = [bottom[name] for name in link.between]
        found.append((min(beds), max(link.sill, *beds)))
    return found


def _layer_below_top(interface: FloatArray) -> float:
    """Mean thickness of the layers below the top one; of a single layer, all of it [m]."""
    if interface.size == 2:
        return float(interface[1] - interface[0])
    return float(interface[-2] - interface[0]) / (interface.size - 2)


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


def _interfaces_now(stated: FloatArray, scenario: Scenario, now: Sequence[Zone]) -> FloatArray:
    """Interfaces of each zone as deep as it is now, by those of the pond as stated; (zones, layers + 1) [m].

    All zones share one set, for layers that do not meet face to face would mix between zones. It is that of
    the pond as stated, moved so that the bottom of each zone goes where dredging takes it; the top layer and
    sills that are not dredged stay. A zone that is then left with more or fewer layers than boxes has the
    lowest ones joined or cut.
    """
    if stated.size < 3:
        return np.tile(stated, (len(now), 1))
    top, zones = float(stated[-2]), scenario.zone
    places, moved = [top], [top]
    beds, dug = ({zone.name: zone.stage[0] for zone in every} for every in (zones, now))
    goes = [(beds[name], dug[name]) for name in beds]
    steps = zip(_steps(scenario, beds), _steps(scenario, dug), strict=True)
    goes += [(old, new) for (_, old), (_, new) in steps]
    for old, new in sorted(goes, reverse=True):
        if old < places[-1]:
            places.append(old)
            moved.append(min(new, moved[-1] - LEAST_STRETCH * (places[-2] - old)))
        elif old == places[-1] < top:
            moved[-1] = min(moved[-1], new)
    shared = stated.copy()
    shared[:-2] = np.interp(stated[:-2], places[::-1], moved[::-1])
    rows = np.empty((len(zones), stated.size))
    for place, (zone, deep) in enumerate(zip(zones, now, strict=True)):
        count = len(boxes_of_zone(stated, zone.stage[0]))
        rows[place] = _in_boxes(shared, deep.stage[0], count)
    return rows


def _in_boxes(shared: FloatArray, bottom: float, count: int) -> FloatArray:
    """The shared interfaces for a zone of `count` boxes: layers are joined or cut from below."""
    lowest = boxes_of_zone(shared, bottom)[0]
    edges = np.append(bottom, shared[lowest + 1 :])
    layers = edges.size - 1
    joined, cut = max(layers - count, 0), max(count - layers, 0)
    if joined:
        parts = np.ones(count, dtype=int)
        np.add.at(parts, np.arange(joined) % count, 1)
        edges = edges[np.concatenate([[0], np.cumsum(parts)])]
    elif cut:
        parts = np.ones(layers, dtype=int)
        np.add.at(parts, np.arange(cut) % layers, 1)
        inner = [np.linspace(edges[k], edges[k + 1], parts[k] + 1)[:-1] for k in range(layers)]
        edges = np.append(np.concatenate(inner), edges[-1])
    return np.concatenate([np.full(shared.size - edges.size, bottom), edges])


@dataclass(frozen=True)
class _Shaped:
    """A scenario that is another only where the shape of its pond is."""

    shape: tuple[Any, ...]
    scenario: Scenario = field(compare=False)


def build_grid(scenario: Scenario) -> Grid:
    """Lay out boxes and faces of a scenario's pond, as it is at the start of the period.

    Ponds of one shape are laid out once; each model has a copy of its own, which dredging may change.
    """
    zones = tuple((zone.name, zone.centre, zone.stage, zone.area) for zone in scenario.zone)
    dug = (scenario.dredging, scenario.period.start) if scenario.dredging else ()
    grid = _grid_of(_Shaped((scenario.pond, zones, scenario.connection, dug), scenario))
    every = {one.name: getattr(grid, one.name) for one in fields(grid)}
    own: dict[str, Any] = {name: one.copy() for name, one in every.items() if isinstance(one, np.ndarray)}
    return replace(grid, **own)


@lru_cache(GRIDS_KEPT)
def _grid_of(shaped: _Shaped) -> Grid:
    scenario = shaped.scenario
    pond, zones = scenario.pond, scenario.zone
    interface = stated_interfaces(scenario)
    layers_of = [boxes_of_zone(interface, zone.stage[0]) for zone in zones]
    first = np.concatenate([[0], np.cumsum([len(layers) for layers in layers_of])]).astype(np.int64)
    index = {zone.name: place for place, zone in enumerate(zones)}
    ends = np.array([[index[a.between[0]], index[a.between[1]]] for a in scenario.connection], dtype=np.int64)
    distance = [
        max(c.distance or math.dist(zones[a].centre, zones[b].centre), 1.0)
        for c, (a, b) in zip(scenario.connection, ends, strict=True)
    ]
    rows, stage, area, volume = pond_tables(zones_at(scenario, 0.0))
    film_area = np.array(
        [
            max(a[0], FILM_AREA * np.interp(pond.normal_pool, s[:n], a[:n]))
            for s, a, n in zip(stage, area, rows, strict=True)
        ]
    )
    grid = Grid(
        normal_pool=pond.normal_pool,
        least_layer=LEAST_LAYER * float(interface[-1] - interface[-2]) if pond.layers > 1 else 0.0,
        quickest=min(QUICKEST, _layer_below_top(interface) ** 2 / MOST_DIFFUSIVITY),
        interface=np.tile(interface, (len(zones), 1)),
        box_zone=np.repeat(np.arange(len(zones)), np.diff(first)),
        box_layer=np.concatenate([np.array(layers) for layers in layers_of]).astype(np.int64),
        first_box=first,
        zone_bottom=np.array([zone.stage[0] for zone in zones]),
        film_volume=FILM * film_area / np.diff(first),
        table_rows=rows,
        table_stage=stage,
        table_area=area,
        table_volume=volume,
        face_lower=np.zeros(0, dtype=np.int64),
        face_upper=np.zeros(0, dtype=np.int64),
        face_connection=np.zeros(0, dtype=np.int64),
        connection_zone=ends.reshape(-1, 2),
        connection_width=np.array([c.width for c in scenario.connection], dtype=float),
        connection_sill=np.zeros(len(ends)),
        connection_distance=np.array(distance, dtype=float),
    )
    start = scenario.period.start
    done = {(w.date - start).total_seconds() + w.duration for w in scenario.dredging}
    touching = [_touching(grid, scenario, moment) for moment in (*sorted(done), 0.0)]  # the start stays
    return _with_faces(grid, set().union(*touching))


def dig(grid: Grid, scenario: Scenario, seconds: float) -> None:
    """Give the grid the tables and the interfaces of a moment, in seconds since the start of the period."""
    zones = zones_at(scenario, seconds)
    _, grid.table_stage[:], grid.table_area[:], grid.table_volume[:] = pond_tables(zones)
    grid.zone_bottom[:] = grid.table_stage[:, 0]
    grid.interface[:] = _interfaces_now(stated_interfaces(scenario), scenario, zones)
    for place, (passage, ends) in enumerate(zip(scenario.connection, grid.connection_zone, strict=True)):
        grid.connection_sill[place] = max(passage.sill, *(grid.zone_bottom[ends] + FILM))


def _touching(grid: Grid, scenario: Scenario, seconds: float) -> set[tuple[int, int, int]]:
    """Passages with the boxes that ever meet in them, up to the bank top, with the pond of a moment."""
    dig(grid, scenario, seconds)
    highest = scenario.pond.bank_top
    return {
        (passage, box, other)
        for passage, (a, b) in enumerate(grid.connection_zone)
        for box in range(grid.first_box[a], grid.first_box[a + 1])
        for other in range(grid.first_box[b], grid.first_box[b + 1])
        if face_height(grid, passage, box, other, highest) > 1e-6
    }


def _with_faces(grid: Grid, touching: set[tuple[int, int, int]]) -> Grid:
    boxes = grid.box_zone.size
    tops = set(grid.first_box[1:] - 1)
    upper = [box if box in tops else box + 1 for box in range(boxes)]
    between = sorted(touching)
    return replace(
        grid,
        face_lower=np.array([*range(boxes), *(box for _, box, _ in between)], dtype=np.int64),
        face_upper=np.array([*upper, *(other for _, _, other in between)], dtype=np.int64),
        face_connection=np.array([-1] * boxes + [passage for passage, _, _ in between], dtype=np.int64),
    )
