"""Tanks in a row and steady ages."""

import numpy as np
import pytest

from pondsim.physics import tanks as t
from tests.physics.tolerance import close_to
from tests.published.tanks import (
    exit_age_density,
    exit_age_quantile,
    exit_age_share,
    morrill_index,
    removal_first_order,
)


@pytest.mark.parametrize(
    ("n", "value"),
    [
        pytest.param(1, 21.854, id="13.1"),
        pytest.param(3, 4.8294, id="13.2"),
        pytest.param(5, 3.286, id="13.3"),
    ],
)
def test_morrill_index(n, value):
    """t90/t10 of the gamma distribution, exact."""
    assert morrill_index(n) == close_to(value, "0.1 %", "1")


@pytest.mark.parametrize(
    ("n", "theta", "value"),
    [pytest.param(3, 0.5, 0.75306, id="13.4"), pytest.param(4, 1.2, 0.60676, id="13.5")],
)
def test_exit_age_density(n, theta, value):
    """Levenspiel, Chemical Reaction Engineering; exact."""
    assert exit_age_density(theta, n) == close_to(value, "0.1 %", "1")


@pytest.mark.parametrize(
    ("n", "theta", "value"),
    [
        pytest.param(3, 0.5, 0.19115, id="13.6"),
        pytest.param(2, 1.0, 0.59399, id="13.7"),
        pytest.param(5, 0.8, 0.37116, id="13.8"),
    ],
)
def test_exit_age_share(n, theta, value):
    """Levenspiel, Chemical Reaction Engineering; exact."""
    assert exit_age_share(theta, n) == close_to(value, "0.1 %", "1")


def test_quantile_refuses_a_share_outside_its_range():
    with pytest.raises(ValueError, match="between 0 and 1"):
        exit_age_quantile(1.0, 3)


def test_first_order_removal():
    """1 - (1 + 1/3)^-3, exact: check 13.17."""
    assert removal_first_order(1.0, 3) == close_to(0.578125, "exact", "1")


VOLUMES = np.array([300.0, 900.0, 300.0])
INFLOW = np.array([10.0, 0.0, 0.0])  # m3/h; ages below are in hours


def loop(pumped_within):
    flows = np.zeros((3, 3))
    flows[0, 1] = flows[1, 2] = 60.0
    flows[2, 0] = 50.0 if pumped_within else 0.0
    return flows


def test_water_age_of_a_three_box_loop():
    """Worked by hand from the steady age equation of Delhez et al. 1999."""
    ages = t.steady_age(VOLUMES, loop(True), INFLOW)
    assert ages[0] == close_to(130.0, "exact", "h", check="13.9")
    assert ages[2] == close_to(150.0, "exact", "h", check="13.10")


def test_age_since_the_waterfall_of_a_three_box_loop():
    """Worked by hand from the steady age equation of Delhez et al. 1999."""
    ages = t.steady_age(VOLUMES, loop(False), INFLOW, np.array([50.0, 0.0, 0.0]))
    assert ages[0] == close_to(5.0, "exact", "h", check="13.11")
    assert ages[2] == close_to(25.0, "exact", "h", check="13.12")


def test_age_of_a_dead_arm():
    """(VA + VB)/Qp + VB/qe, exact; the main box is at 26."""
    flows = np.array([[0.0, 5.0], [5.0, 0.0]])
    ages = t.steady_age(np.array([1000.0, 300.0]), flows, np.zeros(2), np.array([50.0, 0.0]))
    assert ages[1] == close_to(86.0, "exact", "h", check="13.13")
    assert ages[0] == close_to(26.0, "exact", "h", check="13.13b")


def test_water_that_is_never_renewed_has_no_age():
    with pytest.raises(np.linalg.LinAlgError):
        t.steady_age(np.ones(2), np.array([[0.0, 1.0], [1.0, 0.0]]), np.zeros(2))
