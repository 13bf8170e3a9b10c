# ruff: noqa: E501 (docstrings carry the sums by hand)
"""Start-up day: a line with known wear is found again from its readings; readings alone by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from pondsim.cli._commission_text import commission_text
from pondsim.design.commission import best_flow, flows_of, promise_of
from pondsim.design.commission_loss import causes_of
from pondsim.design.commission_values import Flow, Readings, agree
from pondsim.scenario.read import read_scenario
from pondsim.site.circulation_line import circulation_line, delivered, discharge_loss, lip_level, well_level
from tests.cli.common import DEMO, call
from tests.cli.sheet import AIR, write_line
from tests.line_for_tests import PARTS, line_scenario
from tests.scenarios_for_tests import write_design

FT, IN, PSI = 0.3048, 0.0254, 6894.757293168
GPM = 3.785411784e-3 / 60
POND = 10 * FT
GAUGE = 12 * FT
WATER = 62.4 * 0.45359237 * 9.80665 / FT**3  # N/m3
SUPPLY = {"pump": 'volts = "230 V"\nphases = 3\npower_factor = 0.82'}


def twin(folder, *, speed=1.0, fittings="", blocked="50 %"):
    """Exact readings of a line as it really is: its flow, and from it lip, well, gauge and amps by hand formulas."""
    discharge = PARTS["discharge"].replace('"swing check valve"', f'"swing check valve"{fittings}')
    true = line_scenario(
        folder,
        {**SUPPLY, "intake": f'grate_blocked = "{blocked}"'},
        pump=PARTS["pump"] + f"speed = {speed}\n",
        discharge=discharge,
    )
    line = circulation_line(true)
    assert line is not None and line.discharge is not None and line.curve is not None
    flow = delivered(line, POND)
    velocity = flow / (math.pi / 4 * line.discharge.diameter**2)
    pressure = lip_level(line, flow, POND) + discharge_loss(line, flow) - GAUGE - velocity**2 / 2 / 9.80665
    watts = line.curve.electric_power_at(flow)
    return flow, Readings(
        pond=POND,
        lip=(flow / FT**3 / (3.33 * 5)) ** (2 / 3) * FT,
        rise=flow * 8.0 / (math.pi / 4 * (6 * FT) ** 2),
        time=8.0,
        gauge=pressure * WATER,
        gauge_elevation=GAUGE,
        well=well_level(line, flow, POND),
        amps=watts / (math.sqrt(3) * 230 * 0.82),
        volts=230.0,
        phases=3,
        power_factor=0.82,
    )


def found(folder, readings):
    scenario = line_scenario(folder, SUPPLY)
    line = circulation_line(scenario)
    assert line is not None
    flows = flows_of(scenario, readings)
    best = best_flow(flows)
    assert best is not None
    return {one.name: one for one in flows}, best, {one.place: one for one in causes_of(line, readings, best)}


def test_a_line_as_drawn_keeps_its_promise(tmp_path):
    true, readings = twin(tmp_path)
    flows, best, causes = found(tmp_path, readings)
    assert len(flows) == 5
    for one in flows.values():
        assert one.flow == pytest.approx(true, rel=0.003), one.name
    assert best.flow == pytest.approx(true, rel=0.003)
    assert {cause.verdict for cause in causes.values()} == {"sound"}


@pytest.mark.parametrize("speed", [0.92, 0.85])
def test_a_worn_pump_is_found(tmp_path, speed):
    """At a share of its speed the pump gives less; the line beyond it is sound."""
    true, readings = twin(tmp_path, speed=speed)
    flows, best, causes = found(tmp_path, readings)
    assert best.flow == pytest.approx(true, rel=0.01)
    assert causes["pump"].verdict == "located"
    assert causes["pump"].value == pytest.approx(speed, abs=0.01)
    assert causes["pump"].low is not None and causes["pump"].high is not None
    assert causes["pump"].low < speed < causes["pump"].high
    assert causes["discharge"].verdict == causes["suction"].verdict == "sound"
    assert not agree(flows["gauge and line"], flows["gauge and pump curve"])


def test_a_valve_half_shut_is_found(tmp_path):
    """Two globe valves more: K = 2 x 340 fT, fT 0.0149 in 6 in pipe (Crane, check of topic 11)."""
    _, readings = twin(tmp_path, fittings=', "2 globe valve"')
    _, _, causes = found(tmp_path, readings)
    assert causes["discharge"].verdict == "located"
    assert causes["discharge"].value == pytest.approx(2 * 340 * 0.0149, rel=0.06)
    assert causes["pump"].verdict == causes["suction"].verdict == "sound"


def test_a_clogged_grate_is_found(tmp_path):
    _, readings = twin(tmp_path, blocked="93 %")
    _, _, causes = found(tmp_path, readings)
    assert causes["suction"].verdict == "located"
    assert causes["suction"].value == pytest.approx(0.93, abs=0.01)
    assert causes["pump"].verdict == causes["discharge"].verdict == "sound"


def test_with_the_lip_alone_each_cause_is_stated_as_a_guess(tmp_path):
    true, readings = twin(tmp_path, speed=0.9)
    only = Readings(pond=POND, lip=readings.lip)
    _, best, causes = found(tmp_path, only)
    assert best.flow == pytest.approx(true, rel=0.003)
    assert {cause.verdict for cause in causes.values()} == {"possible"}
    assert causes["pump"].value == pytest.approx(0.9, abs=0.003)


def test_amps_alone_name_no_cause(tmp_path):
    """Amperes go through the curve: they cannot tell a worn pump."""
    _, readings = twin(tmp_path, speed=0.9)
    only = replace(readings, lip=None, rise=None, gauge=None, gauge_elevation=None, well=None)
    _, best, _ = found(tmp_path, only)
    assert not best.direct


def test_readings_far_apart_do_not_give_a_sharp_mean():
    """100 +- 3 and 112 +- 4: mean (100/9 + 112/16) / (1/9 + 1/16) = 104.32, alone known to 2.4; they lie 12
    apart where 5 is their error, so 2.4 times that. Readings that agree (104) keep 2.4."""
    off = best_flow((Flow("lip", 100.0, 3.0, True), Flow("well rise", 112.0, 4.0, True)))
    assert off is not None and off.flow == pytest.approx(104.32) and off.error == pytest.approx(5.76)
    same = best_flow((Flow("lip", 100.0, 3.0, True), Flow("well rise", 104.0, 4.0, True)))
    assert same is not None and same.error == pytest.approx(2.4)


def test_error_of_a_lip_reading():
    """A sixteenth at one and a half inches is 6.31 % (check 17.5), with 5 % of the coefficient 8.05 %."""
    scenario = line_scenario_demo()
    [lip] = flows_of(scenario, Readings(pond=640 * FT, lip=1.5 * IN))
    assert lip.flow is not None
    assert lip.error / lip.flow == pytest.approx(math.hypot(0.0631466, 0.05), abs=2e-4)
    assert lip.flow / GPM == pytest.approx(396.318 * 7 / 6, rel=1e-3)  # check 17.1, for 7 ft
    [thin] = flows_of(scenario, Readings(pond=640 * FT, lip=0.8 * IN))
    assert "clings" in thin.note


def line_scenario_demo():
    return read_scenario(DEMO / "waterfall.toml")


def test_the_promise_is_that_of_the_design_sheet():
    """523 gpm and 2.29 kW stand on the sheet of the demo; the head over 7 ft follows from Francis."""
    scenario = line_scenario_demo()
    line = circulation_line(scenario)
    assert line is not None
    promise = promise_of(line, Readings(pond=640 * FT))
    assert promise.flow / GPM == pytest.approx(523, abs=1)
    assert promise.lip / IN == pytest.approx((523 / 448.831 / (3.33 * 7)) ** (2 / 3) * 12, rel=2e-3)


def test_the_command_and_its_form(tmp_path):
    form = tmp_path / "form.txt"
    result = call(
        "commission",
        DEMO / "waterfall.toml",
        "--lip",
        "1.63 in",
        "--well-rise",
        "7.1 in in 10 s",
        "--form",
        form,
    )
    assert result.exit_code == 0, result.output
    assert "They agree within their errors." in result.output
    assert "the design flow is met" in result.output
    text = form.read_text(encoding="utf-8")
    for words in ("DESIGN", "low pool", "LIP", "WELL", "GAUGE", "PANEL", "OXYGEN", "lock out"):
        assert words in text


def test_readings_that_disagree_judge_nothing():
    """By hand 3.33 x 7 ft x (2/12 ft)^1.5 = 1.586 cfs = 712 gpm, beyond the 700 gpm of the curve; the rise of 3 in in 10 s is some 220."""
    lip = ("commission", DEMO / "waterfall.toml", "--lip", "2 in")
    both, alone = call(*lip, "--well-rise", "3 in in 10 s"), call(*lip)
    assert both.exit_code == alone.exit_code == 0
    said = " ".join(both.output.split())
    assert "They DISAGREE beyond their errors: lip against well rise." in said
    assert "Whether the design flow is met cannot be judged" in said
    assert "Together" not in said and "is met within the error" not in said
    assert "712 +- " in alone.output and "the pump curve ends below this flow" in " ".join(
        alone.output.split()
    )
    for output in (both.output, call(*lip[:-1], "1.63 in").output):
        assert ("cannot be judged" in output) == ("DISAGREE" in output)
    assert "the pump curve ends" not in output


def test_a_gauge_against_line_and_curve_that_disagree_judge_nothing_either(tmp_path):
    """At 0.85 of its speed the pump's curve and the line beyond the gauge tell two flows; none knows the water."""
    _, readings = twin(tmp_path, speed=0.85)
    only = replace(readings, lip=None, rise=None, amps=None)
    told = " ".join(commission_text(line_scenario(tmp_path, SUPPLY), only, [], None, "us").split())
    assert "DISAGREE" in told and "cannot be judged" in told and "Together" not in told


def test_oxygen_above_and_below():
    """78 degF near 7.98 mg/L at 640 ft: (5.4 - 3.2) / (7.98 - 3.2) = 46 %, error 0.2/4.78 x sqrt(1 + 0.54^2)."""
    result = call(
        "commission",
        DEMO / "waterfall.toml",
        "--above",
        "3.2 mg/L",
        "--below",
        "5.4 mg/L",
        "--water",
        "78 degF",
    )
    assert "reduces the oxygen deficit by 46 +- 5 %" in result.output
    near = call(
        "commission",
        DEMO / "waterfall.toml",
        "--above",
        "7.8 mg/L",
        "--below",
        "7.9 mg/L",
        "--water",
        "78 degF",
    )
    assert "too close to saturation" in near.output
    odd = call(
        "commission", DEMO / "waterfall.toml", "--above", "4 mg/L", "--below", "3 mg/L", "--water", "78 degF"
    )
    assert "a waterfall cannot do that" in odd.output


@pytest.mark.parametrize(("pump", "stated"), [(None, False), ('flow = "400 gpm"', True)])
def test_the_form_names_levels_as_check_does_and_says_what_is_stated(tmp_path, pump, stated):
    """A stated flow is no promise of the line; air is started early in the afternoon, never at dawn."""
    path, form = write_line(tmp_path, extra=AIR, **({"pump": pump} if pump else {})), tmp_path / "form.txt"
    assert call("commission", path, "--form", form).exit_code == 0
    text, sheet = form.read_text(encoding="utf-8"), call("check", path).output
    for level in ("low pool", "normal pool", "bank top"):
        assert f"\n  {level} " in text and level in sheet.split("The line at each level")[1].splitlines()[1]
    assert ("flow as stated in the file, not computed" in text) == stated
    assert "early afternoon, never at dawn" in text


def test_air_by_gauge_and_bucket(tmp_path):
    """Stated air, so no line is drawn: 9 ft of water over the diffusers are 3.9 psi by hand."""
    path = write_design(tmp_path)  # 1.5 scfm each, 9 ft down
    good = call("commission", path, "--bucket", "pool air: 5 gal in 28 s at 1 ft")
    assert good.exit_code == 0, good.output
    assert "as promised" in good.output  # 5 gal / 28 s x 34.9/33.9 = 1.475 cfm
    less = call("commission", path, "--bucket", "pool air: 5 gal in 60 s at 1 ft")
    assert "less air" in less.output
    fouled = call("commission", path, "--air", "pool air: 9 psi")
    assert "fouled or throttled" in fouled.output
    leak = call("commission", path, "--air", "pool air: 3 psi")
    assert "leak or worn source" in leak.output


@pytest.mark.parametrize(
    ("args", "message"),
    [
        ((), "no reading is given"),
        (("--lip", "1.5"), '"1.5" has no unit'),
        (("--lip", "40 in"), "is too high"),
        (("--well-rise", "3 in 40 s"), "The whole is written as"),
        (("--well-rise", "0 in in 40 s"), "is not above 0"),
        (("--gauge", "6 psi"), "--gauge and --gauge-elevation belong together"),
        (("--amps", "8.2"), "--amps needs volts, phases and power_factor of [pump]"),
        (
            ("--lip", "1 in", "--pond", "600 ft"),
            "--pond: is not between the lowest bed, 629 ft, and the bank top, 643 ft",
        ),
        (("--lip", "1 in", "--pond", "644 ft"), "--pond: is not between the lowest bed"),
        (("--well-rise", "12 ft in 5 s"), "--well-rise: is more than the depth of the well below the pond"),
        (("--air", "pool: 6 psi"), '"pool: 6 psi" names no unit'),
        (("--above", "3 mg/L"), "belong together"),
    ],
)
def test_faults_of_the_command(args, message):
    result = call("commission", DEMO / "waterfall.toml", *args)
    assert result.exit_code == 2
    assert message in result.output


def test_a_pond_without_equipment_has_nothing_to_start():
    result = call("commission", DEMO / "existing.toml", "--lip", "1 in")
    assert result.exit_code == 2 and "has no loop and no air" in result.output
