"""What the air line delivers: points of a curve, tables over depth, and an intersection found another way."""

from __future__ import annotations

import math

import fluids
import numpy as np
import pytest
from scipy import optimize

from pondsim.errors import ScenarioError
from pondsim.scenario.read import read_scenario
from pondsim.site.air_line import air_point, air_table
from pondsim.site.air_source import source_curve
from tests.scenarios_for_tests import minimal_design, minimal_site, write_design

SCFM = 0.3048**3 / 60.0
PSI = 6894.757293168
FT = 0.3048
G, RHO, ATM, R = 9.80665, 998.2, 101325.0, 8314.0 / 28.97
SITE = ATM * (1.0 - 2.25577e-5 * 100.0) ** 5.25588  # the small test pond lies at 100 m

PISTON = """
source = "compressor"
source_free_flow = ["4.4 cfm", "3.9 cfm", "3.5 cfm", "3.0 cfm"]
source_pressure = ["0 psi", "5 psi", "10 psi", "20 psi"]
"""
BLOWER = """
source = "blower"
source_flow = ["40 scfm", "30 scfm", "18 scfm", "0 scfm"]
source_pressure = ["0 psi", "2 psi", "4 psi", "6 psi"]
"""
TUBING = """
tubing_diameter = "0.5 in"
tubing_length = "200 ft"
"""
MAIN = """
line_diameter = "1 in"
line_length = "80 ft"
"""


def unit_of(tmp_path, text, site=None):
    """The aeration unit of the small design with another way to state its air, and the scenario."""
    design = minimal_design().replace('air_flow = "1.5 scfm"\n', text.strip() + "\n")
    scenario = read_scenario(write_design(tmp_path, design, site))
    return scenario.aeration[0], scenario


def test_stated_air_flow_is_kept_and_its_power_rises_with_depth(tmp_path):
    """Power by Metcalf and Eddy's form written out, at 9 ft of water and 1 psi of losses."""
    unit, scenario = unit_of(tmp_path, 'air_flow = "1.5 scfm"')
    table = air_table(unit, scenario)
    assert table.air_flow == pytest.approx(np.full(len(table.depth), 1.5 * SCFM))
    depth = 9 * FT
    outlet = SITE + RHO * G * depth + PSI
    mass = 3 * SCFM * 0.075 * 0.45359237 / 0.3048**3
    watts = mass * R * 298.15 / (0.283 * 0.4) * ((outlet / SITE) ** 0.283 - 1.0)
    assert np.interp(depth, table.depth, table.power) == pytest.approx(watts, rel=1e-3)
    assert np.all(np.diff(table.power) > 0.0)


def test_free_air_of_a_curve_becomes_standard(tmp_path):
    """4.4 cfm drawn in at 77 degF and 100 m: 4.4 x 0.9882 atm x 527.67/536.67 scfm."""
    unit, scenario = unit_of(tmp_path, PISTON)
    curve = source_curve(unit, scenario)
    assert curve.flow[0] / SCFM == pytest.approx(4.4 * 0.98819 * 527.67 / 536.67, rel=1e-4)
    unit, scenario = unit_of(tmp_path, PISTON + 'inlet_temperature = "104 degF"\n')
    assert source_curve(unit, scenario).flow[0] / SCFM == pytest.approx(
        4.4 * 0.98819 * 527.67 / 563.67, rel=1e-4
    )


def test_a_curve_may_begin_at_either_end(tmp_path):
    turned = BLOWER.replace(
        '["40 scfm", "30 scfm", "18 scfm", "0 scfm"]', '["0 scfm", "18 scfm", "30 scfm", "40 scfm"]'
    )
    turned = turned.replace('["0 psi", "2 psi", "4 psi", "6 psi"]', '["6 psi", "4 psi", "2 psi", "0 psi"]')
    one, other = source_curve(*unit_of(tmp_path, BLOWER)), source_curve(*unit_of(tmp_path, turned))
    assert np.array_equal(one.flow, other.flow)
    assert np.array_equal(one.pressure, other.pressure)


def test_without_tubing_the_point_is_read_off_the_curve(tmp_path):
    """2 psi of water and 1 psi of losses: half-way on a straight line of the curve."""
    unit, scenario = unit_of(tmp_path, BLOWER + 'line_loss = "1 psi"\n')
    depth = 2 * PSI / (RHO * G)
    point = air_point(unit, scenario, depth)
    assert point.air_flow / SCFM == pytest.approx(24.0, rel=1e-9)
    assert point.pressure == pytest.approx(3 * PSI, rel=1e-9)
    assert math.isnan(point.tubing_velocity)


def intersection(points, depth, lines, diameter, length, least, main=None, diffuser=0.5 * PSI):
    """Where curve and line meet, by another root finder and the laws of a general library."""
    flow, pressure = (np.array(column, dtype=float) for column in zip(*points, strict=True))

    def tube(mass, end, diameter, length):
        viscosity = fluids.ATMOSPHERE_1976.viscosity(293.15)
        reynolds = 4.0 * mass / (math.pi * diameter * viscosity)
        assert reynolds > 4000.0  # turbulent, where no judgement enters
        factor = fluids.friction.Colebrook(reynolds, 1.5e-6 / diameter)

        def gap(head):
            carried = fluids.compressible.isothermal_gas(
                rho=head / (R * 293.15), fd=factor, P1=head, P2=end, L=length, D=diameter
            )
            return carried - mass

        return optimize.brentq(gap, end * (1 + 1e-9), 2 * end, xtol=1e-4, rtol=1e-12)

    def spare(air):
        mass = air * 0.075 * 0.45359237 / 0.3048**3
        head = tube(mass / lines, SITE + RHO * G * depth + diffuser, diameter, length)
        if main is not None:
            head = tube(mass, head, *main)
        return np.interp(air, flow[::-1], pressure[::-1]) - (head - SITE)

    return optimize.brentq(spare, least * flow[0], 0.999 * flow[0], xtol=1e-12)


FREE = SITE / ATM * 293.15 / 298.15  # free to standard at the test pond


@pytest.mark.parametrize("feet", [2.0, 9.0, 12.0])
def test_operating_point_of_a_compressor_on_half_inch_tubing(tmp_path, feet):
    unit, scenario = unit_of(tmp_path, PISTON + TUBING + "tubing_lines = 1\n")
    points = [(q * SCFM * FREE, p * PSI) for q, p in ((4.4, 0), (3.9, 5), (3.5, 10), (3.0, 20))]
    expected = intersection(points, feet * FT, 1, 0.0127, 200 * FT, 0.5)
    point = air_point(unit, scenario, feet * FT)
    assert point.air_flow == pytest.approx(expected, rel=1e-4)
    assert point.water + point.diffuser + point.tubing == pytest.approx(point.pressure, rel=1e-9)


@pytest.mark.parametrize("feet", [2.0, 7.0])
def test_operating_point_with_a_main_line(tmp_path, feet):
    tubing = TUBING.replace("0.5 in", "0.75 in").replace("200 ft", "50 ft")
    unit, scenario = unit_of(tmp_path, BLOWER + tubing + MAIN)
    points = [(q * SCFM, p * PSI) for q, p in ((40, 0), (30, 2), (18, 4), (0, 6))]
    expected = intersection(points, feet * FT, 2, 0.01905, 50 * FT, 0.2, main=(0.0254, 80 * FT))
    point = air_point(unit, scenario, feet * FT)
    assert point.air_flow == pytest.approx(expected, rel=1e-4)
    assert point.main_line > 0.1 * PSI


def table_error(unit, scenario):
    """Largest misses of straight lines between the rows, as shares of the largest air and power."""
    table = air_table(unit, scenario)
    assert np.all(np.diff(table.depth) > 0.0)
    missed_air, missed_power = [], []
    for depth in np.random.default_rng(1).uniform(0.0, table.depth[-1], 400):
        point = air_point(unit, scenario, depth)
        air = unit.diffusers * np.interp(depth, table.depth, table.air_flow)
        missed_air.append(abs(air - point.air_flow) / (point.air_flow or table.air_flow[0]))
        missed_power.append(abs(np.interp(depth, table.depth, table.power) / point.power - 1.0))
    return max(missed_air), max(missed_power)


@pytest.mark.parametrize(
    "text",
    ['air_flow = "1.5 scfm"', PISTON + TUBING, BLOWER + TUBING, BLOWER + TUBING + MAIN, BLOWER],
    ids=["stated", "piston", "blower", "main line", "no tubing"],
)
def test_straight_lines_of_the_table_miss_less_than_a_thousandth(tmp_path, text):
    air, power = table_error(*unit_of(tmp_path, text))
    assert air < 1e-3
    assert power < 1e-3


def test_a_source_gives_less_the_deeper_and_at_last_nothing(tmp_path):
    """The blower's 6 psi less 0.5 psi of the diffuser carry 5.5 psi of water, 12.7 ft."""
    unit, scenario = unit_of(tmp_path, BLOWER + TUBING, site=deep_site())
    reach = 5.5 * PSI / (RHO * G)
    assert reach / FT == pytest.approx(12.71, abs=0.01)
    assert air_point(unit, scenario, reach - 0.001).air_flow > 0.0
    assert air_point(unit, scenario, reach + 0.001).air_flow == 0.0
    table = air_table(unit, scenario)
    assert np.all(np.diff(table.air_flow) <= 0.0)
    assert np.interp(reach + 0.01, table.depth, table.air_flow) == 0.0
    assert table.air_flow[-1] == 0.0
    assert table.power[-1] > 0.0  # it goes on drawing power, and stirs nothing


def deep_site():
    """The small pond with banks so high that the source is beaten below the bank top."""
    return minimal_site().replace('bank_top = "13 ft"', 'bank_top = "15 ft"').replace('"13 ft"]', '"15 ft"]')


def test_at_its_highest_pressure_a_source_blows_off_what_the_line_does_not_take(tmp_path):
    """Rated 10 scfm at 4.5 psi: at most 5.625 psi, which the line gets; power is the source."""
    text = 'source = "blower"\nrated_flow = "10 scfm"\nrated_pressure = "4.5 psi"\n'
    unit, scenario = unit_of(tmp_path, text + TUBING)
    curve = source_curve(unit, scenario)
    assert curve.generic
    assert curve.pressure / PSI == pytest.approx([0.0, 4.5, 5.625])
    assert curve.flow / SCFM == pytest.approx([15.0, 10.0, 8.75])  # straight on from the rated point
    point = air_point(unit, scenario, 9 * FT)
    assert 0.0 < point.air_flow < 8.75 * SCFM
    assert point.pressure == pytest.approx(5.625 * PSI, rel=1e-9)
    mass = 8.75 * SCFM * 0.075 * 0.45359237 / 0.3048**3
    ratio = (SITE + 5.625 * PSI) / SITE
    assert point.power == pytest.approx(mass * R * 298.15 / (0.283 * 0.4) * (ratio**0.283 - 1.0), rel=1e-9)


def test_stated_power_goes_before_the_curve_and_the_curve_before_the_equation(tmp_path):
    watts = 'source_power = ["200 W", "260 W", "320 W", "400 W"]\n'
    unit, scenario = unit_of(tmp_path, PISTON + watts)
    depth = (7.5 - 1.0) * PSI / (RHO * G)  # 7.5 psi at the source
    assert air_point(unit, scenario, depth).power == pytest.approx(290.0, rel=1e-9)
    unit, scenario = unit_of(tmp_path, PISTON + 'power = "0.4 hp"\n')
    assert air_point(unit, scenario, depth).power == pytest.approx(298.28, rel=1e-4)


def test_thinner_longer_shared_and_fouled_lines_give_less(tmp_path):
    def air(text):
        unit, scenario = unit_of(tmp_path, BLOWER + text)
        return air_point(unit, scenario, 8 * FT).air_flow

    plain = air(TUBING)
    for change in (
        TUBING.replace("0.5 in", "0.375 in"),
        TUBING.replace("200 ft", "400 ft"),
        TUBING + "tubing_lines = 1\n",
        TUBING + "tubing_fittings = 20\n",
        TUBING + "fouling = 2\n",
        TUBING + MAIN,
        TUBING + 'tubing_roughness = "0.5 mm"\n',
    ):
        assert air(change) < plain, change


def test_high_up_the_same_free_air_is_less(tmp_path):
    low = unit_of(tmp_path, PISTON + TUBING)
    high = unit_of(tmp_path, PISTON + TUBING, site=minimal_site().replace('"100 m"', '"5000 ft"'))
    share = air_point(*high, 9 * FT).air_flow / air_point(*low, 9 * FT).air_flow
    assert share == pytest.approx(0.8320 / 0.98819, rel=0.02)


def test_a_source_beaten_by_its_line_at_normal_pool_is_an_error(tmp_path):
    unit, scenario = unit_of(tmp_path, BLOWER + TUBING)
    weak = scenario.pond.normal_pool + 10.0
    deep = type(scenario.pond)(**{**vars(scenario.pond), "normal_pool": weak, "bank_top": weak + 1.0})
    with pytest.raises(ScenarioError, match="gives no air at normal pool"):
        air_table(unit, type(scenario)(**{**vars(scenario), "pond": deep}))


def test_no_air_is_a_unit_that_does_nothing(tmp_path):
    table = air_table(*unit_of(tmp_path, 'air_flow = "0 scfm"'))
    assert np.all(table.air_flow == 0.0)
    assert np.all(table.power == 0.0)
