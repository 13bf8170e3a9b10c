"""The bed as triangles between soundings, and what of it lies in each zone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.spatial import Delaunay, QhullError

from pondsim.physics.earthwork import facet_area_below, facet_volume_below
from pondsim.site.pond import FloatArray
from pondsim.site.zone_outlines import Outline

Corner = tuple[float, float]
LEAST_AREA = 1e-6  # m2, of a triangle between points on one line, which holds nothing


@dataclass(frozen=True, eq=False)
class Surface:
    """Triangles between points (Delaunay), a plane in each.

    Attributes
    ----------
    x, y, z : (n,) points [m]
    triangles : (m, 3) their numbers
    mesh : to find the triangle of a place
    """

    x: FloatArray
    y: FloatArray
    z: FloatArray
    triangles: np.ndarray
    mesh: Delaunay

    def at(self, x: FloatArray, y: FloatArray) -> FloatArray:
        """Value at places; NaN outside all triangles. [m]"""
        places = np.column_stack([x, y])
        found = self.mesh.find_simplex(places, tol=1e-9)
        map_ = self.mesh.transform[found]
        two = np.einsum("nij,nj->ni", map_[:, :2], places - map_[:, 2])
        shares = np.column_stack([two, 1.0 - two.sum(axis=1)])
        values = np.sum(shares * self.z[self.mesh.simplices[found]], axis=1)
        return np.where(found < 0, np.nan, values)


@dataclass(frozen=True, eq=False)
class Facets:
    """Plane triangles of a surface within an outline; areas may be negative, sums are right.

    Attributes
    ----------
    corners : (n, 3) values at the corners [m]
    area : (n,) plan area, signed [m2]
    """

    corners: FloatArray
    area: FloatArray

    @property
    def covered(self) -> float:
        """Plan area. [m2]"""
        return float(self.area.sum())

    @property
    def mean(self) -> float:
        """Mean value. [m]"""
        return float(np.sum(self.area * self.corners.mean(axis=1)) / self.area.sum())

    def area_below(self, level: float) -> float:
        """Area under a level. [m2]"""
        return float(np.sum(facet_area_below(self.corners, self.area, level)))

    def volume_below(self, level: float) -> float:
        """Water up to a level. [m3]"""
        return float(np.sum(facet_volume_below(self.corners, self.area, level)))


def surface_of(x: FloatArray, y: FloatArray, z: FloatArray) -> Surface:
    """Triangulate points.

    Raises
    ------
    ValueError
        Fewer than three points, or all on one line.
    """
    try:
        mesh = Delaunay(np.column_stack([x, y]))
    except (QhullError, ValueError) as error:
        raise ValueError("the points lie on one line, or are fewer than three") from error
    return Surface(np.asarray(x), np.asarray(y), np.asarray(z), mesh.simplices, mesh)


def facets_within(surface: Surface, outline: Outline) -> Facets:
    """The part of a surface inside an outline, cut exactly at its edges."""
    corners: list[tuple[float, float, float]] = []
    areas: list[float] = []
    polygon = list(zip(outline.x.tolist(), outline.y.tolist(), strict=True))
    box = (outline.x.min(), outline.x.max(), outline.y.min(), outline.y.max())
    for triangle in surface.triangles:
        x, y, z = surface.x[triangle], surface.y[triangle], surface.z[triangle]
        if x.max() < box[0] or x.min() > box[1] or y.max() < box[2] or y.min() > box[3]:
            continue
        if abs((x[1] - x[0]) * (y[2] - y[0]) - (x[2] - x[0]) * (y[1] - y[0])) < LEAST_AREA:
            continue
        piece = _cut(polygon, list(zip(x.tolist(), y.tolist(), strict=True)))
        if len(piece) < 3:
            continue
        heights = _plane(x, y, z, piece)
        for (second, b), (third, c) in _fan(piece, heights):
            first = piece[0]
            area = 0.5 * (
                (second[0] - first[0]) * (third[1] - first[1])
                - (third[0] - first[0]) * (second[1] - first[1])
            )
            if area != 0.0:
                corners.append((heights[0], b, c))
                areas.append(area)
    return Facets(np.array(corners).reshape(-1, 3), np.array(areas))


def _fan(piece: list[Corner], heights: list[float]) -> Iterator[tuple[tuple[Corner, float], ...]]:
    for place in range(1, len(piece) - 1):
        yield (piece[place], heights[place]), (piece[place + 1], heights[place + 1])


def _plane(x: FloatArray, y: FloatArray, z: FloatArray, places: list[Corner]) -> list[float]:
    """Values of the plane through three points at places in it."""
    slopes = np.linalg.solve(np.column_stack([x - x[0], y - y[0]])[1:], (z - z[0])[1:])
    return [float(z[0] + slopes @ (place[0] - x[0], place[1] - y[0])) for place in places]


def _cut(polygon: list[Corner], triangle: list[Corner]) -> list[Corner]:
    """A polygon cut at the three sides of a triangle, side by side (Sutherland and Hodgman 1974).

    The triangle is convex, so the polygon need not be: where it falls apart, edges that run back on
    themselves join the parts, and areas remain right.
    """
    ends = [*triangle[1:], triangle[0]]
    if sum((b[0] - a[0]) * (b[1] + a[1]) for a, b in zip(triangle, ends, strict=True)) > 0.0:
        triangle = triangle[::-1]
        ends = [*triangle[1:], triangle[0]]
    piece = polygon
    for (ax, ay), (bx, by) in zip(triangle, ends, strict=True):
        inside = [(bx - ax) * (y - ay) - (by - ay) * (x - ax) for x, y in piece]
        kept: list[Corner] = []
        for place, (corner, side) in enumerate(zip(piece, inside, strict=True)):
            before, side_before = piece[place - 1], inside[place - 1]
            if (side < 0.0) != (side_before < 0.0):
                share = side_before / (side_before - side)
                kept.append(
                    (
                        before[0] + share * (corner[0] - before[0]),
                        before[1] + share * (corner[1] - before[1]),
                    )
                )
            if side >= 0.0:
                kept.append(corner)
        piece = kept
        if not piece:
            break
    return piece
