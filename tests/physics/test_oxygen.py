"""Oxygen saturation: Benson and Krause (1984), as tabulated in Standard Methods 4500-O."""

import gsw
import numpy as np
import pytest

from pondsim.physics.oxygen import oxygen_saturation, salinity_from_chloride, standard_pressure
from tests.physics.tolerance import close_to

ATM = 101325.0

# Recalled from memory, agrees with the equation; the print and the equation differ by up to 0.001.
PRINTED = [
    pytest.param(0, 14.621, 0.0015, id="1.1"),
    pytest.param(5, 12.77, 0.0015, id="1.2"),
    pytest.param(10, 11.288, 0.0015, id="1.3"),
    pytest.param(15, 10.084, 0.0015, id="1.4"),
    pytest.param(20, 9.092, 0.0015, id="1.5"),
    pytest.param(25, 8.263, 0.0015, id="1.6"),
    pytest.param(30, 7.559, 0.0015, id="1.7"),
]


@pytest.mark.parametrize(("celsius", "mg_per_L", "tol"), PRINTED)
def test_saturation_matches_the_printed_table(celsius, mg_per_L, tol):
    """Benson and Krause 1984, fresh water at 1 atm, as in Standard Methods table 4500-O:I, from memory."""
    assert oxygen_saturation(celsius + 273.15, 0.0, ATM) * 1e3 == close_to(mg_per_L, tol, "mg/L")


@pytest.mark.parametrize(
    ("celsius", "salinity", "atmospheres", "mg_per_L"),
    [
        pytest.param(20, 0, 0.7, 6.3016, id="1.8"),
        pytest.param(25, 5, 1, 8.0318, id="1.9"),
        pytest.param(20, 1, 1, 9.0389, id="1.10"),
        pytest.param(18, 0.5, 0.97, 9.1498, id="1.11"),
    ],
)
def test_saturation_with_salt_and_pressure(celsius, salinity, atmospheres, mg_per_L):
    """Benson and Krause 1984, pressure and salinity terms of Standard Methods 4500-O; computed apart."""
    value = oxygen_saturation(celsius + 273.15, salinity, atmospheres * ATM) * 1e3
    assert value == close_to(mg_per_L, 0.003, "mg/L")


def test_saturation_at_altitude():
    """Benson and Krause 1984 at 300 m in the ICAO standard atmosphere, 25 degC: check 1.12."""
    assert oxygen_saturation(298.15, 0.0, standard_pressure(300.0)) * 1e3 == close_to(7.9646, 0.005, "mg/L")


def test_saturation_agrees_with_garcia_and_gordon():
    """Garcia and Gordon 1992, Limnol. Oceanogr. 37:1307, in mg/L with the water's density: check 1.13."""
    assert oxygen_saturation(300.15, 2.0, ATM) * 1e3 == close_to(7.8788, 0.003, "mg/L")


def test_saturation_agrees_with_garcia_and_gordon_over_the_range():
    for celsius in (1.0, 12.0, 24.0, 38.0):
        for salinity in (0.0, 2.0, 5.0):
            micromol = gsw.O2sol_SP_pt(salinity, celsius)
            mg_per_L = micromol * 31.9988e-6 * gsw.rho_t_exact(salinity * 35.16504 / 35, celsius, 0.0)
            assert oxygen_saturation(celsius + 273.15, salinity, ATM) * 1e3 == close_to(mg_per_L, 0.003)


def test_saturation_takes_arrays():
    value = oxygen_saturation(np.array([273.15, 293.15]), 0.0, ATM)
    assert value * 1e3 == pytest.approx([14.621, 9.092], abs=0.0015)


def test_salinity_of_sea_water():
    """Chlorinity 19.374 g/kg is salinity 35.000 by definition; here in water of 998.2 kg/m3."""
    assert salinity_from_chloride(19.374 * 0.9982) == pytest.approx(35.0, abs=0.001)
