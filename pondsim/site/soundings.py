"""Soundings -> zones with their stage tables, muck and passages; the bed along a line."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np

from pondsim.errors import Problem, ScenarioError
from pondsim.site.bed_surface import Facets, Surface, facets_within, surface_of
from pondsim.site.pond import FloatArray
from pondsim.site.soundings_file import Points, read_points
from pondsim.site.zone_outlines import LEAST_CORNERS, Outline, read_outlines, waterline

TOUCH = 0.05  # m, between an edge and its neighbor zone's, within which they are one
ALONG = 41  # places along a common edge at which its bed is read
LEAST_SLICE = 0.25  # of the step, below which no stage is put beside another
SLICE_ERROR = 0.002  # of the pond's water, by which a slice between two stages may err
FINEST = 0.1  # of the step, below which a slice is not halved


@dataclass(frozen=True)
class Levels:
    """Elevations a set of soundings is read against, and the bank above the water.

    Attributes
    ----------
    water : of the water on the day of the soundings [m]
    pool, bank_top : normal pool and bank top [m]
    bank_slope : of the bank above the water, horizontal to 1 vertical [1]
    shelf : depth under normal pool down to which the bed counts as a shelf [m]
    step : between stages [m]
    """

    water: float
    pool: float
    bank_top: float
    bank_slope: float
    shelf: float
    step: float


@dataclass(frozen=True, eq=False)
class ZoneBed:
    """One zone as sounded; at normal pool unless said otherwise.

    Attributes
    ----------
    outline : on the plan
    stage, area : (n,) table for the scenario, bottom first [m], [m2]
    water_area, volume, deepest : [m2], [m3], [m]
    table_volume : the same volume by straight lines between the stages [m3]
    muck : between top of muck and hard bottom; None where no hard bottom was read [m3]
    shelf : area of the bed shallower than the shelf depth [m2]
    shore : length of its bank [m]
    uncovered : area of the outline that no triangle of soundings covers [m2]
    """

    outline: Outline
    stage: FloatArray
    area: FloatArray
    water_area: float
    volume: float
    deepest: float
    table_volume: float
    muck: float | None
    shelf: float
    shore: float
    uncovered: float


@dataclass(frozen=True)
class Passage:
    """Open water between two zones: width at normal pool and lowest bed of their common edge [m]."""

    between: tuple[str, str]
    width: float
    sill: float


@dataclass(frozen=True, eq=False)
class SoundedPond:
    """The pond as sounded: zones, passages, top of muck and hard bottom as surfaces (elevations, m)."""

    levels: Levels
    zones: tuple[ZoneBed, ...]
    passages: tuple[Passage, ...]
    bed: Surface
    thickness: Surface | None
    origin: tuple[float, float] | None


def sounded_pond(soundings: Path, outlines: Path | None, levels: Levels) -> SoundedPond:
    """Read soundings and outlines, and what they enclose.

    Parameters
    ----------
    soundings : Path
        CSV: east, north (or longitude, latitude), depth of the top of muck under the water, and hard,
        depth of the hard bottom, where it was read.
    outlines : Path or None
        See `read_outlines`; without it the points of depth 0, in their order, are the waterline of one zone.
    levels : Levels
        What the depths are counted from.

    Raises
    ------
    ScenarioError
        A file has faults.
    """
    points = read_points(soundings, ("depth", "hard"), ("depth",), least=LEAST_CORNERS)
    _check_hard(points, soundings)
    zones = (waterline(points, soundings),) if outlines is None else read_outlines(outlines, points.origin)
    corners = [(one.x[k], one.y[k], one.depth[k]) for one in zones for k in range(one.x.size)]
    known = np.array([corner for corner in corners if not math.isnan(corner[2])]).reshape(-1, 3)
    x, y = np.append(points.x, known[:, 0]), np.append(points.y, known[:, 1])
    depth = np.append(points.columns["depth"], known[:, 2])
    hard = np.append(points.columns.get("hard", np.full(points.x.size, np.nan)), np.full(len(known), np.nan))
    x, y, depth, hard = _single(x, y, depth, hard)
    try:
        bed = surface_of(x, y, levels.water - depth)
    except ValueError as error:
        raise ScenarioError(Problem(soundings, None, "", f"{error}; sound across the pond")) from error
    thickness = _thickness(x, y, depth, hard)
    shared = {pair: _shared(zones[pair[0]], zones[pair[1]]) for pair in combinations(range(len(zones)), 2)}
    beds = tuple(_zone(one, bed, thickness, levels, zones) for one in zones)
    _check_wet(beds, soundings)
    return SoundedPond(
        levels,
        beds,
        tuple(_passages(zones, shared, bed, levels)),
        bed,
        thickness,
        points.origin,
    )


def _check_hard(points: Points, path: Path) -> None:
    hard = points.columns.get("hard")
    if hard is None:
        return
    wrong = np.flatnonzero(hard < points.columns["depth"] - 1e-9)
    words = "is less than depth; the hard bottom lies under the top of the muck"
    if wrong.size:
        raise ScenarioError([Problem(path, points.lines[row], "hard", words) for row in wrong[:20]])


def _check_wet(zones: tuple[ZoneBed, ...], path: Path) -> None:
    words = "has no sounding under water; depth counts downward from the water of that day"
    dry = [
        zone.outline.name for zone in zones if zone.outline.area > zone.uncovered and not zone.volume > 0.0
    ]
    if dry:
        raise ScenarioError([Problem(path, None, f'zone "{name}"', words) for name in dry])


def _single(*columns: FloatArray) -> tuple[FloatArray, ...]:
    """Points that stand twice taken once, the first reading kept."""
    places = np.round(np.column_stack(columns[:2]), 3)
    _, first = np.unique(places, axis=0, return_index=True)
    return tuple(column[np.sort(first)] for column in columns)


def _thickness(x: FloatArray, y: FloatArray, depth: FloatArray, hard: FloatArray) -> Surface | None:
    """Muck between the two readings; none at the water's edge where it was not read."""
    value = np.where(np.isnan(hard) & (depth <= 0.0), 0.0, hard - depth)
    read = ~np.isnan(value)
    if np.isnan(hard).all():
        return None
    try:
        return surface_of(x[read], y[read], value[read])
    except ValueError:
        return None


def _zone(
    outline: Outline, bed: Surface, thickness: Surface | None, levels: Levels, zones: tuple[Outline, ...]
) -> ZoneBed:
    facets = facets_within(bed, outline)
    others = [other for other in zones if other is not outline]
    shore = sum(math.dist(a, b) for a, b in _edges(outline) if not _touches(a, b, others))
    stage, area = _table(facets, shore, levels)
    at_pool = float(np.interp(levels.pool, stage, area))
    below = np.append(stage[stage < levels.pool], levels.pool)
    muck = None
    if thickness is not None:
        within = facets_within(thickness, outline)
        muck = within.covered * within.mean if within.area.size else 0.0
    lowest = float(facets.corners.min()) if facets.area.size else levels.water
    up = levels.pool - levels.water
    over = 0.5 * up * (facets.area_below(levels.water) + at_pool) if up > 0.0 else 0.0
    return ZoneBed(
        outline,
        stage,
        area,
        at_pool,
        facets.volume_below(min(levels.pool, levels.water)) + over,
        levels.pool - lowest,
        float(np.trapezoid(np.interp(below, stage, area), below)),
        muck,
        at_pool - float(np.interp(levels.pool - levels.shelf, stage, area)),
        shore,
        outline.area - facets.covered,
    )


def _table(facets: Facets, shore: float, levels: Levels) -> tuple[FloatArray, FloatArray]:
    """Stages at even steps from the lowest bed to the water, and the bank top."""
    if not facets.area.size:
        return np.array([levels.water, levels.bank_top]), np.zeros(2)
    lowest, step = float(facets.corners.min()), levels.step
    inside = step * np.arange(math.ceil(lowest / step), math.floor(levels.water / step) + 1)
    room = LEAST_SLICE * step
    inside = inside[(inside > lowest + room) & (inside < levels.water - room)]
    stages = _finer([lowest, *inside.tolist(), levels.water], facets, step)
    stage, area = np.array(stages), np.array([facets.area_below(level) for level in stages])
    rise = levels.bank_top - levels.water
    if rise > 0.0:
        stage = np.append(stage, levels.bank_top)
        area = np.append(area, area[-1] + shore * levels.bank_slope * rise)
    return stage, area


def _finer(stages: list[float], facets: Facets, step: float) -> list[float]:
    """Stages with their slices halved until straight lines between the areas hold the same water."""
    whole = facets.volume_below(stages[-1])
    found, todo = [stages[0]], list(pairwise(stages))[::-1]
    while todo:
        low, high = todo.pop()
        exact = facets.volume_below(high) - facets.volume_below(low)
        straight = 0.5 * (high - low) * (facets.area_below(low) + facets.area_below(high))
        if abs(straight - exact) > SLICE_ERROR * whole and high - low > FINEST * step:
            middle = 0.5 * (low + high)
            todo += [(middle, high), (low, middle)]
        else:
            found.append(high)
    return found


def _edges(outline: Outline) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    corners = list(zip(outline.x.tolist(), outline.y.tolist(), strict=True))
    yield from zip(corners, [*corners[1:], corners[0]], strict=True)


def _touches(a: tuple[float, float], b: tuple[float, float], others: list[Outline]) -> bool:
    """Whether the middle of an edge lies on an edge of another zone."""
    middle = np.array([0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])])
    for other in others:
        for start, end in _edges(other):
            along = np.subtract(end, start)
            share = np.clip((middle - start) @ along / max(float(along @ along), 1e-12), 0.0, 1.0)
            if np.linalg.norm(middle - (np.array(start) + share * along)) < TOUCH:
                return True
    return False


def _shared(one: Outline, other: Outline) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """Edges of a zone that lie on another's; the finer of the two outlines says where they are."""
    mine = [edge for edge in _edges(one) if _touches(*edge, [other])]
    its = [edge for edge in _edges(other) if _touches(*edge, [one])]
    return mine if len(mine) >= len(its) else its


def _passages(
    zones: tuple[Outline, ...],
    shared: dict[tuple[int, int], list[tuple[tuple[float, float], tuple[float, float]]]],
    bed: Surface,
    levels: Levels,
) -> Iterator[Passage]:
    for (first, second), edges in shared.items():
        wide, sill = 0.0, math.inf
        for (ax, ay), (bx, by) in edges:
            at = np.linspace(0.0, 1.0, ALONG)
            z = bed.at(ax + at * (bx - ax), ay + at * (by - ay))
            wet = z < levels.pool
            wide += math.hypot(bx - ax, by - ay) * float(np.mean(wet))
            if wet.any():
                sill = min(sill, float(np.nanmin(z)))
        if wide > 0.0:
            yield Passage((zones[first].name, zones[second].name), wide, sill)
