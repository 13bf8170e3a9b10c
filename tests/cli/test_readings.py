"""`pondsim readings` from outside: the invented logger of the demo, and what cannot be shown."""

from __future__ import annotations

import csv
import json

import pytest

from tests.cli.common import DEMO, call, write_files

LOGGED = DEMO / "existing_logged.toml"
LOGGER = DEMO / "logger_invented.csv"
READINGS = '\n[[readings]]\nname = "logger"\nfile = "logger.csv"\nzone = "cove"\ndepth = "1 ft"\n'


def test_every_declared_trouble_of_the_invented_logger_is_said(tmp_path):
    """docs/studies/invented_logger.py says what was put in: fouling by 1.2 mg/L, a bank, a gap, a spike."""
    result = call(
        "readings", LOGGED, "--json", tmp_path / "r.json", "--csv", tmp_path / "r.csv", "--units", "si"
    )
    assert result.exit_code == 0, result.output
    assert "far_logger: far_arm, 0.457 m below the surface; every 30 min; serviced once" in result.output
    told = json.loads((tmp_path / "r.json").read_text())
    oxygen, warmth = told["readings"]
    found = {one["kind"]: one for one in oxygen["flags"]}
    assert set(found) == {"gap", "out_of_water", "spike", "drift"}
    assert found["drift"]["size"] == pytest.approx(-1.2, abs=0.3)
    assert found["gap"]["size"] == pytest.approx(11.5 * 3600.0)
    assert found["out_of_water"]["first"] == "2025-07-02T11:30:00"
    assert {one["kind"] for one in warmth["flags"]} == {"gap", "out_of_water"}
    assert oxygen["complete_days"] == oxygen["days"] - 5  # both ends, the gap, the bank
    with (tmp_path / "r.csv").open() as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == oxygen["count"] + warmth["count"]
    by_clock = {
        tuple(line.split(",")[:2]): line.split(",")[2] for line in LOGGER.read_text().splitlines()[2:]
    }
    # 01:00 PM daylight time of the first line is noon by standard time
    assert rows[0]["time"] == "2025-06-10 12:00"
    assert float(rows[0]["read"]) == float(by_clock["06/10/2025", "01:00 PM"])
    (spike,) = [row["read"] for row in rows if row["flag"] == "spike"]
    assert float(spike) == float(by_clock["07/09/2025", "03:00 PM"])


def test_a_run_holds_its_readings_and_every_command_shows_them(tmp_path):
    lines = [f"2025-07-0{1 + n // 24} {n % 24:02d}:00,{6 + n % 3}" for n in range(5 * 24)]
    design = write_files(tmp_path, ('end = "2025-07-11"', 'end = "2025-07-06"'), extra=READINGS)
    (tmp_path / "logger.csv").write_text(
        "time,dissolved_oxygen [mg/L]\n" + "\n".join(lines), encoding="utf-8"
    )
    results = tmp_path / "r.nc"
    assert call("run", design, "-o", results).exit_code == 0
    (tmp_path / "logger.csv").unlink()
    shown = call("readings", results, "--plot", tmp_path / "r.png")
    assert shown.exit_code == 0, shown.output
    assert "this run" in shown.output and "same hour yesterday" in shown.output
    assert (tmp_path / "r.png").stat().st_size > 10_000
    beside = call("compare", results, results, "--json", tmp_path / "c.json")
    assert "Design A, the existing pond, against readings" in beside.output
    assert json.loads((tmp_path / "c.json").read_text())["readings"][0]["instrument"] == "logger"
    assert call("plot", results, "lines", "--zone", "cove", "-o", tmp_path / "l.svg").exit_code == 0
    assert "Red: readings of logger, cove, 1 ft" in (tmp_path / "l.svg").read_text().replace("\n", " ")
    assert call("report", results, "-o", tmp_path / "p.html").exit_code == 0
    assert "Readings of the pond" in (tmp_path / "p.html").read_text(encoding="utf-8")
    assert (tmp_path / "p_tables" / "readings.csv").exists()
    unpacked = call("export", results, "--scenario", tmp_path / "again")
    assert unpacked.exit_code == 0
    assert (tmp_path / "again" / "logger.csv").exists()


def test_readings_of_which_none_is_scored_are_still_drawn(tmp_path):
    """A sensor stuck at one value for a week."""
    design = write_files(tmp_path, extra=READINGS)
    lines = [f"2025-07-0{1 + n // 24} {n % 24:02d}:00,6" for n in range(7 * 24)]
    (tmp_path / "logger.csv").write_text(
        "\n".join(["time,dissolved_oxygen [mg/L]", *lines]), encoding="utf-8"
    )
    shown = call("readings", design, "--plot", tmp_path / "r.png")
    assert shown.exit_code == 0, shown.output
    assert "oxygen, no change to the last digit: 2025-07-01 00:00 to 2025-07-07 23:00" in shown.output
    assert "       -      -       -\n" in shown.output
    assert (tmp_path / "r.png").exists()


def test_one_reading_is_drawn_and_none_at_all_is_said(tmp_path):
    """Alone it gets a day's room; of a file of gaps it is not said that none is named."""
    design = write_files(tmp_path, extra=READINGS)
    log, head = tmp_path / "logger.csv", "time,dissolved_oxygen [mg/L]\n"
    log.write_text(f"{head}2025-07-03 05:00,4.1\n", encoding="utf-8")
    shown = call("readings", design, "--plot", tmp_path / "r.svg")
    assert shown.exit_code == 0, shown.output
    log.write_text(f"{head}2025-07-03 05:00,\n2025-07-03 06:00,NA\n", encoding="utf-8")
    refused = call("readings", design)
    assert refused.exit_code == 2
    assert "its readings hold no value: every one is empty or a gap code" in refused.output


def test_flagged_readings_stay_out_of_lowest_mean_and_highest(tmp_path):
    """By hand: 5 and 7 in turns, mean 6; one 250 mg/L and one 1e308, neither of which oxygen can be."""
    design = write_files(tmp_path, extra=READINGS)
    values = [5 + 2 * (n % 2) for n in range(96)]
    lines = [f"2025-07-0{1 + n // 24} {n % 24:02d}:00,{value}" for n, value in enumerate(values)]
    lines[30], lines[61] = lines[30].split(",")[0] + ",250", lines[61].split(",")[0] + ",1e308"
    log = tmp_path / "logger.csv"
    log.write_text("\n".join(["time,dissolved_oxygen [mg/L]", *lines]), encoding="utf-8")
    shown = call("readings", design, "--plot", tmp_path / "r.png")
    assert shown.exit_code == 0, shown.output
    (row,) = [line.split() for line in shown.output.splitlines() if "oxygen [mg/L]" in line]
    assert row[-3:] == ["5", "6", "7"] and row[4] == "96"
    assert "2 of these flagged, so not in lowest, mean and highest" in shown.output
    table = [
        line for line in shown.output.splitlines() if str(tmp_path) not in line
    ]  # a path is as long as it is
    assert max(map(len, table)) <= 80


def test_readings_of_another_year_are_said_to_be_so(tmp_path):
    """Of 2023, in a run of 2025: by `readings`, before and after the run, by `check` and by `run`."""
    design = write_files(tmp_path, ('end = "2025-07-11"', 'end = "2025-07-03"'), extra=READINGS)
    results = tmp_path / "r.nc"
    log = "time,dissolved_oxygen [mg/L]\n2023-06-10 05:00,4.1\n2023-07-18 06:00,4.2\n"
    (tmp_path / "logger.csv").write_text(log, encoding="utf-8")
    told = "None of the readings of logger (2023-06-10 to 2023-07-18) falls within the period of the run "
    told += "(2025-07-01 to 2025-07-03)."
    shown = call("readings", design)
    assert shown.exit_code == 0 and told in " ".join(shown.output.split())
    assert told in " ".join(call("check", design).output.split())
    ran = call("run", design, "-o", results)
    assert ran.exit_code == 0 and told in " ".join(ran.output.split())
    refused = call("readings", results)
    assert refused.exit_code == 2 and told in " ".join(refused.output.split())
    assert "name their files" not in refused.output


def test_what_cannot_be_shown_is_said(tmp_path):
    design = write_files(tmp_path)
    none = call("readings", design)
    assert (none.exit_code, none.output.splitlines()[-1].endswith("name their files by [[readings]]")) == (
        2,
        True,
    )
    assert call("readings", LOGGED, DEMO / "existing.toml").exit_code == 2
    assert call("readings", LOGGED, "--plot", tmp_path / "r.gif").exit_code == 2
    (tmp_path / "logger.csv").write_text("time,oxygen\n2025-07-01,6\n", encoding="utf-8")
    design.write_text(design.read_text() + READINGS, encoding="utf-8")
    for command in (("readings", design), ("run", design, "-o", tmp_path / "r.nc"), ("check", design)):
        refused = call(*command)
        assert refused.exit_code == 2, command
        assert "logger.csv:1: oxygen is not a column of a file of readings" in refused.output
