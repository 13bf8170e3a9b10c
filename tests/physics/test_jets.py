"""Jets: Fischer et al. 1979, Table 9.2, from memory, not verified."""

import numpy as np
import pytest

from pondsim.physics.jets import intrusion_share, plane_jet_dilution
from tests.physics.tolerance import close_to
from tests.published.jets import round_jet_dilution


@pytest.mark.parametrize(
    ("area", "distance", "value"),
    [pytest.param(0.01, 3.0, 7.500, id="13.15"), pytest.param(0.03, 6.0, 8.660, id="13.16")],
)
def test_round_jet(area, distance, value):
    """Fischer et al. 1979, Table 9.2, from memory, not verified."""
    assert round_jet_dilution(distance, area) == close_to(value, "0.3 %", "1")


def test_plane_jet():
    """0.50 sqrt(x/thickness), by hand: 0.5 sqrt(400) = 10."""
    assert plane_jet_dilution(4.0, 0.01) == pytest.approx(10.0)


def test_no_jet_carries_less_than_it_began_with():
    assert round_jet_dilution(0.0, 0.01) == 1.0
    assert plane_jet_dilution(0.0, 0.01) == 1.0


@pytest.mark.parametrize(("flow", "frequency"), [(0.001, 0.08), (0.02, 0.04), (0.3, 0.02)])
def test_an_intrusion_is_as_thick_as_flow_and_stratification_make_it(flow, frequency):
    """With g' = N2 d the shares add up to 5/6 (pi/6)/sin(pi/6) (Q/N)^(1/3) each way: exact integral."""
    thickness = (flow / frequency) ** (1.0 / 3.0)
    distance = (np.arange(200_000) + 0.5) * 1e-4 * thickness
    total = intrusion_share(frequency**2 * distance, distance, flow).sum() * 1e-4
    assert total == pytest.approx(5.0 / 6.0 * np.pi / 6.0 / np.sin(np.pi / 6.0), rel=1e-6)
