"""Runs that fail, places that cannot be written, results files that are none: exit codes and what is left."""

from __future__ import annotations

import os

import numpy as np
import pytest
import xarray as xr

from tests.cli.common import SHORT, call, write_files
from tests.scenarios_for_tests import minimal_site

WINTER = [
    ('start = "2025-07-01"', 'start = "2025-12-01"'),
    ('end = "2025-07-11"', 'end = "2026-02-28"'),
    ('"2025-07-04 15:00"', '"2026-02-20 15:00"'),
    ('["0 degC", "1 degC"', '["-20 degC", "-20 degC"'),
    ('"8 degC", "2 degC"]\ndaily', '"8 degC", "-20 degC"]\ndaily'),
    ('["-5 degC", "-4 degC"', '["-25 degC", "-25 degC"'),
    ('"3 degC", "-3 degC"]', '"3 degC", "-25 degC"]'),
]


@pytest.fixture(scope="module")
def results(tmp_path_factory):
    """A results file of the small site."""
    folder = tmp_path_factory.mktemp("results")
    write_files(folder, SHORT)
    result = call("run", folder / "site.toml", "-o", folder / "site.nc")
    assert result.exit_code == 0, result.output
    return folder / "site.nc"


def test_freezing_ends_in_one_and_an_older_file_survives(tmp_path):
    design = write_files(tmp_path, *WINTER)
    (tmp_path / "winter.nc").write_bytes(b"last year's results")
    before = sorted(path.name for path in tmp_path.iterdir())
    result = call("run", design, "-o", tmp_path / "winter.nc")
    assert result.exit_code == 1, result.output
    assert "freezes at 20" in result.output
    assert "Waterfall and night air (invented): the water in " in result.output
    assert "write a section [ice]" in result.output
    assert "Traceback" not in result.output
    assert (tmp_path / "winter.nc").read_bytes() == b"last year's results"
    assert sorted(path.name for path in tmp_path.iterdir()) == before


def test_one_failed_design_fails_the_comparison_and_writes_nothing(tmp_path):
    design = write_files(tmp_path, *WINTER)
    result = call("compare", tmp_path / "site.toml", design, "--csv", tmp_path / "a.csv", "--save", tmp_path)
    assert result.exit_code == 1, result.output
    assert not (tmp_path / "a.csv").exists()
    assert not list(tmp_path.glob("*.nc"))


@pytest.mark.parametrize("place", ["no/such/folder/a.nc", "folder", "a.nc/b.nc"])
def test_a_place_that_cannot_be_written_is_said_before_the_run(tmp_path, monkeypatch, place):
    design = write_files(tmp_path, SHORT)
    (tmp_path / "folder").mkdir()
    (tmp_path / "a.nc").write_text("a file, not a folder")
    monkeypatch.setattr("pondsim.cli._common.say_when_compiling", lambda: pytest.fail("the run has begun"))
    result = call("run", design, "-o", tmp_path / place)
    assert result.exit_code == 2, result.output
    assert str(tmp_path / place) in result.output.replace("\n", "")
    assert "Traceback" not in result.output


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_one_may_not_write_to(tmp_path):
    design = write_files(tmp_path, SHORT)
    shut = tmp_path / "shut"
    shut.mkdir(mode=0o500)
    assert call("run", design, "-o", shut / "a.nc").exit_code == 2


@pytest.mark.parametrize("command", ["compare", "export"])
@pytest.mark.parametrize("kind", ["cut short", "text", "empty", "foreign"])
def test_a_results_file_that_is_none(tmp_path, results, command, kind):
    path = tmp_path / "other.nc"
    if kind == "foreign":
        xr.Dataset({"sea_level": ("time", np.zeros(3))}).to_netcdf(path, engine="netcdf4")
    else:
        whole = results.read_bytes()
        path.write_bytes(
            {"cut short": whole[: len(whole) // 2], "text": b"time,oxygen\n", "empty": b""}[kind]
        )
    result = call(command, path) if command == "export" else call(command, results, path)
    assert result.exit_code == 2, result.output
    assert "other.nc" in result.output
    assert "Traceback" not in result.output


@pytest.mark.parametrize("command", [("run",), ("check",), ("size", "flow")])
def test_an_option_of_compare_is_told_to_be_one(tmp_path, command):
    told = call(*command, write_files(tmp_path, SHORT), "--set", "pump.flow=9 gpm")
    assert told.exit_code == 2
    assert f"--set belongs to pondsim compare; for {command[0]}, write the values into a" in told.output


def test_a_results_file_is_not_a_design(results):
    for command in (("run", results, "-o", results.parent / "b.nc"), ("check", results)):
        result = call(*command)
        assert result.exit_code == 2, result.output
        assert "site.nc" in result.output
        assert "Traceback" not in result.output


@pytest.mark.parametrize(
    ("change", "word"),
    [
        (('normal_pool = "10 ft"', 'normal_pool = "10.2 ft"'), "pool"),
        (('name = "cove"', 'name = "bay"'), "zone"),
        (('end = "2025-07-06"', 'end = "2025-07-05"'), "period"),
    ],
    ids=["normal pool", "zones", "period"],
)
def test_designs_of_different_ponds_are_not_compared(tmp_path, results, change, word):
    text = minimal_site().replace(*SHORT)
    old, new = change
    assert old in text
    if "cove" in old:
        text = text.replace('"cove"', '"bay"')
    (tmp_path / "other.toml").write_text(text.replace(old, new), encoding="utf-8")
    result = call("compare", results, tmp_path / "other.toml", "--csv", tmp_path / "a.csv")
    assert result.exit_code == 2, result.output
    assert word in result.output
    assert not (tmp_path / "a.csv").exists()
