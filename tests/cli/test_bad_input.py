# ruff: noqa: E501 (one row is one fault)
"""Each kind of bad input, through every command that reads a scenario: exit code 2, the place, no traceback.

The words themselves are held to in tests/scenario and tests/site.
"""

from __future__ import annotations

import importlib

import pytest

from tests.cli.common import HEADER, SHORT, WEATHER_FILE, call, weather_rows, write_files, write_weather
from tests.scenarios_for_tests import minimal_site

CONNECTION = minimal_site().split("[[connection]]")[1].split("[weather")[0]
DEEP = 'stage = ["0 ft", "5 ft", "10 ft", "13 ft"]'

FAULTS = [  # in the order in which a user meets them: what, (old, new), place, word
    ("missing key", ('drop = "4 ft"\n', ""), "design.toml:11", "waterfall.drop"),
    ("unknown key", ('width = "5 ft"', 'widht = "5 ft"'), "design.toml:14", "width"),
    ("unknown section", ("[pump]", "[pumps]"), "design.toml:8", "pump"),
    ("wrong unit", ('drop = "4 ft"', 'drop = "4 gpm"'), "design.toml:13", "waterfall.drop"),
    ("no unit", ('drop = "4 ft"', "drop = 4"), "design.toml:13", "waterfall.drop"),
    ("negative depth", (DEEP, DEEP.replace('"0 ft"', '"12 ft"')), "site.toml:21", "zone.deep pool.stage"),
    ("negative drop", ('drop = "4 ft"', 'drop = "-4 ft"'), "design.toml:13", "waterfall.drop"),
    ("stages not rising", (DEEP, DEEP.replace('"5 ft"', '"11 ft"')), "site.toml:21", "zone.deep pool.stage"),
    ("unconnected zone", ("[[connection]]" + CONNECTION, ""), "site.toml:18", "zone.deep pool"),
    ("intake in no zone", ('"deep pool"\nelevation = "3 ft"', '"bay"\nelevation = "3 ft"'), "design.toml:5", "bay"),
    ("intake under the bed", ('elevation = "3 ft"', 'elevation = "-1 ft"'), "design.toml:6", "intake.elevation"),
    ("intake dry", ('elevation = "3 ft"', 'elevation = "9.5 ft"'), "design.toml:6", "pond.low_pool"),
    ("overlapping hours", ('"20:00-08:00"', '"20:00-08:00", "07:00-09:00"'), "design.toml:22", "overlapping"),
    ("storm after the end", ('"2025-07-04 15:00"', '"2025-08-04 15:00"'), "site.toml:44", "inflow.1.start"),
    ("end before the start", ('end = "2025-07-11"', 'end = "2025-06-11"'), "site.toml:5", "period.end"),
    ("no such weather file", WEATHER_FILE, "site.toml:36", "weather.csv"),
    ("not TOML", ('flow = "300 gpm"', "flow = 300 gpm"), "design.toml:9", "stand in quotes"),
]  # fmt: skip

ROWS = weather_rows()
WEATHER_FAULTS = [  # what, rows, header, place, word
    ("not covering the period", ROWS[:-48], HEADER, "weather.csv", "2025-07-11"),
    ("of another year", weather_rows(day="2024-07-01"), HEADER, "weather.csv", "2024"),
    ("a gap", [*ROWS[:50], *ROWS[60:]], HEADER, "weather.csv:52", "fill_gaps"),
    ("a hole in a column", [*ROWS[:50], ROWS[50].replace("77", ""), *ROWS[51:]], HEADER, "weather.csv:52", "air_temperature"),
    ("NaN", [*ROWS[:50], ROWS[50].replace("77", "nan"), *ROWS[51:]], HEADER, "weather.csv:52", "air_temperature"),
    ("a word for a number", [*ROWS[:50], ROWS[50].replace("77", "warm"), *ROWS[51:]], HEADER, "weather.csv:52", "warm"),
    ("wrong unit", ROWS, HEADER.replace("[mph]", "[degF]"), "weather.csv:1", "wind_speed"),
    ("no unit", ROWS, HEADER.replace(" [mph]", ""), "weather.csv:1", "wind_speed"),
    ("unknown column", ROWS, HEADER.replace("wind_speed", "wnd_speed"), "weather.csv:1", "wind_speed"),
]  # fmt: skip


def refused(folder, design, place, word):
    """Every command says the place and makes no file; nothing is computed."""
    out = folder / "out.nc"
    for args in (
        ("run", design, "-o", out),
        ("check", design),
        ("compare", folder / "good.toml", design, "--csv", folder / "out.csv"),
    ):
        result = call(*args)
        assert result.exit_code == 2, result.output
        assert f"{folder / place}" in result.output
        assert word in result.output
        assert "Traceback" not in result.output
        assert isinstance(result.exception, SystemExit)
    assert not out.exists()
    assert not (folder / "out.csv").exists()


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A folder with a good design; a run that starts anyhow fails the test."""

    def never(*args, **kwargs):
        raise AssertionError("the time loop was reached")

    monkeypatch.setattr(importlib.import_module("pondsim.run"), "march", never)
    (tmp_path / "good.toml").write_text('site = "good_site.toml"\n', encoding="utf-8")
    (tmp_path / "good_site.toml").write_text(minimal_site().replace(*SHORT), encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(("change", "place", "word"), [f[1:] for f in FAULTS], ids=[f[0] for f in FAULTS])
def test_a_fault_of_a_scenario_file(folder, change, place, word):
    refused(folder, write_files(folder, change), place, word)


@pytest.mark.parametrize(
    ("rows", "header", "place", "word"), [f[1:] for f in WEATHER_FAULTS], ids=[f[0] for f in WEATHER_FAULTS]
)
def test_a_fault_of_the_weather_file(folder, rows, header, place, word):
    design = write_files(folder, WEATHER_FILE)
    write_weather(folder, rows, header)
    refused(folder, design, place, word)


def test_all_faults_come_at_once(folder):
    design = write_files(folder, ('drop = "4 ft"', "drop = 4"), ('crest = "10 ft"', 'crest = "15 ft"'))
    result = call("check", design)
    places = [line.split(": ")[0].rpartition("/")[2] for line in result.output.splitlines()]
    assert places == ["design.toml:13", "site.toml:51"]


@pytest.mark.parametrize("command", ["run", "check", "compare", "export"])
def test_a_file_that_is_not_there(tmp_path, command):
    result = call(command, tmp_path / "none.toml")
    assert result.exit_code == 2
    assert "none.toml" in result.output


def test_a_site_file_that_is_not_there(folder):
    design = write_files(folder)
    (folder / "site.toml").unlink()
    refused(folder, design, "design.toml:1", "site.toml")
