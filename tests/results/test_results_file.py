"""The results file: written whole or not at all, read back as it was, refused when it is another's."""

import subprocess
import sys

import numpy as np
import pytest
import xarray as xr

from pondsim.errors import ScenarioError
from pondsim.results import RESULTS_FORMAT, check_writable, describe, load, save, variables
from pondsim.results.raw import read_raw
from tests.results.ponds import small_pond


def test_what_is_saved_comes_back(tmp_path):
    """Values, coordinates and attributes; box values to single precision."""
    pond = small_pond(oxygen=np.array([3.0, 5.0, 7.25]))
    save(pond, tmp_path / "a.nc")
    back = load(tmp_path / "a.nc")
    xr.testing.assert_allclose(back, pond, rtol=1e-6)
    assert list(back["zone"].values) == ["pool", "arm"]
    assert back.attrs["title"] == "As it is"
    assert back.attrs["Conventions"].startswith("CF-")
    assert back["dissolved_oxygen"].attrs["units"] == "mg/L"
    assert back["power"].attrs["cell_methods"] == "time: mean"
    assert back["dissolved_oxygen"].attrs["cell_methods"] == "time: point"
    assert "NaN" in back["dissolved_oxygen"].attrs["comment"]
    assert back["time"].dtype.kind == "M"
    assert np.array_equal(back["time"].values, pond["time"].values)


def test_a_general_reader_finds_the_same(tmp_path):
    """Names, values, dimensions, types and attributes, as h5netcdf and xarray read a netCDF 4 file."""
    pond = small_pond().assign_coords(unit=np.array([], dtype=str))
    pond["air_flow"] = (("time", "unit"), np.zeros((pond.sizes["time"], 0)))
    save(pond, tmp_path / "a.nc")
    with xr.open_dataset(tmp_path / "a.nc", engine="h5netcdf", decode_timedelta=False) as opened:
        general = opened.load().drop_vars("time_bounds")
    found = load(tmp_path / "a.nc")
    general["time"].attrs.pop("bounds")
    xr.testing.assert_identical(found, general)
    assert {n: v.dtype for n, v in found.variables.items()} == {
        n: v.dtype for n, v in general.variables.items()
    }


def test_gaps_and_scales_of_another_writer_are_decoded(tmp_path):
    """Scaled and missing whole numbers, and a coordinate that is no dimension, as CF has them."""
    raw = xr.Dataset({"x": ("t", np.array([1, 2, -9], dtype=np.int16)), "place": ("t", [4.0, 5.0, 6.0])})
    raw["x"].attrs.update({"scale_factor": 0.5, "coordinates": "place"})
    raw["x"].encoding["_FillValue"] = np.int16(-9)
    raw.to_netcdf(tmp_path / "b.nc", engine="h5netcdf")
    found = read_raw(tmp_path / "b.nc", ())
    assert np.array_equal(found["x"].values, [0.5, 1.0, np.nan], equal_nan=True)
    assert "place" in found.coords


def test_the_file_says_over_which_span_means_were_taken(tmp_path):
    """CF 7.1: the attribute `bounds` of the time names a variable (time, 2) in the same units."""
    pond = small_pond()
    save(pond, tmp_path / "a.nc")
    with xr.open_dataset(tmp_path / "a.nc", engine="h5netcdf", decode_times=False) as raw:
        bounds = raw[raw["time"].attrs["bounds"]]
        assert bounds.dims[0] == "time" and bounds.shape[1] == 2
        assert np.array_equal(bounds[:, 1], raw["time"])
        assert np.array_equal(bounds[1:, 0], raw["time"][:-1])
        assert (bounds[0, 1] - bounds[0, 0]) == 3600.0
        assert "units" not in bounds.attrs or bounds.attrs["units"] == raw["time"].attrs["units"]
    assert "time_bounds" not in load(tmp_path / "a.nc")


def test_infinite_ages_and_no_aeration_units_survive(tmp_path):
    """A pond with no waterfall has infinite ages, and one with no aeration an empty dimension."""
    pond = small_pond().assign_coords(unit=np.array([], dtype=str))
    pond["air_flow"] = (("time", "unit"), np.zeros((pond.sizes["time"], 0)))
    save(pond, tmp_path / "a.nc")
    back = load(tmp_path / "a.nc")
    assert np.isinf(back["steady_age_since_waterfall"].values[0]).all()
    assert back["air_flow"].sizes["unit"] == 0


FULL_DISK = """
import resource, sys
from pathlib import Path
from pondsim.errors import ScenarioError
from pondsim.results import save
from tests.results.ponds import small_pond

pond = small_pond()
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[2]), resource.RLIM_INFINITY))
try:
    save(pond, Path(sys.argv[1]))
except ScenarioError as error:
    print(error)
"""


@pytest.mark.parametrize("room", [40, 20_000])
def test_a_disk_that_fills_up_leaves_the_old_file_alone(tmp_path, room):
    """A limit on the size of files fails a write in the middle, as a full disk does."""
    pytest.importorskip("resource", reason="signals of POSIX")
    path = tmp_path / "a.nc"
    path.write_text("precious")
    done = subprocess.run(
        [sys.executable, "-B", "-c", FULL_DISK, str(path), str(room)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == f"{path}: could not be written (File too large)\n"
    assert path.read_text() == "precious"
    assert [p.name for p in tmp_path.iterdir()] == ["a.nc"]


def test_unwritable_places_are_named_before_the_work(tmp_path):
    with pytest.raises(ScenarioError, match="no folder"):
        check_writable(tmp_path / "nowhere" / "a.nc")
    with pytest.raises(ScenarioError, match="is a folder"):
        check_writable(tmp_path)


def test_foreign_broken_and_older_files_get_clear_words(tmp_path):
    text = tmp_path / "text.nc"
    text.write_text("not netCDF")
    with pytest.raises(ScenarioError, match="not a netCDF file or is cut short"):
        load(text)
    with pytest.raises(ScenarioError, match="no such file"):
        load(tmp_path / "none.nc")

    foreign = tmp_path / "foreign.nc"
    xr.Dataset({"x": ("t", [1.0, 2.0])}).to_netcdf(foreign, engine="h5netcdf")
    with pytest.raises(ScenarioError, match="pondsim did not write it"):
        load(foreign)

    whole = tmp_path / "whole.nc"
    save(small_pond(), whole)
    short = tmp_path / "short.nc"
    for share in (0.2, 0.6, 0.95):
        content = whole.read_bytes()
        short.write_bytes(content[: int(len(content) * share)])
        with pytest.raises(ScenarioError, match="cut short"):
            load(short)

    lacking = tmp_path / "lacking.nc"
    save(small_pond().drop_vars("power"), lacking)
    with pytest.raises(ScenarioError, match="lacks power"):
        load(lacking)

    other = tmp_path / "other.nc"
    save(small_pond(results_format=RESULTS_FORMAT + 1), other)
    with pytest.raises(ScenarioError, match="this version reads format"):
        load(other)


def test_declared_dimensions_are_held_to():
    pond = small_pond()
    pond["power"] = (("zone",), np.zeros(2))
    with pytest.raises(ValueError, match="power has dimensions"):
        describe(pond)


def test_every_declared_variable_says_what_it_is():
    for name, variable in variables().items():
        assert variable.long_name, name
        assert variable.units, name
        assert variable.dims, name
