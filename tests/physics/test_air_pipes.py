"""Air in tubing, checked against a general library of pipe flow, and against closed forms."""

import math

import fluids
import pytest

from pondsim.physics import air_pipes as a

R = 8314.0 / 28.97  # J/kg/K
ATM = 101325.0


def test_free_air_becomes_standard_air():
    """Ideal gas: at 1 atm and 68 degF free is standard; at 0 degC it is 293.15/273.15 of it."""
    assert a.standard_from_free(1.0, ATM, 293.15) == pytest.approx(1.0, rel=1e-12)
    assert a.standard_from_free(1.0, ATM, 273.15) == pytest.approx(293.15 / 273.15, rel=1e-12)


def test_free_air_high_up_and_warm_is_less():
    """5000 ft: 0.8320 atm of the standard atmosphere; 95 degF is 554.67 degR against 527.67."""
    pressure = ATM * (1.0 - 2.25577e-5 * 1524.0) ** 5.25588
    assert pressure / ATM == pytest.approx(0.8320, abs=5e-5)
    assert a.standard_from_free(10.0, pressure, 308.15) == pytest.approx(
        10 * 0.8320 * 527.67 / 554.67, rel=1e-4
    )


def test_viscosity_at_sea_level():
    """U.S. Standard Atmosphere 1976, sea level, 288.15 K: 1.7894e-5 Pa s as tabulated."""
    assert a.air_viscosity(288.15) == pytest.approx(1.7894e-5, abs=5e-10)


@pytest.mark.parametrize("celsius", [-20.0, 0.0, 20.0, 40.0, 80.0])
def test_viscosity_agrees_with_the_library(celsius):
    expected = fluids.ATMOSPHERE_1976.viscosity(celsius + 273.15)
    assert a.air_viscosity(celsius + 273.15) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("rough", [0.0, 1e-5, 1e-3, 0.03])
@pytest.mark.parametrize("reynolds", [4000.0, 12000.0, 1e5, 3e6])
def test_friction_agrees_with_the_library(reynolds, rough):
    """Colebrook 1939, solved by the library."""
    assert a.friction_factor(reynolds, rough) == pytest.approx(
        fluids.friction.Colebrook(reynolds, rough), rel=1e-9
    )


def test_friction_of_a_smooth_tube_by_prandtl():
    """Smooth tube, Re 1e5: 1/sqrt(f) = 2 log10(Re sqrt(f)) - 0.8, the well-known 0.0180."""
    assert a.friction_factor(1e5, 0.0) == pytest.approx(0.0180, abs=5e-5)


def test_friction_is_laminar_below_and_never_jumps():
    assert a.friction_factor(1000.0, 1e-3) == pytest.approx(0.064)
    values = [a.friction_factor(re, 1e-4) for re in (1999.9, 2000.1, 3999.9, 4000.1)]
    assert values[0] == pytest.approx(values[1], rel=1e-3)
    assert values[2] == pytest.approx(values[3], rel=1e-3)


@pytest.mark.parametrize(
    ("mass", "outlet", "diameter", "length"),
    [
        (0.0008, 130e3, 0.0127, 60.0),  # 1.4 scfm in half-inch tubing
        (0.002, 130e3, 0.0127, 60.0),
        (0.006, 120e3, 0.0127, 30.0),  # a third of the pressure lost
        (0.02, 110e3, 0.0254, 100.0),
        (0.05, 150e3, 0.0508, 200.0),
    ],
)
def test_pressure_agrees_with_the_library(mass, outlet, diameter, length):
    """Complete isothermal flow equation (Crane, as the library states it), friction from the library too."""
    viscosity = fluids.ATMOSPHERE_1976.viscosity(293.15)
    reynolds = 4.0 * mass / (math.pi * diameter * viscosity)
    assert reynolds > 4000.0
    factor = fluids.friction.Colebrook(reynolds, 1.5e-6 / diameter)
    head = a.tube_inlet_pressure(mass, outlet, diameter, length, 1.5e-6, 0.0, 293.15)
    flow = fluids.compressible.isothermal_gas(
        rho=head / (R * 293.15), fd=factor, P1=head, P2=outlet, L=length, D=diameter
    )
    assert flow == pytest.approx(mass, rel=3e-4)


def test_library_example_of_the_isothermal_equation():
    """Printed in its documentation: 11.3 kg/m3, f 0.00185, 10 to 9 bar, 1000 m of 0.5 m, 145.48 kg/s.

    Its friction factor is stated, so it is put in as the loss of fittings of a tube of no length.
    """
    head = a.tube_inlet_pressure(145.4847572636, 9e5, 0.5, 0.0, 0.0, 0.00185 * 1000 / 0.5, 1e6 / 11.3 / R)
    assert head == pytest.approx(1e6, rel=1e-9)


def test_small_losses_are_those_of_water_like_flow():
    """Darcy and Weisbach with the density at the end; 1 % of pressure lost leaves 1 % of room."""
    mass, diameter, length, end = 2e-4, 0.0127, 20.0, 130e3
    density = end / (R * 293.15)
    velocity = mass / (density * math.pi / 4 * diameter**2)
    reynolds = 4 * mass / (math.pi * diameter * a.air_viscosity(293.15))
    loss = 64 / reynolds * length / diameter * 0.5 * density * velocity**2
    assert reynolds < 2000.0
    head = a.tube_inlet_pressure(mass, end, diameter, length, 0.0, 0.0, 293.15)
    assert head - end == pytest.approx(loss, rel=0.01)


def test_no_flow_loses_nothing_and_more_flow_more():
    heads = [a.tube_inlet_pressure(m, 120e3, 0.0127, 60.0, 0.0, 1.0, 293.15) for m in (0, 1e-5, 1e-3, 1e-2)]
    assert heads[0] == 120e3
    assert heads == sorted(heads)


def test_velocity_and_mach():
    """1 kg/s of air at 1.2 kg/m3 through 1 m2 is 0.833 m/s; sound at 15 degC runs 340.29 m/s (ICAO)."""
    area_diameter = math.sqrt(4 / math.pi)
    assert a.tube_velocity(1.0, 1.2 * R * 293.15, area_diameter, 293.15) == pytest.approx(1 / 1.2)
    assert a.mach_number(340.29, 288.15) == pytest.approx(1.0, abs=2e-4)


def test_mass_of_standard_air():
    """0.075 lb/ft3: 1000 scfm are 75 lb a minute."""
    assert a.air_mass(1000 * 0.3048**3 / 60) == pytest.approx(75 * 0.45359237 / 60)
