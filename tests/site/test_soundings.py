# ruff: noqa: E501 (one row is one fault and its whole message)
"""Soundings against solids whose volume is known exactly, outlines of odd shapes, the bed along a line."""

from __future__ import annotations

import json
import math
from itertools import permutations

import numpy as np
import pytest

from pondsim.errors import ScenarioError
from pondsim.physics.earthwork import facet_area_below, facet_volume_below
from pondsim.site.bed_surface import facets_within, surface_of
from pondsim.site.soundings import Levels, sounded_pond
from pondsim.site.trench_line import bed_along
from pondsim.site.zone_outlines import Outline, crossing

FT = 0.3048
LEVELS = Levels(water=100 * FT, pool=100 * FT, bank_top=103 * FT, bank_slope=3.0, shelf=2 * FT, step=1 * FT)


def write(folder, name, header, rows):
    path = folder / name
    path.write_text("\n".join([header, *(",".join(map(str, row)) for row in rows)]) + "\n", encoding="utf-8")
    return path


def pyramid(folder, *, muck=""):
    """Square of 100 ft, 12 ft deep in the middle: volume 100 x 100 x 12 / 3 ft3."""
    edge = [(0, 0), (100, 0), (100, 100), (0, 100)]
    hard = [",hard [ft]", [""], [muck]] if muck else ["", [], []]
    rows = [[*corner, 0, *hard[1]] for corner in edge] + [[50, 50, 12, *hard[2]]]
    return write(folder, "points.csv", "east [ft],north [ft],depth [ft]" + hard[0], rows)


def test_volume_of_a_pyramid(tmp_path):
    """A third of base times height, exact; the area at each stage is a square's."""
    [zone] = sounded_pond(pyramid(tmp_path), None, LEVELS).zones
    assert zone.volume == pytest.approx(40000 * FT**3, rel=1e-9)
    assert zone.water_area == pytest.approx(10000 * FT**2, rel=1e-9)
    assert zone.deepest == pytest.approx(12 * FT)
    for stage, area in zip(zone.stage[:-1], zone.area[:-1], strict=True):
        assert area == pytest.approx(((stage / FT - 88) / 12 * 100 * FT) ** 2, abs=1e-6)
    assert zone.area[-1] == pytest.approx((10000 + 400 * 3 * 3) * FT**2)  # bank at 3:1, 3 ft up
    assert zone.table_volume == pytest.approx(40000 * FT**3, rel=0.005)  # straight lines, foot by foot
    assert zone.shelf == pytest.approx((10000 - (100 * 10 / 12) ** 2) * FT**2, rel=1e-9)
    assert zone.shore == pytest.approx(400 * FT)


def test_muck_between_two_readings(tmp_path):
    """3 ft in the middle, none at the edge: again a pyramid, 100 x 100 x 3 / 3 ft3."""
    [zone] = sounded_pond(pyramid(tmp_path, muck="15"), None, LEVELS).zones
    assert zone.muck == pytest.approx(10000 * FT**3, rel=1e-9)


def test_wedge_in_two_zones_adds_up(tmp_path):
    """A bed that falls evenly from 0 to 10 ft over 60 ft, 30 ft wide, cut at 24 ft."""
    rows = [(x, y, x / 6) for x in (0, 20, 40, 60) for y in (0, 30)]
    points = write(tmp_path, "points.csv", "east [ft],north [ft],depth [ft]", rows)
    corners = [("near", x, y) for x, y in ((0, 0), (24, 0), (24, 30), (0, 30))]
    corners += [("far", x, y) for x, y in ((24, 0), (60, 0), (60, 30), (24, 30))]
    outlines = write(tmp_path, "zones.csv", "zone,east [ft],north [ft]", corners)
    pond = sounded_pond(points, outlines, LEVELS)
    near, far = pond.zones
    assert near.volume == pytest.approx(24 * 4 / 2 * 30 * FT**3, rel=1e-9)
    assert far.volume == pytest.approx((4 + 10) / 2 * 36 * 30 * FT**3, rel=1e-9)
    assert near.shore == pytest.approx(78 * FT)  # the common edge is no shore
    [passage] = pond.passages
    assert passage.width == pytest.approx(30 * FT)
    assert passage.sill == pytest.approx(96 * FT)
    assert near.outline.centre == pytest.approx((12 * FT, 15 * FT))


def test_a_grid_row_by_row_is_no_waterline(tmp_path):
    """Readings line by line across the pond, as a crew walks them: the points of depth 0 go to and fro."""
    depth = {
        (x, y): max(0.0, min(8, x / 4, (200 - x) / 4, y / 4, (120 - y) / 4))
        for x in range(0, 201, 8)
        for y in range(0, 121, 8)
    }
    for order in (sorted(depth), sorted(depth, key=lambda p: (p[0], -p[1] if p[0] % 16 else p[1]))):
        rows = [(*place, depth[place]) for place in order]
        points = write(tmp_path, "points.csv", "east [ft],north [ft],depth [ft]", rows)
        with pytest.raises(ScenarioError, match="do not go round the pond in order"):
            sounded_pond(points, None, LEVELS)


def test_outlines_that_cross_themselves_and_that_do_not():
    """Corners sorted by angle make a simple polygon; a square's two diagonals as sides cross (geometry)."""
    rng = np.random.default_rng(3)
    for count in (4, 5, 7, 30):
        x, y = rng.uniform(0, 50, (2, count))
        turn = np.argsort(np.arctan2(y - y.mean(), x - x.mean()))
        assert crossing(x[turn], y[turn]) is None
        assert crossing(np.append(x[turn], x[turn[0]]), np.append(y[turn], y[turn[0]])) is None  # closed
    square = np.array([(0, 0), (4, 0), (4, 4), (0, 4)], dtype=float)
    for order in permutations(range(4)):
        opposite = {frozenset((0, 2)), frozenset((1, 3))}
        sides = {frozenset((order[k], order[(k + 1) % 4])) for k in range(4)}
        assert (crossing(*square[list(order)].T) is not None) == (opposite <= sides)
    spike = np.array([(0, 0), (6, 0), (6, 6), (6, 2), (0, 2)], dtype=float)  # runs back along itself
    assert crossing(*spike.T) == (1, 2)


def test_cone_comes_close_with_many_soundings(tmp_path):
    """pi r^2 h / 3 for r 50 ft, h 9 ft; 72 points on the waterline enclose sin(5 deg)/(5 deg) of the circle."""
    turn = np.radians(np.arange(0, 360, 5))
    rows = [(50 * math.cos(a), 50 * math.sin(a), 0) for a in turn] + [(0, 0, 9)]
    [zone] = sounded_pond(
        write(tmp_path, "points.csv", "east [ft],north [ft],depth [ft]", rows), None, LEVELS
    ).zones
    exact = math.pi * 50**2 * 9 / 3 * FT**3
    assert zone.volume == pytest.approx(exact * math.sin(math.radians(5)) / math.radians(5), rel=1e-9)


def test_an_outline_that_is_not_convex_is_cut_right():
    """A U over a plane: its three legs and base, counted by hand."""
    grid = [(x, y) for x in (-10.0, 40.0) for y in (-10.0, 40.0)] + [(11.0, 7.0), (19.0, 23.0)]
    x, y = np.array(grid).T
    surface = surface_of(x, y, 0.1 * x + 0.05 * y)
    corners = [(0, 0), (30, 0), (30, 30), (20, 30), (20, 10), (10, 10), (10, 30), (0, 30)]
    ux, uy = np.array(corners, dtype=float).T
    facets = facets_within(surface, Outline("u", ux, uy, np.full(8, np.nan)))
    assert facets.covered == pytest.approx(300 + 200 + 200)
    mean = (300 * (1.5 + 0.25) + 200 * (0.5 + 1.0) + 200 * (2.5 + 1.0)) / 700
    assert facets.mean == pytest.approx(mean)


def test_facets_against_integration():
    """Area and volume of one tilted triangle by a fine sum over its area."""
    corners, level = np.array([[1.0, 3.0, 4.5]]), 3.4
    n = 1500
    u, v = (np.indices((n, n)) + 0.5) / n
    inside = u + v < 1.0
    z = corners[0, 0] + u * (corners[0, 1] - corners[0, 0]) + v * (corners[0, 2] - corners[0, 0])
    depth = np.maximum(level - z[inside], 0.0)
    assert facet_area_below(corners, np.ones(1), level)[0] == pytest.approx(np.mean(depth > 0), abs=2e-3)
    assert facet_volume_below(corners, np.ones(1), level)[0] == pytest.approx(depth.mean(), rel=2e-3)


def test_outlines_in_degrees_agree_with_the_plan(tmp_path):
    """One minute of latitude is 1852 m to a quarter of a percent: a square of 0.02 minutes."""
    step = 0.02 / 60
    points = [
        (0, 40, 0),
        (step, 40, 0),
        (step, 40 + step, 0),
        (0, 40 + step, 0),
        (step / 2, 40 + step / 2, 2),
    ]
    file = write(tmp_path, "points.csv", "longitude [deg],latitude [deg],depth [m]", points)
    ring = [[0, 40], [step, 40], [step, 40 + step], [0, 40 + step], [0, 40]]
    feature = {
        "type": "Feature",
        "properties": {"name": "all"},
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }
    geo = tmp_path / "zones.geojson"
    geo.write_text(json.dumps({"type": "FeatureCollection", "features": [feature]}), encoding="utf-8")
    [zone] = sounded_pond(file, geo, LEVELS).zones
    side = 1852 * 0.02
    assert zone.outline.name == "all"
    assert zone.water_area == pytest.approx(side * side * math.cos(math.radians(40)), rel=6e-3)


def test_bed_along_the_trench_line(tmp_path):
    """From the middle of the pyramid to the shore and on to ground at 103 ft: straight lines."""
    pond = sounded_pond(pyramid(tmp_path, muck="14"), None, LEVELS)
    line = write(
        tmp_path, "line.csv", "east [ft],north [ft],ground [ft]", [(50, 50, ""), (50, 0, ""), (50, -20, 103)]
    )
    found = bed_along(line, pond, 10 * FT)
    assert found.station / FT == pytest.approx([0, 10, 20, 30, 40, 50, 60, 70])
    assert found.bed / FT == pytest.approx([88, 90.4, 92.8, 95.2, 97.6, 100, 101.5, 103])
    assert found.hard is not None
    assert found.hard / FT == pytest.approx([86, 88.8, 91.6, 94.4, 97.2, 100, 101.5, 103])


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("east [ft],north [ft],depth\n0,0,0\n", "points.csv:1: depth has no unit"),
        ("east [ft],north [ft],depht [ft]\n0,0,0\n", 'depht is not a column of this file; did you mean "depth"?'),
        ("east [ft],north [gpm],depth [ft]\n0,0,0\n", '"gpm" is of another kind'),
        ("east [ft],north [ft],depth [ft]\n0,0,0\n1,1,1\n", "has 2 points below its header; 3 at least"),
        ("east [ft],north [ft],depth [ft]\n0,0,0\n1,x,1\n2,0,0\n", 'points.csv:3: north "x" is not a number'),
        ("east [ft],north [ft],depth [ft]\n0,0,0\n1,,1\n2,0,0\n", "points.csv:3: north is empty"),
        ("east [ft],north [ft],depth [ft]\n0,0,0\n1,1,0\n2,2,0\n", "the points lie on one line"),
        ("east [ft],north [ft],depth [ft]\n0,0,0\n9,9,0\n9,0,0\n0,8,0\n4,4,3\n", "points.csv:2: the points of depth 0 do not go round the pond in order: the waterline from here crosses the one from line 4"),
        ("east [ft],north [ft],depth [ft]\n0,0,0\n9,0,0\n0,9,0\n2,2,-3\n", 'zone "pond" has no sounding under water'),
        ("east [ft],north [ft],depth [ft]\n0,0,1\n1,2,1\n2,0,3\n", "fewer than three points of depth 0"),
        ("east [ft],north [ft],depth [ft],hard [ft]\n0,0,1,0.5\n1,1,0,\n2,0,0,\n", "points.csv:2: hard is less than depth"),
        ("longitude [deg],latitude [deg],depth [ft]\n0,0,0\n1,1,0\n2,0,0\n", "reaches over more than 0.2 degrees"),
    ],
)  # fmt: skip
def test_faults_of_a_soundings_file(tmp_path, text, message):
    (tmp_path / "points.csv").write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        sounded_pond(tmp_path / "points.csv", None, LEVELS)
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        (
            "zones.csv",
            "zone,east [ft],north [ft]\na,0,0\na,1,1\na,2,2\n",
            'zone "a" has 3 corners that enclose nothing',
        ),
        (
            "zones.csv",
            "zone,east [ft],north [ft]\na,0,0\na,9,9\na,9,0\na,0,8\n",
            'zone "a" has an outline that crosses itself (the side from corner 1 meets the one from corner 3)',
        ),
        ("zones.geojson", "{}", "is in degrees, as GeoJSON is"),
        ("zones.csv", "east [ft],north [ft]\n0,0\n1,1\n2,0\n", "zone is missing in the header"),
        (
            "zones.csv",
            "zone,longitude [deg],latitude [deg]\na,0,0\na,0.001,0\na,0,0.001\n",
            "in different ways",
        ),
    ],
)
def test_faults_of_outlines(tmp_path, name, text, message):
    (tmp_path / name).write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        sounded_pond(pyramid(tmp_path), tmp_path / name, LEVELS)
    assert message in str(caught.value)


def test_an_end_on_shore_wants_its_ground(tmp_path):
    pond = sounded_pond(pyramid(tmp_path), None, LEVELS)
    line = write(tmp_path, "line.csv", "east [ft],north [ft]", [(50, 50), (50, -20)])
    with pytest.raises(ScenarioError, match=r"line.csv:3: ground lies outside the soundings"):
        bed_along(line, pond, 3.0)
