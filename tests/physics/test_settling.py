"""Settling and trapping."""

import numpy as np
import pytest

from pondsim.physics.water import kinematic_viscosity, viscosity, water_density
from tests.physics.tolerance import close_to
from tests.published.settling import (
    critical_stress_shields,
    removal_flow_through,
    settling_ferguson_church,
    settling_soulsby,
    settling_stokes,
    trap_efficiency_churchill,
    trap_efficiency_gill,
)

MM = 1e-3
FT_PER_H = 0.3048 / 3600.0
ACRE = 4046.8564224
CFS = 0.3048**3
CLASSES_FT_PER_H = np.array([0.03, 0.3, 1.5, 7.0, 65.0])


@pytest.mark.parametrize(
    ("diameter", "celsius", "mm_per_s"),
    [
        pytest.param(2e-5, 20, 0.3594, id="7.1"),
        pytest.param(1e-5, 25, 0.10118, id="7.2"),
        pytest.param(5e-5, 10, 1.7212, id="7.3"),
    ],
)
def test_stokes(diameter, celsius, mm_per_s):
    """Stokes 1851, quartz of 2650 kg/m3; water by IAPWS."""
    kelvin = celsius + 273.15
    velocity = settling_stokes(diameter, 2650.0, water_density(kelvin), viscosity(kelvin))
    assert velocity / MM == close_to(mm_per_s, "0.3 %", "mm/s")


def test_ferguson_and_church():
    """Ferguson and Church 2004, 0.5 mm sand at 10 degC: check 7.4."""
    assert settling_ferguson_church(0.0005, kinematic_viscosity(283.15)) / MM == close_to(
        64.76, "0.3 %", "mm/s"
    )


@pytest.mark.parametrize(
    ("diameter", "mm_per_s"),
    [pytest.param(0.0001, 7.867, id="7.5"), pytest.param(0.0003, 44.68, id="7.6")],
)
def test_soulsby(diameter, mm_per_s):
    """Soulsby 1997 at 20 degC; from memory, not verified."""
    assert settling_soulsby(diameter, kinematic_viscosity(293.15)) / MM == close_to(mm_per_s, "0.3 %", "mm/s")


@pytest.mark.parametrize(
    ("acres", "cfs", "tanks", "removal"),
    [
        pytest.param(1, 3, 3, 0.7425, id="7.7"),
        pytest.param(0.5, 2, 3, 0.7136, id="7.8"),
        pytest.param(2, 5, 5, 0.7685, id="7.9"),
    ],
)
def test_removal_of_five_equal_classes(acres, cfs, tanks, removal):
    """US EPA 1986, EPA 440/5-87-001; velocities and equation from memory, not verified."""
    kept = removal_flow_through(CLASSES_FT_PER_H * FT_PER_H, acres * ACRE, cfs * CFS, tanks)
    assert np.mean(kept) == close_to(removal, 0.002, "1")


@pytest.mark.parametrize(
    ("ft_per_h", "tanks", "removal"),
    [pytest.param(1.5, 3, 0.9636, id="7.10"), pytest.param(0.3, 2, 0.6118, id="7.11")],
)
def test_removal_of_one_class(ft_per_h, tanks, removal):
    """US EPA 1986, EPA 440/5-87-001, from memory; 1 acre and 3 cfs."""
    assert removal_flow_through(ft_per_h * FT_PER_H, ACRE, 3 * CFS, tanks) == close_to(removal, 0.002, "1")


@pytest.mark.parametrize(
    ("years", "percent"), [pytest.param(0.01, 45.045, id="7.12"), pytest.param(0.05, 79.365, id="7.13")]
)
def test_brune_by_gill(years, percent):
    """Brune 1953, median curve, fit of Gill 1979."""
    assert trap_efficiency_gill(years) * 100.0 == close_to(percent, "0.1 %", "%")


def test_churchill():
    """Churchill 1948, local silt, from memory, not verified: check 7.14, in percent."""
    assert trap_efficiency_churchill(6000.0, 0.08, 120.0) * 100.0 == close_to(82.34, 0.3, "%")
    assert trap_efficiency_churchill(1.0, 100.0, 120.0) == 0.0


@pytest.mark.parametrize(
    ("diameter", "pascal"), [pytest.param(0.0002, 0.15416, id="7.15"), pytest.param(0.001, 0.5072, id="7.16")]
)
def test_shields(diameter, pascal):
    """Shields' curve as fitted by Soulsby 1997, from memory; viscosity 1e-6, density 998.2."""
    assert critical_stress_shields(diameter, 1e-6, 998.2) == close_to(pascal, "0.5 %", "Pa")
