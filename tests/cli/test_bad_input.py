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
    ("a storm without a unit", ('"0.5 acre-ft"', '"0.5"'), "site.toml:46", "inflow.1.volume"),
    ("end before the start", ('end = "2025-07-11"', 'end = "2025-06-11"'), "site.toml:5", "period.end"),
    ("no such weather file", WEATHER_FILE, "site.toml:36", "weather.csv"),
    ("not TOML", ('flow = "300 gpm"', "flow = 300 gpm"), "design.toml:9", "has no quotes"),
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
    ("semicolons and decimal commas", [row.replace(",", ";").replace("77", "77,5") for row in ROWS], HEADER.replace(",", ";"), "weather.csv:1", "has semicolons between its columns; save it with commas"),
    ("a line that goes back", [*ROWS, ROWS[3]], HEADER, "weather.csv:", "is not later than the line before"),
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

    monkeypatch.setattr(importlib.import_module("pondsim.engine.season"), "integrate", never)
    (tmp_path / "good.toml").write_text('site = "good_site.toml"\n', encoding="utf-8")
    (tmp_path / "good_site.toml").write_text(minimal_site().replace(*SHORT), encoding="utf-8")
    return tmp_path


STORM = '\n[rain.design_storm]\nstart = "2025-07-03"\ndepth = "2 in"\n'
LOT = '\n[[drainage]]\nname = "lot"\nzone = "cove"\narea = "3 acre"\nimpervious_share = "40 %"\n'
GROUND = "curve_number = 80\n"
TIME = 'time_of_concentration = "15 min"\n'
OWN = 'distribution = "own"\ncurve_time = ["0 h", "2 h"]\ncurve_share = ["0 %", "90 %"]\n'
COVER = 'soil_group = "B"\n' + TIME + '[[drainage.cover]]\ncover = "{}"\nshare = "{} %"\n'
WATER_FAULTS = [  # what, text added to the design, line, word
    ("curve number too low", STORM + LOT + "curve_number = 20\n" + TIME, 33, "curve_number = 20 is too low"),
    ("curve number too high", STORM + LOT + "curve_number = 101\n" + TIME, 33, "curve_number = 101 is too high"),
    ("shares", STORM + LOT + COVER.format("meadow", 60), 35, "adds up to 60 %"),
    ("impervious share", STORM + LOT.replace("40 %", "140 %") + GROUND + TIME, 32, "impervious_share"),
    ("no such zone", STORM + LOT.replace("cove", "bay") + GROUND + TIME, 30, '"bay" names no zone'),
    ("no rain", LOT + GROUND + TIME, 24, "has no rain to shed"),
    ("no ground", STORM + LOT + TIME, 28, "curve_number is missing"),
    ("a curve that does not end at 1", STORM + OWN, 29, "from 0 to 0.9"),
    ("two sources of rain", STORM + '[rain]\nfile = "design.toml"\n', 24, "stands beside rain.file"),
    ("negative rain", STORM.replace("2 in", "-2 in"), 26, "rain.design_storm.depth"),
    ("a weir above the banks", '\n[[outlet.weir]]\ncrest = "14 ft"\nwidth = "2 ft"\n', 25, "not below pond.bank_top"),
    ("a spillway above the banks", '\n[outlet.spillway]\ncrest = "14 ft"\nwidth = "2 ft"\n', 25, "outlet.spillway.crest"),
    ("an orifice above the banks", '\n[outlet.orifice]\nelevation = "14 ft"\ndiameter = "2 in"\n', 25, "outlet.orifice.elevation"),
    ("a drowned outlet", '\n[outlet]\ntailwater = "14 ft"\n', 25, "outlet.tailwater"),
    ("a table beside a weir", '\n[outlet.table]\nstage = ["10 ft", "11 ft"]\nflow = ["0 cfs", "1 cfs"]\n', 24, "stands beside [outlet.weir]"),
    ("a table that falls", '\n[outlet.table]\nstage = ["10 ft", "11 ft", "12 ft"]\nflow = ["0 cfs", "2 cfs", "1 cfs"]\n', 26, "never fall"),
]  # fmt: skip

RAIN_ROWS = [f"2025-07-{day:02d} {hour:02d}:00,0.0" for day in range(1, 13) for hour in range(24)]
RAIN_FAULTS = [  # what, rows, header, place, word
    ("negative", [*RAIN_ROWS[:50], "2025-07-03 02:00,-0.1", *RAIN_ROWS[51:]], "time,rain [in]", "rain.csv:52", "-0.1 is outside"),
    ("missing steps", [*RAIN_ROWS[:50], *RAIN_ROWS[60:]], "time,rain [in]", "rain.csv:52", "rain.dry_gaps"),
    ("an hour twice", [*RAIN_ROWS[:51], *RAIN_ROWS[50:]], "time,rain [in]", "rain.csv:53", "no hour of summer time"),
    ("no unit", RAIN_ROWS, "time,rain", "rain.csv:1", "has no unit"),
    ("not covering the period", RAIN_ROWS[:100], "time,rain [in]", "rain.csv", "the period needs"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("extra", "line", "word"), [f[1:] for f in WATER_FAULTS], ids=[f[0] for f in WATER_FAULTS]
)
def test_a_fault_of_rain_drainage_and_outlet(folder, extra, line, word):
    refused(folder, write_files(folder, extra=extra), f"design.toml:{line}", word)


@pytest.mark.parametrize(
    ("rows", "header", "place", "word"), [f[1:] for f in RAIN_FAULTS], ids=[f[0] for f in RAIN_FAULTS]
)
def test_a_fault_of_the_rain_file(folder, rows, header, place, word):
    (folder / "rain.csv").write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
    design = write_files(folder, extra='\n[rain]\nfile = "rain.csv"\n' + LOT + GROUND + TIME)
    refused(folder, design, place, word)


def test_a_weather_file_without_rain_serves_no_drainage(folder):
    design = write_files(folder, WEATHER_FILE, extra=LOT + GROUND + TIME)
    write_weather(folder, ROWS)
    for args in (("run", design, "-o", folder / "out.nc"), ("check", design)):
        result = call(*args)
        assert result.exit_code == 2, result.output
        assert "no column rain" in result.output


def test_an_hour_of_summer_time_in_the_weather_file(folder):
    design = write_files(folder, WEATHER_FILE)
    write_weather(folder, [*ROWS[:51], *ROWS[50:]])
    refused(folder, design, "weather.csv:53", "no hour of summer time")


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
    assert places == ["design.toml:13", "site.toml:51", "design.toml"]  # what was not checked yet


@pytest.mark.parametrize("command", ["run", "check", "compare", "export"])
def test_a_file_that_is_not_there(tmp_path, command):
    result = call(command, tmp_path / "none.toml")
    assert result.exit_code == 2
    assert "none.toml" in result.output


def test_a_site_file_that_is_not_there(folder):
    design = write_files(folder)
    (folder / "site.toml").unlink()
    refused(folder, design, "design.toml:1", "site.toml")
