"""Ice and snow."""

import numpy as np
import pytest

from pondsim.constants import FUSION_HEAT, ICE_DENSITY
from pondsim.physics import ice
from pondsim.physics.water import water_density
from tests.physics.tolerance import close_to
from tests.published.ice import ice_of_frost

DAY = 86400.0
CM = 0.01
CELSIUS_0 = 273.15
NO_SNOW = (0.0, 1.0)
CM_PER_IN_F = 2.54 / (5.0 / 9.0) ** 0.5  # from in/(degF d)^0.5 to cm/(degC d)^0.5


def test_stefan_coefficient():
    """18.1: Stefan 1891: (2 k/(rho L))^0.5 with k 2.2 W/m/K, 917 kg/m3, 333550 J/kg."""
    grown = ice_of_frost(DAY, np.inf, *NO_SNOW)
    assert grown / CM == close_to(3.5255, "0.2 %", "cm/(degC d)^0.5")


def test_stefan_lies_above_the_coefficients_of_practice():
    """18.2: Army Corps of Engineers, cold-regions note 04-3, as quoted: 0.8 in/(degF d)^0.5 for a windy lake
    without snow, in SI 2.7; an average lake with snow 0.5 to 0.7. Theory without an air film is more."""
    windy = 0.8 * CM_PER_IN_F
    assert windy == close_to(2.7262, "1 %", "cm/(degC d)^0.5")
    film = ice_of_frost(300.0 * DAY, 20.0, *NO_SNOW) / CM / 300.0**0.5
    snow = ice_of_frost(300.0 * DAY, 20.0, 0.1, ice.snow_conductivity(250.0)) / CM / 300.0**0.5
    assert snow < 0.7 * CM_PER_IN_F < windy < film < 3.5255


def test_ice_of_a_winter_by_the_coefficient_of_practice():
    """18.3: 14.7 in by 0.6 in/(degF d)^0.5 and 600 degF d, an average lake with snow.

    Army Corps of Engineers, cold-regions note 04-3, as quoted. The exact law lies above it without snow and
    below it under an inch that lasts.
    """
    frost = 600.0 * 5.0 / 9.0
    practice = 0.6 * CM_PER_IN_F * frost**0.5 / 2.54
    assert practice == close_to(14.697, "0.1 %", "in")
    conducts = ice.snow_conductivity(250.0)
    bare, under = (ice_of_frost(frost * DAY, 20.0, snow, conducts) / CM / 2.54 for snow in (0.0, 0.0254))
    assert under < practice < bare


@pytest.mark.parametrize(
    ("frost", "exchange", "snow", "cm"),
    [
        pytest.param(100.0, 20.0, 0.0, 25.931, id="18.4"),
        pytest.param(100.0, 20.0, 0.1, 3.8935, id="18.5"),
        pytest.param(10.0, 20.0, 0.0, 4.6617, id="18.6"),
    ],
)
def test_ice_under_an_air_film_and_steady_snow(frost, exchange, snow, cm):
    """Exact solution of rho L dh/dt = -T/(h/k + 1/Ha + hs/ks), ks 0.15 W/m/K."""
    assert ice_of_frost(frost * DAY, exchange, snow, 0.15) / CM == close_to(cm, "0.2 %", "cm")


def test_snow_conductivity():
    """18.7: Sturm et al. 1997, J. Glaciol. 43:26 (constants from memory)."""
    assert ice.snow_conductivity(300.0) == close_to(0.12597, "1 %", "W/m/K")


def test_snow_that_just_floods_the_ice():
    """18.8: Archimedes, 20 cm of ice under snow of 250 kg/m3."""
    assert ice.flooding_snow(0.2, 250.0) / CM == close_to(6.64, "0.2 %", "cm")


@pytest.mark.parametrize(
    ("albedo", "snow", "share"),
    [pytest.param(0.3, 0.0, 0.38417, id="18.9"), pytest.param(0.85, 0.1, 0.011141, id="18.10")],
)
def test_light_under_ice(albedo, snow, share):
    """(1 - reflectance) exp(-sum k h), 0.3 m of ice; inputs of Lei et al. 2011."""
    assert ice.light_through(albedo, 0.3, 2.0, snow, 20.0) == close_to(share, "0.2 %", "1")


def test_heat_to_grow_ice():
    """18.14: rho L dh/dt of 1 cm/d."""
    heat = ICE_DENSITY * FUSION_HEAT * CM / DAY
    assert heat == close_to(35.401, "0.1 %", "W/m2")


def test_water_of_4_degrees_is_heavier_than_freezing_water():
    """18.16: Kell 1975."""
    assert water_density(CELSIUS_0 + 4.0) - water_density(CELSIUS_0) == close_to(0.13247, "1 %", "kg/m3")


def test_frost_takes_heat_and_warm_air_none():
    """The gain changes with the surface's temperature as the exchange says: against the balance at -5 degC
    written out, emissivity 0.97, Bowen 0.61 mb/K (Ryan et al. 1974), wind function 3.1 W/m2/mb/(m/s) and free
    convection 2.7 W/m2/mb/K^(1/3) of moist air over the surface at 0 degC."""
    sky, sun, air, vapour, wind2, pressure = 230.0, 20.0, CELSIUS_0 - 10.0, 260.0, 3.0, 1e5
    gain, exchange = ice.frozen_surface(sky, sun, air, vapour, wind2, pressure)
    warmer = CELSIUS_0 / (1.0 - 0.378 * 611.2 / pressure) - air / (1.0 - 0.378 * vapour / pressure)
    function = 0.61 * (2.7 * np.cbrt(warmer) + 3.1 * wind2)

    def balance(surface):
        return sky + sun - 0.97 * 5.670374e-8 * surface**4 - function * (surface - air)

    assert gain == pytest.approx(balance(CELSIUS_0), rel=1e-3)
    assert gain + 5.0 * exchange == pytest.approx(balance(CELSIUS_0 - 5.0), abs=0.01 * abs(gain))
    assert ice.heat_through_ice(gain, exchange, 0.0) == -gain
    assert ice.heat_through_ice(25.0, exchange, 0.1) == 0.0
