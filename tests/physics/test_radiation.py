"""Sun and sunlight."""

import math

import numpy as np
import pandas
import pytest
from pvlib import clearsky, solarposition

from pondsim.physics import radiation as r
from tests.physics.tolerance import close_to
from tests.published.radiation import extraterrestrial_hourly


@pytest.mark.parametrize(
    ("latitude", "longitude", "day", "hour", "degrees"),
    [
        pytest.param(35, -80, 227, 14.0, 39.61, id="10.13"),
        pytest.param(45, -93, 100, 20.5, 42.87, id="10.14"),
    ],
)
def test_solar_elevation(latitude, longitude, day, hour, degrees):
    """NREL's algorithm (Reda and Andreas 2004) by the pvlib library; 15 August 2023, 10 April 2025, UTC."""
    value = r.solar_elevation(math.radians(latitude), math.radians(longitude), day, hour)
    assert math.degrees(value) == close_to(degrees, 0.5, "deg")


@pytest.mark.parametrize(
    ("latitude", "longitude"), [(35.0, -80.0), (45.0, 10.0), (-30.0, 150.0), (62.0, -20.0)]
)
def test_solar_elevation_agrees_with_the_library_all_year(latitude, longitude):
    times = pandas.date_range("2024-01-01", "2024-12-31 23:00", freq="7h", tz="UTC")
    reference = solarposition.get_solarposition(times, latitude, longitude)["elevation"].to_numpy()
    hours = (times.hour + times.minute / 60.0).to_numpy()
    day = times.day_of_year.to_numpy()
    value = r.solar_elevation(math.radians(latitude), math.radians(longitude), day, hours)
    assert np.max(np.abs(np.degrees(value) - reference)) < 0.5


def test_clear_sky_agrees_with_the_library():
    zenith = np.array([0.0, 20.0, 45.0, 70.0, 85.0, 95.0])
    reference = clearsky.haurwitz(pandas.Series(zenith))["ghi"].to_numpy()
    assert r.clear_sky_hourly(np.radians(90.0 - zenith)) == pytest.approx(reference, abs=0.01)


def test_extraterrestrial_agrees_with_the_daily_equation():
    """Day's mean of the hourly value against 40.799 MJ/m2/d (FAO-56 equation 21, 40 N, day 196)."""
    hours = np.arange(0.0, 24.0, 0.05)
    sun = r.solar_elevation(math.radians(40.0), 0.0, 196, hours)
    mean = np.mean(extraterrestrial_hourly(sun, 196))
    assert mean * 0.0864 == pytest.approx(40.799, rel=0.01)


def test_night_is_dark():
    assert extraterrestrial_hourly(-0.3, 100) == 0.0
    assert r.clear_sky_hourly(-0.3) == pytest.approx(0.0, abs=1e-20)


def test_cloud():
    """Kasten and Czeplak 1980, from memory, not verified: a quarter comes through an overcast sky."""
    assert r.cloud_transmission(1.0) == pytest.approx(0.25)
    assert r.cloud_transmission(0.0) == 1.0
