"""Outputs on an input or on each other, output that cannot be written, lists in `check`, encodings."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import click
import pytest

from pondsim.cli import main
from pondsim.comparison.remarks import sentence
from pondsim.design.remarks import design_records
from pondsim.design.sheet import design_sheet
from pondsim.errors import ScenarioError
from pondsim.results import check_writable
from pondsim.scenario.read import read_scenario
from pondsim.site.weather_checks import _cure
from pondsim.site.weather_file import COLUMNS
from tests.cli.common import SHORT, WEATHER_FILE, call, weather_rows, write_files, write_weather
from tests.results.ponds import small_pond
from tests.sizing.ponds import write_tank

CRASH = '\n[[bloom_crash]]\nstart = "2025-07-03"\nkilled_share = "70 %"\n'


def contents(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


@pytest.mark.parametrize("name", ["design.toml", "site.toml", "weather.csv", "link.csv"])
def test_no_command_writes_over_its_input(tmp_path, name):
    design = write_files(tmp_path, SHORT, WEATHER_FILE)
    write_weather(tmp_path, weather_rows())
    (tmp_path / "link.csv").symlink_to(tmp_path / "weather.csv")
    before = contents(tmp_path)
    result = call("compare", tmp_path / "site.toml", design, "--csv", tmp_path / name)
    assert result.exit_code == 2, result.output
    assert "is an input of this command" in result.output
    assert contents(tmp_path) == before


def test_two_outputs_in_one_file_are_refused_and_no_folder_is_left(tmp_path):
    design = write_files(tmp_path, SHORT)
    one, other = tmp_path / "a.csv", tmp_path / "." / "a.csv"
    result = call(
        "compare", tmp_path / "site.toml", design, "--csv", one, "--json", other, "--save", tmp_path / "s"
    )
    assert result.exit_code == 2, result.output
    assert "two outputs" in result.output
    assert not (tmp_path / "s").exists()
    assert not one.exists()


def test_results_end_in_nc_and_a_pipe_is_no_place(tmp_path):
    result = call("run", write_files(tmp_path, SHORT), "-o", tmp_path / "july.csv")
    assert result.exit_code == 2
    assert ".nc" in result.output
    os.mkfifo(tmp_path / "pipe.nc")
    with pytest.raises(ScenarioError, match="is not a regular file"):
        check_writable(tmp_path / "pipe.nc")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_full_output_ends_in_one_line():
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, "-c", "from pondsim.cli import main; main()", "schema"],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False,
        )  # fmt: skip
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1
    assert "cannot be written" in done.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
@pytest.mark.parametrize("command", ["check", "size"])
def test_a_full_output_costs_no_file(tmp_path, command):
    """Files come after the print; that what was printed is not whole is one line, and exit code 1."""
    design, written = write_tank(tmp_path), tmp_path / "a.json"
    what = {"size": ["measures"]}.get(command, [])
    asked = [command, *what, str(design), "--json", str(written)]
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, "-m", "pondsim", *asked],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False,
        )  # fmt: skip
    assert done.returncode == 1
    assert done.stderr.count("the output cannot be written: No space left on device") == 1
    assert json.loads(written.read_text(encoding="utf-8"))


@pytest.mark.parametrize("what", ["stdout", "stderr"])
def test_a_reader_that_leaves_early_costs_no_file(tmp_path, what):
    """As with `| head -5`: nobody reads the pipe from the start, and the file comes after the print."""
    design, written = write_files(tmp_path, SHORT), tmp_path / "a.json"
    reads, writes = os.pipe()
    os.close(reads)
    options = [str(design), "--json", str(written)]
    streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE} | {what: writes}
    done = subprocess.run([sys.executable, "-m", "pondsim", "check", *options], check=False, **streams)
    os.close(writes)
    assert done.returncode == 0 and b"broken" not in (done.stderr or b"").lower()
    assert json.loads(written.read_text(encoding="utf-8"))


def test_results_are_saved_before_anything_is_printed(tmp_path, monkeypatch):
    design = write_files(tmp_path, SHORT)
    ran = [small_pond(title=title) for title in ("a", "b")]
    monkeypatch.setattr("pondsim.cli.compare.all_results", lambda _: ran)
    monkeypatch.setattr("pondsim.cli._tables.comparison_text", lambda *_, **__: 1 / 0)
    result = call("compare", tmp_path / "site.toml", design, "--save", tmp_path / "out")
    assert isinstance(result.exception, ZeroDivisionError)
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["design.nc", "site.nc"]


def test_sigterm_ends_as_an_exit_that_cleans_up():
    with click.Context(main).scope() as context:
        context.invoke(main.callback)
        with pytest.raises(SystemExit) as ended:
            signal.raise_signal(signal.SIGTERM)
    assert ended.value.code == 128 + signal.SIGTERM


def test_spring_clock_change_is_told_from_a_gap():
    after = datetime(2025, 3, 9, 3)  # 02:00 on Sunday 9 March 2025 is lacking
    assert "summer time" in _cure(7200.0, after)
    assert "fill_gaps" in _cure(7200.0, datetime(2025, 3, 10, 3))
    assert "fill_gaps" in _cure(10800.0, after)


def test_check_lists_crashes_and_says_which_replace_the_site_s(tmp_path):
    design = write_files(tmp_path, extra=CRASH)
    site = tmp_path / "site.toml"
    site.write_text(site.read_text(encoding="utf-8") + CRASH + CRASH, encoding="utf-8")
    result = call("check", design)
    assert result.exit_code == 0, result.output
    assert "2025-07-03 00:00: kills 70 %" in result.output
    assert "this design's 1 bloom_crash replaces the site's 2" in result.output
    assert "1 inflow event brings" in result.output
    assert "splash and wind loss" in result.output


@pytest.mark.parametrize("encoding", ["utf-16", "latin-1"])
def test_other_encodings_are_told(tmp_path, encoding):
    design = write_files(tmp_path)
    design.write_bytes(("# \u00e9t\u00e9\n" + design.read_text(encoding="utf-8")).encode(encoding))
    result = call("check", design)
    assert result.exit_code == 2
    assert "save it as UTF-8" in result.output


def test_utf_16_without_a_mark_is_told(tmp_path):
    design = write_files(tmp_path, SHORT, WEATHER_FILE)
    weather = write_weather(tmp_path, weather_rows())
    weather.write_bytes(weather.read_text(encoding="utf-8").encode("utf-16-le"))
    assert "weather.csv: is not text in UTF-8; save it as UTF-8" in call("check", design).output
    design.write_bytes(design.read_text(encoding="utf-8").encode("utf-16-le"))
    assert "save it as UTF-8" in call("check", design).output


def test_page_on_weather_files_names_every_column():
    page = (Path(__file__).parents[2] / "docs" / "weather.md").read_text(encoding="utf-8")
    for name, column in COLUMNS.items():
        assert f"| `{name}` | `[{column.unit}]` | {column.least} | {column.most} |" in page


@pytest.mark.parametrize(("flow", "slip", "turnover"), [("300 gpm", False, True), ("30000 gpm", True, True)])
def test_check_asks_whether_a_huge_pump_is_a_slip_of_units(tmp_path, flow, slip, turnover):
    output = call("check", write_files(tmp_path, ('flow = "300 gpm"', f'flow = "{flow}"'))).output
    assert ("check the units" in output.replace("\n", " ")) is slip
    assert ("nominal turnover" in output) is turnover


def test_check_gives_no_turnover_without_flow(tmp_path):
    result = call("check", write_files(tmp_path, ('flow = "300 gpm"', 'flow = "0 gpm"')))
    assert result.exit_code == 0, result.output
    assert "nominal turnover" not in result.output


def test_sigterm_while_writing_leaves_no_partial_file(tmp_path, monkeypatch):
    def stopped(*_):
        signal.raise_signal(signal.SIGTERM)

    monkeypatch.setattr(os, "replace", stopped)
    result = call("schema", "-o", tmp_path / "schema.json")
    assert result.exit_code == 128 + signal.SIGTERM
    assert not list(tmp_path.iterdir())


def test_a_pond_thinner_than_its_layers_is_remarked(tmp_path):
    design = write_files(tmp_path)
    scenario = read_scenario(design)
    sheet = design_sheet(scenario)
    deepest = max(zone.depth for zone in sheet.zones)
    assert not any("thinner than" in sentence(one) for one in design_records(scenario, sheet))
    many = replace(scenario, pond=replace(scenario.pond, layers=int(deepest / 0.15) + 1))
    assert any("thinner than" in sentence(one) for one in design_records(many, sheet))
