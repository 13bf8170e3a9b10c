"""What the circulation line delivers, against losses written a second time with a general library."""

from __future__ import annotations

import dataclasses

import fluids
import numpy as np
import pytest
from fluids import fittings as library
from scipy.interpolate import PchipInterpolator

from pondsim.design.circulation import line_sheet
from pondsim.site.circulation_line import (
    circulation_line,
    delivered,
    electric_power,
    suction_loss,
    system_head,
    well_level,
)
from pondsim.site.loop_table import loop_table
from pondsim.site.pump_curve import pump_curve
from tests.line_for_tests import PARTS, line_scenario

G, RHO, NU = 9.80665, 998.2, 1.0034e-6
FOOT, INCH = 0.3048, 0.0254
GPM = 3.785411784e-3 / 60.0
FLOWS = np.array([0.0, 200.0, 400.0, 600.0, 800.0]) * GPM
HEADS = np.array([28.0, 26.0, 22.5, 17.0, 9.0]) * FOOT
NORMAL = 10.0 * FOOT
LIP = NORMAL + 5.0 * FOOT
CURVE = PchipInterpolator(FLOWS, HEADS)


def run_loss(flow, bore, length, roughness, coefficient):
    """Head lost in a run, with the library's friction factor (Clamond) and its Reynolds number."""
    velocity = flow / (np.pi / 4 * bore**2)
    reynolds = fluids.core.Reynolds(V=velocity, D=bore, nu=NU)
    friction = fluids.friction.friction_factor(Re=reynolds, eD=roughness / bore, Method="Clamond")
    return (friction * length / bore + coefficient) * velocity**2 / (2 * G)


def suction(flow):
    """Grate, projecting entrance, 80 ft of 12 in, two 45 degree elbows, gate valve, exit."""
    bore = (12.750 - 2 * 0.406) * INCH
    gaps = 8 * FOOT**2 * 0.6 * 0.5
    grate = (1.45 - 0.45 * 0.3 - 0.3**2) * (flow / gaps) ** 2 / (2 * G)
    bends = 2 * library.bend_rounded(bore, 45.0, method="Crane standard")
    valve = library.K_gate_valve_Crane(bore, bore, 0.0)
    return grate + run_loss(flow, bore, 80 * FOOT, 1e-4, 0.78 + bends + valve + 1.0)


def discharge(flow):
    """150 ft of 6 in, four long radius elbows of 14 fT, swing check valve, exit."""
    bore = (6.625 - 2 * 0.280) * INCH
    bends = 4 * 14 * library.ft_Crane(bore)
    valve = library.K_swing_check_valve_Crane(D=bore, angled=True)
    return run_loss(flow, bore, 150 * FOOT, 5e-5, bends + valve + 1.0)


def scanned(pond, lip=LIP, pump=CURVE, most=800 * GPM, lift=lambda flow: 0.0):
    """Flow where pump and system cross, by a dense scan and a straight line in the last step."""
    flow = np.linspace(1e-4, most, 4001)
    over = np.array([pump(q) - (lip + lift(q) - pond + suction(q) + discharge(q)) for q in flow])
    at = np.flatnonzero(np.diff(np.sign(over)))
    assert at.size == 1
    i = int(at[0])
    return flow[i] + (flow[i + 1] - flow[i]) * over[i] / (over[i] - over[i + 1])


@pytest.fixture
def scenario(tmp_path):
    return line_scenario(tmp_path)


@pytest.mark.parametrize("pond_ft", [6.0, 9.0, 10.0, 13.0])
def test_operating_point_against_a_dense_scan(scenario, pond_ft):
    line = circulation_line(scenario)
    expected = scanned(pond_ft * FOOT)
    assert delivered(line, pond_ft * FOOT) == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("pond_ft", [9.0, 10.0, 13.0])
def test_well_stands_lower_than_the_pond_by_all_losses_of_the_gravity_line(scenario, pond_ft):
    line = circulation_line(scenario)
    flow = delivered(line, pond_ft * FOOT)
    expected = pond_ft * FOOT - suction(flow)
    assert well_level(line, flow, pond_ft * FOOT) == pytest.approx(expected, abs=2e-5)


def test_head_is_lift_from_the_well_to_the_lip_and_the_discharge(scenario):
    pool = line_sheet(scenario).normal
    assert pool.head == pytest.approx(LIP - pool.well_level + discharge(pool.flow), abs=1e-4)
    assert pool.static_lift == pytest.approx(LIP - pool.well_level, abs=1e-9)


def test_lip_given_by_its_crest(tmp_path):
    """The head over it by Francis rides on the crest: q = 3.33 h^1.5 in feet."""
    scenario = line_scenario(tmp_path, also={"waterfall": 'lip = "14.8 ft"'})
    expected = scanned(NORMAL, lip=14.8 * FOOT, lift=lambda q: (q / FOOT**3 / (3.33 * 5.0)) ** (2 / 3) * FOOT)
    assert delivered(circulation_line(scenario), NORMAL) == pytest.approx(expected, rel=1e-5)


def test_two_pumps_side_by_side_give_less_than_double(tmp_path):
    one = delivered(circulation_line(line_scenario(tmp_path)), NORMAL)
    pair = line_scenario(tmp_path, also={"pump": "count = 2"})
    two = delivered(circulation_line(pair), NORMAL)
    expected = scanned(NORMAL, pump=lambda q: CURVE(q / 2), most=1600 * GPM)
    assert two == pytest.approx(expected, rel=1e-5)
    assert one < two < 2 * one


def test_slower_pump_meets_the_real_system_and_its_power_falls_otherwise_than_the_cube(tmp_path):
    """Curve by affinity, H = s^2 H(Q/s), crossed with the system; the lift stays."""
    full = circulation_line(line_scenario(tmp_path))
    slow = circulation_line(line_scenario(tmp_path, also={"pump": "speed = 0.8"}))
    flow, slowed = delivered(full, NORMAL), delivered(slow, NORMAL)
    expected = scanned(NORMAL, pump=lambda q: 0.64 * CURVE(q / 0.8), most=640 * GPM)
    assert slowed == pytest.approx(expected, rel=1e-5)
    assert slowed < 0.8 * flow
    work = electric_power(slow, slowed, NORMAL) / slowed / (electric_power(full, flow, NORMAL) / flow)
    assert electric_power(slow, slowed, NORMAL) > (slowed / flow) ** 3 * electric_power(full, flow, NORMAL)
    assert work > 0.8**2  # each gallon costs more than the square of the speed: the lift is not saved


def test_without_lift_the_affinity_laws_hold(tmp_path):
    """A loop that only rubs: Q goes with speed, head with its square, up to the change of friction factor."""
    parts = {
        "waterfall": PARTS["waterfall"].replace('"5 ft"\nwidth', '"0.001 ft"\nwidth'),
        "gravity_line": PARTS["gravity_line"],
    }
    full = circulation_line(line_scenario(tmp_path, **parts))
    slow = circulation_line(line_scenario(tmp_path, also={"pump": "speed = 0.8"}, **parts))
    flow = delivered(full, NORMAL)
    assert delivered(slow, NORMAL) == pytest.approx(0.8 * flow, rel=5e-3)
    assert electric_power(slow, 0.8 * flow, NORMAL) == pytest.approx(
        0.8**3 * electric_power(full, flow, NORMAL), rel=1e-9
    )


def test_line_of_no_length_and_no_losses_lifts_only(tmp_path):
    """A wide short pipe: the flow is where the pump's curve has the lift itself."""
    scenario = line_scenario(
        tmp_path,
        intake='zone = "deep pool"\nelevation = "5 ft"',
        gravity_line='inside_diameter = "59 in"\nlength = "0 ft"',
        discharge='inside_diameter = "59 in"\nlength = "0 ft"',
    )
    # the lift lies beyond the last point of the curve: on the straight line through the last two
    expected = FLOWS[-1] + (9.0 - 5.0) / (17.0 - 9.0) * 200 * GPM
    assert delivered(circulation_line(scenario), NORMAL) == pytest.approx(expected, rel=2e-3)


def test_table_is_straight_to_a_thousandth(scenario):
    line, table = circulation_line(scenario), loop_table(scenario)
    levels = np.linspace(table.pond_level[0], table.pond_level[-1], 401)
    exact = np.array([delivered(line, float(level)) for level in levels])
    assert np.interp(levels, table.pond_level, table.flow) == pytest.approx(exact, rel=1e-3)
    power = np.array([electric_power(line, q, z) for q, z in zip(exact, levels, strict=True)])
    assert np.interp(levels, table.pond_level, table.power) == pytest.approx(power, rel=1e-3)
    well = np.array([well_level(line, q, z) for q, z in zip(exact, levels, strict=True)])
    assert np.interp(levels, table.pond_level, table.well_level) == pytest.approx(well, abs=1e-3)


def test_table_ends_where_the_pump_no_longer_reaches(tmp_path):
    """20 ft of shutoff head and a lip 17 ft over the lowest levels: nothing comes below 5.5 ft but power."""
    scenario = line_scenario(
        tmp_path,
        pump='rated_flow = "400 gpm"\nrated_head = "7.3077 ft"\nefficiency = 0.6',
        intake='zone = "deep pool"\nelevation = "3 ft"',
    )
    table = loop_table(scenario)
    dry = table.pond_level < (15.0 - 1.3 * 7.3077) * FOOT - 1e-6
    assert dry.any() and not dry.all()
    assert np.all(table.flow[dry] == 0.0) and np.all(table.flow[~dry] >= 0.0)
    assert np.all(table.power[dry] > 0.0)
    line = circulation_line(scenario)
    levels = np.linspace(table.pond_level[0], table.pond_level[-1], 801)
    exact = np.array([delivered(line, float(level)) for level in levels])
    near = np.interp(levels, table.pond_level, table.flow) - exact
    assert np.max(np.abs(near)) < 1e-3 * exact.max()


def test_table_spans_intake_to_bank_top_and_names_the_float(scenario):
    table = loop_table(scenario)
    assert table.pond_level[0] == pytest.approx(5.0 * FOOT)
    assert table.pond_level[-1] == pytest.approx(13.0 * FOOT)
    assert np.all(np.diff(table.pond_level) > 0.0) and np.all(np.diff(table.flow) > 0.0)
    assert table.pump_off == pytest.approx(7.0 * FOOT)


def test_stated_flow_alone_is_as_before(tmp_path):
    """Drop + 2 m at 50 % wire to water; the well is the pond."""
    parts = dict.fromkeys(("gravity_line", "wet_well", "discharge"))
    table = loop_table(line_scenario(tmp_path, pump='flow = "300 gpm"', **parts))
    expected = RHO * G * 300 * GPM * (5.0 * FOOT + 2.0) / 0.5
    assert np.all(table.flow == pytest.approx(300 * GPM))
    assert np.all(table.power == pytest.approx(expected))
    assert np.all(table.well_level == table.pond_level)
    assert table.pump_off == -np.inf


def test_stated_flow_with_its_line_draws_the_well_down_and_pays_for_the_lift(tmp_path):
    scenario = line_scenario(tmp_path, pump='flow = "500 gpm"\nwire_to_water = 0.6')
    table, flow = loop_table(scenario), 500 * GPM
    assert np.all(table.flow == pytest.approx(flow))
    assert table.well_level == pytest.approx(table.pond_level - suction(flow), abs=2e-5)
    head = LIP - table.pond_level + suction(flow) + discharge(flow)
    assert table.power == pytest.approx(RHO * G * flow * head / 0.6, rel=1e-4)


def test_metered_power_stays_as_metered(tmp_path):
    table = loop_table(line_scenario(tmp_path, also={"pump": 'power = "3.2 kW"'}))
    assert np.all(table.power == pytest.approx(3200.0))


def test_power_comes_from_the_efficiency_at_that_flow(scenario):
    """At a point of the curve: rho g Q H / (eta_pump eta_motor), the motor at its default of 85 %."""
    curve = pump_curve(scenario.pump)
    expected = RHO * G * FLOWS[2] * HEADS[2] / 0.65
    assert curve.shaft_power_at(FLOWS[2]) == pytest.approx(expected)
    assert curve.electric_power_at(FLOWS[2]) == pytest.approx(expected / 0.85)


def test_shaft_power_read_from_the_sheet(tmp_path):
    pump = PARTS["pump"].replace(
        'curve_efficiency = ["0 %", "45 %", "65 %", "66 %", "48 %"]',
        'curve_power = ["1.5 hp", "2 hp", "2.5 hp", "3 hp", "3.2 hp"]\nmotor_efficiency = 0.8',
    )
    curve = pump_curve(line_scenario(tmp_path, pump=pump).pump)
    assert curve.electric_power_at(600 * GPM) == pytest.approx(3 * 745.699872 / 0.8, rel=1e-6)


def test_pump_below_the_pond_without_a_well_draws_through_the_line(tmp_path):
    """No well: its losses stand before the pump, less the exit into a well that is not there."""
    scenario = line_scenario(tmp_path, wet_well=None)
    line = circulation_line(scenario)
    flow = 500 * GPM
    bore = (12.750 - 2 * 0.406) * INCH
    velocity = flow / (np.pi / 4 * bore**2)
    assert suction_loss(line, flow) == pytest.approx(suction(flow) - velocity**2 / (2 * G), abs=2e-5)
    assert loop_table(scenario).pump_off == -np.inf


def test_narrow_opening_before_a_wide_line(tmp_path):
    """A 10 in opening into the 12 in line: entrance at its own velocity, then (1 - a)^2 of it."""
    wide = circulation_line(line_scenario(tmp_path))
    narrow = circulation_line(line_scenario(tmp_path, also={"intake": 'inside_diameter = "10 in"'}))
    flow, bore = 500 * GPM, (12.750 - 2 * 0.406) * INCH
    head = (flow / (np.pi / 4 * (10 * INCH) ** 2)) ** 2 / (2 * G)
    was = (flow / (np.pi / 4 * bore**2)) ** 2 / (2 * G)
    expected = 0.78 * (head - was) + (1 - (10 * INCH / bore) ** 2) ** 2 * head
    assert suction_loss(narrow, flow) - suction_loss(wide, flow) == pytest.approx(expected, rel=1e-6)


def test_system_head_rises_with_flow(scenario):
    line = circulation_line(scenario)
    heads = [system_head(line, float(q), NORMAL) for q in np.linspace(0.0, 0.06, 400)]
    assert np.all(np.diff(heads) >= 0.0)
    assert heads[0] == pytest.approx(5.0 * FOOT)


def test_settings_are_frozen(scenario):
    with pytest.raises(dataclasses.FrozenInstanceError):
        circulation_line(scenario).opening = 1.0
