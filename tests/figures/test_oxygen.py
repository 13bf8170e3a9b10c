"""Pictures of oxygen: dawns, depths, budget. What is expected follows from how each pond is made."""

import json

import numpy as np
import pytest
from matplotlib.dates import date2num

from pondsim.errors import ScenarioError
from pondsim.figures import style
from pondsim.figures.budget import oxygen_budget
from pondsim.figures.dawn import dawn_by_zone
from pondsim.figures.depth_lines import depth_lines
from pondsim.figures.time_depth import time_depth
from tests.figures.readings import FT, LB, dawns_by_day, finding, note, texts, widths
from tests.results.ponds import KG_PER_DAY, PATHWAYS, small_pond

pytestmark = pytest.mark.filterwarnings("error")
PROFILE = np.array([[[1.5, 4.0, 8.0]]])  # mg/L in layers of 1 m, deepest first


def test_dawns_are_counted_and_the_existing_pond_stands_behind():
    existing = dawns_by_day([3, 4, 5, 20], title="existing", pumped=0.0)
    loop = dawns_by_day([20], title="loop")
    figure = dawn_by_zone([existing, loop])
    pool, arm = figure.axes
    behind, before = pool.lines[:2]
    assert behind.get_color() == style.BEHIND
    expected = np.full(40, 4.0)
    expected[20] = 1.5
    assert np.allclose(before.get_ydata(), expected)
    expected[[3, 4, 5]] = 1.5
    assert np.allclose(behind.get_ydata(), expected)
    assert np.allclose(arm.lines[0].get_ydata(), expected + 1.0)
    assert "4 → 1 below" in texts(pool)
    assert "4 → 1 below" in texts(arm)  # 2.5 is below 3 too
    assert finding(figure) == 'Dawn oxygen in pool is below 3 mg/L on 4 of 40 days; with "loop" on 1'
    limits = [line.get_ydata()[0] for line in pool.lines[2:]]
    assert limits == [3.0]
    assert "mg/L" in note(figure)
    assert [axes.get_ylabel() for axes in figure.axes] == ["pool", "arm"]


def test_a_pond_alone_and_dawns_that_never_fail():
    figure = dawn_by_zone([dawns_by_day([])])
    assert finding(figure) == "Oxygen at dawn never falls below 3 mg/L: the lowest is 4.0"
    assert len(figure.axes) == 2
    assert "0 below" in texts(figure.axes[0])


def test_two_designs_stand_beside_each_other():
    ponds = [dawns_by_day([1], title=title) for title in ("existing", "loop", "air")]
    figure = dawn_by_zone(ponds)
    assert [axes.get_title(loc="left") for axes in figure.axes] == ["loop", "air", "", ""]


def test_dawns_that_cannot_be_seen_are_said():
    part = small_pond(days=1).isel(time=slice(0, 5))
    figure = dawn_by_zone([part])
    assert "over one whole day" in " ".join(texts(figure.axes[0])[0].split())
    coarse = small_pond(days=3).isel(time=slice(None, None, 3))
    assert finding(dawn_by_zone([coarse])) == "Oxygen at dawn cannot be shown for this run"


def test_lines_at_top_mid_and_bottom():
    """The top metre is the first layer, whose mean is 8."""
    figure = depth_lines([small_pond(PROFILE)], "pool", start="2025-06-05", end="2025-06-10")
    top, mid, bottom = figure.axes[0].lines[:3]
    assert np.allclose(top.get_ydata(), 8.0)
    assert np.allclose(mid.get_ydata(), 4.0)
    assert np.allclose(bottom.get_ydata(), 1.5)
    assert len(top.get_ydata()) == 5 * 24 + 1
    assert [word for word in texts(figure.axes[0]) if word in style.STATIONS] == ["top", "mid", "bottom"]
    assert finding(figure) == "The bottom of pool is below 3 mg/L for 100 % of the time shown"


def test_a_season_is_drawn_day_by_day():
    swing = 5.0 + 2.0 * np.sin(2.0 * np.pi * np.arange(24 * 40 + 1) / 24.0)
    pond = small_pond(swing[:, None, None])
    figure = depth_lines([pond, pond], "arm")
    line = figure.axes[0].lines[0]
    assert len(line.get_ydata()) == 40
    assert np.allclose(line.get_ydata(), 5.0)
    band = figure.axes[0].collections[0].get_paths()[0].vertices[:, 1]
    assert band.min() == pytest.approx(3.0)
    assert band.max() == pytest.approx(7.0)
    assert "bands: from its lowest to its highest" in note(figure)
    assert finding(figure).endswith("for 0 % of the time shown; every design leaves that within 2 %")


def test_temperature_in_the_readers_unit():
    pond = small_pond(8.0, np.array([[[15.0, 20.0, 25.0]]]))
    figure = depth_lines([pond], "pool", "water_temperature", start="2025-06-05", end="2025-06-10")
    assert np.allclose(figure.axes[0].lines[2].get_ydata(), 15.0 * 1.8 + 32.0)
    assert figure.axes[0].get_ylabel() == "°F"
    # top 25 degC, bottom 15: 10 K are 18 delta_degF
    assert finding(figure) == "Temperature in pool: top and bottom differ by up to 18 °F"
    si = depth_lines([pond], "pool", "water_temperature", start="2025-06-05", end="2025-06-10", system="si")
    assert finding(si).endswith("10 °C")


def with_outage(title):
    """The bottom is at 2 mg/L and falls to 0 from 10 to 13 June, when there is no power."""
    values = np.broadcast_to(np.array([2.0, 4.0, 8.0]), (24 * 40 + 1, 2, 3)).copy()
    values[9 * 24 : 12 * 24, :, 0] = 0.0
    events = [
        {"time": "2025-06-10 00:00:00", "system": "circulation pump", "what": "outage begins"},
        {"time": "2025-06-13 00:00:00", "system": "circulation pump", "what": "outage ends"},
    ]
    return small_pond(values, title=title, events=json.dumps(events))


def test_an_outage_is_marked_and_its_lowest_oxygen_is_in_the_headline():
    """Both ponds are below 3 mg/L all the time; what differs is told though the shares are alike."""
    still = small_pond(np.array([[[2.0, 4.0, 8.0]]]), title="existing")
    figure = depth_lines([still, with_outage("loop")], "pool")
    assert finding(figure).endswith(
        'every design leaves that within 2 %; in the outage of "loop" (2025-06-10 00:00 to 2025-06-13 00:00) '
        "the bottom falls to 0.0 mg/L"
    )
    shades = [[patch.get_x() for patch in axes.patches] for axes in figure.axes]
    assert shades == [[], [date2num(np.datetime64("2025-06-10"))]]
    assert "outage" in texts(figure.axes[1]) and "outage" not in texts(figure.axes[0])
    for other in (time_depth([with_outage("loop")], "pool"), dawn_by_zone([with_outage("loop")])):
        assert "outage" in texts(other.axes[0])
        other.draw_without_rendering()  # the word stands over its shade, and takes no room from the panel
        axes = other.axes[0]
        (word,) = (one for one in axes.texts if one.get_text() == "outage")
        left = axes.transData.transform((date2num(np.datetime64("2025-06-10")), 0.0))[0]
        assert left < word.get_window_extent().x0 < left + 0.1 * axes.bbox.width


def test_debt_is_drawn_on_a_scale_where_a_smell_shows():
    """20 mg/L at the bottom all the time; 0.3 mg/L at the top on two days, 0.1 on the others."""
    debt = np.broadcast_to(np.array([20.0, 5.0, 0.1]), (24 * 40 + 1, 2, 3)).copy()
    debt[24 * 7 : 24 * 9, :, 2] = debt[24 * 7 : 24 * 9, :, 1] = 0.3
    debt[np.broadcast_to(np.isnan(small_pond()["dissolved_oxygen"].values), debt.shape)] = np.nan
    pond = small_pond(smell_debt_mg_per_L=0.2).assign(reduced_substances=(("time", "zone", "layer"), debt))
    pond = pond.assign(reduced_substances=pond["reduced_substances"].where(pond["layer"] != 1, 0.1))
    told = "reaches 20 mg/L at the bottom, and 0.2 mg/L at the top, where it smells, on 2 of 40 days"
    depth = time_depth([pond], "pool", "reduced_substances")
    assert finding(depth) == f'In pool: with "As it is" bottom oxygen debt {told}'
    assert [line.get_ydata()[0] for line in depth.axes[1].lines] == [0.2]
    lines = depth_lines([pond], "pool", "reduced_substances")
    assert finding(lines).endswith(told) and "smells" in texts(lines.axes[0])
    axes = lines.axes[0]
    low, smell, most = (axes.transData.transform((0.0, y))[1] for y in (0.0, 0.2, 20.0))
    assert (smell - low) / (most - low) > 0.2  # of a linear scale it would be a hundredth


def test_depth_pictures_switch_between_feet_and_metres():
    """The bed is at 97 m, which is 318.2 ft."""
    for system, bed, unit in (("us", 97.0 / FT, "ft"), ("si", 97.0, "m")):
        axes = time_depth([small_pond(PROFILE)], "pool", system=system).axes[0]
        assert axes.lines[1].get_ydata()[0] == pytest.approx(bed)
        assert axes.get_ylabel() == f"elevation, {unit}"


def test_a_time_without_results_is_refused():
    with pytest.raises(
        ScenarioError, match="there are no results to draw; the run goes from 2025-06-01 00:00"
    ):
        depth_lines([small_pond(PROFILE)], "pool", start="2026-01-01")


def picture(figure):
    """Bands of a time-depth picture: level below, level above, and all points of the band."""
    drawn = figure.axes[0].collections[0]
    edges = [-np.inf, *drawn.levels]  # the first band is of all below zero
    return {
        (low, high): path.vertices
        for low, high, path in zip(edges[:-1], edges[1:], drawn.get_paths(), strict=True)
        if len(path.vertices)
    }


def test_time_and_depth_from_bed_to_the_moving_surface():
    pond = small_pond(PROFILE)
    tops = pond["layer_top_elevation"].values.copy()
    rise = np.linspace(0.0, 0.5, tops.shape[0])
    tops[:, :, 2] += rise[:, None]
    pond["layer_top_elevation"] = pond["layer_top_elevation"].dims, tops
    figure = time_depth(pond, "pool", start="2025-06-01", end="2025-06-11")
    axes = figure.axes[0]
    surface, bed = axes.lines[:2]
    assert np.allclose(surface.get_ydata(), (100.0 + rise[: 24 * 10 + 1]) / FT)
    assert np.allclose(bed.get_ydata(), 97.0 / FT)
    bands = picture(figure)
    assert bands[1.0, 2.0][:, 1].min() == pytest.approx(97.0 / FT)  # 1.5 mg/L at the bed
    # 3 mg/L lies 0.6 of the way from 97.5 to 98.5 m, as profiles are straight between centres
    assert bands[2.0, 3.0][:, 1].max() == pytest.approx((97.5 + 0.6) / FT, abs=0.05)
    assert (
        finding(figure)
        == "Oxygen in pool falls below 3 mg/L on 10 of 10 days 1 ft above the bed and on 0 at the top"
    )
    assert axes.get_ylabel() == "elevation, ft"
    key = figure.axes[1]
    assert [line.get_ydata()[0] for line in key.lines] == [2.0, 3.0, 5.0]


def test_a_long_time_shows_the_lowest_of_each_day():
    swing = 4.5 + 2.0 * np.sin(2.0 * np.pi * np.arange(24 * 40 + 1) / 24.0)  # 2.5 at its lowest
    figure = time_depth([small_pond(swing[:, None, None])] * 2, "arm")
    assert set(picture(figure)) == {(2.0, 3.0)}
    assert len(figure.axes[0].lines[0].get_ydata()) == 40
    assert note(figure).startswith("Shown is the lowest value of each day")
    first = "Oxygen in arm falls below 3 mg/L on 40 of 40 days 1 ft above the bed and on 40 at the top"
    assert finding(figure) == f'{first}; with "As it is (2)" on 40 and 40'


def test_other_variables_get_a_scale_that_fits():
    pond = small_pond(8.0, np.array([[[15.0, 20.0, 25.0]]]))
    figure = time_depth(pond, "pool", "water_temperature", system="si")
    assert finding(figure) == "Temperature in pool between 15 and 25 °C"
    assert figure.axes[1].get_ylabel() == "temperature, °C"


def test_the_budget_over_the_run_in_pounds():
    pond, days = small_pond(), 40
    figure = oxygen_budget([pond, pond])
    totals = dict(zip(PATHWAYS, days * KG_PER_DAY.sum(axis=0) / LB, strict=True))
    drawn = sorted((amount for amount in totals.values() if amount), reverse=True)
    assert widths(figure.axes[0]) == pytest.approx([*drawn, *drawn])
    names = [label.get_text() for label in figure.axes[0].get_yticklabels()]
    assert names == [
        "photosynthesis",
        "exchange with the air",
        "waterfall",
        "respiration of algae",
        "sediment oxygen demand",
    ]
    assert finding(figure).startswith(
        f'In 40 days "As it is" brings {totals["waterfall"]:.3g} lb of oxygen, '
        f'the sediment consumes {-totals["bed_demand"]:.3g}; "As it is (2)" brings'
    )
    assert "Too small to draw: aeration" in note(figure)
    assert "lb" in figure.axes[0].get_xlabel()
    si = oxygen_budget([pond], system="si")
    assert max(widths(si.axes[0])) == pytest.approx(days * 9.0)


def test_a_pond_in_which_no_oxygen_moves():
    still = small_pond()
    still["oxygen_total"] = still["oxygen_total"] * 0.0
    figure = oxygen_budget([still])
    assert texts(figure.axes[0]) == ["No oxygen came or went in this run."]
    assert finding(figure) == "No equipment brings oxygen; in 40 days the sediment consumes 0 lb"
