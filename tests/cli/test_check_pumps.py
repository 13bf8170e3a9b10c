"""A list of pumps checked against one line in seconds, with no run."""

from __future__ import annotations

import csv
import json
import math

import pytest

from tests.cli import common
from tests.line_for_tests import PARTS, line_text
from tests.scenarios_for_tests import write_design

GOOD = """
[[pump]]
name = "invented A, with the long name that a maker gives to a pump of three phases"
price = 2400
curve_flow = ["0 gpm", "200 gpm", "400 gpm", "600 gpm", "800 gpm"]
curve_head = ["28 ft", "26 ft", "22.5 ft", "17 ft", "9 ft"]
curve_efficiency = ["0 %", "45 %", "65 %", "66 %", "48 %"]
npsh_required = "11 ft"
nameplate_power = "5 hp"
motor_efficiency = "86 %"
volts = "230 V"
phases = 3
power_factor = 0.82
solids_passage = "2 in"
"""
THIRSTY = """
[[pump]]
name = "invented B"
curve_flow = ["0 gpm", "1000 gpm", "2000 gpm", "3000 gpm"]
curve_head = ["70 ft", "65 ft", "55 ft", "30 ft"]
minimum_rest = "10 min"
discharge.nominal = "12 in"
"""
WEAK = """
[[pump]]
name = "invented C"
rated_flow = "300 gpm"
rated_head = "3 ft"
"""


def call(*args, code=0):
    """A command that ends with an exit code."""
    result = common.call(*args)
    assert result.exit_code == code, result.output
    return result


@pytest.fixture
def design(tmp_path):
    pump = PARTS["pump"] + 'nameplate_power = "1 hp"\nnpsh_required = "40 ft"\n'
    return write_design(tmp_path, line_text(pump=pump))


def checked(design, text, *more, code=0):
    pumps = design.parent / "pumps.toml"
    pumps.write_text(text, encoding="utf-8")
    out = design.parent / "pumps.json"
    said = call("check", design, "--pumps", pumps, "--json", out, *more, code=code)
    return said, json.loads(out.read_text(encoding="utf-8"))["pumps"]


def test_a_listed_pump_gives_what_the_same_design_with_it_gives(design, tmp_path):
    """Against the sheet of a file in which that pump stands; the 1 hp of the design's pump is not its own."""
    _, (found,) = checked(design, GOOD)
    own = GOOD.split("price = 2400")[1]
    alone = tmp_path / "alone.toml"
    alone.write_text(line_text(pump=own), encoding="utf-8")
    call("check", alone, "--json", tmp_path / "alone.json")
    sheet = json.loads((tmp_path / "alone.json").read_text(encoding="utf-8"))
    for level in ("low pool", "normal pool", "bank top"):
        points = {row["what"]: row["value"] for row in sheet["operating_points"] if row["part"] == level}
        values = found["levels"][level]
        for key, what in (
            ("flow", "flow"),
            ("head", "head of the pump"),
            ("discharge_velocity", "velocity in the discharge"),
            ("electric_power", "electric power"),
        ):
            assert values[key] == pytest.approx(points[what], rel=1e-6)
        assert values["npsh_margin"] == pytest.approx(points["suction head available (NPSH)"] - 11)
        current = values["electric_power"] * 1e3 / (230 * 0.82 * math.sqrt(3))
        assert values["amperes"] == pytest.approx(current, rel=1e-6)
        assert values["starts_per_hour"] == 0.0
    assert found["full_load_amperes"] == pytest.approx(
        5 * 745.7 / 0.86 / (230 * 0.82 * math.sqrt(3)), rel=1e-4
    )
    assert found["solids_passage"] == pytest.approx(2.0)
    kept = [row for row in sheet["limits"] if row["verdict"] in ("fail", "warn")]
    assert sorted(row["what"] for row in found["breaks"]) == sorted(row["what"] for row in kept)
    assert found["verdict"] == "warn"


def test_a_pump_that_empties_the_well_fails_and_starts_over_and_over(design):
    """It trips within seconds and rests 10 min: a little under 6 starts an hour."""
    _, (found,) = checked(design, THIRSTY)
    assert found["verdict"] == "fail"
    assert found["levels"]["low pool"]["runs"] is False
    assert 5.5 < found["levels"]["low pool"]["starts_per_hour"] < 6.0


def test_the_table_keeps_to_80_columns_and_counts(design):
    said, found = checked(design, GOOD + THIRSTY)
    assert len(found) == 2
    assert max(map(len, said.stdout.splitlines()[3:])) <= 80  # under the head with its paths
    assert "stops" in said.output
    assert "passes 2 in" in " ".join(said.output.split())


def test_entries_that_cannot_be_used_are_told_after_the_others(design):
    said, found = checked(design, GOOD + WEAK, code=2)
    assert [one["name"][:10] for one in found] == ["invented A"]
    assert "no water comes" in said.stderr
    assert "pumps.toml" in said.stderr
    (design.parent / "pumps.json").unlink()
    said = call("check", design, "--pumps", design.parent / "none.toml", code=2)


def test_strict_fails_where_no_pump_is_without_a_fail(design):
    checked(design, THIRSTY, "--strict", code=1)
    checked(design, GOOD + THIRSTY, "--strict")


def test_csv_has_a_row_for_each_pump_and_level(design, tmp_path):
    file = tmp_path / "pumps.csv"
    checked(design, GOOD + THIRSTY, "--csv", file)
    rows = list(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))
    assert [row["level"] for row in rows] == ["low pool", "normal pool", "bank top"] * 2
    assert float(rows[1]["flow"]) > float(rows[0]["flow"]) > 400


@pytest.mark.parametrize("more", [("--figure", "loop.png"), ("--csv", "pumps.toml")])
def test_what_does_not_go_with_a_list_is_refused(design, tmp_path, more):
    pumps = tmp_path / "pumps.toml"
    pumps.write_text(GOOD, encoding="utf-8")
    option, name = more
    call("check", design, "--pumps", pumps, option, tmp_path / name, code=2)
    assert pumps.read_text(encoding="utf-8") == GOOD


def test_a_design_without_a_loop_has_no_line(tmp_path):
    path = write_design(tmp_path, 'site = "site.toml"\ntitle = "bare"\n')
    (tmp_path / "pumps.toml").write_text(GOOD, encoding="utf-8")
    said = call("check", path, "--pumps", tmp_path / "pumps.toml", code=2)
    assert "no circulation loop" in said.stderr
