"""What runoff carries, what grass keeps back, and how warm it is."""

import numpy as np
import pytest

from pondsim.physics import buffer_strip as b
from pondsim.physics import quality as q
from pondsim.physics import runoff_temperature as t
from pondsim.scenario.settings_runoff import LAND_USES
from tests.physics.tolerance import close_to
from tests.published.quality import event_load, lognormal_quantile

INCH, ACRE = 0.0254, 43560 * 0.3048**2
FT_PER_H = 0.3048 / 3600.0


def test_event_load():
    """Mass balance, exact, with 101 mg/L (NURP 1983) on 2.5 acres and 0.3 in: check 8.13."""
    assert event_load(0.101, 2.5 * ACRE, 0.3 * INCH) == close_to(7.786, "0.2 %", "kg")


def test_national_medians():
    """EPA, Nationwide Urban Runoff Program 1983, volume 1; phosphorus 0.38 and 0.201 mg/L read in text."""
    assert set(q.MEDIANS) == set(q.VARIATIONS) == set(LAND_USES)
    assert q.MEDIANS["residential"].phosphorus == pytest.approx(0.38e-3, abs=0.005e-3)
    assert q.MEDIANS["commercial"].phosphorus == pytest.approx(0.201e-3, abs=0.0005e-3)
    assert q.MEDIANS["mixed"].suspended_solids == pytest.approx(0.067)
    assert q.MEDIANS["residential"].bod5 == pytest.approx(0.010)


def test_mean_of_a_lognormal():
    """Exact: sqrt(1 + 0.96^2) = 1.386; and the quantile function has that mean and that median."""
    assert q.lognormal_mean(1.0, 0.96) == pytest.approx(1.386, abs=5e-4)
    z = np.linspace(-9.0, 9.0, 200001)
    weight = np.exp(-0.5 * z**2) / np.sqrt(2.0 * np.pi) * (z[1] - z[0])
    mean = np.sum(weight * lognormal_quantile(0.07, 0.96, z))
    assert mean == pytest.approx(0.07 * np.sqrt(1.0 + 0.96**2), rel=1e-6)
    assert lognormal_quantile(0.07, 0.96, 0.0) == 0.07


def test_first_flush():
    assert q.first_flush(np.array([0.0, 0.4, 1.0])).tolist() == [0.0, 0.4, 1.0]
    shares = q.first_flush(np.linspace(0.0, 1.0, 11), 0.6)
    assert shares[[0, -1]].tolist() == [0.0, 1.0]
    assert np.all(np.diff(np.diff(shares)) < 0.0)
    assert q.first_flush(1 / 3, 0.6) == pytest.approx(0.52, abs=0.005)


def test_sheet_between_stems_carries_its_flow():
    """Manning on the spacing radius, put together by hand (Tollner et al. 1976, from memory)."""
    depth = b.sheet_depth(np.array([1e-5, 1e-3, 3e-3]), 0.03, 0.02)
    radius = 0.02 * depth / (2 * depth + 0.02)
    assert depth * radius ** (2 / 3) * 0.03**0.5 / 0.012 == pytest.approx([1e-5, 1e-3, 3e-3], rel=1e-6)


def test_strip_removal_by_hand():
    """Tollner et al. 1976, from memory: depth 4 mm, spacing 20 mm, slope 2 %, 3 m, class of 7 ft/h.

    Rs = 0.02 x 0.004/0.028 = 2.857e-3 m, V = Rs^(2/3) 0.02^0.5/0.012 = 0.2373 m/s, flow 9.491e-4 m2/s,
    Re = V Rs/1e-6 = 678.0, Nf = 5.927e-4 x 3/9.491e-4 = 1.8734;
    exp(-1.05e-3 x 209.7 x 0.5648) = exp(-0.1244) = 0.8831.
    """
    kept = b.strip_removal(7.0 * FT_PER_H, 9.491e-4, 3.0, 0.02, 1e-6, 0.02)
    assert kept == pytest.approx(0.8831, abs=5e-4)


def test_strip_keeps_more_where_it_is_wide_flat_and_little_water_comes():
    usual = {"settling_velocity": 1.5 * FT_PER_H, "flow_per_width": 1e-3, "width": 5.0, "slope": 0.03}
    kept = b.strip_removal(**usual)
    assert 0.0 < kept < 1.0
    assert b.strip_removal(**usual | {"width": 10.0}) > kept
    assert b.strip_removal(**usual | {"slope": 0.10}) < kept
    assert b.strip_removal(**usual | {"flow_per_width": 3e-3}) < kept
    assert b.strip_removal(**usual | {"settling_velocity": 7.0 * FT_PER_H}) > kept
    assert b.strip_removal(**usual | {"flow_per_width": 0.0}) == pytest.approx(1.0, abs=1e-3)


def test_wet_bulb():
    """FAO-56 example 4: dry 25.6, wet 19.5 degC at 1200 m (87.9 kPa), vapour pressure 1.91 kPa."""
    assert t.wet_bulb(25.6 + 273.15, 1910.0, 87900.0) == pytest.approx(19.5 + 273.15, abs=0.1)
    assert t.wet_bulb(293.15, 2339.2, 101325.0) == pytest.approx(293.15, abs=0.01)


def paved(runoff, sunlight=0.0, hours=6, step=600.0):
    count = int(hours * 3600 / step)
    light = np.full(count, sunlight) if np.isscalar(sunlight) else sunlight
    return t.paving_runoff(np.full(count, runoff), step, np.full(count, 291.0), np.full(count, 299.0), light)


def test_hot_paving_warms_the_first_water_and_cools():
    light = np.zeros(36)
    light[0] = 800.0
    warm = paved(0.001, light)
    assert warm[0] > 303.0
    assert np.all(np.diff(warm) < 0.0)
    assert np.all(warm > 291.0)


def test_no_runoff_has_the_temperature_of_the_rain():
    assert np.all(paved(0.0) == 291.0)


def test_paving_and_water_share_one_heat():
    """By definition: heat gained by the water is what the paving had, less what went to the air.

    With so much rain in one second that the paving ends at the rain's temperature, the air has no time:
    rho c R (T_out - T_rain) = C (T_paving - T_rain), C = 1e5 J/m2/K.
    """
    rain, start = 290.0, 320.0
    warm = t.paving_runoff(np.array([0.5]), 1.0, np.array([rain]), np.array([start]), np.zeros(1))
    assert 998.2 * 4182.0 * 0.5 * (warm[0] - rain) == pytest.approx(1e5 * (start - rain), rel=1e-3)


def test_steady_runoff_temperature():
    """Exact: in balance 25 (T - air) = -0.5 rho c r (T - rain), and water leaves half-way to T."""
    rate = 1e-3 / 600.0
    washing = 0.5 * 998.2 * 4182.0 * rate
    paving = (25.0 * 299.0 + washing * 291.0) / (25.0 + washing)
    assert paved(0.001, hours=48)[-1] == pytest.approx(291.0 + 0.5 * (paving - 291.0), abs=1e-6)
