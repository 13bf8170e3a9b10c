"""Worked examples of Allen et al. 1998, FAO Irrigation and Drainage Paper 56.

Examples 2, 3, 4, 8, 14 and 18 and the net longwave of 11 are recalled from memory and recomputed; 10 and the
clear sky of 11 were read in text.
"""

import math

import pytest

from tests.physics.tolerance import close_to
from tests.published.fao56 import (
    clear_sky_radiation,
    daylight_angle,
    extraterrestrial_radiation,
    net_longwave,
    pressure_at_elevation,
    psychrometer_vapour_pressure,
    reference_evapotranspiration,
    sunshine_radiation,
    tetens_vapour_pressure,
    wind_at_2m,
)

MJ_PER_D = 1e6 / 86400.0  # W
GRASS_ALBEDO = 0.23


@pytest.mark.parametrize(
    ("latitude", "day", "value", "tol"),
    [
        pytest.param(-20, 246, 32.19, 0.1, id="10.1"),
        pytest.param(-22.9, 135, 25.111, 0.05, id="10.2"),
        pytest.param(40, 196, 40.799, 0.05, id="10.3"),
        pytest.param(45, 172, 41.910, 0.05, id="10.4"),
    ],
)
def test_extraterrestrial_radiation(latitude, day, value, tol):
    """FAO-56 (Allen et al. 1998) example 8, from memory, 10, read in text; others by equation 21."""
    assert extraterrestrial_radiation(math.radians(latitude), day) / MJ_PER_D == close_to(
        value, tol, "MJ/m2/d"
    )


def test_polar_night_is_dark_and_polar_day_is_not():
    assert extraterrestrial_radiation(math.radians(80.0), 355) == pytest.approx(0.0, abs=1e-9)
    assert daylight_angle(math.radians(80.0), 172) == pytest.approx(math.pi)


def test_clear_sky():
    """FAO-56 (Allen et al. 1998) example 11, read in text: check 10.5."""
    above = extraterrestrial_radiation(math.radians(-22.9), 135)
    assert clear_sky_radiation(above, 0.0) / MJ_PER_D == close_to(18.833, 0.05, "MJ/m2/d")


def test_net_longwave():
    """FAO-56 (Allen et al. 1998) example 11, from memory: check 10.6."""
    value = net_longwave(298.25, 292.25, 2100.0, 14.5 * MJ_PER_D, 18.8 * MJ_PER_D)
    assert value / MJ_PER_D == close_to(3.534, 0.05, "MJ/m2/d")


def test_mean_saturation_vapour_pressure():
    """FAO-56 (Allen et al. 1998) example 3, from memory: check 10.7."""
    mean = 0.5 * (tetens_vapour_pressure(297.65) + tetens_vapour_pressure(288.15))
    assert mean * 1e-3 == close_to(2.39, 0.005, "kPa")


def test_psychrometer():
    """FAO-56 (Allen et al. 1998) example 4, from memory: check 10.8."""
    pressure = pressure_at_elevation(1200.0)
    assert psychrometer_vapour_pressure(298.75, 292.65, pressure) * 1e-3 == close_to(1.9119, 0.006, "kPa")


def test_reference_evapotranspiration():
    """FAO-56 (Allen et al. 1998) example 18, from memory, Uccle, 6 July: check 10.9."""
    warmest, coldest, elevation = 294.65, 285.45, 100.0
    above = extraterrestrial_radiation(math.radians(50.8), 187)
    daylight_h = 24.0 / math.pi * daylight_angle(math.radians(50.8), 187)
    sunlight = sunshine_radiation(above, 9.25 / daylight_h)
    high, low = tetens_vapour_pressure(warmest), tetens_vapour_pressure(coldest)
    vapour = 0.5 * (low * 0.84 + high * 0.63)
    lost = net_longwave(warmest, coldest, vapour, sunlight, clear_sky_radiation(above, elevation))
    value = reference_evapotranspiration(
        (1.0 - GRASS_ALBEDO) * sunlight - lost,
        0.5 * (warmest + coldest),
        wind_at_2m(10.0 / 3.6, 10.0),
        0.5 * (high + low),
        vapour,
        pressure_at_elevation(elevation),
    )
    assert value * 1e3 * 86400.0 == close_to(3.880, 0.05, "mm/d")


@pytest.mark.parametrize(
    ("wind", "height", "value"),
    [pytest.param(3.2, 10.0, 2.393, id="10.10"), pytest.param(4.5, 6.0, 3.656, id="10.11")],
)
def test_wind_at_2m(wind, height, value):
    """FAO-56 (Allen et al. 1998) example 14, from memory, and equation 47."""
    assert wind_at_2m(wind, height) == close_to(value, 0.01, "m/s")


def test_pressure():
    """FAO-56 (Allen et al. 1998) example 2, from memory: check 10.12."""
    assert pressure_at_elevation(1800.0) * 1e-3 == close_to(81.756, 0.05, "kPa")
