"""Trench, bedding, flotation, floats, silting and interest against worked examples.

Numbers: 15 pipe and trench, 16 well, 17 readings on site, 18 money, 19 silting.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from pondsim.physics import (
    air_pipes,
    earthwork,
    float_band,
    flotation,
    hydraulics,
    lip,
    money,
    oxygen,
    pipes,
    pumps,
    site_readings,
    trench_silting,
)
from tests.physics.tolerance import close_to
from tests.published.site_readings import drift_corrected, true_pressure

FT, IN, LB = 0.3048, 0.0254, 0.45359237
GAL, GPM = 231 * IN**3, 231 * IN**3 / 60
YEAR = 365.25 * 86400
PCF = LB / FT**3


def trench_areas(depth):
    return earthwork.trench_section(3 * FT, np.array(depth) * FT, 0.0, 1.5, 4.0)


def test_trench_volume_by_end_areas():
    """b 3 ft, 1.5 to 1, 4, 6 and 5 ft deep at 0, 50 and 100 ft; geometry, exact: check 15.18."""
    station = np.array([0, 50, 100]) * FT
    found = earthwork.end_area_volume(station, trench_areas([4, 6, 5]))
    assert found / (3 * FT) ** 3 == close_to(215.278, "0.05 %", "yd3")


def test_trench_volume_by_the_prismoidal_rule():
    """The same trench, exact where the bed falls evenly: check 15.19."""
    station = np.array([0, 50, 100]) * FT
    found = earthwork.prismoidal_volume(station, trench_areas([4, 6, 5]), trench_areas([5, 5.5]))
    assert found / (3 * FT) ** 3 == close_to(212.963, "0.05 %", "yd3")


def test_section_through_muck_into_firm_soil():
    """By hand: floor 3 ft, 2 ft firm at 1.5:1 (2 x (3 + 3) = 12 ft2), 1 ft muck over 9 ft (13 ft2)."""
    found = earthwork.trench_section(3 * FT, 2 * FT, 1 * FT, 1.5, 4.0)
    assert found / FT**2 == pytest.approx(12 + 13)


@pytest.mark.parametrize(
    ("over", "value"),
    [pytest.param(None, 2.63639, id="15.20"), pytest.param(6 * IN, 5.27279, id="15.21")],
)
def test_bedding(over, value):
    """36 in wide, 12.5 in pipe, 6 in below; geometry, exact."""
    found = earthwork.bedding_section(36 * IN, 12.5 * IN, 6 * IN, over)
    assert found / FT**2 == close_to(value, "0.1 %", "ft3/ft")


def test_more_to_dig_when_sides_lie_flatter():
    """d^2 (z2 - z1), 4 ft deep, 2 to 1 drawn and 4 to 1 found, exact: check 19.14."""
    flat, steep = (earthwork.trench_section(3 * FT, 4 * FT, 0.0, z, z) for z in (4.0, 2.0))
    assert (flat - steep) / FT**2 == close_to(32, "exact", "ft2")


def test_net_uplift_of_a_tank():
    """FEMA's retrofitting manual, example C7, worked by hand: 250 gal, 670 lb, factor 1.3: check 16.2."""
    found = flotation.net_uplift(670 * LB, 250 * 0.134 * FT**3, 1.3, 62.4 * PCF)
    assert found / LB == close_to(2048, 1, "lb")


def test_concrete_that_holds_the_tank():
    """The same example, 23.4 ft3, worked by hand: check 16.3."""
    found = flotation.ballast_volume(2048 * LB, 150 * PCF, 62.4 * PCF)
    assert found / FT**3 == close_to(23.4, 0.05, "ft3")


def test_volume_between_floats():
    """10 min, 600 gpm: 1500 gal (EI 11C201 as read; exact where the inflow is half the flow): check 16.10."""
    assert float_band.least_band_volume(600.0, 600 * GPM) / GAL == close_to(1500, "exact", "gal")


def test_time_from_start_to_start():
    """300 gal, 300 gpm out, 100 gpm in, exact: check 16.12."""
    assert float_band.cycle_time(300 * GAL, 300 * GPM, 100 * GPM) / 60 == close_to(4.5, "exact", "min")


def test_most_starts_an_hour():
    """Round well of 5 ft, floats 1.5 ft apart, 300 gpm, exact: check 16.13."""
    volume = 0.25 * math.pi * (5 * FT) ** 2 * 1.5 * FT
    starts = float_band.most_starts(volume, 300 * GPM)
    assert starts * 3600 == close_to(20.4249, "0.1 %", "1/h")
    assert 1 / float_band.cycle_time(volume, 300 * GPM, 150 * GPM) == pytest.approx(starts)


def test_time_until_a_trench_has_lost_depth():
    """W 50 m, 4 m deep, 1 m lost, 20 m2/yr: Kraus and Larson 2002, eq. 23 as read: check 19.10."""
    time = trench_silting.pit_fill_time(1.0, 4.0, 0.0, 1.0, 20.0 / YEAR, 50.0)
    assert time / YEAR == close_to(2.87682, "0.1 %", "yr")


def test_pit_without_creep_rises_by_settling_alone():
    """Without creep and trapping, growth alone: height / growth, exact; trapped, twice as fast."""
    growth = 0.02 / YEAR
    assert trench_silting.pit_fill_time(0.5, 1.0, growth, 1.0, 0.0, 1.0) / YEAR == pytest.approx(25)
    assert trench_silting.pit_fill_time(0.5, 1.0, growth, 2.0, 0.0, 1.0) / YEAR == pytest.approx(12.5)
    full = 1.0 + 0.02 * 50  # after 50 years flush with the bed, then with it
    assert trench_silting.pit_fill(60 * YEAR, 1.0, growth, 2.0, 0.0, 1.0) == pytest.approx(full + 0.2)
    assert trench_silting.pit_fill_time(0.5, 0.0, growth, 3.0, 1.0, 1.0) / YEAR == pytest.approx(25)
    assert trench_silting.pit_fill_time(0.5, 1.0, 0.0, 2.0, 0.0, 1.0) == math.inf


def test_pit_with_everything_against_small_steps():
    """The rates added up in small steps: an independent route."""
    depth, growth, trapping, creep, width = 0.9, 0.02 / YEAR, 2.5, 0.04 / YEAR, 0.9
    left, rise, step = depth, 0.0, YEAR / 2000
    for _ in range(2000 * 6):
        into = creep / width * left / depth
        left += step * (growth * (1.0 - trapping) - into)
        rise += step * (growth * trapping + into)
    assert trench_silting.pit_fill(6 * YEAR, depth, growth, trapping, creep, width) == pytest.approx(
        rise, rel=2e-3
    )


@pytest.mark.parametrize(
    ("ratio", "value"),
    [pytest.param(1.0, 1.59513, id="19.12"), pytest.param(0.45, 0.717808, id="19.13")],
)
def test_slope_under_water_and_drawn_down(ratio, value):
    """28 degrees, 3 to 1; infinite slope, exact."""
    assert trench_silting.slope_safety(math.radians(28), 3.0, ratio) == close_to(value, "0.1 %", "1")


def test_series_worth():
    """P/A at 5 %, 10 years, exact, as in printed interest tables: check 18.1."""
    assert money.series_worth_factor(0.05, 10) == close_to(7.7217, 6e-5, "1")


def test_capital_recovery():
    """A/P at 5 %, 10 years, exact, as printed: check 18.2."""
    assert money.capital_recovery_factor(0.05, 10) == close_to(0.1295, 6e-5, "1")


def test_present_worth_of_one_payment():
    """P/F at 5 %, 10 years, exact, as printed: check 18.3."""
    assert money.present_worth_factor(0.05, 10) == close_to(0.6139, 6e-5, "1")


@pytest.mark.parametrize(
    ("growth", "value"), [pytest.param(0.03, 8747.6, id="18.4"), pytest.param(0.05, 9523.81, id="18.5")]
)
def test_growing_cost(growth, value):
    """1000 at the end of the first year, 5 %, 10 years; exact, also where growth equals the rate."""
    assert 1000 * money.series_worth_factor(0.05, 10, growth) == close_to(value, "0.01 %", "USD")


def test_worth_of_a_plan():
    """48,000 first, 3,500 a year, three replacements, 6,000 left, exact: check 18.6."""
    found = money.plan_worth(48000, 3500, 0.05, 10, ((4, 900), (5, 1800), (8, 900)), 6000)
    assert found == close_to(74102.5, "0.01 %", "USD")


PSI = 6894.757293168


@pytest.mark.parametrize(
    ("contractions", "value"), [pytest.param(0, 396.318, id="17.1"), pytest.param(2, 394.666, id="17.2")]
)
def test_flow_from_the_head_over_a_lip(contractions, value):
    """6 ft, 1.5 in, Francis 1868, C 3.33 from memory."""
    found = hydraulics.weir_francis(6 * FT, 1.5 * IN, contractions)
    assert found / GPM == close_to(value, "0.1 %", "gpm")


def test_flow_over_a_broad_lip():
    """Ideal critical flow, C 3.0876 ft^0.5/s, exact: check 17.3."""
    found = hydraulics.broad_crested_weir(6 * FT, 1.5 * IN, 3.0876 * FT**0.5)
    assert found / GPM == close_to(367.469, "0.1 %", "gpm")


def test_head_over_a_lip_from_the_flow():
    """7 ft, 500 gpm, Francis 1868, C 3.33: check 17.4."""
    assert lip.head_over_sharp_lip(500 * GPM, 7 * FT) / IN == close_to(1.58032, "0.1 %", "in")


def test_three_phase_power():
    """230 V, 8.4 A, 0.82, by definition: check 17.7."""
    assert site_readings.supply_power(230.0, 8.4, 0.82, 3) == close_to(2743.98, "0.05 %", "W")


def test_single_phase_power():
    """230 V, 12.5 A, 0.9, by definition: check 17.8."""
    assert site_readings.supply_power(230.0, 12.5, 0.9, 1) == close_to(2587.5, "0.05 %", "W")


def test_wire_to_water():
    """600 gpm, 12 ft, 2744 W; gpm ft/3960 hp, by definition: check 17.9."""
    water = 62.4 * PCF  # kg/m3
    assert pumps.water_power(600 * GPM, 12 * FT, 1.0, water) / 2744 == close_to(0.494103, "0.1 %", "1")


def test_pump_head_from_a_gauge():
    """6.5 psi, gauge 3 ft over the water, 600 gpm in 6.065 in, exact: check 17.10."""
    velocity = pipes.pipe_velocity(600 * GPM, 6.065 * IN)
    assert site_readings.gauge_head(6.5 * PSI, 3 * FT, velocity) / FT == close_to(18.69, "0.1 %", "ft")


def test_flow_from_the_rise_of_a_well():
    """5 ft round, 6 in in 12 s, exact: check 17.11."""
    area = 0.25 * math.pi * (5 * FT) ** 2
    assert site_readings.well_inflow(area, 6 * IN, 12.0) / GPM == close_to(367.199, "0.1 %", "gpm")


def test_standard_air_from_actual():
    """12 cfm at 6 psi and 110 degF, 14.696 psi outside; ideal gas, exact: check 17.12."""
    kelvin = (110 - 32) / 1.8 + 273.15
    found = air_pipes.standard_from_free(12 * FT**3 / 60, (14.696 + 6) * PSI, kelvin)
    assert found * 60 / FT**3 == close_to(15.6534, "0.1 %", "ft3/min")


def test_air_caught_in_a_bucket():
    """5 gal in 40 s, 1 ft down; Boyle, exact: check 17.13."""
    found = site_readings.bucket_air(5 * GAL, 40.0, 1 * FT)
    assert found * 60 / FT**3 == close_to(1.03218, "0.2 %", "ft3/min")


def test_pressure_left_for_a_diffuser():
    """6 psi, 0.4 psi of line, 10 ft; statics, exact: check 17.14."""
    assert site_readings.pressure_left(6 * PSI, 0.4 * PSI, 10 * FT) / PSI == close_to(1.26667, 0.002, "psi")


def test_true_pressure_at_a_pond():
    """760 mmHg reduced to sea level, 640 ft: 744 mmHg (a state's procedure, read; by hand): check 17.15."""
    assert true_pressure(760 * 133.322, 640 * FT) / 133.322 == close_to(744, 0.1, "mmHg")


def test_meter_in_saturated_air():
    """22.3 degC, 744 mmHg, fresh water; Benson and Krause 1984: check 17.16."""
    found = oxygen.oxygen_saturation(22.3 + 273.15, 0.0, 744 * 133.322)
    assert found * 1e3 == close_to(8.50558, 0.003, "mg/L")


def test_reading_corrected_for_drift():
    """5.4 mg/L half way, 0 and 0.6 too high at the ends, exact: check 17.17."""
    assert drift_corrected(5.4, 0.0, 0.6, 0.5) == close_to(5.1, 0.0005, "mg/L")
