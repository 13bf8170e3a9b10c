"""Sunlight at the pond, against a reference library and against itself."""

from datetime import datetime

import numpy as np
import pandas
import pvlib
import pytest

from pondsim.physics.radiation import cloud_transmission
from pondsim.site.sky import clear_sky, cloud_from_light, sun_elevation
from tests.site.common import PLACE

MIDSUMMER = datetime(2025, 6, 21)


def test_sun_is_highest_near_local_noon_and_at_its_known_height():
    """Exact: 90 - 40 + 23.44 deg at the solstice. The meridian of the clock is the place's own."""
    time = 60.0 * np.arange(1440)
    height = np.degrees(sun_elevation(time, MIDSUMMER, PLACE))
    assert height.max() == pytest.approx(73.44, abs=0.5)
    assert time[height.argmax()] / 3600.0 == pytest.approx(12.03, abs=0.1)


def test_clear_sky_is_near_the_reference_library():
    """pvlib, Ineichen and Perez (2002) clear sky with turbidity 3 from its own sun, midsummer and March.

    Clear-sky laws for middling air differ by about a tenth; the bound is for slips of unit, hour, hemisphere.
    """
    for start in (MIDSUMMER, datetime(2025, 3, 20)):
        minutes = pandas.date_range(start, periods=1440, freq="min", tz="Etc/GMT+4")
        sun = pvlib.solarposition.get_solarposition(minutes, 40.0, -60.0)
        mass = pvlib.atmosphere.get_absolute_airmass(
            pvlib.atmosphere.get_relative_airmass(sun["apparent_zenith"])
        )
        reference = pvlib.clearsky.ineichen(sun["apparent_zenith"], mass, 3.0)["ghi"].to_numpy()
        ours = clear_sky(3600.0 * np.arange(25), start, PLACE)
        assert ours[:24].sum() * 3600.0 == pytest.approx(reference.sum() * 60.0, rel=0.1)
        centred = np.roll(reference, 30).reshape(24, 60).mean(axis=1)
        assert ours[:24] == pytest.approx(centred, abs=60.0)


def test_mean_over_the_step_does_not_depend_on_the_step():
    hourly = clear_sky(3600.0 * np.arange(24), MIDSUMMER, PLACE)
    fine = clear_sky(600.0 * np.arange(144), MIDSUMMER, PLACE, step=600.0)
    assert hourly.sum() * 3600.0 == pytest.approx(fine.sum() * 600.0, rel=1e-3)


def test_cloud_is_found_again_by_day_and_carried_through_the_night():
    clear = clear_sky(3600.0 * np.arange(72), MIDSUMMER, PLACE)
    cloud = np.repeat([0.2, 0.9, 0.4], 24)
    found = cloud_from_light(clear * cloud_transmission(cloud), clear)
    by_day = clear > 100.0
    assert found[by_day] == pytest.approx(cloud[by_day], abs=1e-9)
    night = found[20:28]
    assert np.all(np.diff(night) > 0.0)
    assert np.all((night >= 0.2) & (night <= 0.9))


def test_darkness_tells_nothing_of_cloud():
    assert cloud_from_light(np.zeros(5), np.zeros(5)).tolist() == [0.5] * 5
