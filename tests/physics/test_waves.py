"""Waves and their pull on the bed."""

import math

import pytest

from pondsim.physics import waves as w
from tests.physics.tolerance import close_to


def test_height():
    """Shore Protection Manual 1984, equation 3-39: check 7.17."""
    assert w.wave_height(10.0, 200.0, 2.0) == close_to(0.08617, "0.5 %", "m")


def test_period():
    """Shore Protection Manual 1984, equation 3-40: check 7.18."""
    assert w.wave_period(8.0, 150.0, 1.5) == close_to(0.6804, "0.5 %", "s")


def test_orbital_velocity():
    """Linear wave theory, exact: check 7.19."""
    assert w.orbital_velocity(0.13, 1.05, 0.8) == close_to(0.04134, "0.3 %", "m/s")


def test_bed_stress():
    """Soulsby 1997, from memory, not verified; grains of 0.05 mm: check 7.20."""
    velocity = w.orbital_velocity(0.1, 0.95, 0.5)
    assert w.bed_shear_stress(velocity, 0.95, 5e-5) == close_to(0.1759, "1 %", "Pa")


@pytest.mark.parametrize(("period", "depth"), [(0.3, 5.0), (1.0, 1.0), (5.0, 0.2), (30.0, 0.05)])
def test_wave_number_solves_the_dispersion_relation(period, depth):
    k = w.wave_number(period, depth)
    assert 9.80665 * k * math.tanh(k * depth) == pytest.approx((2 * math.pi / period) ** 2, rel=1e-10)


def test_calm_has_no_waves_and_deep_water_no_pull():
    assert w.wave_height(0.0, 200.0, 2.0) < 1e-6
    assert w.orbital_velocity(0.05, 0.2, 50.0) == 0.0
    assert w.bed_shear_stress(0.0, 1.0, 5e-5) == 0.0
