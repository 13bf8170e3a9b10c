"""Water properties at 101.325 kPa: IAPWS-IF97 / IAPWS-95 and IAPWS viscosity 2008."""

import gsw
import iapws
import numpy as np
import pytest

from pondsim.physics import water
from tests.physics.tolerance import close_to

CASES = [
    pytest.param("water_density", 4, 1, 999.975, 0.01, "kg/m3", id="2.1"),
    pytest.param("water_density", 10, 1, 999.702, 0.01, "kg/m3", id="2.2"),
    pytest.param("water_density", 25, 1, 997.048, 0.01, "kg/m3", id="2.3"),
    pytest.param("water_density", 30, 1, 995.652, 0.01, "kg/m3", id="2.4"),
    pytest.param("viscosity", 20, 1e3, 1.0016, "0.1 %", "mPa s", id="2.5"),
    pytest.param("viscosity", 28, 1e3, 0.83238, "0.1 %", "mPa s", id="2.6"),
    pytest.param("kinematic_viscosity", 25, 1e6, 0.89266, "0.1 %", "1e-6 m2/s", id="2.7"),
    pytest.param("thermal_expansion", 10, 1e4, 0.8813, "0.5 %", "1e-4 1/K", id="2.8"),
    pytest.param("thermal_expansion", 28, 1e4, 2.850, "0.5 %", "1e-4 1/K", id="2.9"),
    pytest.param("vapour_pressure", 20, 1e-3, 2.3392, "0.1 %", "kPa", id="2.10"),
    pytest.param("vapour_pressure", 30, 1e-3, 4.2467, "0.1 %", "kPa", id="2.11"),
    pytest.param("latent_heat", 10, 1e-3, 2477.2, "0.1 %", "kJ/kg", id="2.12"),
    pytest.param("latent_heat", 20, 1e-3, 2453.5, "0.1 %", "kJ/kg", id="2.13"),
]


@pytest.mark.parametrize(("name", "celsius", "scale", "value", "tol", "unit"), CASES)
def test_property_matches_iapws(name, celsius, scale, value, tol, unit):
    """IAPWS-IF97 and IAPWS viscosity 2008, by the iapws library at 101.325 kPa."""
    assert getattr(water, name)(celsius + 273.15) * scale == close_to(value, tol, unit)


@pytest.mark.parametrize("celsius", [0.5, 4.0, 15.0, 22.0, 35.0, 39.0])
def test_properties_agree_with_the_library(celsius):
    kelvin = celsius + 273.15
    reference = iapws.IAPWS97(T=kelvin, P=0.101325)
    steam = iapws.IAPWS97(T=kelvin, x=1)
    assert water.water_density(kelvin) == close_to(reference.rho, 0.01)
    assert water.viscosity(kelvin) == close_to(reference.mu, "0.1 %")
    assert water.vapour_pressure(kelvin) == close_to(steam.P * 1e6, "0.05 %")
    assert water.latent_heat(kelvin) == close_to((steam.h - iapws.IAPWS97(T=kelvin, x=0).h) * 1e3, "0.1 %")


def test_density_is_highest_near_4_degrees():
    celsius = np.linspace(0.0, 10.0, 1001)
    warmest = celsius[np.argmax(water.water_density(celsius + 273.15))]
    assert warmest == pytest.approx(3.98, abs=0.03)  # textbook value, from memory
    assert water.thermal_expansion(273.15 + 3.0) < 0.0 < water.thermal_expansion(273.15 + 5.0)


@pytest.mark.parametrize(("celsius", "salinity"), [(10.0, 1.0), (20.0, 2.0), (25.0, 5.0)])
def test_salt_adds_what_the_sea_water_equation_says(celsius, salinity):
    """TEOS-10 by the gsw library; a single coefficient holds to 4 %."""
    absolute = salinity * 35.16504 / 35.0
    added = gsw.rho_t_exact(absolute, celsius, 0.0) - gsw.rho_t_exact(0.0, celsius, 0.0)
    kelvin = celsius + 273.15
    assert water.pond_density(kelvin, salinity, 0.0) - water.water_density(kelvin) == close_to(added, "4 %")


def test_mineral_solids_displace_water():
    """1 kg of quartz in a cubic metre displaces 1/2650 m3: the mixture gains 1 - rho/2650 kg."""
    gained = water.pond_density(293.15, 0.0, 1.0) - water.water_density(293.15)
    assert gained == pytest.approx(1.0 - 998.2 / 2650.0, abs=1e-4)
