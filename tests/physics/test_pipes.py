"""Friction, fittings, grates and openings."""

import math

import fluids
import numpy as np
import pytest
from fluids import fittings as library

from pondsim.physics import pipes
from tests.physics.tolerance import close_to
from tests.published.pipes import hazen_williams_loss

FOOT = 0.3048
GPM = 3.785411784e-3 / 60.0
NU = 1.0034e-6  # m2/s


def test_pipe_velocity():
    """300 gpm in a 12-inch pipe; continuity, exact: check 11.1."""
    assert pipes.pipe_velocity(300 * GPM, FOOT) / FOOT == close_to(0.85104, "0.1 %", "ft/s")
    assert math.isclose(pipes.pipe_velocity(math.pi / 4.0, 1.0), 1.0)


def test_two_feet_a_second_in_a_12_inch_pipe():
    """705.0 gpm: continuity, text above check 11.1."""
    assert pipes.pipe_velocity(705.0 * GPM, FOOT) / FOOT == pytest.approx(2.000, abs=5e-4)


@pytest.mark.parametrize(
    ("length", "flow", "diameter", "roughness", "loss"),
    [
        pytest.param(60.96, 0.04448, 0.3048, 1.5e-6, 0.06031, id="11.2"),
        pytest.param(60.0, 0.025, 0.1541, 4.6e-5, 0.6296, id="11.3"),
        pytest.param(45.72, 0.0189271, 0.154051, 1.5e-6, 0.25741, id="11.4"),
    ],
)
def test_friction_loss(length, flow, diameter, roughness, loss):
    """Darcy and Weisbach with Colebrook 1939, computed with the library fluids."""
    assert pipes.friction_loss(flow, diameter, length, roughness, NU) == close_to(loss, "0.3 %", "m")


@pytest.mark.parametrize("reynolds", [4001.0, 1e4, 1e5, 1e6, 1e8])
@pytest.mark.parametrize("rough", [0.0, 1e-6, 1e-4, 1e-2, 0.05])
def test_colebrook_against_the_closed_solution_of_a_library(reynolds, rough):
    """fluids solves Colebrook by the Lambert function."""
    expected = fluids.friction.Colebrook(reynolds, rough)
    assert pipes.colebrook(reynolds, rough) == pytest.approx(expected, rel=1e-9)
    assert pipes.friction_factor(reynolds, rough) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("reynolds", [1.0, 500.0, 2000.0])
def test_laminar_flow(reynolds):
    """Hagen and Poiseuille, exact."""
    assert pipes.friction_factor(reynolds, 1e-3) == pytest.approx(64.0 / reynolds, rel=1e-12)


def test_friction_rises_with_flow_without_a_jump():
    flow = np.linspace(0.0, 3e-3, 3001)
    loss = pipes.friction_loss(flow, 0.3, 100.0, 1e-4, NU)
    assert loss[0] == 0.0
    steps = np.diff(loss)
    assert np.all(steps > 0.0)
    assert np.max(np.abs(np.diff(steps))) < 0.05 * np.max(steps)


def test_hazen_williams():
    """Hazen and Williams (1905), the formula from memory: check 11.5."""
    assert hazen_williams_loss(0.0189271, 0.154051, 45.72, 140.0) == close_to(0.30144, "0.3 %", "m")


@pytest.mark.parametrize(
    ("velocity", "coefficient", "loss"),
    [pytest.param(0.6096, 2.4, 0.045473, id="11.6"), pytest.param(1.5, 1.55, 0.17781, id="11.7")],
)
def test_fittings(velocity, coefficient, loss):
    """K V^2/2g, by definition."""
    assert pipes.velocity_head_loss(velocity, coefficient) == close_to(loss, "0.1 %", "m")


@pytest.mark.parametrize(("before", "after"), [(0.3, 0.25), (0.3, 0.15), (0.15, 0.3), (0.25, 0.3)])
def test_change_of_bore(before, after):
    """As a library gives it, over the velocity head in the narrower pipe: Crane, Borda (Rennels)."""
    if before > after:
        expected = library.contraction_sharp(before, after, method="Crane")
    else:
        expected = library.diffuser_sharp(before, after, method="Rennels")
    assert pipes.size_change_coefficient(before, after) == pytest.approx(expected, rel=1e-6)


def test_no_change_of_bore_loses_nothing():
    assert pipes.size_change_coefficient(0.2, 0.2) == 0.0


def test_grate():
    """USBR's form from memory: nothing is lost in a grate without bars but (1.45 - 0.45 - 1) V^2/2g = 0."""
    assert pipes.grate_loss(1.0, 1.0) == pytest.approx(0.0, abs=1e-15)
    assert pipes.grate_loss(0.6096, 0.5) == pytest.approx(0.975 * 0.6096**2 / (2 * 9.80665), rel=1e-12)


def test_submergence():
    """ANSI/HI 9.8 (2012), 12-inch pipe at 2 ft/s: check 11.8."""
    assert pipes.minimum_submergence(0.3048, 0.6096) / FOOT == close_to(1.8110, "0.2 %", "ft")


@pytest.mark.parametrize(("inches", "gpm"), [(12.0, 705.0), (8.0, 400.0), (18.0, 1500.0)])
def test_submergence_agrees_with_its_form_in_inches_and_gpm(inches, gpm):
    """S = D + 0.574 Q/D^1.5, text above check 11.8; its constant has three digits."""
    velocity = pipes.pipe_velocity(gpm * GPM, inches * 0.0254)
    expected = inches + 0.574 * gpm / inches**1.5
    assert pipes.minimum_submergence(inches * 0.0254, velocity) / 0.0254 == pytest.approx(expected, rel=2e-3)


def test_roughness_of_mannings_n_gives_mannings_flow():
    """1.726 ft3/s in a full 12-inch pipe on a slope of 0.002 with n = 0.012 (Manning, check 15.14).

    Fully rough flow would agree exactly; the smooth part of the friction adds some per cent.
    """
    d = 12 * 0.0254
    rough = pipes.roughness_from_manning(d, 0.012)
    loss = pipes.friction_loss(1.72611 * FOOT**3, d, 1.0, rough, 1e-12)
    assert loss == pytest.approx(0.002, rel=1e-3)
    assert 1.0 < pipes.friction_loss(1.72611 * FOOT**3, d, 1.0, rough, NU) / 0.002 < 1.06
