"""Curve-number runoff and the graphical peak."""

import numpy as np
import pytest

from pondsim.physics import curve_numbers as cn
from pondsim.physics import runoff as r
from pondsim.scenario.settings_runoff import COVERS
from tests.physics.tolerance import close_to
from tests.published.runoff import graphical_peak, unit_peak_type_ii

INCH, FOOT = 0.0254, 0.3048
MILE2 = (5280.0 * FOOT) ** 2
CSM_PER_INCH = FOOT**3 / MILE2 / INCH  # ft3/s/mi2/in in 1/s


def inches(rain, curve_number):
    retention = r.potential_retention(curve_number)
    return r.runoff_depth(rain * INCH, retention, 0.2 * retention) / INCH


@pytest.mark.parametrize(
    ("rain", "curve_number", "value", "tolerance"),
    [
        pytest.param(6.0, 70.0, 2.805, 0.01, id="8.1"),
        pytest.param(1.5, 98.0, 1.2801, 0.002, id="8.2"),
        pytest.param(2.0, 90.0, 1.094, 0.002, id="8.3"),
    ],
)
def test_runoff_depth(rain, curve_number, value, tolerance):
    """TR-55 (1986) example 2-1, which prints 2.81 in (from memory); NEH-630 chapter 10, equation 10-11."""
    assert inches(rain, curve_number) == close_to(value, tolerance, "in")


def test_no_runoff_before_the_initial_abstraction():
    """By definition: S = 1000/50 - 10 = 10 in, of which a fifth comes first."""
    assert inches(2.0, 50.0) == 0.0
    assert inches(2.001, 50.0) > 0.0


def test_all_rain_runs_off_where_nothing_is_held_back():
    assert inches(np.array([0.0, 1.0, 3.0]), 100.0) == pytest.approx([0.0, 1.0, 3.0], abs=1e-9)


def test_graphical_peak():
    """TR-55 (1986) example 4-1, which prints 345 ft3/s (from memory): check 8.4."""
    peak = graphical_peak(270.0 * CSM_PER_INCH, 0.39 * MILE2, inches(6.0, 75.0) * INCH)
    assert peak / FOOT**3 == close_to(345.6, "0.3 %", "ft3/s")


def test_unit_peak_of_type_ii():
    """TR-55 (1986) appendix F, from memory: check 8.5."""
    assert unit_peak_type_ii(0.25 * 3600.0) / CSM_PER_INCH == close_to(731.3, "0.2 %", "ft3/s/mi2/in")


def test_unit_peak_falls_with_the_abstraction_and_stops_at_the_table():
    """TR-55: ratios outside 0.1 to 0.5 take the limits."""
    peaks = [unit_peak_type_ii(3600.0, ratio) for ratio in (0.02, 0.1, 0.2, 0.3, 0.5, 0.7)]
    assert peaks[0] == peaks[1] > peaks[2] > peaks[3] > peaks[4] == peaks[5]


def season(rain, step=3600.0, retention=0.1, pause=6 * 3600.0, recovery=2.5 * 86400.0):
    return r.excess_of_season(np.array(rain), step, retention, 0.2 * retention, pause, recovery)


def test_one_storm_has_the_runoff_of_the_curve_whatever_its_course():
    total = np.array([0.005, 0.01, 0.0, 0.0, 0.04, 0.025, 0.001])
    assert season(total).sum() == pytest.approx(r.runoff_depth(total.sum(), 0.1, 0.02), rel=1e-12)
    assert season(total[::-1]).sum() == pytest.approx(season(total).sum(), rel=1e-12)


def test_runoff_is_never_more_than_rain_nor_negative():
    rain = np.random.default_rng(3).gamma(0.05, 0.02, 5000)
    excess = season(rain, retention=0.02)
    assert np.all((excess >= 0.0) & (excess <= rain))


def test_ground_dries_between_storms():
    """Exact: a storm long after sheds what the first did; one within the pause goes on along the curve."""
    storm = [0.03, 0.03]
    long_after = season(storm + [0.0] * 24 * 60 + storm)
    assert long_after[-2:] == pytest.approx(long_after[:2], rel=1e-9)
    soon = season([*storm, 0.0, 0.0, *storm])
    assert soon[-2:].sum() == pytest.approx(
        r.runoff_depth(0.12, 0.1, 0.02) - r.runoff_depth(0.06, 0.1, 0.02), rel=1e-12
    )
    between = season(storm + [0.0] * 48 + storm)
    assert long_after[-2:].sum() < between[-2:].sum() < soon[-2:].sum()


def test_default_drying_is_near_the_wet_condition_of_the_handbook():
    """2.1 in over five days make ground wet (NEH-630 chapter 10; CN 70 becomes 85); from memory.

    The rain is spread over the five days; an inch on it then. A band, because the drying is a judgement.
    """
    retention = r.potential_retention(70.0)
    rain = np.zeros(5 * 24 + 3)
    rain[0:120:24] = 2.1 * INCH / 5.0
    rain[120:] = INCH / 3.0
    excess = r.excess_of_season(rain, 3600.0, retention, 0.2 * retention, 6 * 3600.0, 2.5 * 86400.0)
    dry, wet = inches(1.0, 70.0), inches(1.0, 85.0)
    assert dry < 0.5 * wet < excess[120:].sum() / INCH < 1.5 * wet


def test_curve_numbers_of_covers():
    """TR-55 table 2-2, from memory: soil worsens from A to D; two rows as they stand in worked examples."""
    assert set(cn.CURVE_NUMBERS) == set(COVERS)
    for numbers in cn.CURVE_NUMBERS.values():
        assert list(numbers) == sorted(numbers)
        assert 30.0 <= min(numbers) <= max(numbers) <= 100.0
    assert cn.curve_number_of("good lawn", "B") == 61.0
    assert cn.curve_number_of("paving", "D") == 98.0
