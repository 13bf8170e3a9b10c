"""Pumps: curves through points, one known point, affinity, power, suction."""

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from pondsim.physics import pumps
from tests.physics.tolerance import close_to

FOOT = 0.3048
GPM = 3.785411784e-3 / 60.0
HORSEPOWER = 745.699872  # W, 550 ft lbf/s
FLOWS = np.array([0.0, 200.0, 400.0, 600.0, 800.0])
HEADS = np.array([28.0, 26.0, 22.5, 17.0, 9.0])


def test_pump_power():
    """600 gpm against 25 ft, pump 0.65, motor 0.88; by definition: check 11.9."""
    assert pumps.water_power(600 * GPM, 25 * FOOT, 0.65 * 0.88) * 1e-3 == close_to(4.936, "0.3 %", "kW")


def test_horsepower_of_the_trade():
    """hp = gpm ft/3960/eta, of topic 11; its constant is for water of 8.33 lb/gal."""
    power = pumps.water_power(500 * GPM, 40 * FOOT, 0.7) / HORSEPOWER
    assert power == pytest.approx(500 * 40 / 3960 / 0.7, rel=1e-3)


def test_affinity():
    """Affinity laws, exact."""
    assert pumps.affinity_head(0.8) == close_to(0.64, "exact", "1", check="11.10")
    assert pumps.affinity_power(0.9) == close_to(0.729, "exact", "1", check="11.11")


def test_suction_head():
    """95 kPa, water of 28 degC by IAPWS, 1.5 m lift, 0.8 m lost; by definition: check 11.12."""
    assert pumps.npsh_available(95000.0, 3782.0, -1.5, 0.8, 996.23) == close_to(7.037, "0.3 %", "m")


@pytest.mark.parametrize(
    ("places", "values"),
    [
        (FLOWS, HEADS),
        (np.array([10.0, 20.0, 70.0, 75.0]), np.array([9.0, 8.9, 3.0, 2.9])),
        (np.array([0.0, 1.0, 2.0, 3.0, 5.0]), np.array([0.0, 45.0, 65.0, 66.0, 48.0])),
        (np.array([0.0, 1.0, 4.0]), np.array([5.0, 4.0, 0.0])),
    ],
)
def test_curve_through_points_is_the_monotone_cubic_of_a_library(places, values):
    """scipy's PchipInterpolator, between the points."""
    between = np.linspace(places[0], places[-1], 333)
    expected = PchipInterpolator(places, values)(between)
    assert pumps.on_curve(between, places, values) == pytest.approx(expected, rel=1e-12, abs=1e-12)


def test_curve_goes_straight_on_beyond_its_points():
    """On the lines through the first two and the last two points, by hand."""
    assert pumps.on_curve(-100.0, FLOWS, HEADS) == pytest.approx(29.0)
    assert pumps.on_curve(900.0, FLOWS, HEADS) == pytest.approx(5.0)
    assert pumps.on_curve(np.array([5.0]), np.array([0.0, 2.0]), np.array([4.0, 2.0])) == pytest.approx(
        [-1.0]
    )


def test_curve_falls_everywhere():
    flow = np.linspace(-50.0, 1000.0, 5000)
    assert np.all(np.diff(pumps.on_curve(flow, FLOWS, HEADS)) < 0.0)


def test_one_known_point():
    """By definition of the shape: the shutoff head, the point itself, best efficiency there."""
    assert pumps.generic_head(0.0, 0.03, 6.0, 1.3) == pytest.approx(7.8)
    assert pumps.generic_head(0.03, 0.03, 6.0, 1.3) == pytest.approx(6.0)
    flow = np.linspace(0.0, 0.05, 501)
    efficiency = pumps.generic_efficiency(flow, 0.03, 0.7)
    assert flow[np.argmax(efficiency)] == pytest.approx(0.03)
    assert efficiency.max() == pytest.approx(0.7)
    assert efficiency[0] == 0.0 and np.all(efficiency[1:] > 0.0)
