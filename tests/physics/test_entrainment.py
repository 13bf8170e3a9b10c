"""Convection from a cooling surface and turbulence below it."""

import numpy as np
import pytest

from pondsim.physics import entrainment as e
from pondsim.physics.mixing import background_diffusivity, buoyancy_frequency_squared
from pondsim.physics.water import water_density
from tests.physics.tolerance import close_to
from tests.published.entrainment import convective_depth, convective_velocity, entrainment_velocity

CELSIUS_0 = 273.15
MM_PER_H = 1e-3 / 3600.0


def test_buoyancy_flux_of_a_cooling_surface():
    """20.7: g alpha Q/(rho cp), cp 4180, expansion of Kell 1975: 100 W/m2 at 25 degC."""
    assert e.buoyancy_flux(100.0, CELSIUS_0 + 25.0) == close_to(6.052e-8, "1 %", "m2/s3")


def test_cooling_below_4_degrees_makes_water_lighter():
    """Sign: fresh water is densest at 3.98 degC (Kell 1975)."""
    flux = e.buoyancy_flux(100.0, CELSIUS_0 + np.array([2.0, 3.98, 6.0]))
    assert flux[0] < 0.0 < flux[2]
    assert abs(flux[1]) < 1e-10


def test_convective_velocity():
    """20.8: Deardorff 1970, exact."""
    assert convective_velocity(6e-8, 1.5) == close_to(0.0044814, "0.1 %", "m/s")


@pytest.mark.parametrize(
    ("share", "depth"), [pytest.param(0.2, 2.4593, id="20.9"), pytest.param(0.0, 2.0785, id="20.10")]
)
def test_convective_depth(share, depth):
    """(2 (1 + 2 A) B t/N2)^0.5 after ten hours, exact."""
    assert convective_depth(6e-8, 0.001, 36000.0, share) == close_to(depth, "0.2 %", "m")


def test_entrainment_at_a_density_step():
    """20.11: A B/(g drho/998), exact."""
    assert entrainment_velocity(6e-8, 0.5, 0.2, 998.0) / MM_PER_H == close_to(8.7927, "0.2 %", "mm/h")


def test_turbulent_diffusivity():
    """20.2: Osborn 1980 (from memory): 0.2 eps/N2."""
    assert e.turbulent_diffusivity(1e-9, 1e-3) == close_to(2e-7, "0.1 %", "m2/s")


def test_the_lake_law_lies_below_molecular_diffusion_in_a_pond():
    """20.1: Hondzo and Stefan 1993, 1 ha at N2 = 0.001 1/s2; molecular diffusion of heat is 1.4e-7."""
    found = background_diffusivity(1e4, 1e-3)
    assert found == close_to(1.208e-7, "0.5 %", "m2/s")
    assert found < 1.4e-7


def test_stratification_of_a_day_layer():
    """20.12: g alpha dT/dz with 3 K over 1 m at 25 degC."""
    above, below = water_density(CELSIUS_0 + 26.5), water_density(CELSIUS_0 + 23.5)
    assert buoyancy_frequency_squared(above, below, 1.0) == close_to(0.0075670, "1 %", "1/s2")
