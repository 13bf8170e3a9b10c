"""The dimensionless unit hydrograph and design-storm curves."""

import numpy as np
import pytest

from pondsim.physics import unit_hydrograph as u
from tests.physics.tolerance import close_to
from tests.published.unit_hydrograph import unit_peak_flow

INCH, FOOT, HOUR = 0.0254, 0.3048, 3600.0
CFS = FOOT**3
MILE2 = (5280.0 * FOOT) ** 2


@pytest.mark.parametrize(
    ("area", "travel", "duration", "value"),
    [
        pytest.param(4.6, 2.3, 0.3, 1455.2, id="8.6"),
        pytest.param(0.05, 0.4, 0.0532, 90.77, id="8.7"),
        pytest.param(0.02, 0.25, 0.0333, 58.09, id="8.8"),
    ],
)
def test_peak_of_the_unit_hydrograph(area, travel, duration, value):
    """NEH-630 (2007) chapter 16, its worked example (4.6 mi2) and two more by the same equation."""
    peak_time = u.time_to_peak(duration * HOUR, travel * HOUR)
    assert unit_peak_flow(area * MILE2, INCH, peak_time) / CFS == close_to(value, "0.2 %", "ft3/s")


def test_peak_by_convolution():
    """NEH-630 (2007) chapter 16 ordinates, worked apart from this code: check 8.9."""
    step = 0.0333 * HOUR
    unit = u.unit_hydrograph(0.02 * MILE2, 0.25 * HOUR, step)
    flow = u.flow_of_excess(np.array([0.1, 0.3, 0.6, 0.2]) * INCH, unit)
    assert flow.max() / CFS == close_to(66.40, "0.5 %", "ft3/s")


def test_area_under_the_published_ordinates():
    """NEH-630 (2007) chapter 16, table 16-1: check 8.10."""
    assert np.trapezoid(u.TABLE_FLOW, u.TABLE_TIME) == close_to(1.3359, 0.001, "1")


@pytest.mark.parametrize("peak_factor", [150.0, 300.0, 484.0, 600.0])
@pytest.mark.parametrize("step", [60.0, 400.0])
def test_volume_under_the_hydrograph_is_runoff_times_area(peak_factor, step):
    """By definition."""
    unit = u.unit_hydrograph(5e4, 1800.0, step, peak_factor)
    flow = u.flow_of_excess(np.array([0.002, 0.01, 0.0, 0.003]), unit)
    assert flow[0] == flow[-1] == 0.0
    assert np.trapezoid(flow, dx=step) == pytest.approx(0.015 * 5e4, rel=1e-12)


def test_gamma_shape_has_its_peak_factor():
    """By definition: 645.33 over the area; NEH-630 chapter 16 gives m = 3.7 for 484 (from memory)."""
    assert u.gamma_exponent(484.0) == pytest.approx(3.7, abs=0.05)
    t = np.linspace(0.0, 80.0, 400001)
    for peak_factor in (150.0, 300.0, 600.0):
        shape = u.dimensionless_flow(t, peak_factor)
        assert shape.max() == pytest.approx(1.0, abs=1e-6)
        assert t[np.argmax(shape)] == pytest.approx(1.0, abs=1e-3)
        area = np.sum(0.5 * (shape[1:] + shape[:-1])) * (t[1] - t[0])
        assert 645.333 / area == pytest.approx(peak_factor, rel=1e-3)


def test_peak_of_other_factors_is_near_the_formula():
    """Sampled finely, the peak is that of the factor but for the share cut off at the end."""
    for peak_factor in (300.0, 484.0, 600.0):
        unit = u.unit_hydrograph(1e5, 3600.0, 30.0, peak_factor)
        peak = unit_peak_flow(1e5, 1.0, u.time_to_peak(30.0, 3600.0), peak_factor)
        assert unit.max() == pytest.approx(peak, rel=3e-3)


@pytest.mark.parametrize(
    ("begin", "end", "value"),
    [pytest.param(10, 14, 0.639, id="8.11"), pytest.param(11, 13, 0.537, id="8.12")],
)
def test_share_of_a_type_ii_storm(begin, end, value):
    """SCS 24-hour Type II distribution (TR-55, 1986); two copies agree."""
    assert u.rain_fallen(end * HOUR) - u.rain_fallen(begin * HOUR) == close_to(value, 0.001, "1")


def test_a_curve_is_stretched_to_the_storm():
    curve = ([0.0, 1.0, 4.0], [0.0, 0.5, 1.0])
    assert u.rain_fallen(np.array([0.0, 3600.0, 14400.0, 2e4]), *curve, 14400.0) == pytest.approx(
        [0.0, 0.5, 1.0, 1.0]
    )
