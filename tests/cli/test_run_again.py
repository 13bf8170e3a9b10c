"""A results file holds what it was made from: written out and run again it gives the same numbers."""

from __future__ import annotations

import io
import shutil
import zipfile

import numpy as np
import pytest
import xarray as xr

from pondsim.results import load, save
from tests.cli.common import SHORT, WEATHER_FILE, call, weather_rows, write_files, write_weather

RAIN = "time,rain [in]\n2025-07-02 05:00,0.3\n2025-07-02 06:00,0.5\n"


def test_results_hold_all_that_a_run_again_needs(tmp_path):
    """Design, site, weather and rain lie in four folders, two files of one name; then all of it is gone."""
    old = tmp_path / "old"
    for name in ("designs", "weather", "rain"):
        (old / name).mkdir(parents=True)
    design = write_files(old, SHORT, WEATHER_FILE, extra="\n# ---- a remark that looks like a heading\n")
    write_weather(old / "weather", weather_rows()).rename(old / "weather" / "july.csv")
    (old / "rain" / "july.csv").write_text(RAIN)
    site = old / "site.toml"
    text = site.read_text().replace('"weather.csv"', '"weather/july.csv"')
    rain = f"\n[rain]\nfile = '{old / 'rain' / 'july.csv'}'\ndry_gaps = \"30 d\"\n"
    site.write_text(text + rain)
    moved = old / "designs" / design.name
    moved.write_text(design.read_text().replace('site = "site.toml"', 'site = "../site.toml"'))
    design.unlink()
    first = call("run", moved, "-o", tmp_path / "first.nc")
    assert first.exit_code == 0, first.output
    shutil.rmtree(old)

    written = call("export", tmp_path / "first.nc", "--scenario", tmp_path / "again")
    assert written.exit_code == 0, written.output
    names = sorted(path.name for path in (tmp_path / "again").iterdir())
    assert names == sorted([moved.name, "site.toml", "july.csv", "july_2.csv"])
    assert f"pondsim run {tmp_path / 'again' / moved.name} -o again.nc" in written.output
    again = call("run", tmp_path / "again" / moved.name, "-o", tmp_path / "second.nc")
    assert again.exit_code == 0, again.output
    one, two = (load(tmp_path / name) for name in ("first.nc", "second.nc"))
    assert float(one["rain"].max()) > 0.0
    xr.testing.assert_equal(one.drop_vars("input_files"), two.drop_vars("input_files"))
    assert one["input_files"].identical(two["input_files"])

    twice = call("export", tmp_path / "first.nc", "--scenario", tmp_path / "again")
    assert twice.exit_code == 2
    assert "already; choose another folder" in twice.output


def packed(**members: bytes) -> xr.Variable:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return xr.Variable("input_byte", np.frombuffer(stream.getvalue(), dtype=np.uint8))


@pytest.mark.parametrize(
    ("held", "words"),
    [
        (None, "does not hold the files it was made from"),
        (xr.Variable("input_byte", np.arange(200, dtype=np.uint8)), "the files in it are damaged"),
        (packed(), "the files in it are damaged"),
        (packed(**{"../outside.toml": b""}), "the files in it are damaged"),
        (packed(**{"/tmp/outside.toml": b""}), "the files in it are damaged"),
        (packed(**{".bashrc": b""}), "the files in it are damaged"),
    ],
)
def test_nothing_is_written_from_results_that_hold_no_files_or_forged_ones(
    tmp_path, small_results, held, words
):
    dataset = load(small_results)
    if held is not None:
        dataset["input_files"] = held
    save(dataset, tmp_path / "a.nc")
    result = call("export", tmp_path / "a.nc", "--scenario", tmp_path / "out")
    assert result.exit_code == 2
    assert words in result.output
    assert not (tmp_path / "out").exists()


@pytest.fixture
def small_results(tmp_path):
    from tests.results.ponds import small_pond  # noqa: PLC0415

    save(small_pond(days=3), tmp_path / "small.nc")
    return tmp_path / "small.nc"
