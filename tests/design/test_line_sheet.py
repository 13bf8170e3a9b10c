"""The line on the design sheet: velocities, water over the pipe, starving, the start, the profile."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from pondsim.design.circulation import limits, line_sheet
from pondsim.design.limits import Limit
from pondsim.design.line_sheet import _pumped
from pondsim.design.sheet import design_sheet
from pondsim.design.well_start import Swing, time_to_fall, well_start
from pondsim.scenario.read import read_scenario
from pondsim.site.circulation_line import circulation_line, suction_loss
from pondsim.units import DISPLAY
from tests.line_for_tests import PARTS, line_scenario
from tests.scenarios_for_tests import write_site

G = 9.80665
FOOT, INCH = 0.3048, 0.0254
GPM = 3.785411784e-3 / 60.0
PUMP = 'flow = "705 gpm"'
BARE = dict.fromkeys(("gravity_line", "wet_well", "discharge"))


@pytest.fixture
def scenario(tmp_path):
    return line_scenario(tmp_path)


def stated(tmp_path, flow, **also):
    return line_scenario(tmp_path, also=also, pump=f'flow = "{flow}"')


def limit(scenario, part, words):
    found = [one for one in limits(scenario) if one.part == part and words in one.what]
    assert len(found) == 1, [one.what for one in limits(scenario) if one.part == part]
    return found[0]


def test_velocities_of_a_12_inch_line(tmp_path):
    """705 gpm in 12.00 in is 2 ft/s: checks.md topic 11. 8 ft2 of grate, 60 % gaps, half of them blocked."""
    pool = line_sheet(stated(tmp_path, "705 gpm", intake='inside_diameter = "12 in"')).normal
    assert pool.intake_velocity / FOOT == pytest.approx(2.0, abs=5e-4)
    flow = 705 * GPM / FOOT**3  # ft3/s
    assert pool.grate_face_velocity / FOOT == pytest.approx(flow / 8)
    assert pool.grate_velocity / FOOT == pytest.approx(flow / (8 * 0.6))
    assert pool.grate_velocity_blocked / FOOT == pytest.approx(flow / (8 * 0.3))


def test_water_over_the_pipe_from_its_top_and_from_its_centre(tmp_path):
    """Centre at 5 ft, 12 in bore, low pool 9 ft; HI depth 1.81 ft at 2 ft/s: check 11.8."""
    pool = line_sheet(stated(tmp_path, "705 gpm", intake='inside_diameter = "12 in"')).low
    assert pool.cover_centre / FOOT == pytest.approx(4.0)
    assert pool.cover_top / FOOT == pytest.approx(3.5)
    assert pool.submergence / FOOT == pytest.approx(1.811, rel=2e-3)


@pytest.mark.parametrize(
    ("elevation", "practice", "top", "centre"),
    [
        ("5 ft", "pass", "pass", "pass"),
        ("6.6 ft", "warn", "pass", "pass"),  # 1.9 ft over the top: less than 2 ft, more than 1.81 ft
        ("7 ft", "warn", "warn", "pass"),  # 1.5 ft over the top, 2 ft over the centre
        ("7.4 ft", "warn", "warn", "fail"),  # 1.6 ft over the centre
        ("8.8 ft", "fail", "warn", "fail"),  # the top is dry
    ],
)
def test_cover_by_practice_and_by_the_hydraulic_institute(tmp_path, elevation, practice, top, centre):
    """Both readings of S, which at 2 ft/s in 12 in is 1.81 ft: check 11.8."""
    intake = f'zone = "deep pool"\nelevation = "{elevation}"\ninside_diameter = "12 in"'
    scenario = line_scenario(tmp_path, intake=intake, pump='flow = "705 gpm"')
    assert limit(scenario, "intake", "over the top of the pipe at low pool").verdict == practice
    assert limit(scenario, "intake", "top of the pipe against vortices").verdict == top
    assert limit(scenario, "intake", "centerline against vortices").verdict == centre


def test_practice_and_its_numbers(scenario):
    """2 ft/s and 2 ft: checks 11.15 and 11.16."""
    assert scenario.intake.max_pipe_velocity / FOOT == pytest.approx(2.0, abs=0.01)
    assert scenario.intake.min_cover / FOOT == pytest.approx(2.0, abs=0.01)
    for words in ("velocity in the pipe at normal pool", "over the top of the pipe at low pool"):
        assert limit(scenario, "intake", words).source == "common practice, no source"


def test_three_velocity_limits_are_told_apart(tmp_path):
    scenario = stated(tmp_path, "300 gpm", intake='min_pipe_velocity = "1.2 ft/s"')
    assert limit(scenario, "intake", "50 % blocked").most / FOOT == pytest.approx(0.5)
    assert limit(scenario, "gravity line", "head loss").most / FOOT == pytest.approx(2.0)
    silt = limit(scenario, "gravity line", "silt")
    assert silt.least / FOOT == pytest.approx(1.2)
    assert (silt.verdict, silt.value / FOOT) == ("warn", pytest.approx(0.86, abs=0.01))


@pytest.mark.parametrize("name", ["low", "normal", "high"])
def test_starving_flow_brings_the_well_to_pump_off(scenario, name):
    """By its definition: at that flow the losses are the water over the float."""
    pool, line = getattr(line_sheet(scenario), name), circulation_line(scenario)
    assert pool.pond_level - suction_loss(line, pool.starving_flow) == pytest.approx(7.0 * FOOT, abs=1e-6)
    assert pool.starved_by == "the well falls to pump-off"


def test_gravity_line_that_runs_dry_before_the_float(tmp_path):
    scenario = line_scenario(tmp_path, also={"gravity_line": 'outlet = "7.8 ft"'})
    pool = line_sheet(scenario).low
    lost = suction_loss(circulation_line(scenario), pool.starving_flow)
    assert pool.pond_level - lost == pytest.approx(7.8 * FOOT, abs=1e-6)
    assert "dry at the well" in pool.starved_by


def test_float_over_the_pond_starves_at_once(tmp_path):
    well = PARTS["wet_well"].replace('"7 ft"', '"9.2 ft"').replace('alarm = "7.5 ft"', "")
    scenario = line_scenario(tmp_path, wet_well=well)
    assert line_sheet(scenario).low.starving_flow == 0.0
    assert limit(scenario, "intake", "maximum flow of the intake").verdict == "fail"
    assert limit(scenario, "wet well", "pump-off at low pool, pump running").verdict == "fail"


def test_opening_that_falls_dry_limits_the_flow(tmp_path):
    """No well: at low pool a 12 in opening whose centre is at the water passes what half a hole does.

    Strips of the wet half at their own heads, coefficient 0.6, summed.
    """
    intake = 'zone = "deep pool"\nelevation = "8.99 ft"\ninside_diameter = "12 in"'
    scenario = line_scenario(tmp_path, intake=intake, pump='flow = "705 gpm"', **BARE)
    pool = line_sheet(scenario).low
    depth = np.linspace(0.0, 0.51 * FOOT, 20001)
    depth = 0.5 * (depth[1:] + depth[:-1])
    up = 0.51 * FOOT - depth
    width = 2 * np.sqrt(up * (FOOT - up))
    strips = 0.6 * np.sum(width * np.sqrt(2 * G * depth)) * 0.51 * FOOT / 20000
    assert pool.starving_flow == pytest.approx(strips, rel=0.06)
    assert pool.starved_by == "the opening falls dry"


def test_covered_opening_with_no_well_starves_never(tmp_path):
    scenario = line_scenario(tmp_path, also={"intake": 'inside_diameter = "12 in"'}, **{**BARE, "pump": PUMP})
    assert math.isinf(line_sheet(scenario).normal.starving_flow)
    assert limit(scenario, "intake", "maximum flow of the intake").verdict == "reported"


def test_well_swings_as_a_surge_tank_without_losses():
    """Q sqrt(L/(g A well)) a quarter period after the start: exact."""
    length, pipe, well, flow = 30.0, 0.07, 2.6, 0.04
    found = well_start(Swing(lambda q: 0.0, lambda fall: flow, length, pipe, well))
    assert found.fall == pytest.approx(flow * math.sqrt(length / (G * pipe * well)), rel=1e-4)
    assert found.time == pytest.approx(math.pi / 2 * math.sqrt(length * well / (G * pipe)), rel=1e-4)


def test_time_to_a_fall_without_losses():
    """sin(w t) Q sqrt(L/(g A well)) is the fall, w the root of g A/(L well): half of the most at pi/6."""
    length, pipe, well, flow = 30.0, 0.07, 2.6, 0.04
    most = flow * math.sqrt(length / (G * pipe * well))
    swing = Swing(lambda q: 0.0, lambda fall: flow, length, pipe, well)
    time = math.pi / 6 * math.sqrt(length * well / (G * pipe))
    assert time_to_fall(swing, 0.5 * most) == pytest.approx(time, rel=1e-4)
    assert math.isinf(time_to_fall(swing, 1.1 * most))


def test_well_that_does_not_swing_comes_to_rest_at_the_loss():
    """A wide well and a short rough line: the fall is the loss at the pump's flow."""
    found = well_start(Swing(lambda q: 400.0 * q * q, lambda fall: 0.04, 3.0, 0.03, 12.0))
    assert found.fall == pytest.approx(400.0 * 0.04**2, rel=0.02)


def test_start_of_the_pump_against_a_march_by_hand(tmp_path):
    """The same two equations with constant pump flow, by small steps in time."""
    scenario = stated(tmp_path, "600 gpm")
    line, pool = circulation_line(scenario), line_sheet(scenario).normal
    flow, fall, time, step = 0.0, 0.0, 0.0, 0.005
    pipe, well = math.pi / 4 * line.gravity.diameter**2, math.pi / 4 * (6 * FOOT) ** 2
    while flow < 600 * GPM:
        flow += step * G * pipe / (80 * FOOT) * (fall - suction_loss(line, flow))
        fall += step * (600 * GPM - flow) / well
        time += step
    assert pool.start.fall == pytest.approx(fall, rel=2e-3)
    assert pool.start.time == pytest.approx(time, rel=5e-3)
    assert pool.start.fall > suction_loss(line, 600 * GPM)


def test_start_with_a_curve_against_another_integrator(scenario):
    """Pump flow at each fall from the curve and the discharge; Radau in place of LSODA."""
    line, pool = circulation_line(scenario), line_sheet(scenario).normal
    pipe, well = math.pi / 4 * line.gravity.diameter**2, math.pi / 4 * (6 * FOOT) ** 2

    def rates(_time, state):
        lost = suction_loss(line, abs(state[0])) * np.sign(state[0])
        pumped = _pumped(line, pool.pond_level, float(state[1]))
        return [G * pipe / (80 * FOOT) * (state[1] - lost), (pumped - state[0]) / well]

    run = solve_ivp(rates, (0.0, 60.0), [0.0, 0.0], method="Radau", rtol=1e-7, atol=1e-10)
    assert pool.start.fall == pytest.approx(run.y[1].max(), rel=1e-3)


def test_start_that_trips_the_float_is_told(tmp_path):
    well = PARTS["wet_well"].replace('"7 ft"', '"8.6 ft"').replace('alarm = "7.5 ft"', 'alarm = "8.7 ft"')
    scenario = line_scenario(tmp_path, wet_well=well)
    assert limit(scenario, "wet well", "pump-off at low pool, pump running").verdict == "pass"
    assert limit(scenario, "wet well", "low pool when the pump starts").verdict == "fail"


def test_suction_head_and_what_the_pump_needs(tmp_path):
    """Air pressure at 100 m by the 1976 standard atmosphere, 100129 Pa; 28 degC: 3782 Pa, 996.23 kg/m3."""
    also = {"pump": 'elevation = "2 ft"\nnpsh_required = "11 m"'}
    scenario = line_scenario(tmp_path, also=also)
    pool = line_sheet(scenario).low
    expected = (100129 - 3782) / (996.23 * G) + pool.well_level - 2 * FOOT
    assert pool.npsh_available == pytest.approx(expected, abs=0.01)
    assert limit(scenario, "pump", "NPSH").verdict == "pass"
    thirsty = line_scenario(tmp_path, also={"pump": 'npsh_required = "14 m"'})
    assert limit(thirsty, "pump", "NPSH").verdict == "fail"


def test_overloaded_motor_and_flow_off_the_curve(tmp_path):
    small = line_scenario(tmp_path, also={"pump": 'nameplate_power = "3 hp"'})
    assert limit(small, "pump", "shaft power").verdict == "fail"
    big = line_scenario(tmp_path, also={"pump": 'nameplate_power = "5 hp"'})
    assert limit(big, "pump", "shaft power").verdict == "pass"
    wide = line_scenario(tmp_path, discharge=PARTS["discharge"].replace('"6 in"', '"10 in"'))
    assert limit(wide, "pump", "flow at bank top on its curve").verdict == "warn"


def test_pump_and_system_cross_where_the_sheet_says(scenario):
    sheet = line_sheet(scenario)
    for row, pool in enumerate(sheet.pools):
        over = sheet.curves.pump - sheet.curves.system[row]
        at = np.interp(0.0, -over, sheet.curves.flow)
        assert at == pytest.approx(pool.flow, rel=1e-3)
    assert sheet.curves.points[0] / GPM == pytest.approx([0, 200, 400, 600, 800])
    assert sheet.curves.points[1] / FOOT == pytest.approx([28, 26, 22.5, 17, 9])


def test_profile_falls_to_the_well_and_rises_to_the_lip(scenario):
    sheet = line_sheet(scenario)
    names = [station.name for station in sheet.stations]
    assert names == ["pond", "grate", "pipe inlet", "pipe outlet", "wet well", "pump", "lip"]
    by_name = {station.name: station for station in sheet.stations}
    for row, pool in enumerate(sheet.pools):
        energy = [by_name[name].energy[row] for name in names]
        assert np.all(np.diff(energy[:5]) < 0.0)
        assert energy[0] == pool.pond_level
        assert energy[4] == pytest.approx(pool.well_level, abs=1e-9)
        assert energy[5] - energy[4] == pytest.approx(pool.head, abs=1e-9)
        assert energy[5] - energy[6] == pytest.approx(pool.discharge_loss, abs=1e-9)
        velocity_head = pool.gravity_velocity**2 / (2 * G)
        assert by_name["pipe outlet"].water[row] == pytest.approx(energy[3] - velocity_head)
        assert energy[3] - energy[4] == pytest.approx(velocity_head)  # lost where the pipe ends
    assert by_name["pipe inlet"].bottom == pytest.approx(5 * FOOT - 0.5 * sheet.bores[0])
    assert by_name["lip"].distance == pytest.approx(230 * FOOT)
    assert sheet.gravity_pipe == "12 in PVC schedule 40, ASTM D1785"


def test_waterfall_of_300_gpm(tmp_path):
    """Over 6 ft: critical depth 22.187 mm (11.13), 0.715 of it at the brink, 1.2459 in of head (11.14)."""
    scenario = line_scenario(
        tmp_path,
        pump='flow = "300 gpm"',
        waterfall='zone = "cove"\ndrop = "4 ft"\nwidth = "6 ft"\nsteps = 2',
        **BARE,
    )
    fall = line_sheet(scenario).waterfall
    assert fall.critical_depth * 1e3 == pytest.approx(22.187, rel=2e-3)
    assert fall.brink_depth * 1e3 == pytest.approx(0.715 * 22.187, rel=2e-3)
    assert fall.lip_head / INCH == pytest.approx(1.2459, rel=3e-3)
    assert fall.flow_per_width == pytest.approx(50 * GPM / FOOT)
    assert (fall.steps, fall.drop_per_step) == (2, pytest.approx(2 * FOOT))
    assert fall.splash == pytest.approx(0.005 * 300 * GPM)
    assert fall.efficiency in fall.efficiencies and len(fall.efficiencies) == 3
    assert fall.pool_depth == pytest.approx((5 * FOOT, 4 * FOOT))


def test_lip_and_drop_that_disagree_are_told(tmp_path):
    same = line_scenario(tmp_path, also={"waterfall": 'lip = "14.8 ft"'})
    assert limit(same, "waterfall", "over normal pool").verdict == "pass"
    other = line_scenario(tmp_path, also={"waterfall": 'lip = "14.3 ft"'})
    assert limit(other, "waterfall", "over normal pool").verdict == "warn"


def test_every_limit_can_be_shown_and_says_where_it_comes_from(tmp_path):
    for scenario in (
        line_scenario(tmp_path),
        line_scenario(tmp_path, pump='flow = "300 gpm"', **BARE),
        line_scenario(tmp_path, pump='rated_flow = "500 gpm"\nrated_head = "20 ft"'),
    ):
        found = limits(scenario)
        assert found
        for one in found:
            assert isinstance(one, Limit)
            assert one.kind in DISPLAY and one.source
            assert one.verdict in {"pass", "warn", "fail", "reported"}
            assert (one.verdict == "reported") == (
                one.value is None or (one.least is None and one.most is None)
            )
            assert not one.note or one.note.endswith(".")


def test_no_loop_no_sheet(tmp_path):
    site = read_scenario(write_site(tmp_path))
    assert line_sheet(site) is None and limits(site) == ()


def test_pump_that_does_not_reach_the_lip_at_low_pool_fails(tmp_path):
    """Shutoff 5.72 ft; the lip is 6 ft over low pool and 5 ft over normal pool."""
    scenario = line_scenario(tmp_path, pump='rated_flow = "300 gpm"\nrated_head = "4.4 ft"\nefficiency = 0.6')
    sheet = line_sheet(scenario)
    assert sheet.low.flow == 0.0 < sheet.normal.flow
    assert sheet.low.head / FOOT == pytest.approx(5.72)
    failed = [one for one in limits(scenario) if one.verdict == "fail"]
    assert [(one.part, one.what, one.value) for one in failed] == [("pump", "flow at low pool", 0.0)]


def test_design_sheet_takes_flow_head_and_power_at_normal_pool(scenario):
    loop, pool = design_sheet(scenario).loop, line_sheet(scenario).normal
    assert (loop.flow, loop.head, loop.power) == (pool.flow, pool.head, pool.electric_power)


def test_a_limit_that_the_user_sets_does_not_carry_the_source_of_the_default(tmp_path):
    words = "blocked at normal pool"
    default = limit(line_scenario(tmp_path), "intake", words).source
    own = {"intake": 'max_grate_velocity = "0.4 ft/s"'}
    assert limit(line_scenario(tmp_path, also=own), "intake", words).source == "stated by the user" != default
    own["waterfall"] = '[sources]\nintake.max_grate_velocity = "the permit"'
    assert limit(line_scenario(tmp_path, also=own), "intake", words).source == "the permit"
