"""The whole way on small files: from TOML over the time loop to files, tables and spreadsheets."""

from __future__ import annotations

import csv
import io
import json
import os
import signal
import subprocess
import sys
import time

import numpy as np
import pytest

from pondsim.ensemble import runner
from pondsim.results import load, variables
from tests.cli.common import SHORT, WEATHER_FILE, call, weather_rows, write_files, write_weather

DAYS = 5
GPM = 231 * 0.0254**3 / 60  # m3/s in a gallon a minute, exact
POUND = 0.45359237  # kg, exact


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The small design over five days and a storm, its site as the existing pond, and their results."""
    folder = tmp_path_factory.mktemp("small pond")
    write_files(folder, SHORT)
    for name in ("site", "design"):
        result = call("run", folder / f"{name}.toml", "-o", folder / f"{name}.nc")
        assert result.exit_code == 0, result.output
    return folder


@pytest.fixture(scope="module")
def design(folder):
    return load(folder / "design.nc")


def compared(*args):
    """The table of a comparison: rows by key."""
    folder = args[0].parent
    result = call("compare", *args, "--csv", folder / "table.csv")
    assert result.exit_code == 0, result.output
    rows = csv.DictReader(io.StringIO((folder / "table.csv").read_text(encoding="utf-8")))
    return {row["key"]: row for row in rows}


def test_a_run_says_what_it_found_and_where_it_is(tmp_path):
    design = write_files(tmp_path, SHORT)
    result = call("run", design, "-o", tmp_path / "july.nc")
    assert result.exit_code == 0, result.output
    assert f"Written to {tmp_path / 'july.nc'}." in result.output
    assert "Lowest dawn oxygen" in result.output
    assert "Electricity near water" in result.output
    assert [path.name for path in tmp_path.iterdir() if path.name.endswith(".part")] == []


def test_the_results_file_holds_what_it_must(folder, design):
    assert design.sizes["time"] == 24 * DAYS + 1
    assert [str(zone) for zone in design["zone"].values] == ["deep pool", "cove"]
    for name, declared in variables().items():
        if declared.required:
            assert name in design
    assert all("units" in design[name].attrs for name in design.data_vars)
    for text in ("site.toml", "design.toml"):
        words = (folder / text).read_text(encoding="utf-8").splitlines()[-1]
        assert words in design.attrs["scenario_text"]
    assert design.attrs["tolerance"] == 1.0


def test_every_balance_closes(design):
    for name in ("water", "heat", "oxygen", "salt", "solids", "redox"):
        assert np.max(np.abs(design.attrs[f"balance_{name}"])) < 1e-6


def test_there_is_water_where_there_are_numbers(design):
    there = design["box_volume"].notnull()
    for name in ("dissolved_oxygen", "water_temperature", "oxygen_saturation"):
        assert bool((design[name].notnull() == there).all())
    assert float(design["dissolved_oxygen"].min()) >= -1e-3
    assert float(design["water_temperature"].min()) > 15.0
    assert float(design["water_temperature"].max()) < 40.0


def test_the_pump_moves_what_its_file_says(design):
    """300 gpm, all day."""
    assert design["circulation_flow"].values == pytest.approx(300 * GPM, rel=1e-6)


def test_the_storm_arrives(design):
    """0.5 acre-ft within six hours from 15:00 on the fourth of July; 1 acre-ft is 43560 ft3, exact."""
    inflow = design["inflow"].sel(time=slice("2025-07-04T15:00", "2025-07-04T21:00"))
    brought = float(design["inflow"].sum()) * 3600.0
    assert float(inflow.max()) == float(design["inflow"].max()) > 0.0
    assert brought == pytest.approx(0.5 * 43560 * 0.3048**3, rel=0.02)


def test_a_run_again_gives_the_same_numbers(folder, design):
    result = call("run", folder / "design.toml", "-o", folder / "again.nc")
    assert result.exit_code == 0, result.output
    again = load(folder / "again.nc")
    for name in design.data_vars:
        assert np.array_equal(
            design[name].values, again[name].values, equal_nan=design[name].dtype.kind == "f"
        )


def test_files_that_are_simulated_and_files_that_were_give_the_same_table(folder):
    simulated = compared(folder / "site.toml", folder / "design.toml")
    read = compared(folder / "site.nc", folder / "design.nc")
    assert simulated.keys() == read.keys()
    for key, row in simulated.items():
        for name in row:
            if row[name] and name.startswith(("Two-zone", "Waterfall")):
                assert float(read[key][name]) == pytest.approx(float(row[name]), rel=1e-4, abs=1e-6)


def test_the_table_follows_from_the_files(folder, design):
    """Energy from pump and air source, the oxygen of the waterfall and the nominal turnover, by hand."""
    rows = compared(folder / "site.nc", folder / "design.nc", "--units", "si")
    title = str(design.attrs["title"])
    hours = design["power"].values[1:].sum()
    assert float(rows["electricity"][title]) == pytest.approx(hours / 1000.0, rel=1e-3)
    given = float(design["oxygen_total"].sel(oxygen_pathway="waterfall").sum()) / DAYS
    assert float(rows["oxygen_budget.waterfall"][title]) == pytest.approx(given, rel=1e-6)
    volume = float(design["box_volume"].sum(("zone", "layer")).mean())
    turnover = volume / (300 * GPM) / 86400.0
    assert float(rows["nominal_turnover"][title]) == pytest.approx(turnover, rel=0.01)
    pounds = compared(folder / "site.nc", folder / "design.nc")["oxygen_budget.waterfall"][title]
    assert float(pounds) * POUND == pytest.approx(given, rel=1e-4)


def test_a_comparison_writes_everything_it_is_asked_for(folder):
    out = folder / "out"
    result = call(
        *("compare", folder / "site.toml", folder / "design.toml", "--save", out),
        *("--json", out / "table.json", "--figure", out / "table.png"),
    )
    assert result.exit_code == 0, result.output
    assert sorted(path.name for path in out.iterdir()) == ["design.nc", "site.nc", "table.json", "table.png"]
    assert (out / "table.png").read_bytes().startswith(b"\x89PNG")
    assert len(json.loads((out / "table.json").read_text(encoding="utf-8"))["designs"]) == 2
    assert max(len(line) for line in result.output.splitlines() if str(folder) not in line) <= 80


def test_runs_at_the_same_time_give_what_each_gives_alone(folder, monkeypatch):
    together = compared(folder / "site.toml", folder / "design.toml", folder / "design.toml")
    monkeypatch.setattr(runner, "processors", lambda: 1)
    assert compared(folder / "site.toml", folder / "design.toml", folder / "design.toml") == together


def test_an_export_holds_the_numbers_of_the_file(folder, design):
    result = call(
        *("export", folder / "design.nc", "--zone", "cove", "--depth", "top", "--units", "si"),
        *("--variable", "dissolved_oxygen", "--variable", "circulation_flow"),
    )
    assert result.exit_code == 0, result.output
    rows = list(csv.reader(io.StringIO(result.output)))
    assert rows[0][:2] == ["time", "cove top dissolved_oxygen [mg/L]"]
    assert len(rows) == 24 * DAYS + 2
    oxygen = np.array([float(row[1]) for row in rows[1:]])
    boxes = design["dissolved_oxygen"].sel(zone="cove")
    assert np.all(oxygen >= boxes.min("layer").values - 1e-5)
    assert np.all(oxygen <= boxes.max("layer").values + 1e-5)


def test_a_run_on_a_weather_file(tmp_path):
    """Dull weather of one temperature; hour after hour the same."""
    design = write_files(tmp_path, SHORT, WEATHER_FILE)
    write_weather(tmp_path, weather_rows())
    result = call("run", design, "-o", tmp_path / "a.nc")
    assert result.exit_code == 0, result.output
    assert float(load(tmp_path / "a.nc")["water_temperature"].mean()) == pytest.approx(25.0, abs=5.0)


def test_check_shows_the_pond_as_it_is_written(folder):
    """28000 ft2 is 0.643 acre; prismoids by hand: see the site file."""
    result = call("check", folder / "design.toml")
    assert result.exit_code == 0, result.output
    assert "300 gpm" in result.output
    whole = next(line for line in result.output.splitlines() if "whole pond" in line).split()
    assert float(whole[2]) == pytest.approx(28000 / 43560, rel=1e-3)
    metric = call("check", folder / "design.toml", "--units", "si").output
    assert "18.9 L/s" in metric or "0.0189 m3/s" in metric or "68.1 m3/h" in metric


def test_from_another_folder_with_letters_of_any_kind(tmp_path):
    """A process of its own, a file name with a space and an accent, relative paths."""
    place = tmp_path / "étang du collège"
    place.mkdir()
    write_files(place, SHORT)
    done = subprocess.run(
        [sys.executable, "-m", "pondsim", "run", "étang du collège/design.toml", "-o", "été 1.nc"],
        capture_output=True,
        text=True,
        check=False,
        encoding="utf-8",
        cwd=tmp_path,
        stdin=subprocess.DEVNULL,
        env=os.environ | {"PYTHONUTF8": "1", "PYTHONWARNINGS": "error"},
    )
    assert done.returncode == 0, done.stderr
    assert load(tmp_path / "été 1.nc").sizes["time"] == 24 * DAYS + 1
    assert "Cautions" in done.stderr
    assert "Cautions" not in done.stdout


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_comparison_that_is_stopped_leaves_no_process(folder, number):
    """Two designs at work for a season each; a new session, so that all its processes can be counted."""
    season = [folder / f"long_{name}.toml" for name in ("a", "b")]
    for path in season:
        text = (folder / "design.toml").read_text(encoding="utf-8")
        text += '\n[period]\nstart = "2025-07-01"\nend = "2025-10-01"\n[numerics]\nhydraulic_step = "20 s"\n'
        path.write_text(text, encoding="utf-8")
    program = [sys.executable, "-m", "pondsim"]
    begin = time.monotonic()  # how long a command takes to get to work depends on the machine of the hour
    subprocess.run([*program, "check", season[0]], capture_output=True, check=False)
    to_work = max(2.0, 2.0 * (time.monotonic() - begin))
    hears = (
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)"  # not in a background job
    )
    code = f"{hears}; from pondsim.cli import main; main()"
    command = [sys.executable, "-c", code, "compare", *map(str, season)]
    running = subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    with pytest.raises(subprocess.TimeoutExpired):
        running.wait(to_work)
    os.killpg(running.pid, number) if number == signal.SIGINT else running.send_signal(number)
    _, told = running.communicate(timeout=20)
    assert "Traceback" not in told and "Exception" not in told
    assert running.returncode == {signal.SIGINT: 1, signal.SIGTERM: 143}[number]
    with pytest.raises(ProcessLookupError):
        os.killpg(running.pid, 0)
