"""`pondsim check` as a sheet: numbers by hand, verdicts counted, files for machines, each way to fail."""

from __future__ import annotations

import re

import pytest

from pondsim.words import CAUTION, CAUTIONS, cautions_for
from tests.cli.common import DEMO, WEATHER_FILE, call, weather_rows, write_files, write_weather
from tests.cli.sheet import AIR, TWO_FEET, limit_of, row, words, write_line
from tests.line_for_tests import PARTS, line_text
from tests.scenarios_for_tests import minimal_site, write_design


def test_operating_points_by_hand(tmp_path):
    """705 gpm in 12 in is 2 ft/s (checks.md, topic 11), in 7 in 2 (12/7)^2 = 5.88 ft/s.

    Through 8 ft2 of grate, 60 % open and half clogged: 1.571 ft3/s over 2.4 ft2 is 0.654 ft/s.
    """
    result = call("check", write_line(tmp_path, **TWO_FEET))
    assert result.exit_code == 0, result.output
    assert row(result.output, "pond [ft]") == ["9", "10", "13"]
    assert row(result.output, "flow [gpm]") == ["705"] * 3
    assert row(result.output, "velocity in the gravity line [ft/s]") == ["2"] * 3
    assert row(result.output, "velocity in the discharge [ft/s]") == ["5.88"] * 3
    clogged = 705 * 231 / 12**3 / 60 / (8 * 0.6 * 0.5)
    grate = [float(cell) for cell in row(result.output, "velocity in the clogged grate [ft/s]")]
    assert grate == pytest.approx([clogged] * 3, rel=2e-3)
    assert row(result.output, "water over the top of the intake [ft]") == ["3.5", "4.5", "7.5"]
    assert row(result.output, "electric power [kW]") == ["3"] * 3


def test_the_same_in_si(tmp_path):
    """705 gpm is 44.5 L/s; 2 ft/s is 0.61 m/s."""
    output = call("check", write_line(tmp_path, **TWO_FEET), "--units", "si").output
    assert row(output, "flow [L/s]") == ["44.5"] * 3
    assert row(output, "velocity in the gravity line [m/s]") == ["0.61"] * 3
    assert row(output, "pond [m]") == ["2.7432", "3.048", "3.9624"]
    assert " ft" not in output.split("The line at")[1].split("Hand check")[0]


@pytest.mark.parametrize("system", ["us", "si"])
@pytest.mark.parametrize("full", [[], ["--full"]])
def test_nothing_is_wider_than_80_columns(system, full):
    for name in ("existing", "waterfall", "waterfall_night_air", "air_all_day", "air_on_demand"):
        result = call("check", DEMO / f"{name}.toml", "--units", system, *full)
        assert max(len(line) for line in result.output.splitlines()) <= 80
        assert "\x1b" not in result.output


def test_a_limit_shows_value_bound_and_source(tmp_path):
    output = call("check", write_line(tmp_path, **TWO_FEET)).output
    verdict, line = limit_of(output, "velocity through the grate 50 % blocked at normal pool")
    assert verdict == "WARN"
    assert line == "0.654 ft/s, at most 0.5 ft/s (epa2001intake, from memory)"
    verdict, line = limit_of(output, "water over the top of the pipe at low pool")
    assert verdict == "PASS"
    assert line == "3.5 ft, at least 2 ft (common practice, no source)"


def test_failing_limits_stand_first_in_their_part_and_are_counted(tmp_path):
    """A pump-off float over low pool, and a pipe whose top is dry there."""
    high = PARTS["wet_well"].replace('"7 ft"', '"9.2 ft"').replace('"7.5 ft"', '"9.5 ft"')
    intake = PARTS["intake"].replace("5 ft", "8.8 ft")
    path = write_line(tmp_path, wet_well=high, intake=intake)
    output = call("check", path).output
    found = [line.split("]", 1)[1].split()[0] for line in output.splitlines() if "[ ]" in line]
    counted = {verdict: found.count(verdict) for verdict in ("FAIL", "WARN", "PASS")}
    assert counted["FAIL"] >= 2
    assert f"{counted['FAIL']} fail, " in output
    assert f" {counted['PASS']} pass" in words(output)
    part = output.split("\nintake\n")[1].split("\ngravity line\n")[0]
    order = re.findall(r"\[ \] (\w+)", part)
    assert order == sorted(order, key=["FAIL", "WARN", "PASS"].index)


@pytest.mark.parametrize(
    ("change", "what"),
    [
        (
            {"intake": PARTS["intake"].replace('"5 ft"', '"8.8 ft"')},
            "water over the top of the pipe at low pool",
        ),
        (
            {"also": {"pump": 'nameplate_power = "0.5 hp"'}},
            "shaft power of one pump, most from low pool to bank top",
        ),
        ({"also": {"pump": 'npsh_required = "60 ft"'}}, "suction head available (NPSH) at low pool"),
        (
            {"wet_well": PARTS["wet_well"].replace('"7 ft"', '"8.95 ft"').replace('"7.5 ft"', '"9 ft"')},
            "water over pump-off at low pool, pump running",
        ),
        (
            {"gravity_line": 'inside_diameter = "5 in"\nlength = "80 ft"'},
            "maximum flow of the intake at low pool",
        ),
    ],
)
def test_each_way_to_fail(tmp_path, change, what):
    path = write_line(tmp_path, **change)
    result = call("check", path)
    assert limit_of(result.output, what)[0] == "FAIL"
    assert what in words(result.output.split("\n\n")[1])
    assert result.exit_code == 0
    strict = call("check", path, "--strict")
    assert strict.exit_code == 1
    assert strict.output == result.output


def test_strict_lets_a_warning_pass():
    result = call("check", DEMO / "waterfall.toml", "--strict")
    assert result.exit_code == 0
    assert "1 warning: intake, water over the top of the pipe at low pool." in words(result.output)


def test_a_stated_flow_stays_short(tmp_path):
    """No pipe: no table, no velocity; what is known of the waterfall: 300 gpm over 5 ft is 60 gpm/ft."""
    output = call("check", write_files(tmp_path)).output
    assert "The line at each level" not in output
    assert "velocity" not in output.split("Cautions")[0]
    assert "60 gpm/ft over the lip, one fall of 4 ft" in output
    assert "water over the intake's center at low pool: 6 ft" in words(output)
    assert limit_of(output, "flow per width of lip")[1].startswith("60 gpm/ft, allowed 30 to 150 gpm/ft")


def test_a_shallow_intake_of_unknown_size_is_judged_from_its_centre(tmp_path):
    """Low pool 9 ft: 1.5 ft over the centre is less than 2 ft over any top."""
    path = write_files(tmp_path, ('elevation = "3 ft"', 'elevation = "7.5 ft"'))
    verdict, line = limit_of(call("check", path).output, "water over the intake's center at low pool")
    assert verdict == "WARN"
    assert line.startswith("1.5 ft, at least 2 ft")


def test_no_equipment_at_all(tmp_path):
    path = write_design(tmp_path, 'site = "site.toml"\ntitle = "bare"\n')
    result = call("check", path, "--strict")
    assert result.exit_code == 0
    assert "Circulation: none" in result.output
    assert "Aeration: none" in result.output
    assert "[ ]" not in result.output
    cautions = words(result.output.split("\nCautions\n")[1])
    assert CAUTION["codes"] in cautions
    assert CAUTION["electricity"] not in cautions


def test_aeration_by_hand(tmp_path):
    """9 ft of water are 9 x 0.433 = 3.9 psi; what the source is at is that, diffusers and tubing."""
    output = words(call("check", write_design(tmp_path, 'site = "site.toml"\ntitle = "air"\n' + AIR)).output)
    number = r"([\d.]+)"
    parts = ("compressor at", "psi: water", "psi, diffusers", "psi, tubing and main line")
    found = re.search(" ".join(f"{part} {number}" for part in parts), output)
    whole, water, diffusers, tubing = map(float, found.groups())
    assert water == pytest.approx(9 * 0.4328, abs=0.01)
    assert whole == pytest.approx(water + diffusers + tubing, abs=0.01)
    total, each = map(
        float, re.search(r"9 ft down, ([\d.]+) scfm standard air, ([\d.]+) scfm each", output).groups()
    )
    assert total == pytest.approx(2 * each, abs=0.01)
    assert 3.5 < total < 3.9 + 0.5 * (4.4 - 3.9)  # between 5 psi and 10 psi, or a little under 5 psi


def test_one_of_a_thing_is_no_several_and_no_water_is_no_storm(tmp_path):
    """A stated inflow may be snowmelt or a drained pool, so it is no storm."""
    one = AIR.replace("diffusers = 2", "diffusers = 1")
    said = words(call("check", write_line(tmp_path, extra=one, **TWO_FEET)).output)
    assert "1 inflow event brings 0.5 acre-ft" in said and "pool air in deep pool: 1 diffuser " in said
    site = minimal_site()
    inflow = "[[inflow]]" + site.partition("[[inflow]]")[2].partition("[outlet]")[0]
    dry = call("check", write_design(tmp_path, site=site.replace(inflow, "")))
    assert "no storm and no inflow event in the period" in dry.output, dry.output


def test_full_shows_what_is_only_told():
    short, full = (call("check", DEMO / "waterfall.toml", *more).output for more in ([], ["--full"]))
    assert "REPORTED" not in short
    assert limit_of(full, "reduction of the oxygen deficit at 28 degC")[0] == "REPORTED"
    assert "runs and sizes use this one" in " ".join(full.split())


def test_cautions_follow_the_equipment(tmp_path):
    line = words(call("check", write_line(tmp_path)).output)
    for key in ("electricity", "confined", "entry", "embankment", "intake", "codes"):
        assert CAUTION[key] in line
    assert CAUTION["first start"] not in line
    air = words(call("check", write_design(tmp_path, 'site = "site.toml"\ntitle = "air"\n' + AIR)).output)
    assert CAUTION["first start"] in air
    assert CAUTION["electricity"] in air
    assert CAUTION["confined"] not in air
    stated = cautions_for(pump=True, air=False, well=False, pipes=False)
    assert CAUTION["embankment"] not in stated


def test_the_general_cautions_say_all_that_can_hurt():
    for words_of in ("licensed electrician", "first start", "confined spaces", "engineer's stamp"):
        assert words_of in CAUTIONS


def test_without_a_low_pool_there_is_no_column_for_it(tmp_path):
    site = minimal_site().replace('low_pool = "9 ft"\n', "")
    path = write_design(tmp_path, line_text(**TWO_FEET), site)
    output = call("check", path).output
    assert "low pool" not in output.split("The line at")[1].split("Design limits")[0]
    assert len(row(output, "flow [gpm]")) == 2


def test_hours_under_a_set_point_are_at_most_those_of_the_timer():
    plain = words(call("check", DEMO / "air_all_day.toml").output)
    ruled = words(call("check", DEMO / "air_on_demand.toml").output)
    assert plain.count("kW, 3312 h in the period") == 2 and "at most 3312" not in plain
    assert ruled.count("kW, at most 3312 h in the period") == 2
    assert "Electricity over the period: at most" in ruled


def test_weather_that_never_changes_is_said_before_a_run(tmp_path):
    """Ten days of 77 degF and 5 mph: a stuck sensor, or a file filled by hand."""
    design = write_files(tmp_path, WEATHER_FILE)
    write_weather(tmp_path, weather_rows())
    result = call("check", design)
    assert result.exit_code == 0, result.output
    assert "never change: is a sensor stuck?" in " ".join(result.output.split())


@pytest.mark.parametrize(("method", "top"), [("avery_novak", True), ("gameson", False), ("nakasone", False)])
def test_a_method_at_the_top_of_the_range_says_so(tmp_path, method, top):
    """4 ft over 60 gpm a foot: the three published forms by hand give 0.63, 0.57 and 0.40 at 28 degC."""
    fall = f'zone = "cove"\ndrop = "4 ft"\nwidth = "5 ft"\nmethod = "{method}"'
    pump = 'flow = "300 gpm"\npower = "3 kW"'
    said = words(call("check", str(write_line(tmp_path, pump=pump, waterfall=fall))).stdout)
    assert ("the one chosen gives the most, so expect less" in said) == top
