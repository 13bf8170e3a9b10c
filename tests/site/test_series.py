"""What is laid over the weather: anemometer height and hot spells."""

from datetime import datetime

import numpy as np
import pytest

from pondsim.physics.water import vapour_pressure
from pondsim.scenario.settings import HotSpell
from pondsim.site.series import WeatherSeries, lay_hot_spells, wind_at_10_m
from tests.site.common import period

WEEK = period("2025-08-01", "2025-08-08")
TIME = 3600.0 * np.arange(169)


def plain():
    air = np.full(169, 298.15)
    return WeatherSeries(
        time=TIME,
        air_temperature=air,
        vapour_pressure=0.6 * vapour_pressure(air),
        shortwave=np.full(169, 200.0),
        cloud_share=np.full(169, 0.5),
        wind_speed=np.full(169, 3.0),
        pressure=np.full(169, 1e5),
        rain=np.zeros(169),
    )


def spell(**given):
    usual = {"duration": 2 * 86400.0, "warmer": 5.0, "wind_factor": 0.4, "clear_sky": True}
    return HotSpell(start=datetime(2025, 8, 3), **(usual | given))


def test_wind_at_another_height_by_the_logarithmic_profile():
    """Exact: over z0 = 0.03 m, ln(10/0.03)/ln(2/0.03) = 5.8091/4.1997 = 1.3832."""
    assert wind_at_10_m(np.array([2.0, 0.0]), 2.0) == pytest.approx([2.7664, 0.0], abs=1e-4)
    assert wind_at_10_m(np.array([2.0]), 10.0).tolist() == [2.0]


def test_hot_spell_inside_and_outside():
    hot = lay_hot_spells(plain(), [spell()], WEEK, np.full(169, 700.0))
    inside = (TIME >= 54 * 3600.0) & (TIME <= 90 * 3600.0)
    outside = (TIME <= 48 * 3600.0) | (TIME >= 96 * 3600.0)
    for name, during in [
        ("air_temperature", 303.15),
        ("wind_speed", 1.2),
        ("cloud_share", 0.0),
        ("shortwave", 700.0),
    ]:
        values, before = getattr(hot, name), getattr(plain(), name)
        assert values[inside] == pytest.approx(during, rel=1e-12, abs=1e-12)
        assert np.array_equal(values[outside], before[outside])
    assert hot.vapour_pressure / vapour_pressure(hot.air_temperature) == pytest.approx(0.6, rel=1e-12)


def test_hot_spell_comes_over_six_hours():
    hot = lay_hot_spells(plain(), [spell()], WEEK, np.full(169, 700.0))
    assert hot.air_temperature[48:55] - 298.15 == pytest.approx(5.0 * np.arange(7) / 6.0, abs=1e-9)


def test_sky_is_left_alone_when_not_asked_and_never_darkened():
    cloudy = lay_hot_spells(plain(), [spell(clear_sky=False)], WEEK, np.full(169, 700.0))
    assert np.array_equal(cloudy.shortwave, plain().shortwave)
    assert np.array_equal(cloudy.cloud_share, plain().cloud_share)
    bright = lay_hot_spells(plain(), [spell()], WEEK, np.full(169, 100.0))
    assert np.array_equal(bright.shortwave, plain().shortwave)


def test_two_spells_and_one_outside_the_period():
    far = HotSpell(
        start=datetime(2026, 8, 1), duration=5 * 86400.0, warmer=9.0, wind_factor=0.1, clear_sky=True
    )
    both = lay_hot_spells(plain(), [spell(), far], WEEK, np.full(169, 700.0))
    one = lay_hot_spells(plain(), [spell()], WEEK, np.full(169, 700.0))
    for first, second in zip(both[:8], one[:8], strict=True):
        assert np.array_equal(first, second)
