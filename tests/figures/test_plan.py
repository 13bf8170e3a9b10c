"""The plan: true areas, circles apart, equipment by its word."""

import json
import math
from itertools import combinations

import numpy as np
import pytest
from matplotlib.patches import Circle, Polygon

from pondsim.figures.plan import plan_map
from pondsim.figures.plan_layout import apart
from pondsim.figures.style import for_a_page
from tests.figures.readings import FT, finding, note, texts
from tests.results.ponds import VOLUMES, small_pond, with_old_water

pytestmark = pytest.mark.filterwarnings("error")
LAYOUT = {
    "connections": [["pool", "arm", 10.0, 98.0]],
    "intake_zone": "arm",
    "waterfall_zone": "pool",
    "outlet_zone": "arm",
    "inflow_zones": ["pool"],
    "aeration": [{"name": "night_air", "zone": "pool", "diffusers": 4}],
}


def placed(**more):
    """A loop of two zones 40 m apart, with its layout."""
    pond = small_pond(pumped=0.02, title="loop", layout=json.dumps(LAYOUT), **more)
    return pond.assign(zone_x=("zone", [0.0, 40.0]), zone_y=("zone", [0.0, 5.0]))


def circles(figure):
    return [patch for patch in figure.axes[0].patches if isinstance(patch, Circle)]


def test_areas_are_true_and_centres_stay_where_there_is_room():
    drawn = circles(plan_map(placed()))
    assert [math.pi * c.radius**2 for c in drawn] == pytest.approx([600.0, 400.0])
    assert np.allclose([c.center for c in drawn], [[0.0, 0.0], [40.0, 5.0]], atol=0.1)


@pytest.mark.parametrize("spread", [0.0, 5.0, 30.0])
def test_circles_never_touch(spread):
    centres = spread * np.array([[0, 0], [1, 0], [0, 1], [1, 1], [0.5, 0.4], [0.2, 0.9]])
    radii = np.array([10.0, 3.0, 8.0, 5.0, 12.0, 6.0])
    moved = apart(centres, radii)
    for a, b in combinations(range(len(radii)), 2):
        assert math.dist(moved[a], moved[b]) > radii[a] + radii[b]
    assert np.allclose(moved.mean(axis=0), centres.mean(axis=0))


def test_zones_tell_name_area_days_and_share():
    """The pool is 2 days old and the arm 6; 3 days part them: 1000 of 1500 m3 are younger."""
    figure = plan_map(placed())
    words = texts(figure.axes[0])
    acre = 4046.8564224  # m2, exact by definition
    for name, area, days, share in (("pool", 600.0, "2 d", "100 %"), ("arm", 400.0, "6 d", "0 %")):
        place = words.index(name)
        assert words[place : place + 4] == [name, f"{area / acre:.3g} acre", days, f"{share} under 3 d"]
    assert np.nansum(VOLUMES[0]) / np.nansum(VOLUMES) == pytest.approx(2 / 3)
    assert (
        finding(figure)
        == '"loop": 67 % of the water has a mean age under 3 d since the waterfall; the oldest is arm, 6 d'
    )
    assert "400 m²" in texts(plan_map(placed(), system="si").axes[0])


def test_ages_are_those_of_the_run_where_results_hold_them():
    """The pool: 100 m3 of 15 d and 900 of 2 d, a mean of 3.3 d; by mean flows it is younger than the arm."""
    figure = plan_map(with_old_water(placed()))
    assert finding(figure).endswith("since the waterfall is 2.9 d; the oldest is pool near the bed, 15 d")
    assert {"3.3 d", "15 d near the bed", "2 d", "2 d near the bed"} <= set(texts(figure.axes[0]))
    assert "median over the run after its first 14 days" in note(figure)
    pool, arm = circles(figure)
    assert sum(pool.get_facecolor()[:3]) < sum(arm.get_facecolor()[:3])


def test_older_zones_are_darker():
    pool, arm = circles(plan_map(placed()))
    assert sum(arm.get_facecolor()[:3]) < sum(pool.get_facecolor()[:3]) - 0.5


def test_equipment_and_passages_are_named():
    figure = plan_map(placed())
    words = texts(figure.axes[0])
    assert {"waterfall", "intake", "outlet", "water coming in", "night_air: 4 diffusers"} <= set(words)
    assert f"{10.0 / FT:.3g} ft" in words
    (passage,) = [patch for patch in figure.axes[0].patches if isinstance(patch, Polygon)]
    corners = passage.get_xy()
    assert math.dist(corners[0], corners[3]) == pytest.approx(10.0)
    assert "Sketch: areas true, shapes not" in note(figure)
    assert "run the design again" not in note(figure)


def test_the_scale_bar_is_as_long_as_it_says():
    for system, metres in (("us", FT), ("si", 1.0)):
        figure = plan_map(placed(), system=system)
        axes = figure.axes[0]
        (bar,) = [line for line in axes.lines if len(line.get_xdata()) == 4]
        length = np.ptp(bar.get_xdata()) / metres
        assert f"{length:.3g} {'ft' if system == 'us' else 'm'}" in texts(axes)
        assert "N" in texts(axes)


def crowded():
    """Five zones about a pool, with a loop, three inflows and air in three of them."""
    zones = ["forebay", "deep_pool", "terrace", "cove", "far_arm"]
    layout = {
        "connections": [[zone, "deep_pool", 10.0, 98.0] for zone in zones if zone != "deep_pool"],
        "intake_zone": "terrace",
        "waterfall_zone": "cove",
        "outlet_zone": "terrace",
        "inflow_zones": ["forebay", "far_arm", "cove"],
        "aeration": [
            {"name": f"{zone}_air", "zone": zone, "diffusers": 3} for zone in ("deep_pool", "far_arm", "cove")
        ],
    }
    pond = small_pond(pumped=0.02, layout=json.dumps(layout)).isel(zone=[0, 0, 0, 0, 0])
    pond = pond.assign_coords(zone=zones).assign(
        zone_area=("zone", [840.0, 2230.0, 1200.0, 700.0, 1110.0]),
        zone_x=("zone", [-45.0, 0.0, 5.0, -8.0, 50.0]),
        zone_y=("zone", [0.0, 0.0, -50.0, 48.0, 15.0]),
    )
    return plan_map(pond)


def crowded_on_a_page():
    with for_a_page():
        return crowded()


@pytest.mark.parametrize("draw", [lambda: plan_map(placed()), crowded, crowded_on_a_page])
def test_words_do_not_lie_on_each_other(draw):
    figure = draw()
    figure.draw_without_rendering()
    boxes = [text.get_window_extent() for text in figure.axes[0].texts if text.get_text()]
    assert not [1 for a, b in combinations(boxes, 2) if a.padded(-1.0).overlaps(b.padded(-1.0))]


def test_a_zone_that_the_waterfall_never_renews():
    pond = placed()
    pond["steady_age_since_waterfall"][1] = np.where(np.isfinite(VOLUMES[1]), np.inf, np.nan)
    figure = plan_map(pond)
    assert "never renewed" in texts(figure.axes[0])
    assert finding(figure).startswith('"loop": water from the waterfall never reaches arm; 67 % of')


def test_no_waterfall_and_an_older_file_are_said():
    figure = plan_map(small_pond())
    assert finding(figure) == '"As it is" has no waterfall; the pond has 0.247 acre in 2 zones'
    assert "does not hold passages and equipment: run the design again" in note(figure)
    assert len(figure.axes) == 1  # no colour scale


def test_one_zone():
    figure = plan_map(small_pond(pumped=0.02, title="loop").isel(zone=[0]))
    assert (
        finding(figure)
        == '"loop": 100 % of the water has a mean age under 3 d since the waterfall; the mean is 2 d'
    )
    assert len(circles(figure)) == 1


def test_many_small_zones_have_their_words_outside():
    pond = small_pond(pumped=0.02)
    many = pond.isel(zone=[0, 1] * 5).assign_coords(zone=[f"very_long_name_{n}" for n in range(10)])
    angles = 2.0 * np.pi * np.arange(10) / 10
    many = many.assign(zone_x=("zone", 300.0 * np.cos(angles)), zone_y=("zone", 300.0 * np.sin(angles)))
    figure = plan_map(many)
    figure.draw_without_rendering()
    first = [text for text in figure.axes[0].texts if text.get_text().startswith("very_long_name")]
    drawn = circles(figure)
    for text, circle in zip(first, drawn, strict=True):
        box = text.get_window_extent()
        rim = circle.get_window_extent()
        assert not box.padded(-2.0).overlaps(rim.padded(-0.15 * rim.width))
