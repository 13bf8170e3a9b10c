"""Invented weather: what it promises, checked against the normals it was given."""

import numpy as np
import pytest

from pondsim.physics.water import vapour_pressure
from pondsim.site.synthetic import synthetic_weather
from tests.site.common import CELSIUS, CLOUD, DEW, PLACE, RANGE, WIND, normals, period

YEAR = period("2025-01-01", "2026-01-01")


@pytest.fixture(scope="module")
def year():
    return synthetic_weather(normals(), YEAR, PLACE)


def by_month(values):
    hours = np.arange("2025-01-01T00", "2026-01-01T00", dtype="datetime64[h]")
    month = hours.astype("datetime64[M]").astype(int) % 12
    return np.array([values[:8760][month == m].mean() for m in range(12)])


def test_the_same_seed_gives_the_same_year(year):
    again = synthetic_weather(normals(), YEAR, PLACE)
    for one, other in zip(year[:8], again[:8], strict=True):
        assert np.array_equal(one, other)


def test_another_seed_gives_another_year(year):
    other = synthetic_weather(normals(seed=2), YEAR, PLACE)
    assert np.mean(np.abs(other.air_temperature - year.air_temperature)) > 0.5
    assert not np.array_equal(other.wind_speed, year.wind_speed)


def test_a_day_has_the_same_weather_whatever_the_period(year):
    august = synthetic_weather(normals(), period("2025-08-01 00:00", "2025-08-03 12:00"), PLACE)
    same = slice(212 * 24, 212 * 24 + august.time.size)
    assert august.air_temperature == pytest.approx(year.air_temperature[same], abs=1e-9)
    assert august.shortwave == pytest.approx(year.shortwave[same], abs=1e-6)


def test_monthly_means_are_the_normals(year):
    """Tolerances: 0.5 degC asked of air; the others as tight as their printed normals."""
    assert by_month(year.air_temperature) - 273.15 == pytest.approx(CELSIUS, abs=0.5)
    assert by_month(year.cloud_share) == pytest.approx(CLOUD, abs=0.005)
    assert by_month(year.wind_speed) == pytest.approx(WIND, rel=0.01)


def test_dew_point_keeps_its_normals(year):
    """Vapour pressure bends upwards with the dew point, so its mean is a little above that of the normal."""
    at_normal = vapour_pressure(np.array(DEW) + 273.15)
    assert np.all(by_month(year.vapour_pressure) > at_normal)
    assert by_month(year.vapour_pressure) == pytest.approx(at_normal, rel=0.06)


def test_daily_range_is_near_its_normal(year):
    daily = np.ptp(year.air_temperature[:8760].reshape(-1, 24), axis=1)
    assert by_month(np.repeat(daily, 24)) == pytest.approx(RANGE, rel=0.1)


def test_air_is_never_over_saturated(year):
    assert np.all(year.vapour_pressure <= vapour_pressure(year.air_temperature) * (1 + 1e-12))


def test_the_night_is_dark_and_the_day_is_not(year):
    """40 N: the sun is down from 22 to 3 o'clock all year and up from 9 to 15."""
    by_hour = year.shortwave[:8760].reshape(-1, 24)
    assert np.all(by_hour[:, [22, 23, 0, 1, 2, 3]] < 1e-9)
    assert np.all(by_hour[:, 10:15] > 0.0)


def test_wind_is_strong_after_noon_and_calm_in_clear_nights(year):
    wind = year.wind_speed[:8760].reshape(-1, 24)
    assert wind[:, 13:17].mean() > 1.5 * wind[:, 0:5].mean()
    night = np.arange(8760) % 24 < 4
    clear, covered = year.cloud_share[:8760] < 0.2, year.cloud_share[:8760] > 0.8
    assert year.wind_speed[:8760][night & clear].mean() < 0.8 * year.wind_speed[:8760][night & covered].mean()
    assert np.all(year.wind_speed > 0.0)


def test_series_covers_a_period_off_the_hour():
    given = period("2025-12-31 22:40", "2026-01-01 03:20")
    series = synthetic_weather(normals(), given, PLACE)
    assert series.time[0] == -2400.0
    assert np.all(np.diff(series.time) == 3600.0)
    assert series.time[-1] >= (given.end - given.start).total_seconds()


def test_still_and_cloudless_normals_are_kept():
    blank = normals().__class__(
        seed=3,
        air_temperature=(293.15,) * 12,
        daily_range=(0.0,) * 12,
        dew_point=(283.15,) * 12,
        wind_speed=(0.0,) * 12,
        cloud_cover=(0.0,) * 6 + (1.0,) * 6,
    )
    series = synthetic_weather(blank, YEAR, PLACE)
    assert np.all(series.wind_speed == 0.0)
    assert by_month(series.cloud_share) == pytest.approx([0.0] * 6 + [1.0] * 6, abs=1e-3)
