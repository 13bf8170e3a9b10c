"""Outlines of zones on the plan: from a CSV file of corners or from GeoJSON polygons."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from pondsim.errors import Problem, ScenarioError
from pondsim.site.pond import FloatArray
from pondsim.site.soundings_file import Origin, Points, from_degrees, read_points

LEAST_CORNERS = 3
ALL = "pond"  # name of the only zone where no outlines are given


@dataclass(frozen=True, eq=False)
class Outline:
    """One zone: corners in counterclockwise order, the last not repeating the first.

    Attributes
    ----------
    name : of the zone
    x, y : (n,) east and north of the mark [m]
    depth : (n,) sounding at a corner, 0 on the waterline; NaN where there is none [m]
    """

    name: str
    x: FloatArray
    y: FloatArray
    depth: FloatArray

    @property
    def area(self) -> float:
        """Plan area. [m2]"""
        return signed_area(self.x, self.y)

    @property
    def centre(self) -> tuple[float, float]:
        """Centroid, east and north. [m]"""
        cross = self.x * np.roll(self.y, -1) - np.roll(self.x, -1) * self.y
        east, north = (np.sum((v + np.roll(v, -1)) * cross) / (6.0 * self.area) for v in (self.x, self.y))
        return float(east), float(north)


def signed_area(x: FloatArray, y: FloatArray) -> float:
    """Area of a polygon, positive when its corners go counterclockwise. [m2]"""
    return float(0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def crossing(x: FloatArray, y: FloatArray) -> tuple[int, int] | None:
    """The first two sides of a polygon that cross or run along each other; None where it is simple.

    Side k goes from corner k to the next. Sides that only touch at a corner, and corners that stand twice,
    do not count; corners all on one line enclose nothing and are left to the caller.
    """
    if np.linalg.matrix_rank(np.column_stack([x - x[0], y - y[0]])) < 2:
        return None
    keep = np.flatnonzero((x != np.roll(x, -1)) | (y != np.roll(y, -1)))
    start = np.column_stack([x, y])[keep]
    along = np.roll(start, -1, axis=0) - start
    size = np.abs(along).max() if keep.size else 0.0
    for k in range(keep.size - 1):
        a, b, others = start[k], start[k] + along[k], start[k + 1 :]
        ends = others + along[k + 1 :]
        sides = [_turn(along[k], others - a), _turn(along[k], ends - a)]
        sides += [_turn(along[k + 1 :], a - others), _turn(along[k + 1 :], b - others)]
        least = 1e-9 * size * size
        proper = (sides[0] * sides[1] < -(least**2)) & (sides[2] * sides[3] < -(least**2))
        on_line = (np.abs(sides[0]) <= least) & (np.abs(sides[1]) <= least)
        span = [np.sort([(v - a) @ along[k], (w - a) @ along[k]]) for v, w in zip(others, ends, strict=True)]
        low, high = np.array(span).T
        shared = np.minimum(high, along[k] @ along[k]) - np.maximum(low, 0.0)
        hit = np.flatnonzero(proper | (on_line & (shared > least)))
        if hit.size:
            return int(keep[k]), int(keep[k + 1 + hit[0]])
    return None


def _turn(a: FloatArray, b: FloatArray) -> FloatArray:
    """Cross product of vectors in the plan. [m2]"""
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def read_outlines(path: Path, origin: Origin | None) -> tuple[Outline, ...]:
    """Outlines of zones.

    Parameters
    ----------
    path : Path
        CSV with the columns zone, east, north (or longitude, latitude) and, if corners were sounded or stand
        on the waterline, depth; rows of a zone in order round it. Or GeoJSON (.json, .geojson): polygons,
        each with a property ``name``, in degrees.
    origin : (longitude, latitude) or None
        Mark of soundings in degrees; None where they are on a plan. [deg]

    Raises
    ------
    ScenarioError
        The file cannot be read, or holds no polygons.
    """
    if path.suffix.lower() in (".json", ".geojson"):
        return tuple(_outline(*one, path) for one in _features(path, origin))
    points = read_points(path, ("depth",), name="zone", least=LEAST_CORNERS, origin=origin)
    if (points.origin is None) != (origin is None):
        raise _fault(path, "and the soundings give places in different ways, on a plan and in degrees")
    depth = points.columns.get("depth", np.full(points.x.size, np.nan))
    rows = {
        name: np.array([row for row, own in enumerate(points.names) if own == name]) for name in points.names
    }
    return tuple(_outline(name, points.x[own], points.y[own], depth[own], path) for name, own in rows.items())


def _fault(path: Path, message: str) -> ScenarioError:
    return ScenarioError(Problem(path, None, "", message))


def _outline(name: str, x: FloatArray, y: FloatArray, depth: FloatArray, path: Path) -> Outline:
    """Corners counterclockwise, closing corner and zero area refused."""
    if not name:
        raise _fault(path, "has corners without the name of their zone")
    if x.size > 1 and x[0] == x[-1] and y[0] == y[-1]:
        x, y, depth = x[:-1], y[:-1], depth[:-1]
    if x.size < LEAST_CORNERS or signed_area(x, y) == 0.0:
        raise _fault(path, f'zone "{name}" has {x.size} corners that enclose nothing; go once round it')
    at = crossing(x, y)
    if at is not None:
        here = f"the side from corner {at[0] + 1} meets the one from corner {at[1] + 1}"
        raise _fault(path, f'zone "{name}" has an outline that crosses itself ({here}); go once round it')
    if signed_area(x, y) < 0.0:
        x, y, depth = x[::-1], y[::-1], depth[::-1]
    return Outline(name, x, y, depth)


def waterline(points: Points, path: Path) -> Outline:
    """Outline of one zone by the points of depth 0, which must go round the pond in order.

    Raises
    ------
    ScenarioError
        They are fewer than three, or the line through them crosses itself.
    """
    edge = np.flatnonzero(points.columns["depth"] == 0.0)
    if edge.size < LEAST_CORNERS:
        words = "has fewer than three points of depth 0 to show the waterline; add them, or give --zones"
        raise ScenarioError(Problem(path, None, "", words))
    x, y = points.x[edge], points.y[edge]
    at = crossing(x, y)
    if at is not None:
        first, second = (points.lines[edge[k]] for k in at)
        words = (
            "the points of depth 0 do not go round the pond in order: the waterline from here crosses the "
            f"one from line {second}; write them in order round the pond, or give its outline with --zones"
        )
        raise ScenarioError(Problem(path, first, "", words))
    if np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) < 0.0:
        x, y = x[::-1], y[::-1]
    return Outline(ALL, x, y, np.zeros(x.size))


def _features(path: Path, origin: Origin | None) -> list[tuple[str, FloatArray, FloatArray, FloatArray]]:
    if origin is None:
        raise _fault(path, "is in degrees, as GeoJSON is; give the soundings as longitude and latitude too")
    try:
        found: Any = json.loads(path.read_text(encoding="utf-8"))
        features = found["features"] if found["type"] == "FeatureCollection" else [found]
        result = []
        for feature in features:
            if feature["geometry"]["type"] != "Polygon":
                raise _fault(path, f"has a {feature['geometry']['type']}; zones are polygons")
            rings = feature["geometry"]["coordinates"]
            if len(rings) > 1:
                raise _fault(path, "has a polygon with a hole; draw an island into the outline")
            ring = np.array([corner[:2] for corner in rings[0]], dtype=float)
            x, y = from_degrees(ring[:, 0], ring[:, 1], origin)
            name = str((feature.get("properties") or {}).get("name") or "")
            result.append((name, x, y, np.full(x.size, np.nan)))
    except OSError as error:
        raise _fault(path, f"cannot be read: {error.strerror}") from error
    except (ValueError, KeyError, TypeError, IndexError, AttributeError) as error:
        raise _fault(path, "is not GeoJSON of polygons with a property name") from error
    return result
