"""A whole winter of the invented cold pond, checked against what was measured on ponds and small lakes."""

import sys
from pathlib import Path

import numpy as np
import pytest

from pondsim.measures import at_station
from pondsim.measures.winter import days_with_ice, lowest_under_ice, thickest_ice
from pondsim.scenario.read import read_scenario
from pondsim.simulate import run

sys.path.insert(0, str(Path(__file__).parents[2] / "docs" / "studies"))

import winter

COLD = Path(__file__).parents[2] / "scenarios" / "cold_pond"
pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def winters():
    return {
        name: run(read_scenario(COLD / f"{name}.toml"), how_long_start_matters=False)
        for name in ("existing", "air_all_year")
    }


def test_ice_and_water_under_it_are_those_of_northern_ponds(winters):
    """Kingston stormwater pond 0.2 to 0.5 m (Marsalek et al. 2003), Post Pond 0.45 to 0.67 m of ice (Gow and
    Govoni 1983), 0.5 to 4 degC below it: numbers read in secondary sources."""
    pond = winters["existing"]
    assert 0.2 < thickest_ice(pond)[0] < 0.67
    assert 90.0 < days_with_ice(pond)[0] < 170.0
    february = pond["water_temperature"].sel(time="2026-02")
    assert float(february.min()) > 0.0
    assert float(february.max()) < 5.0
    top, low = (
        float(at_station(pond, "water_temperature", place).sel(zone="basin", time="2026-02").mean())
        for place in ("top", "bottom")
    )
    assert top < low


def test_oxygen_under_ice_falls_as_lakes_lose_it(winters):
    """0.01 g/m3/d of water and 0.23 g/m2/d of a eutrophic bed (Mathias and Barica 1980, from the abstract):
    0.13 mg/L/d in 2 m; an areal rate up to 0.61 g/m2/d in an Alberta lake. Half to twice of the first."""
    column = at_station(winters["existing"], "dissolved_oxygen", "column").sel(zone="basin")
    first, last = (float(column.sel(time=day).mean()) for day in ("2025-11-25", "2025-12-20"))
    rule = 0.01 + 0.23 / 1.9
    assert 0.5 * rule < (first - last) / 25.0 < 2.0 * rule
    assert lowest_under_ice(winters["existing"])[0] < 2.0  # a winterkill of a shallow rich pond


def test_air_through_the_winter_holds_water_open_and_oxygen_up(winters):
    """And cools the bottom below the 4 degC at which fresh water rests there."""
    aired, still = winters["air_all_year"], winters["existing"]
    assert lowest_under_ice(aired)[0] > 6.0
    cold, warm = (
        float(at_station(one, "water_temperature", "bottom").sel(zone="basin", time="2026-01").mean())
        for one in (aired, still)
    )
    assert cold < warm - 1.5
    assert "ran_under_ice" in aired.attrs["remarks"]
    assert "ran_under_ice" not in still.attrs["remarks"]


def test_spring_turns_the_pond_over_and_all_books_close(winters):
    for pond in winters.values():
        assert float(pond["ice_thickness"].isel(time=-1).max()) == 0.0
        bottom = at_station(pond, "dissolved_oxygen", "bottom").sel(zone="basin")
        assert float(bottom.sel(time=slice("2026-04-05", "2026-05-05")).max()) > 6.0
        books = {name: np.max(gap) for name, gap in pond.attrs.items() if name.startswith("balance_")}
        assert len(books) == 8
        assert all(gap < 1e-12 for gap in books.values()), books  # over the 100,000 steps of a year


def test_algae_die_back_under_snow_and_return_in_spring(winters):
    """Light under 10 cm of snow is a hundredth (check 18.10): nothing grows from January to March (common
    practice, no source: a few ug/L at most under snow), and a pond of 60 to 100 ug/L of phosphorus is green
    again in May: 6 to 60 ug/L, a factor of three about Dillon and Rigler's line (1974, from memory)."""
    for pond in winters.values():
        top = at_station(pond, "chlorophyll", "top").sel(zone="basin")
        assert float(top.sel(time="2026-02").max()) < 3.0
        assert float(top.min()) > 0.0
        assert 6.0 < float(top.sel(time="2026-05").mean()) < 60.0


def test_road_salt_locks_the_bottom_in_spring_only_where_there_is_enough():
    """The work that mixes the column when the ice goes over that of the wind, by hand, says how long.

    0.4 to 1.25 rho u*^3 (lakes; Kato and Phillips 1969, both from memory) is the wind's part; the sun that
    warms the top meanwhile may double the days, and more. With the salt of the example, and with none, the
    bottom breathes within two days; with brine each week it does not for ten.
    """
    days = {}
    for name, scenario in (("none", winter.salted(0.0)), ("brine", winter.salted(3.0, weekly=True))):
        pond = run(scenario, how_long_start_matters=False)
        low, high = winter.work_of_wind(pond, scenario.mixing.wind_reduction)
        needed = winter.energy_to_mix(pond)
        days[name] = winter.days_locked(pond)
        assert needed / high - 2.0 < days[name] < 4.0 * needed / low + 2.0
    assert abs(winter.days_locked(run(winter.salted(1.0), how_long_start_matters=False)) - days["none"]) < 2.0
    assert 10.0 < days["brine"] < 60.0
