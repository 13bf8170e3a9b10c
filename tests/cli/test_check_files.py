"""`pondsim check`: files for machines and pictures hold what the sheet says."""

from __future__ import annotations

import csv
import json

import pytest

from pondsim.units import DISPLAY
from tests.cli.common import call
from tests.cli.sheet import AIR, TWO_FEET, row, words, write_line
from tests.scenarios_for_tests import write_design


def test_json_holds_limits_and_points(tmp_path):
    path, out = write_line(tmp_path, extra=AIR, **TWO_FEET), tmp_path / "sheet.json"
    result = call("check", path, "--json", out)
    assert result.exit_code == 0, result.output
    data = json.loads(out.read_text(encoding="utf-8"))
    assert data["title"] == "A line (invented)"
    assert data["units"] == "us"
    found = [one["verdict"] for one in data["limits"]]
    assert data["counts"] == {
        verdict: found.count(verdict) for verdict in ("fail", "warn", "pass", "reported")
    }
    assert data["tally"] in words(result.output)
    points = {(one["part"], one["what"]): one for one in data["operating_points"]}
    velocity = points["normal pool", "velocity in the gravity line"]
    assert velocity["unit"] == "ft/s"
    assert velocity["value"] == pytest.approx(2.0, abs=5e-4)
    assert {one["part"] for one in data["aeration"]} == {"pool air"}
    assert {one["unit"] for one in data["limits"]} <= {us for us, _ in DISPLAY.values()}
    (grate,) = (one for one in data["limits"] if "50 % blocked" in one["what"])
    assert (grate["least"], grate["verdict"]) == (None, "warn")
    assert grate["most"] == pytest.approx(0.5)


def test_json_is_valid_where_nothing_limits_the_intake(tmp_path):
    """No well: the intake can give any flow, which is not a number."""
    out = tmp_path / "sheet.json"
    result = call("check", write_line(tmp_path, wet_well=None), "--json", out)
    assert result.exit_code == 0, result.output
    assert row(result.output, "maximum flow of the intake [gpm]") == ["any"] * 3
    text = out.read_text(encoding="utf-8")
    assert "Infinity" not in text
    assert "NaN" not in text


def test_csv_holds_the_same_as_json(tmp_path):
    path = write_line(tmp_path, extra=AIR, **TWO_FEET)
    assert call("check", path, "--csv", tmp_path / "s.csv", "--json", tmp_path / "s.json").exit_code == 0
    rows = list(csv.DictReader((tmp_path / "s.csv").read_text(encoding="utf-8").splitlines()))
    data = json.loads((tmp_path / "s.json").read_text(encoding="utf-8"))
    remarks = data.pop("remarks")
    assert {"start_guessed", "weather_invented"} <= {one["code"] for one in remarks}
    assert all(one["text"] and one["severity"] for one in remarks)
    assert (
        len({(one["code"], one["part"], one["what"]) for one in data["limits"]}) == len(data["limits"]) > 30
    )
    assert all(one["code"] for one in data["limits"])
    assert len(rows) == sum(len(value) for value in data.values() if isinstance(value, list))
    limits = [one for one in rows if one["table"] == "limit"]
    assert [one["what"] for one in limits] == [one["what"] for one in data["limits"]]
    assert {one["verdict"] for one in rows if one["table"] != "limit"} == {""}


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["--figure", "a.jpg"], "ends in .png, .svg or .pdf"),
        (["--json", "design.toml"], "is an input"),
        (["--json", "a.txt", "--csv", "a.txt"], "two outputs"),
        (["--csv", "no/where.csv"], "no"),
    ],
)
def test_what_cannot_be_written_is_told_before_anything_is(tmp_path, monkeypatch, options, message):
    monkeypatch.chdir(tmp_path)
    write_line(tmp_path)
    before = sorted(path.name for path in tmp_path.iterdir())
    result = call("check", "design.toml", *options)
    assert result.exit_code == 2
    assert message in result.output
    assert "Circulation" not in result.output
    assert sorted(path.name for path in tmp_path.iterdir()) == before


def test_no_loop_no_picture(tmp_path):
    path = write_design(tmp_path, 'site = "site.toml"\ntitle = "bare"\n')
    result = call("check", path, "--figure", tmp_path / "a.png")
    assert result.exit_code == 2
    assert "no circulation loop to draw" in result.output


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
def test_pictures_are_written(tmp_path, ending):
    out = tmp_path / f"a.{ending}"
    assert call("check", write_line(tmp_path), "--figure", out).exit_code == 0
    assert out.stat().st_size > 5000
    assert {path.suffix for path in tmp_path.iterdir()} == {".toml", f".{ending}"}
