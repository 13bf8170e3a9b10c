"""The demonstration pond is what its comments say."""

from pathlib import Path

import numpy as np
import pytest

from pondsim.scenario.read import read_scenario
from pondsim.site.rain import rain_series
from pondsim.site.rain_series import storms_of
from pondsim.site.watershed import runoff_of
from pondsim.site.weather import weather_series

CAMPUS = Path(__file__).parents[2] / "scenarios" / "campus"
FOOT, ACRE = 0.3048, 4046.8564224  # m, m2 (exact by definition)
DESIGNS = ("site", "existing", "waterfall", "waterfall_night_air", "air_all_day", "air_on_demand")


@pytest.fixture(scope="module")
def site():
    return read_scenario(CAMPUS / "site.toml")


@pytest.mark.parametrize("design", DESIGNS)
def test_every_file_reads(design):
    scenario = read_scenario(CAMPUS / f"{design}.toml")
    assert (scenario.waterfall is not None) == design.startswith("waterfall")
    assert len(scenario.aeration) == (2 if "air" in design else 0)


@pytest.mark.parametrize(
    ("feet", "acre", "acre_feet"), [(638.7, 1.35, 5.42), (640.0, 1.50, 7.28), (643.0, 1.74, 12.15)]
)
def test_area_and_volume_are_those_of_the_comments(site, feet, acre, acre_feet):
    """Straight lines between the stages, to the digits printed in the site file."""
    level = feet * FOOT
    areas = [np.interp(level, zone.stage, zone.area) for zone in site.zone]
    volume = 0.0
    for zone, area in zip(site.zone, areas, strict=True):
        below = [place for place, stage in enumerate(zone.stage) if stage < level - 1e-9]
        stage = np.append(np.array(zone.stage)[below], level)
        volume += np.trapezoid(np.append(np.array(zone.area)[below], area), stage)
    assert sum(areas) / ACRE == pytest.approx(acre, abs=0.005)
    assert volume / ACRE / FOOT == pytest.approx(acre_feet, abs=0.005)


def test_storms_bring_what_they_say(site):
    """Eight storms; the areas bring 12.7 acre-ft, as the site file says."""
    rain = rain_series(site.rain, site.period)
    assert len(storms_of(rain)) == 8
    volume = sum(runoff_of(area, rain).volume for area in site.drainage)
    assert volume / ACRE / FOOT == pytest.approx(12.7, abs=0.05)


def test_the_hot_spell_is_the_hottest_week(site):
    series = weather_series(site.weather, site.period, site.place)
    daily = series.air_temperature[:-1].reshape(-1, 24).mean(axis=1)
    weeks = np.convolve(daily, np.ones(7) / 7.0, mode="valid")
    first_day = (site.weather.hot_spell[0].start - site.period.start).days
    assert abs(int(np.argmax(weeks)) - first_day) <= 2
    assert series.air_temperature.max() < 273.15 + 42.0
