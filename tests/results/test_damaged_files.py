"""Results files that are cut, damaged or forged: every command that reads one says so in words."""

from __future__ import annotations

import json

import h5py
import numpy as np
import pytest

from pondsim.errors import ScenarioError
from pondsim.results import load, save
from tests.cli.common import call
from tests.results.ponds import small_pond

STRING = h5py.string_dtype()


def without(name):
    def change(file):
        del file.attrs[name]

    return change


def attribute(name, value):
    def change(file):
        file.attrs[name] = value

    return change


def texts(name):
    def change(file):
        shape = file[name].shape
        del file[name]
        file.create_dataset(name, data=np.full(shape, "x", dtype=object), dtype=STRING)

    return change


def dropped(name):
    def change(file):
        del file[name]

    return change


def filled(name, value):
    def change(file):
        file[name][...] = value

    return change


def turned(name):
    """The first two dimensions the other way round."""

    def change(file):
        values = file[name][...]
        scales = [dimension[0] for dimension in file[name].dims]
        del file[name]
        turned = file.create_dataset(name, data=np.swapaxes(values, 0, 1))
        for place, scale in zip((1, 0, 2), scales, strict=True):
            turned.dims[place].attach_scale(scale)

    return change


DAMAGE = {
    "no version": without("pondsim_version"),
    "no format": without("results_format"),
    "no clock": without("utc_offset_h"),
    "no days of renewal": without("renewed_within_d"),
    "format of text": attribute("results_format", "one"),
    "format a list": attribute("results_format", np.array([1, 1])),
    "another format": attribute("results_format", 99),
    "title a number": attribute("title", 7),
    "title of 60,000 letters": attribute("title", "Z" * 60000),
    "pool of text": attribute("normal_pool_m", "high"),
    "pool of no number": attribute("normal_pool_m", np.nan),
    "pool a list": attribute("normal_pool_m", np.arange(3.0)),
    "layout cut": attribute("layout", '{"connections": [['),
    "layout a list": attribute("layout", "[]"),
    "parameters nested": attribute("parameters", "[" * 20000),
    "events a number": attribute("events", "3"),
    "remarks forged": attribute("remarks", '[{"code": 1}]'),
    "criterion unknown": attribute("criterion", "lukewarm"),
    "balance of text": attribute("balance_redox", "junk"),
    "no times": dropped("time"),
    "times alike": filled("time", 0),
    "zones alike": filled("zone", "pool"),
    "no zones": dropped("zone"),
    "oxygen of text": texts("dissolved_oxygen"),
    "oxygen turned": turned("dissolved_oxygen"),
    "no oxygen": dropped("dissolved_oxygen"),
    "volume nowhere": filled("box_volume", np.nan),
    "temperature nowhere": filled("water_temperature", np.nan),
    "level nowhere": filled("water_surface_elevation", np.nan),
}


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    path = tmp_path_factory.mktemp("whole") / "whole.nc"
    save(small_pond(days=3, events=json.dumps([]), layout=json.dumps({})), path)
    return path


def commands(path):
    folder = path.parent
    return (
        ("report", path, "-o", folder / "page.html"),
        ("export", path),
        ("export", path, "--table", "events"),
        ("export", path, "--scenario", folder / "again"),
        ("plot", path, "lines", "-o", folder / "lines.png"),
        ("plot", path, "plan", "-o", folder / "plan.png"),
        ("compare", path, path),
    )


@pytest.mark.parametrize("damage", DAMAGE)
def test_damage_is_told_in_words_by_every_command(tmp_path, whole, damage):
    """Exit code 2 and the file's name, or, where the damage does not touch what a command reads, its work."""
    path = tmp_path / "damaged.nc"
    path.write_bytes(whole.read_bytes())
    with h5py.File(path, "r+") as file:
        DAMAGE[damage](file)
    try:
        load(path)
        tried = commands(path)  # what is read by some commands only
    except ScenarioError:
        tried = commands(path)[1:2]
    codes = []
    for command in tried:
        result = call(*command)
        assert result.exception is None or isinstance(result.exception, SystemExit), command
        assert result.exit_code in (0, 2), result.output
        codes.append(result.exit_code)
    assert 2 in codes


def test_a_file_cut_or_overwritten_anywhere_is_refused_or_whole(tmp_path, whole):
    """Random cuts and random bytes: an error in words, or values that were not touched."""
    content, random = whole.read_bytes(), np.random.default_rng(7)
    path = tmp_path / "damaged.nc"
    refused = 0
    for number in range(60):
        damaged = bytearray(content)
        at = int(random.integers(len(content)))
        if number % 2:
            del damaged[at:]
        else:
            damaged[at : at + 64] = random.bytes(min(64, len(content) - at))
        path.write_bytes(damaged)
        try:
            load(path)
        except ScenarioError as error:
            assert str(path) in str(error)
            refused += 1
    assert refused >= 30
