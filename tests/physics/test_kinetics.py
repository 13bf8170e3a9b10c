"""Rates and the oxygen sag."""

import math

import pytest

from pondsim.physics import kinetics as k
from tests.physics.tolerance import close_to
from tests.published.kinetics import (
    bed_oxygen_use,
    monod,
    steady_oxygen_over_bed,
    streeter_phelps_critical_deficit,
    streeter_phelps_critical_time,
    streeter_phelps_deficit,
)

DAY = 86400.0
MG_PER_L = 1e-3
G_PER_M2_D = 1e-3 / DAY


@pytest.mark.parametrize(
    ("kd", "kr", "ultimate", "initial", "days"),
    [
        pytest.param(0.61, 0.76, 6.75, 1.65, 1.0525, id="6.1"),
        pytest.param(0.4, 1.4, 20.0, 0.0, 1.2528, id="6.2"),
        pytest.param(0.25, 0.5, 12.0, 1.0, 2.4245, id="6.3"),
    ],
)
def test_critical_time(kd, kr, ultimate, initial, days):
    """Masters, worked sag example (from memory, recomputed); a textbook problem; Streeter and Phelps 1925."""
    time = streeter_phelps_critical_time(kd / DAY, kr / DAY, ultimate * MG_PER_L, initial * MG_PER_L)
    assert time / DAY == close_to(days, "0.1 %", "d")


@pytest.mark.parametrize(
    ("kd", "kr", "ultimate", "initial", "mg_per_L"),
    [
        pytest.param(0.4, 1.4, 20.0, 0.0, 3.4621, id="6.4"),
        pytest.param(0.2, 0.41, 10.9, 0.6, 2.8405, id="6.5"),
    ],
)
def test_critical_deficit(kd, kr, ultimate, initial, mg_per_L):
    """Streeter and Phelps 1925."""
    deficit = streeter_phelps_critical_deficit(kd / DAY, kr / DAY, ultimate * MG_PER_L, initial * MG_PER_L)
    assert deficit / MG_PER_L == close_to(mg_per_L, "0.1 %", "mg/L")


@pytest.mark.parametrize("kr", [0.3, 0.3 * (1 + 1e-12), 0.3 * (1 + 1e-7)])
def test_deficit_at_equal_rates(kr):
    """Limit of the sag, (k t L + D) exp(-k t), exact: check 6.6."""
    deficit = streeter_phelps_deficit(2 * DAY, 0.3 / DAY, kr / DAY, 10 * MG_PER_L, 1 * MG_PER_L)
    assert deficit / MG_PER_L == close_to(3.84168, "0.01 %", "mg/L")


@pytest.mark.parametrize("kr", [0.3, 0.3 * (1 + 1e-9), 0.3 * (1 + 1e-7)])
def test_critical_time_at_equal_rates(kr):
    """(1 - D/L)/k, exact."""
    time = streeter_phelps_critical_time(0.3 / DAY, kr / DAY, 10 * MG_PER_L, 1 * MG_PER_L)
    assert time / DAY == pytest.approx(0.9 / 0.3, rel=1e-6)


@pytest.mark.parametrize(("kd", "kr", "initial"), [(0.2, 0.5, 8.0), (0.2, 3.0, 1.0), (0.2, 0.2, 12.0)])
def test_large_deficit_falls_from_the_start(kd, kr, initial):
    args = (kd / DAY, kr / DAY, 10 * MG_PER_L, initial * MG_PER_L)
    assert streeter_phelps_critical_time(*args) == 0.0
    assert streeter_phelps_critical_deficit(*args) == pytest.approx(initial * MG_PER_L)


@pytest.mark.parametrize(
    ("bod5", "rate", "ultimate"),
    [pytest.param(10, 0.23, 14.6335, id="6.7"), pytest.param(9, 0.12, 19.9473, id="6.8")],
)
def test_ultimate_demand(bod5, rate, ultimate):
    """First-order decay, exact."""
    assert k.ultimate_from_bod5(bod5 * MG_PER_L, rate / DAY) / MG_PER_L == close_to(
        ultimate, "0.01 %", "mg/L"
    )


@pytest.mark.parametrize(
    ("demand", "half", "saturation", "velocity", "mg_per_L"),
    [
        pytest.param(1.5, 1.4, 8.26, 0.8, 6.7087, id="6.9"),
        pytest.param(2.5, 0.7, 7.56, 0.5, 3.4113, id="6.10"),
    ],
)
def test_steady_oxygen_over_bed(demand, half, saturation, velocity, mg_per_L):
    """Balance k (Cs - C) = S C/(K + C), exact."""
    oxygen = steady_oxygen_over_bed(
        demand * G_PER_M2_D, half * MG_PER_L, saturation * MG_PER_L, velocity / DAY
    )
    assert oxygen / MG_PER_L == close_to(mg_per_L, "0.1 %", "mg/L")


@pytest.mark.parametrize(
    ("theta", "celsius", "factor"),
    [
        pytest.param(1.065, 28, 1.655, id="14.1"),
        pytest.param(1.047, 25, 1.25815, id="14.2"),
        pytest.param(1.024, 15, 0.888178, id="14.3"),
    ],
)
def test_temperature_factor(theta, celsius, factor):
    """theta^(T - 20), exact."""
    assert k.temperature_factor(theta, celsius + 273.15) == close_to(factor, "0.01 %", "1")


def test_bed_demand_moved_to_20_degrees():
    """Lin, Water and Wastewater Calculations Manual, prints 3.21: check 14.4."""
    assert 3.86 / k.temperature_factor(1.047, 297.15) == close_to(3.212, 0.01, "g/m2/d")


def test_oxygen_use_of_a_bed():
    """Lin, Water and Wastewater Calculations Manual, prints 1.03: check 14.5."""
    used = bed_oxygen_use(3.21 * G_PER_M2_D, 0.645 * DAY, 6.6 * 0.3048)
    assert used / MG_PER_L == close_to(1.029, 0.01, "mg/L")


def test_stoichiometry():
    """32/12, 64/14, and 40 g carbon per g chlorophyll, exact."""
    assert close_to(2.6667, 0.005, "g/g", check="14.6") == k.OXYGEN_PER_CARBON
    assert close_to(4.5714, 0.005, "g/g", check="14.7") == k.OXYGEN_PER_NITROGEN
    assert close_to(106.67, "0.2 %", "g/g", check="14.8") == k.OXYGEN_PER_CARBON * 40.0


def test_monod():
    assert monod(0.7, 0.7) == 0.5
    assert monod(0.0, 0.7) == 0.0
    assert monod(-0.1, 0.7) == 0.0
    assert math.isclose(monod(1e9, 0.7), 1.0, rel_tol=1e-8)
