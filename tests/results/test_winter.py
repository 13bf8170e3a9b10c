"""Ice in the measures and their picture, against numbers by hand."""

import numpy as np
import pytest

from pondsim.comparison import compare
from pondsim.errors import ScenarioError
from pondsim.figures.ice import ice_and_oxygen
from pondsim.measures.table import measures_of
from tests.figures.readings import finding
from tests.results.ponds import small_pond


def with_ice(*, days=40):
    """Ice of the pool grows by 1 cm a day for 20 days and then falls as fast; none lies on the arm."""
    pond = small_pond(days=days)
    day = np.arange(pond.sizes["time"]) / 24.0
    thick = 0.01 * np.minimum(day, 40.0 - day)
    pond["ice_thickness"] = (("time", "zone"), np.stack([thick, 0.0 * thick], axis=1))
    oxygen = np.where(day < 30.0, 12.0 - 0.2 * day, 3.0)[:, None, None]
    pond["dissolved_oxygen"] = pond["dissolved_oxygen"] * 0.0 + oxygen
    return pond


def test_days_thickness_and_oxygen_under_ice():
    """A centimetre lies from day 1 to day 39; 3 mg/L from day 30 on count, as ice still lies."""
    found = measures_of(with_ice())
    assert found["days_with_ice"].values == pytest.approx([38.0, 0.0], abs=0.01)
    assert found["thickest_ice"].values == pytest.approx([0.2, 0.0])
    lowest = found["oxygen_under_ice_lowest"].values
    assert lowest[0] == pytest.approx(3.0)
    assert np.isnan(lowest[1])


def test_a_run_that_knows_no_ice_has_no_such_rows():
    assert "days_with_ice" not in measures_of(small_pond())
    both = compare([small_pond(), with_ice()])
    (row,) = [row for row in both.rows if row.key == "oxygen_under_ice_lowest.pool"]
    assert row.values[0] is None and row.values[1] == pytest.approx(3.0)


def test_the_picture_shows_ice_and_the_oxygen_under_it():
    """20 cm are 7.9 in; the arm has no ice and is not drawn."""
    figure = ice_and_oxygen([with_ice(), with_ice()])
    above, below = figure.axes[:2]
    assert above.lines[0].get_ydata().max() == pytest.approx(0.2 / 0.0254, rel=1e-3)
    assert below.lines[0].get_ydata().min() == pytest.approx(3.0)
    assert "ce of up to 8 in; lowest oxygen under ice 3.0 mg/L" in finding(figure)
    with pytest.raises(ScenarioError, match=r"knows no ice; run it with a section \[ice\]"):
        ice_and_oxygen([small_pond()])


def salted(comes, **values):
    """Water comes in with one salinity in the second day's first hour alone [g/kg]; 0.1 before and after."""
    pond = small_pond(days=2, **values)
    hour = np.arange(pond.sizes["time"])
    came = np.where(hour == 25, comes, 0.1)
    lies = np.where(np.isfinite(pond["box_volume"].values), 0.180655, np.nan)
    lies[24:, 0, 0] = 0.361310  # near the bed of the pool, for half of the run
    out = np.where(hour == 30, 1.80655, 0.180655)
    return pond.assign(
        salinity=(("time", "zone", "layer"), lies),
        inflow_salinity=("time", came),
        inflow=("time", 0.01 + 0.0 * hour),
        **{
            f"outlet_{name}": ("time", 5.0 + 0.0 * hour) for name in ("dissolved_oxygen", "water_temperature")
        },
        outlet_salinity=("time", out),
    )


def test_chloride_of_a_salted_pond_by_hand():
    """S = 1.80655 Cl, both per mass (Wooster, Lee and Dietrich 1969, from memory), and a liter of water
    weighs 0.998 kg: 0.180655 g/kg are 99.8 mg/L. The flow is steady; of 48 h one is at ten times that."""
    both = compare([salted(10.0), salted(10.0, title="loop")])
    assert both.row("outlet_chloride_mean").values[1] == pytest.approx(99.8 * 57.0 / 48.0, rel=1e-3)
    assert both.row("outlet_chloride_highest").values[1] == pytest.approx(998.0, rel=1e-3)
    assert both.row("chloride_bottom.pool").values[0] == pytest.approx(99.8 * (24 + 2 * 25) / 49.0, rel=1e-3)
    assert both.row("chloride_bottom.arm").values[0] == pytest.approx(99.8, rel=1e-3)
    assert all(row.is_main and row.good == -1 for row in both.rows if "chloride" in row.key)


def test_chloride_is_no_row_where_no_salt_comes_in():
    """Storms of summer carry up to 100 mg/L; the salt that the pond began with is not what comes in."""
    found = measures_of(salted(0.17))
    assert not [name for name in found if "chloride" in str(name)]
