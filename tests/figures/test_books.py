"""Pictures of ages, bed, electricity and water. What is expected follows from how each pond is made."""

import re

import numpy as np
import pytest

from pondsim.figures.ages import ages
from pondsim.figures.bed import _decimals, bed_growth
from pondsim.figures.files import svg_text
from pondsim.figures.power import electricity
from pondsim.figures.water import level_and_outflow
from pondsim.measures.months import electricity_by_month
from tests.figures.readings import FT, finding, heights, note, texts, widths
from tests.results.ponds import VOLUMES, small_pond, with_old_water

pytestmark = pytest.mark.filterwarnings("error")
IN = 0.0254  # m, exact by definition
CFS = 0.3048**3  # m3/s, exact by definition


def uneven(**more):
    """A loop whose pool is 1, 2 and 3 days old from below and whose arm is 6 and 9."""
    pond = small_pond(pumped=0.004, title="loop", **more)
    days = np.array([[1.0, 2.0, 3.0], [np.nan, 6.0, 9.0]])
    pond["steady_age_since_waterfall"] = ("zone", "layer"), days
    return pond, np.nansum(days * VOLUMES, axis=1) / np.nansum(VOLUMES, axis=1)


def test_ages_stand_beside_the_nominal_turnover_time():
    pond, by_zone = uneven()
    figure = ages([small_pond(title="existing"), pond])
    axes = figure.axes[0]
    assert widths(axes) == pytest.approx(list(by_zone))
    turnover = np.nansum(VOLUMES) / 0.004 / 86400.0
    assert axes.lines[-1].get_xdata()[0] == pytest.approx(turnover)
    assert f"nominal turnover time {turnover:.2g} d" in " ".join(texts(axes))
    assert finding(figure) == (
        f'"loop": nominal turnover time {turnover:.2g} d, mean age at the run\'s mean flows up to '
        f"{by_zone[1]:.2g} d in arm"
    )
    assert "Without a waterfall: existing" in note(figure)


def test_the_title_names_the_oldest_water_of_the_run_by_depth():
    """Steady ages say 2 d in the pool; in the run its deepest layer is 15 d old."""
    figure = ages([with_old_water(small_pond(pumped=0.004, title="loop"))])
    assert finding(figure).endswith("up to 6 d in arm, but 15 d near the bed in pool (median of the run)")
    assert "too young where water is stratified" in note(figure)


def test_water_that_never_comes_is_said():
    pond, _ = uneven()
    pond["steady_age_since_waterfall"][1] = np.where(np.isfinite(VOLUMES[1]), np.inf, np.nan)
    figure = ages([pond])
    assert "never" in texts(figure.axes[0])
    assert finding(figure).endswith("never renews arm")


def test_a_pond_without_a_pump():
    still = small_pond()
    figure = ages([still])
    assert finding(figure) == "No pump turns this pond over"
    assert "never, in any zone" in texts(figure.axes[0])
    still["steady_age_since_inflow"] = ("zone", "layer"), np.where(np.isfinite(VOLUMES), 30.0, np.nan)
    figure = ages([still])
    assert finding(figure) == "No pump turns this pond over; mean water age since inflow is 30 d"
    assert widths(figure.axes[1]) == pytest.approx([30.0, 30.0])


def test_growth_of_the_bed_in_inches():
    figure = bed_growth([small_pond()])
    assert widths(figure.axes[0]) == pytest.approx([0.01 / IN, 0.002 / IN])
    line = figure.axes[1].lines[0].get_ydata()
    assert line[-1] == pytest.approx(0.01 / IN)
    assert line[0] == 0.0
    # 100 of 400 kg left again
    captured = "75 % of the solids that came in were captured"
    assert finding(figure) == f"Most settles in pool, {0.01 / IN:.2g} in over 40 days; {captured}"
    assert figure.axes[0].get_xlabel() == "in"


def test_designs_that_change_the_bed_are_named():
    more = small_pond(title="loop")
    more["bed_thickness"] = more["bed_thickness"] * 1.5
    figure = bed_growth([small_pond(title="existing"), more], system="si")
    assert finding(figure).startswith('Most settles in pool, 10 mm over 40 days; with "loop" 15 mm;')
    assert figure.axes[1].get_ylabel() == "mm"


def test_nothing_settles():
    clear = small_pond()
    clear["bed_thickness"] = clear["bed_thickness"] * 0.0
    assert finding(bed_growth([clear])) == "No zone gains any bed in this run"


def test_electricity_by_calendar_month():
    """1 kW from 1 June for 40 days: 30 days of June, 10 of July."""
    months, used = electricity_by_month(small_pond(pumped=0.02))
    assert months == ["2025-06", "2025-07"]
    assert used == pytest.approx([720.0, 240.0])


def test_kwh_by_design_and_month():
    pond = small_pond(pumped=0.02, title="loop").assign_coords(system=["pump", "night_air"])
    power = np.full((pond.sizes["time"], 2), [700.0, 300.0])
    pond["power_by_unit"] = ("time", "system"), power
    figure = electricity([small_pond(title="existing"), pond])
    above, below = figure.axes
    assert widths(above) == pytest.approx([0.0, 0.0, 672.0, 288.0])
    assert texts(above) == ["0 kWh", "960 kWh\npump 672 + night_air 288"]
    assert heights(below) == pytest.approx([0.0, 0.0, 720.0, 240.0])
    assert [label.get_text() for label in below.get_xticklabels()] == ["Jun 2025", "Jul 2025"]
    assert finding(figure) == 'In 40 days "loop" uses 960 kWh'


def test_the_bill_by_month():
    pond = small_pond(pumped=0.02, title="loop").assign_coords(month=["2025-06", "2025-07"])
    pond["bill_energy_charge"] = "month", [86.0, 29.0]
    pond["bill_demand_charge"] = "month", [12.0, 12.0]
    pond["bill_fixed_charge"] = "month", [20.0, 20.0]
    figure = electricity([small_pond(title="existing"), pond])
    below = figure.axes[1]
    assert heights(below) == pytest.approx([86.0, 29.0, 12.0, 12.0, 20.0, 20.0])
    assert {"$118", "$61"} <= set(texts(below))
    assert below.get_ylabel() == "$"
    assert finding(figure) == 'In 40 days "loop" uses 960 kWh and $179'


def test_two_sums_of_money_are_no_formula():
    """What stands between two dollar signs is set as the words it is."""
    pond = small_pond(pumped=0.02, title="loop").assign_coords(month=["2025-06"])
    pond["bill_energy_charge"] = "month", [86.0]
    other = small_pond(pumped=0.02, title="other").assign_coords(month=["2025-06"])
    other["bill_energy_charge"] = "month", [91.0]
    picture = svg_text(electricity([small_pond(title="existing"), pond, other]))
    words = " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", picture))
    assert '"loop" uses 960 kWh and $86; "other" uses 960 kWh and $91' in words


def test_money_other_than_dollars_is_named_on_the_axis_and_in_the_finding():
    pond = small_pond(pumped=0.02, title="loop", currency="EUR").assign_coords(month=["2025-06", "2025-07"])
    pond["bill_energy_charge"] = "month", [86.0, 29.0]
    figure = electricity([small_pond(title="existing"), pond])
    assert figure.axes[1].get_ylabel() == "EUR"
    assert {"86", "29"} <= set(texts(figure.axes[1]))
    assert finding(figure) == 'In 40 days "loop" uses 960 kWh and 115 EUR'


def test_no_electricity_is_said():
    figure = electricity([small_pond()])
    assert finding(figure) == "No electricity is used"
    assert len(texts(figure.axes[0])) == 1


def test_level_and_outflow_keep_their_peaks():
    pond = small_pond(days=138, title="existing")
    flow, level = np.full(24 * 138 + 1, 0.002), np.full(24 * 138 + 1, 100.0)
    flow[2_001], level[2_001], level[1_501] = 0.2, 100.4, 99.8
    pond["outflow"], pond["water_surface_elevation"] = ("time", flow), ("time", level)
    other = pond.assign_attrs(title="loop")
    other["outflow"] = "time", np.where(flow > 0.1, 0.15, flow)
    figure = level_and_outflow([pond, other])
    surface, out = figure.axes
    drawn = surface.lines[0].get_ydata()
    assert len(drawn) <= 1802
    assert drawn.max() == pytest.approx(100.4 / FT)
    assert drawn.min() == pytest.approx(99.8 / FT)
    assert out.lines[0].get_ydata().max() == pytest.approx(0.2 / CFS)
    assert (surface.get_ylabel(), out.get_ylabel()) == ("elevation, ft", "cfs")
    assert {"existing", "loop", "normal pool"} <= set(texts(surface))
    assert finding(figure) == (
        f"The water surface moves over {0.6 / FT:.3g} ft; "
        f"the highest hourly mean outflow is {0.2 / CFS:.3g} cfs; "
        f'with "loop" {0.15 / CFS:.3g} cfs'
    )


def test_a_level_that_falls_far_below_normal_pool():
    """2 m below it over three days: the pool lies outside the panel and its name takes no room; the swing of
    each design is told where they differ."""
    pond, other = small_pond(days=3, title="existing"), small_pond(days=3, title="loop")
    pond["water_surface_elevation"] = "time", np.linspace(98.0, 97.9, 73)
    other["water_surface_elevation"] = "time", np.linspace(98.0, 97.5, 73)
    figure = level_and_outflow([pond, other])
    figure.draw_without_rendering()
    assert figure.axes[0].bbox.height > 0.2 * figure.bbox.height
    assert finding(figure).startswith(
        f'The water surface moves over {0.1 / FT:.3g} ft; with "loop" {0.5 / FT:.3g} ft; the highest hourly'
    )


def test_a_part_of_the_time():
    figure = level_and_outflow([small_pond()], start="2025-06-05", end="2025-06-06", system="si")
    assert len(figure.axes[0].lines[0].get_ydata()) == 25
    assert figure.axes[1].get_ylabel() == "m³/s"


def test_growths_of_the_bed_have_like_decimals():
    """0.0199 and 0.0104 beside 0.091 read 0.020 and 0.010, not 0.02 and 0.01."""
    growths = [np.array([0.091, 0.0199]), np.array([0.091, 0.0104])]
    assert [f"{value:.{_decimals(growths)}f}" for value in (0.0199, 0.0104)] == ["0.020", "0.010"]
    assert _decimals([np.array([230.0, 0.0]), np.array([np.nan, 120.0])]) == 0
