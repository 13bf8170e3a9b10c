"""Mixing, stability, horizontal exchange."""

import math

import numpy as np
import pytest

from pondsim.physics import mixing as m
from tests.physics.tolerance import close_to
from tests.published.mixing import lake_number, schmidt_stability

G = 9.80665


def test_background_diffusivity():
    """Hondzo and Stefan 1993, three copies agree: check 10.18, in m2/d."""
    assert m.background_diffusivity(0.02e6, 4e-4) * 86400.0 == close_to(0.02283, "0.5 %", "m2/d")


def test_background_diffusivity_has_its_floor_of_stability():
    assert m.background_diffusivity(1e4, -1.0) == m.background_diffusivity(1e4, 7.5e-5)


def wind_diffusivity(depth, wind2, latitude, n2):
    """Diffusivity from the wind at 2 m, as mixing.py of processes/ puts the parts together."""
    friction = m.FRICTION_PER_WIND * max(wind2, 0.0)
    return m.wind_diffusivity_below(depth, friction, m.wind_decay(wind2, latitude), n2)


def test_wind_diffusivity():
    """Henderson-Sellers 1985; w* and k* from memory, not verified: check 10.19."""
    assert wind_diffusivity(0.5, 4.0, math.radians(40.0), 2e-4) == close_to(3.457e-4, "0.5 %", "m2/s")


@pytest.mark.parametrize("wind2", [0.0, 1e-6, 0.1, 3.0, 25.0])
@pytest.mark.parametrize("latitude", [0.0, 0.7, -0.7])
@pytest.mark.parametrize("n2", [-1e-3, 0.0, 1e-5, 1e-2])
@pytest.mark.parametrize("depth", [0.0, 0.1, 5.0])
def test_wind_diffusivity_is_safe_everywhere(wind2, latitude, n2, depth):
    value = wind_diffusivity(depth, wind2, latitude, n2)
    assert 0.0 <= value <= 0.4 * 1.2e-3 * wind2 * depth * (1 + 1e-12)


def test_wind_diffusivity_is_the_same_north_and_south_and_blind_to_instability():
    assert wind_diffusivity(0.5, 4.0, -0.7, 2e-4) == wind_diffusivity(0.5, 4.0, 0.7, 2e-4)
    assert wind_diffusivity(0.5, 4.0, 0.7, -2e-4) == wind_diffusivity(0.5, 4.0, 0.7, 0.0)


@pytest.mark.parametrize("n2", [0.0, 1e-12, 1e-6, 1.0])
def test_convection_moves_nothing_in_stable_water(n2):
    assert m.convective_diffusivity(n2, 1e-3) == 0.0


def test_convection_rises_smoothly_to_its_largest():
    assert m.convective_diffusivity(-m.CONVECTION_SCALE, 1e-3) == pytest.approx(0.5e-3)
    assert m.convective_diffusivity(-1.0, 1e-3) == pytest.approx(1e-3)
    assert m.convective_diffusivity(-1e-9, 1e-3) / 1e-9 < 0.01  # no slope at 0


def test_buoyancy_frequency():
    """g/rho times the density gradient: 1 kg/m3 in 1 m."""
    assert m.buoyancy_frequency_squared(997.5, 998.5, 1.0) == pytest.approx(G / 998.0)
    assert m.buoyancy_frequency_squared(998.5, 997.5, 1.0) < 0.0


def test_schmidt_stability_of_two_layers():
    """g drho h1 h2/2, Schmidt 1928, Idso 1973; vertical walls: check 10.20."""
    area = 100.0
    depth, thickness = np.array([0.6, 2.1]), np.array([1.2, 1.8])
    value = schmidt_stability(depth, thickness * area, np.array([996.5, 998.5]), area)
    assert value == close_to(21.182, "0.1 %", "J/m2")


def test_schmidt_stability_of_a_linear_gradient():
    """g (drho/dz) H^3/12, Idso 1973: check 10.21."""
    depth = (np.arange(300) + 0.5) / 100.0
    value = schmidt_stability(depth, np.full(300, 0.01), 997.0 + 0.8 * depth, 1.0)
    assert value == close_to(17.652, "0.1 %", "J/m2")


def test_mixed_water_has_no_stability():
    value = schmidt_stability(np.array([0.5, 1.5]), np.array([2.0, 1.0]), np.array([998.0, 998.0]), 2.0)
    assert value == pytest.approx(0.0, abs=1e-9)


def test_lake_number():
    """Imberger and Patterson 1990, two layers, vertical walls, density 998: check 10.22."""
    stability = G * 2.0 * 2.0 * 2.0 / 2.0  # g drho h1 h2/2
    value = lake_number(stability, 20000.0, 4.0, 2.0, 2.0, 0.006, 998.0)
    assert value == close_to(7.720, "0.2 %", "1")


def test_okubo():
    """Okubo 1971, 0.0103 l^1.15 cm2/s: check 13.14."""
    assert m.okubo_diffusivity(120.0) == close_to(0.05057, "0.3 %", "m2/s")


def test_gravity_exchange():
    """c W h sqrt(g H drho/rho), by hand: 0.1 x 10 x 0.5 x sqrt(9.80665 x 2 x 0.5/998.2) = 0.04956 m3/s."""
    assert m.gravity_exchange_flow(0.1, 10.0, 0.5, 2.0, 0.5) == pytest.approx(0.04956, rel=1e-3)
    one, other = (m.gravity_exchange_flow(0.1, 10.0, 0.5, 2.0, d) for d in (0.5, -0.5))
    assert one == other


def test_frictionless_exchange_of_a_whole_opening():
    """Benjamin 1968: each water has half of the height and moves at sqrt(g H drho/rho)/2."""
    speed = 0.5 * (9.80665 * 1.2 * 0.5 / 998.2) ** 0.5
    cut = sum(m.gravity_exchange_flow(0.25, 8.0, height, 1.2, 0.5) for height in (0.1, 0.3, 0.8))
    assert cut == pytest.approx(speed * 8.0 * 0.6, rel=1e-3)


def test_gravity_exchange_is_smooth_at_zero():
    assert m.gravity_exchange_flow(0.1, 10.0, 0.5, 0.5, 0.0) == 0.0
    tiny, larger = (m.gravity_exchange_flow(0.1, 10.0, 0.5, 0.5, d) for d in (1e-7, 2e-7))
    assert larger == pytest.approx(4.0 * tiny, rel=1e-3)  # a parabola, not a root
