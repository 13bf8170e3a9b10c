"""The picture of the loop: what stands in it and at which height, not its pixels."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pondsim.design.circulation import line_sheet
from pondsim.design.cut import cut_of
from pondsim.figures.hardware import hardware_figure
from tests.line_for_tests import PARTS, line_scenario

FOOT = 0.3048
GPM = 3.785411784e-3 / 60.0
BARE = dict.fromkeys(("gravity_line", "wet_well", "discharge"))


def figure_of(scenario, system="us"):
    return hardware_figure(line_sheet(scenario), cut_of(scenario), system=system)


def words_of(axes):
    return [text.get_text() for text in axes.texts]


def drawn_at(axes, height):
    """Whether a level line is drawn there."""
    return any(
        len(line.get_ydata()) == 2 and np.allclose(line.get_ydata(), height, atol=1e-6) for line in axes.lines
    )


@pytest.fixture(scope="module")
def scenario(tmp_path_factory):
    return line_scenario(tmp_path_factory.mktemp("line"))


def test_elevations_stand_where_the_file_says(scenario):
    """Pools 9, 10, 13 ft; well 1 ft, floats 7 and 7.5 ft; centre 5 ft, bore 11.94 in."""
    profile = figure_of(scenario).axes[0]
    for words in (
        "low pool 9 ft",
        "normal pool 10 ft",
        "bank top 13 ft",
        "floor 1 ft",
        "pump-off 7 ft",
        "alarm 7.5 ft",
        "bed 0 ft",
        "bed 5 ft",
        "grate",
        "a free fall",
    ):
        assert any(words in text for text in words_of(profile)), words
    for level in (9.0, 10.0, 13.0):
        assert drawn_at(profile, level)
    invert = next(text for text in words_of(profile) if text.startswith("invert"))
    assert float(invert.split()[1]) == pytest.approx(5 - 11.94 / 24, abs=0.01)
    floats = [
        line.get_ydata()[0]
        for line in profile.lines
        if line.get_marker() == "o" and len(line.get_ydata()) == 1
    ]
    assert {7.0, 7.5} <= {round(height, 6) for height in floats}
    assert profile.get_ylabel() == "elevation [ft]"
    assert any("lengths not" in text for text in words_of(profile))


def test_water_in_the_well_is_that_of_the_sheet(scenario):
    sheet, profile = line_sheet(scenario), figure_of(scenario).axes[0]
    for pool in sheet.pools:
        assert pool.well_level < pool.pond_level
        assert drawn_at(profile, pool.well_level / FOOT)


def test_si_shows_metres_and_litres(scenario):
    profile, curves, _ = figure_of(scenario, "si").axes
    assert any("normal pool 3.048 m" in text for text in words_of(profile))
    assert profile.get_ylabel() == "elevation [m]"
    assert curves.get_xlabel() == "flow [L/s]"
    assert curves.get_ylabel() == "head [m]"


def test_curve_goes_through_its_points_and_meets_the_line_at_the_operating_point(scenario):
    sheet = line_sheet(scenario)
    _, curves, efficiency = figure_of(scenario).axes
    by_name = {line.get_label(): line for line in curves.lines}
    assert np.allclose(by_name["points given"].get_xdata(), [0, 200, 400, 600, 800])
    assert np.allclose(by_name["points given"].get_ydata(), [28, 26, 22.5, 17, 9])
    pump = by_name["pump"]
    assert np.interp(400, pump.get_xdata(), pump.get_ydata()) == pytest.approx(22.5, abs=0.05)
    flow = sheet.normal.flow / GPM
    line = by_name["line, normal pool"]
    met = [np.interp(flow, one.get_xdata(), one.get_ydata()) for one in (pump, line)]
    assert met[0] == pytest.approx(met[1], abs=0.05)
    assert met[0] == pytest.approx(sheet.normal.head / FOOT, abs=0.05)
    assert efficiency.get_ylabel() == "efficiency of the pump [%]"
    (shares,) = (one for one in efficiency.lines if one.get_label() == "efficiency")
    assert np.interp(400, shares.get_xdata(), shares.get_ydata()) == pytest.approx(65, abs=1.0)


def test_the_title_is_the_finding(scenario):
    sheet, figure = line_sheet(scenario), figure_of(scenario)
    title = figure.axes[0].get_title(loc="left")
    assert title.startswith(f"{sheet.normal.flow / GPM:.0f} gpm at normal pool against")
    assert title.endswith(
        f"the well stands {sheet.low.over_pump_off / FOOT:.3g} ft over pump-off at low pool"
    )


def test_a_well_that_runs_dry_is_the_finding(tmp_path):
    thin = line_scenario(tmp_path, gravity_line='inside_diameter = "6.5 in"\nlength = "80 ft"')
    assert line_sheet(thin).low.stops and not line_sheet(thin).normal.stops
    title = figure_of(thin).axes[0].get_title(loc="left")
    assert "does not run at low pool: the well falls below pump-off" in title


def test_a_stated_flow_with_pipes_has_points_and_no_pump_curve(tmp_path):
    _, curves = figure_of(line_scenario(tmp_path, pump='flow = "705 gpm"')).axes
    assert "pump" not in {line.get_label() for line in curves.lines}
    dots = [line for line in curves.lines if line.get_marker() == "o"]
    assert [float(dot.get_xdata()[0]) for dot in dots] == pytest.approx([705.0] * 3)
    assert "705 gpm at every level" in curves.get_title(loc="left")


def test_a_stated_flow_alone_has_a_profile_only(tmp_path):
    (profile,) = figure_of(line_scenario(tmp_path, pump='flow = "705 gpm"', **BARE)).axes
    assert "pump" in words_of(profile)
    assert profile.get_title(loc="left").endswith("4 ft of water over the intake's center at low pool")


def test_without_a_well_the_line_leads_to_the_pump(tmp_path):
    bare = line_scenario(tmp_path, wet_well=None, also={"pump": 'elevation = "4 ft"'})
    profile = figure_of(bare).axes[0]
    assert not any("floor" in text or "pump-off" in text for text in words_of(profile))
    heights = [line.get_ydata()[0] for line in profile.lines if line.get_marker() == "^"]
    assert heights == pytest.approx([4.0])


@pytest.mark.parametrize("system", ["us", "si"])
def test_no_label_lies_on_another(scenario, system):
    figure = figure_of(scenario, system)
    figure.canvas.draw()
    for axes in figure.axes[:2]:
        boxes = [text.get_window_extent() for text in axes.texts if text.get_text()]
        for place, box in enumerate(boxes):
            for other in boxes[place + 1 :]:
                assert not box.overlaps(other), (axes.texts, box, other)


def test_campus_picture_has_no_label_on_another():
    from pondsim.scenario.read import read_scenario  # noqa: PLC0415
    from tests.cli.common import DEMO  # noqa: PLC0415

    figure = figure_of(read_scenario(DEMO / "waterfall.toml"))
    figure.canvas.draw()
    boxes = [text.get_window_extent() for text in figure.axes[0].texts]
    assert not any(box.overlaps(other) for n, box in enumerate(boxes) for other in boxes[n + 1 :])


def test_a_crest_over_the_lip_stands_at_its_own_height(tmp_path):
    """Crest 14.7 ft: 5 ft of lip, head over it by Francis, Q = 3.33 L H^1.5."""
    waterfall = PARTS["waterfall"] + 'lip = "14.7 ft"\n'
    scenario = line_scenario(tmp_path, waterfall=waterfall)
    sheet = line_sheet(scenario)
    head = (sheet.normal.flow / FOOT**3 / 3.33 / 5.0) ** (2 / 3)
    assert sheet.normal.lip_level / FOOT - 14.7 == pytest.approx(head, rel=5e-3)
    assert any("lip 14.7 ft" in text for text in words_of(figure_of(scenario).axes[0]))
    assert math.isclose(cut_of(scenario).crest / FOOT, 14.7)


def test_a_pump_that_does_not_reach_the_lip_is_the_finding(tmp_path):
    """Shutoff 5.5 ft; 5 ft of drop at normal pool (10 ft), 6 ft at low pool: no water there, and no point."""
    weak = 'curve_flow = ["0 gpm", "100 gpm", "200 gpm"]\ncurve_head = ["5.5 ft", "4 ft", "2 ft"]\n'
    profile, curves = figure_of(line_scenario(tmp_path, pump=weak)).axes
    assert profile.get_title(loc="left").endswith("the pump does not reach the lip at low pool")
    assert curves.get_title(loc="left") == "The pump does not reach the lip at low pool"
    assert sum(line.get_marker() == "o" for line in curves.lines) == 2
    (low,) = (line for line in curves.lines if line.get_label() == "line, low pool")
    assert low.get_ydata()[0] == pytest.approx(6.0)
