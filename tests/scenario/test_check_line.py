# ruff: noqa: E501 (one row is one fault and its whole message)
"""Every fault of the circulation line: file, line, key and cure."""

from __future__ import annotations

import tomllib

import jsonschema
import pytest

from pondsim.scenario.convert import convert
from pondsim.scenario.keys import Key
from pondsim.scenario.read import read_scenario
from pondsim.scenario.schema import json_schema
from pondsim.scenario.unreadable import UnreadableError
from tests.line_for_tests import PARTS, line_text
from tests.scenarios_for_tests import faults_of, write_design

FITTINGS = Key("fittings", "")
RATED = 'rated_flow = "500 gpm"\nrated_head = "20 ft"'


def problems(tmp_path, text):
    return faults_of(write_design(tmp_path, text))


def line_of(text, start, section=""):
    lines = text.splitlines()
    first = lines.index(f"[{section}]") if section else 0
    return next(i for i, line in enumerate(lines[first:], first + 1) if line.startswith(start))


def test_the_line_of_the_tests_is_sound(tmp_path):
    read_scenario(write_design(tmp_path, line_text()))


@pytest.mark.parametrize(
    ("section", "old", "new", "at", "message"),
    [
        ("gravity_line", 'nominal = "12 in"', 'nominal = "7 in"', "nominal", 'gravity_line.nominal = 7 in is not made as "pvc_40" (PVC schedule 40, ASTM D1785); made are 0.125, 0.25, 0.375, 0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 3.5, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 24 in.'),
        ("gravity_line", 'pipe = "pvc_40"\n', "", "nominal", "gravity_line.nominal says no kind of pipe; write also pipe, one of "),
        ("gravity_line", 'nominal = "12 in"\n', "", "pipe", 'gravity_line.pipe says no size; write also nominal, such as "12 in".'),
        ("gravity_line", 'nominal = "12 in"\npipe = "pvc_40"\n', "", "[gravity_line]", 'gravity_line has no pipe; write such as nominal = "12 in" and pipe = "pvc_40", or inside_diameter.'),
        ("gravity_line", 'pipe = "pvc_40"', 'pipe = "pvc_40"\ninside_diameter = "11.9 in"', "inside_diameter", "gravity_line.inside_diameter stands beside nominal and pipe; write one or the other."),
        ("gravity_line", 'pipe = "pvc_40"', 'pipe = "pvc_45"', "pipe", 'gravity_line.pipe = "pvc_45" is none of '),
        ("gravity_line", '"gate valve"', '"gait valve"', "fittings", 'gravity_line.fittings item 2: "gait valve" names an unknown fitting; did you mean "gate valve"?'),
        ("gravity_line", '["2 45 degree elbow", "gate valve"]', '"gate valve"', "fittings", 'gravity_line.fittings = "gate valve" is not a list; write such as ["2 standard elbow"].'),
        ("gravity_line", '"gate valve"', "3", "fittings", 'gravity_line.fittings item 2: 3 is not a fitting; write how many of which, as "2 standard elbow".'),
        ("gravity_line", "length", 'outlet = "0.5 ft"\nlength', "outlet", "gravity_line.outlet = 0.5 ft (0.1524 m) is not between wet_well.bottom, 1 ft (0.3048 m), and pond.normal_pool = 10 ft (3.048 m)."),
        ("discharge", 'nominal = "6 in"', 'nominal = "6.5 in"', "nominal", 'discharge.nominal = 6.5 in is not made as "pvc_40"'),
        ("intake", "grate_area", 'nominal = "13 in"\npipe = "pvc_80"\ngrate_area', "nominal", 'intake.nominal = 13 in is not made as "pvc_80"'),
        ("intake", '"projecting"', '"sharpe"', "entrance", 'intake.entrance = "sharpe" is none of "sharp", "projecting", "rounded", "bell"; did you mean "sharp"?'),
        ("wet_well", 'pump_off = "7 ft"', 'pump_off = "0.5 ft"', "pump_off", "wet_well.pump_off = 0.5 ft (0.1524 m) is not above the bottom, 1 ft (0.3048 m)."),
        ("wet_well", 'pump_off = "7 ft"', 'pump_off = "10 ft"', "pump_off", "wet_well.pump_off = 10 ft (3.048 m) is not below pond.normal_pool = 10 ft (3.048 m): the pump never starts."),
        ("wet_well", 'alarm = "7.5 ft"', 'alarm = "6.9 ft"', "alarm", "wet_well.alarm = 6.9 ft (2.1031 m) is not between pump_off, 7 ft (2.1336 m), and pond.normal_pool = 10 ft (3.048 m)."),
        ("wet_well", 'pump_off = "7 ft"\n', "", "[wet_well]", "wet_well.pump_off is missing: elevation of the water at which the pump is stopped."),
        ("pump", "curve_flow", 'elevation = "7.2 ft"\ncurve_flow', "elevation", "pump.elevation = 7.2 ft (2.1946 m) is not between wet_well.bottom, 1 ft (0.3048 m), and wet_well.pump_off, 7 ft (2.1336 m): it would draw air."),
        ("pump", "curve_flow", 'flow = "300 gpm"\ncurve_flow', "curve_flow", "pump.curve_flow stands beside flow; write one of them."),
        ("pump", "curve_flow", f"{RATED}\ncurve_flow", "rated_flow", "pump.rated_flow stands beside curve_flow; write one of them."),
        ("pump", '"17 ft", "9 ft"', '"23 ft", "9 ft"', "curve_head", "pump.curve_head does not fall from value to value; write the points in order of flow, and leave out those left of the top of a curve that droops."),
        ("pump", '"400 gpm", "600 gpm"', '"600 gpm", "400 gpm"', "curve_flow", "pump.curve_flow does not rise from value to value; write the points from the least flow on."),
        ("pump", '"17 ft", "9 ft"', '"17 ft"', "curve_head", "pump.curve_head has 4 values, curve_flow 5; write one for each."),
        ("pump", '"66 %", "48 %"', '"66 %"', "curve_efficiency", "pump.curve_efficiency has 4 values, curve_flow 5; write one for each."),
        ("pump", '"45 %", "65 %", "66 %", "48 %"', '"0 %", "0 %", "0 %", "0 %"', "curve_efficiency", 'pump.curve_efficiency is nothing at every flow; write such as ["0 %", "45 %", "62 %"].'),
        ("pump", "curve_efficiency", 'curve_power = ["1 hp", "2 hp", "3 hp", "3 hp", "3 hp"]\ncurve_efficiency', "curve_power", "pump.curve_power stands beside curve_efficiency; write one or the other."),
        ("pump", "curve_flow", 'total_head = "20 ft"\ncurve_flow', "total_head", "pump.total_head stands beside a curve, from which the head follows; take it out."),
        ("pump", '"28 ft", "26 ft", "22.5 ft", "17 ft", "9 ft"', '"4.9 ft", "4 ft", "3 ft", "2 ft", "1 ft"', "curve_head", "pump.curve_head gives 4.9 ft (1.4935 m) at no flow, and the lip is 5 ft (1.524 m) above pond.normal_pool: no water comes. Take a pump of more head, or lower the lip."),
        ("pump", "curve_flow", "speed = 0.4\ncurve_flow", "curve_head", "pump.curve_head gives 4.48 ft (1.3655 m) at no flow and 0.4 of the speed, and the lip is 5 ft"),
        ("waterfall", "drop", 'lip = "9.5 ft"\ndrop', "lip", "waterfall.lip = 9.5 ft (2.8956 m) is not above pond.normal_pool = 10 ft (3.048 m)."),
        ("waterfall", "drop", 'lip = "38.5 ft"\ndrop', "[pump]", "pump.curve_head gives 28 ft"),
    ],
)  # fmt: skip
def test_one_fault(tmp_path, section, old, new, at, message):
    assert old in PARTS[section]
    text = line_text(**{section: PARTS[section].replace(old, new, 1)})
    found = problems(tmp_path, text)
    assert len(found) == 1, found
    line = line_of(text, "curve_head", "pump") if at == "[pump]" else line_of(text, at, section)
    assert found[0].startswith(f"design.toml:{line}: {message}")


@pytest.mark.parametrize(
    ("pump", "message"),
    [
        ('wire_to_water = "50 %"', "pump has no flow; write flow, or curve_flow and curve_head, or rated_flow and rated_head."),
        ('rated_flow = "500 gpm"', "pump.rated_flow stands without rated_head; one point needs both."),
        ('rated_head = "20 ft"', "pump.rated_head stands without rated_flow; one point needs both."),
        ('curve_flow = ["0 gpm", "300 gpm", "600 gpm"]', "pump.curve_flow stands without curve_head; a curve needs both."),
        ('curve_head = ["20 ft", "15 ft", "9 ft"]', "pump.curve_head stands without curve_flow; a curve needs both."),
        ('curve_flow = ["0 gpm", "600 gpm"]\ncurve_head = ["20 ft", "9 ft"]', "pump.curve_flow has 2 points; read at least 3 from the curve."),
        ('flow = "300 gpm"\nspeed = 0.8', "pump.speed acts on a curve; with a stated flow write the flow at that speed."),
        ('flow = "300 gpm"\ncurve_power = ["3 hp"]', "pump.curve_power belongs to a curve; write curve_flow and curve_head, or take it out."),
        ('rated_flow = "500 gpm"\nrated_head = "3.8 ft"', "pump.rated_head gives 4.94 ft (1.5057 m) at no flow, and the lip is 5 ft (1.524 m) above"),
    ],
)  # fmt: skip
def test_one_fault_of_the_pump(tmp_path, pump, message):
    found = problems(tmp_path, line_text(pump=pump))
    assert len(found) == 1, found
    assert message in found[0] and found[0].startswith("design.toml:")


def test_curve_without_its_pipe(tmp_path):
    found = problems(tmp_path, line_text(discharge=None))
    assert len(found) == 1
    assert found[0].endswith("pump.curve_flow needs the pipe it pumps through; write [discharge].")


def test_well_that_nothing_fills(tmp_path):
    found = problems(tmp_path, line_text(gravity_line=None))
    assert [one.partition(": ")[2] for one in found] == [
        "wet_well has no pipe that fills it; write [gravity_line]."
    ]


def test_line_without_a_loop(tmp_path):
    text = 'site = "site.toml"\ntitle = "x"\n[discharge]\n' + PARTS["discharge"].strip() + "\n"
    assert problems(tmp_path, text) == [
        "design.toml:3: discharge stands without [intake] and [pump] and [waterfall]; the circulation loop "
        "needs all three."
    ]


def test_all_faults_of_the_line_are_told_at_once(tmp_path):
    text = line_text(
        gravity_line=PARTS["gravity_line"].replace('"12 in"', '"7 in"'),
        wet_well=PARTS["wet_well"].replace('"7.5 ft"', '"6 ft"'),
        discharge=PARTS["discharge"].replace("elbow", "elbwo"),
    )
    found = problems(tmp_path, text)
    assert [one.split(": ")[1].split()[0] for one in found] == [
        "gravity_line.nominal",
        "wet_well.alarm",
        "discharge.fittings",
    ]


@pytest.mark.parametrize(
    ("raw", "read"),
    [
        (["2 standard elbow", "gate valve"], ((2, "standard elbow"), (1, "gate valve"))),
        (["3 x tee through", "2x ball valve"], ((3, "tee through"), (2, "ball valve"))),
        (["45 degree elbow", "2 45 degree elbows"], ((1, "45 degree elbow"), (2, "45 degree elbow"))),
        (["12  long radius   elbows"], ((12, "long radius elbow"),)),
        ([], ()),
    ],
)
def test_fittings_are_read(raw, read):
    assert convert(raw, FITTINGS) == read


@pytest.mark.parametrize("raw", [["0 gate valve"], ["-2 gate valve"], ["elbow"], [""], [True], ["2"]])
def test_fittings_that_are_none(raw):
    with pytest.raises(UnreadableError, match="item 1: "):
        convert(raw, FITTINGS)


def test_schema_takes_the_line_and_refuses_a_fitting_it_does_not_know():
    validator = jsonschema.Draft202012Validator(json_schema())
    assert not list(validator.iter_errors(tomllib.loads(line_text())))
    slip = line_text(discharge=PARTS["discharge"].replace("swing check", "swinging check"))
    assert list(validator.iter_errors(tomllib.loads(slip)))
