"""Heat through the water surface."""

import numpy as np
import pytest

from pondsim.physics import heat
from tests.physics.tolerance import close_to
from tests.published.heat import equilibrium_temperature, surface_heat_loss

MILLIBAR = 100.0  # Pa


def printed_vapour_pressure(celsius):
    """Vapour pressure that the values below were computed with. [Pa]"""
    return 6.108 * MILLIBAR * np.exp(17.27 * celsius / (celsius + 237.3))


def test_evaporation_function():
    """Ryan, Harleman and Stolzenbach 1974, from memory, not verified: check 10.15."""
    value = heat.evaporation_function(
        301.15, printed_vapour_pressure(28.0), 295.15, 0.5 * printed_vapour_pressure(22.0), 1.5, 101325.0
    )
    assert value * MILLIBAR == close_to(10.234, "0.5 %", "W/m2/mb")


def test_no_free_convection_over_cold_water():
    value = heat.evaporation_function(283.15, 1228.0, 303.15, 1500.0, 2.0, 101325.0)
    assert value == pytest.approx(3.1 * 2.0 / MILLIBAR)


@pytest.mark.parametrize(
    ("absorbed", "air_C", "humidity", "wind2", "celsius"),
    [
        pytest.param(578.9, 25.0, 0.6, 2.0, 25.678, id="10.16"),
        pytest.param(640.0, 30.0, 0.5, 1.0, 30.798, id="10.17"),
    ],
)
def test_equilibrium_temperature(absorbed, air_C, humidity, wind2, celsius):
    """Surface balance, emissivity 0.97, Bowen ratio 0.61 mb/K; Ryan et al. 1974, coefficients from memory."""
    vapour = humidity * printed_vapour_pressure(air_C)
    value = equilibrium_temperature(absorbed, air_C + 273.15, vapour, wind2, 101325.0)
    assert value - 273.15 == close_to(celsius, 0.05, "degC")


def test_surface_loses_what_it_absorbs_at_equilibrium():
    air = (295.0, 1500.0, 1.5, 100000.0)
    temperature = equilibrium_temperature(550.0, *air)
    assert surface_heat_loss(temperature, *air) == pytest.approx(550.0, abs=1e-6)


def test_bowen_ratio():
    """Sensible heat over evaporation is 0.61 mb/K x (p/1000 mb) x temperature over vapour difference."""
    sensible = heat.sensible_heat(0.1, 300.0, 295.0, 1e5)
    evaporation = heat.evaporation_heat(0.1, 3500.0, 1500.0)
    assert sensible / evaporation == pytest.approx(0.61 * 5.0 / 20.0)


def test_saturated_air_as_warm_as_the_water_takes_nothing():
    function = heat.evaporation_function(290.0, 1900.0, 290.0, 1900.0, 3.0, 101325.0)
    assert heat.evaporation_heat(function, 1900.0, 1900.0) == 0.0
    assert heat.sensible_heat(function, 290.0, 290.0, 101325.0) == 0.0


def test_longwave_of_water_is_that_of_a_grey_body():
    assert heat.longwave_from_water(300.0) == pytest.approx(0.97 * 5.670374e-8 * 300.0**4)


def test_sky_is_colder_than_the_air_and_cloud_warms_it():
    """Brutsaert 1975: emissivity 1.24 (15 mb/298.15 K)^(1/7) = 0.809; 3 % of it is reflected."""
    clear = heat.longwave_from_sky(298.15, 1500.0, 0.0)
    black = 5.670374e-8 * 298.15**4
    assert clear / (0.97 * black) == pytest.approx(0.809, abs=0.001)
    assert clear < heat.longwave_from_sky(298.15, 1500.0, 0.5) < heat.longwave_from_sky(298.15, 1500.0, 1.0)
    assert heat.longwave_from_sky(308.15, 5000.0, 1.0) <= 0.97 * 5.670374e-8 * 308.15**4 * (1 + 1e-12)
