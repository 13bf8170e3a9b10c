"""Gas transfer at the surface."""

import pytest

from pondsim.physics import gas_transfer as g
from pondsim.physics.entrainment import buoyancy_flux
from tests.physics.tolerance import close_to
from tests.published.gas_transfer import (
    k600_crusius_bilinear,
    k600_crusius_constant,
    k600_crusius_power,
    k600_warming,
    reaeration_oconnor_dobbins,
)

CM_PER_H = 0.01 / 3600.0
M_PER_D = 1.0 / 86400.0
COLE_FLOOR = 2.07 * CM_PER_H


@pytest.mark.parametrize(
    ("function", "celsius", "value"),
    [
        pytest.param(g.schmidt_oxygen_1992, 10, 930.17, id="3.1"),
        pytest.param(g.schmidt_oxygen_1992, 20, 530.46, id="3.2"),
        pytest.param(g.schmidt_oxygen_2014, 10, 889.78, id="3.3"),
        pytest.param(g.schmidt_oxygen_2014, 20, 510.25, id="3.4"),
        pytest.param(g.schmidt_oxygen_2014, 0, 1745.1, id="19.1"),
        pytest.param(g.schmidt_oxygen_2014, 30, 312.22, id="19.2"),
    ],
)
def test_schmidt_number(function, celsius, value):
    """Wanninkhof 1992, Table A1 (read in text); Wanninkhof 2014, Table 1 (read in secondary sources)."""
    assert function(celsius + 273.15) == close_to(value, "0.1 %", "1")


def test_oxygen_transfer_velocity_with_the_constants_of_2014():
    """19.3: Wanninkhof 2014, exponent 1/2, from 2.07 cm/h at 28 degC."""
    velocity = g.gas_transfer_velocity(COLE_FLOOR, g.schmidt_oxygen_2014(273.15 + 28.0))
    assert velocity / CM_PER_H == close_to(2.7321, "0.2 %", "cm/h")


def test_transfer_while_the_surface_cools_and_warms():
    """MacIntyre et al. 2010, Geophys. Res. Lett. 37:L24604 (from memory)."""
    cooling = g.k600_cooling(1.0, 2.0 * CM_PER_H)
    assert cooling / CM_PER_H == close_to(4.04, "0.2 %", "cm/h", "19.4")
    assert k600_warming(1.0) / CM_PER_H == close_to(1.59, "0.2 %", "cm/h", "19.5")


def test_transfer_by_surface_renewal():
    """19.6: 0.5 (eps nu)^(1/4) Sc^(-1/2), 100 W/m2 of cooling alone at 25 degC (factor from memory)."""
    renewed = g.k600_renewal(buoyancy_flux(100.0, 273.15 + 25.0), 8.93e-7)
    assert renewed / CM_PER_H == close_to(3.5431, "2 %", "cm/h")


@pytest.mark.parametrize(
    ("wind10", "cm_per_h"),
    [pytest.param(0, 2.07, id="3.5"), pytest.param(3, 3.4617, id="3.6"), pytest.param(5, 5.3866, id="3.7")],
)
def test_cole_and_caraco(wind10, cm_per_h):
    """Cole and Caraco 1998, Limnol. Oceanogr. 43:647."""
    assert g.k600_cole_caraco(float(wind10), COLE_FLOOR) / CM_PER_H == close_to(cm_per_h, "0.1 %", "cm/h")


@pytest.mark.parametrize(
    ("function", "wind10", "cm_per_h"),
    [
        pytest.param(k600_crusius_power, 2, 1.2156, id="3.8"),
        pytest.param(k600_crusius_power, 5, 8.0325, id="3.9"),
        pytest.param(k600_crusius_bilinear, 6, 12.680, id="3.10"),
        pytest.param(k600_crusius_bilinear, 2, 1.44, id="bilinear, low wind"),
        pytest.param(k600_crusius_constant, 2, 1.0, id="constant, low wind"),
        pytest.param(k600_crusius_constant, 6, 12.94, id="constant, high wind"),
    ],
)
def test_crusius_and_wanninkhof(function, wind10, cm_per_h):
    """Crusius and Wanninkhof 2003, Limnol. Oceanogr. 48:1010; cases without a number by hand."""
    assert function(float(wind10)) / CM_PER_H == close_to(cm_per_h, "0.1 %", "cm/h")


@pytest.mark.parametrize(
    ("wind10", "celsius", "m_per_d"),
    [pytest.param(3.0, 25, 0.9956, id="3.11"), pytest.param(4.5, 18, 1.1756, id="3.12")],
)
def test_oxygen_transfer_velocity(wind10, celsius, m_per_d):
    """Cole and Caraco 1998 with the Schmidt number of Wanninkhof 1992 and exponent 1/2."""
    k600 = g.k600_cole_caraco(wind10, COLE_FLOOR)
    velocity = g.gas_transfer_velocity(k600, g.schmidt_oxygen_1992(celsius + 273.15))
    assert velocity / M_PER_D == close_to(m_per_d, "0.2 %", "m/d")


def test_exponent_changes_nothing_at_schmidt_600():
    assert g.gas_transfer_velocity(1e-5, 600.0, 2.0 / 3.0) == pytest.approx(1e-5)


def test_stream_reaeration():
    """O'Connor and Dobbins 1958: check 3.13."""
    assert reaeration_oconnor_dobbins(0.3, 1.0) / M_PER_D == close_to(2.1525, "0.1 %", "1/d")
