"""Diffused aeration."""

import math

import fluids
import pytest

from pondsim.physics import bubbles as b
from tests.physics.tolerance import close_to
from tests.published.bubbles import (
    field_oxygen_transfer,
    normal_from_standard,
    oxygen_mass_per_normal_air,
    oxygen_mass_per_standard_air,
    standard_from_normal,
)

SCFM = 0.3048**3 / 60.0  # standard m3/s
ACRE = 4046.8564224  # m2


@pytest.mark.parametrize(
    ("sotr", "alpha", "beta", "celsius", "oxygen", "saturation", "saturation20", "value"),
    [
        pytest.param(100, 0.85, 0.98, 25, 4, 8.263, 9.092, 43.132, id="5.1"),
        pytest.param(40, 0.7, 0.95, 15, 2, 10.9, 9.8, 21.202, id="5.2"),
    ],
)
def test_field_transfer(sotr, alpha, beta, celsius, oxygen, saturation, saturation20, value):
    """ASCE/EWRI 2-06 (2006) and wastewater texts."""
    rate = field_oxygen_transfer(
        sotr, alpha, beta, 1.024, celsius + 273.15, oxygen * 1e-3, saturation * 1e-3, saturation20 * 1e-3
    )
    assert rate == close_to(value, "0.1 %", "kg/d")


def test_field_transfer_of_the_standard_test_is_the_standard_rate():
    assert field_oxygen_transfer(1.0, 1.0, 1.0, 1.024, 293.15, 0.0, 0.01, 0.01) == pytest.approx(1.0)


def test_saturation_at_depth():
    """Effective depth 1.05 m; ASCE/EWRI 2-06 (2006), form from memory, not verified: check 5.3."""
    value = b.saturation_at_depth(9.0924e-3, 101325.0, 2339.0, 1.05)
    assert value * 1e3 == close_to(10.037, "0.1 %", "mg/L")


def test_oxygen_in_standard_air():
    """1 scfm of US standard air, by definition 68 degF, 1 atm, 0.075 lb/ft3: check 5.4."""
    assert oxygen_mass_per_standard_air() * SCFM * 3600.0 == close_to(0.47253, "0.2 %", "kg/h")


def test_oxygen_in_normal_air():
    """1 Nm3/h of dry air at 0 degC and 1 atm, ideal gas, exact: check 5.5."""
    assert oxygen_mass_per_normal_air() == close_to(0.29931, "0.3 %", "kg/h")


def test_standard_and_normal_air_differ_by_7_percent():
    """Ideal gas: 293.15 K over 273.15 K."""
    assert standard_from_normal(1.0) == pytest.approx(293.15 / 273.15, rel=0.005)
    assert normal_from_standard(standard_from_normal(0.3)) == pytest.approx(0.3)


def test_standard_transfer_is_bounded():
    supplied = oxygen_mass_per_standard_air()
    assert b.standard_transfer(1.0, 0.05, 2.0) == pytest.approx(0.1 * supplied)
    assert b.standard_transfer(1.0, 0.12, 20.0) == pytest.approx(supplied)
    assert b.standard_transfer(1.0, 0.05, -1.0) == 0.0


def test_adiabatic_power():
    """Metcalf and Eddy 2003, from memory, with M 28.97 and n 0.283: check 5.6."""
    assert b.adiabatic_power(0.02, 293.15, 101325.0, 127900.0, 0.6) * 1e-3 == close_to(0.6752, "0.3 %", "kW")


@pytest.mark.parametrize("outlet", [115e3, 127.9e3, 200e3])
def test_adiabatic_power_against_a_general_library(outlet):
    """Isentropic work of compression, k from n = (k - 1)/k = 0.283, per mole of air of 28.97 g."""
    work = fluids.compressible.isentropic_work_compression(
        T1=293.15, k=1.0 / (1.0 - 0.283), P1=101325.0, P2=outlet, eta=0.6
    )
    assert b.adiabatic_power(0.02, 293.15, 101325.0, outlet, 0.6) == pytest.approx(
        0.02 / 28.97e-3 * work, rel=1e-4
    )


def test_adiabatic_exponent_of_the_design_texts_and_of_theory():
    """k = 1.4 (n = 0.2857) in place of the rounded 0.283 moves the power of a pond's source by 0.03 %."""
    ratio, given = 127.9 / 101.325, 0.2857
    theory = 0.02 * 8314.0 / 28.97 * 293.15 * (ratio**given - 1.0) / (given * 0.6)
    assert theory / b.adiabatic_power(0.02, 293.15, 101325.0, 127900.0, 0.6) == pytest.approx(
        1.0003, abs=5e-5
    )


def test_isothermal_power_is_pressure_times_flow_times_logarithm():
    """Expansion from 2 atm to 1 atm (10.35 m of water): p Q ln 2."""
    depth = 101325.0 / (998.2 * 9.80665)
    power = b.isothermal_gas_power(1e-3, depth, 101325.0)
    assert power == pytest.approx(101.325 * math.log(2.0), rel=1e-9)


@pytest.mark.parametrize(
    ("acres", "ft3_per_min"), [pytest.param(1.2, 1.578, id="5.10"), pytest.param(3, 3.944, id="5.11")]
)
def test_destratification_rule(acres, ft3_per_min):
    """Lorenzen and Fast 1977; from memory, not verified."""
    assert b.destratification_air_flow(acres * ACRE) / SCFM == close_to(ft3_per_min, "2 %", "ft3/min")
