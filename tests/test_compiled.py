"""Machine code kept on disk, and bundles handed to compiled code by pointer."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import FrozenInstanceError, dataclass
from pathlib import Path

import numpy as np
import pytest
from numba.core.errors import TypingError
from numba.core.typing.typeof import typeof

from pondsim.jit import compiled as door
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop, copy, is_compiled

PACKAGE = Path(door.__file__).parent

# A compiled function that calls one of another file: numba's own cache would look at the first file only.
PROBE = '''"""Calls a function of another file."""

from pondsim.jit.compiled import compiled
from pondsim.physics.lip import critical_depth


@compiled
def probe(flow_per_width: float) -> float:
    """Twice the critical depth."""
    return 2.0 * critical_depth(flow_per_width)
'''
PROGRAM = """
from pathlib import Path
import pondsim
from pondsim.jit.compiled import cache_folder
from pondsim.site.probe import probe
assert Path(pondsim.__file__).parent == Path("pondsim").resolve()
print(cache_folder().name, probe(0.05), sum(probe.stats.cache_hits.values()))
"""


@pytest.fixture
def package(tmp_path):
    """A copy of the package, with a function more and a cache of its own."""
    shutil.copytree(PACKAGE, tmp_path / "pondsim", ignore=shutil.ignore_patterns("__pycache__"))
    (tmp_path / "pondsim" / "site" / "probe.py").write_text(PROBE)
    return tmp_path / "pondsim"


def run_copy(package):
    """Name of the cache's folder, the number computed, and how often the cache served, in a fresh process."""
    own = {"PYTHONPATH": str(package.parent), "PONDSIM_CACHE": str(package.parent / "cache")}
    done = subprocess.run(
        [sys.executable, "-B", "-c", PROGRAM],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | own,
        cwd=package.parent,
    )
    folder, depth, hits = done.stdout.split()
    return folder, float(depth), int(hits)


def test_a_change_in_an_imported_module_is_never_answered_from_the_cache(package):
    """Critical depth goes with gravity to the power -1/3: eight times the gravity, half the depth."""
    folder, depth, hits = run_copy(package)
    assert hits == 0
    assert depth == pytest.approx(2.0 * (0.05**2 / 9.80665) ** (1 / 3), rel=1e-12)
    assert run_copy(package) == (folder, depth, 1)

    lip = package / "physics" / "lip.py"
    text = lip.read_text()
    assert text.count("flow_per_width**2 / GRAVITY") == 1
    lip.write_text(text.replace("flow_per_width**2 / GRAVITY", "flow_per_width**2 / (8.0 * GRAVITY)"))
    changed_folder, changed, hits = run_copy(package)
    assert changed_folder != folder
    assert hits == 0
    assert changed == pytest.approx(0.5 * depth, rel=1e-12)

    lip.write_text(text)
    assert run_copy(package) == (folder, depth, 1)


def test_old_folders_of_machine_code_are_swept_away(package):
    cache = package.parent / "cache"
    for number in range(6):
        (cache / f"old{number}").mkdir(parents=True)
        os.utime(cache / f"old{number}", (number, number))
    folder, _, _ = run_copy(package)
    assert sorted(path.name for path in cache.iterdir()) == sorted([folder, "old3", "old4", "old5"])


def test_where_no_cache_can_be_written_the_numbers_are_the_same(package):
    (package.parent / "cache").write_text("a file where the folder should be")
    _, depth, hits = run_copy(package)
    assert hits == 0
    assert depth == pytest.approx(2.0 * (0.05**2 / 9.80665) ** (1 / 3), rel=1e-12)


def test_the_time_loop_is_compiled_only_when_its_own_code_is_there(monkeypatch, tmp_path):
    """Other functions on disk do not count: they take no time, the loop takes long."""
    monkeypatch.setattr(door, "cache_folder", lambda: tmp_path)
    assert not is_compiled()
    (tmp_path / "physics_0").mkdir()
    (tmp_path / "physics_0" / "lip.critical_depth-14.py311.1.nbc").touch()
    assert not is_compiled()
    (tmp_path / "pondsim_0").mkdir()
    (tmp_path / "pondsim_0" / "season.march-262.py311.1.nbc").touch()
    assert is_compiled()


@dataclass(frozen=True, eq=False)
class Inner(Bundle):
    factor: float
    number: int


@dataclass(frozen=True, eq=False)
class Outer(Bundle):
    inner: Inner
    line: np.ndarray
    grid: np.ndarray
    whole: np.ndarray
    other: Inner


def outer(line=(1.0, 2.0, 3.0), rows=2):
    grid = np.arange(3.0 * rows).reshape(rows, 3)
    return Outer(Inner(0.5, 7), np.array(line), grid, np.array([4, -5]), Inner(np.float64(0.25), -2))


@compiled_for_loop
def read_all(bundle, out):
    out[0] = bundle.inner.factor
    out[1] = bundle.inner.number
    out[2] = bundle.other.factor
    out[3] = bundle.other.number
    out[4] = bundle.line[2]
    out[5] = bundle.grid[1, 2]
    out[6] = bundle.whole[1]
    out[7] = bundle.line.size
    out[8] = bundle.grid.shape[0] * 10 + bundle.grid.shape[1]


@compiled_for_loop
def write_line(bundle, value):
    for i in range(bundle.line.size):
        bundle.line[i] = value
    bundle.grid[0, :] = value


@compiled_for_loop
def read_nothing_there(bundle):
    return bundle.nothing


@compiled_for_loop
def halve(number):
    return number / 2


def test_compiled_code_reads_every_kind_of_field():
    out = np.zeros(9)
    read_all(outer(), out)
    assert out.tolist() == [0.5, 7.0, 0.25, -2.0, 3.0, 5.0, -5.0, 3.0, 23.0]


def test_compiled_code_writes_into_the_arrays_and_python_sees_it():
    bundle = outer()
    write_line(bundle, 9.0)
    assert bundle.line.tolist() == [9.0, 9.0, 9.0]
    assert bundle.grid.tolist() == [[9.0, 9.0, 9.0], [3.0, 4.0, 5.0]]
    bundle.line[2] = -1.0
    out = np.zeros(9)
    read_all(bundle, out)
    assert out[4] == -1.0


def test_fields_are_never_replaced():
    with pytest.raises(FrozenInstanceError):
        outer().line = np.zeros(3)


def test_lengths_are_no_part_of_the_type_but_dimensions_and_kinds_are():
    short, long = outer(), outer(line=(1.0, 2.0, 3.0, 4.0), rows=5)
    assert typeof(short) == typeof(long)
    assert typeof(Inner(0.5, 7)) != typeof(Inner(0.5, 7.0))
    flat = Outer(short.inner, short.line, np.zeros(6), short.whole, short.other)
    assert typeof(flat) != typeof(short)
    before = len(read_all.signatures)
    read_all(short, np.zeros(9))
    out = np.zeros(9)
    read_all(long, out)
    assert out[7:].tolist() == [4.0, 53.0]
    assert len(read_all.signatures) == max(before, 1)


def test_an_array_that_does_not_lie_in_one_piece_is_refused():
    bundle = Outer(Inner(0.5, 7), np.arange(6.0)[::2], np.zeros((2, 3)), np.array([1]), Inner(0.5, 7))
    with pytest.raises(TypeError, match="one piece"):
        read_all(bundle, np.zeros(9))
    turned = Outer(Inner(0.5, 7), np.zeros(3), np.zeros((3, 2)).T, np.array([1]), Inner(0.5, 7))
    with pytest.raises(TypeError, match="one piece"):
        read_all(turned, np.zeros(9))


def test_a_field_that_is_not_there_is_said_when_compiling():
    with pytest.raises(TypingError, match="nothing"):
        read_nothing_there(outer())


def test_copy_fills_the_target():
    target = np.zeros(3)
    copy(np.array([1.0, 2.0, 3.0]), target)
    assert target.tolist() == [1.0, 2.0, 3.0]


def test_division_by_zero_gives_infinity_not_an_error():
    @compiled_for_loop
    def ratio(a, b):
        return a / b

    assert ratio(1.0, 0.0) == np.inf
    assert np.isnan(ratio(0.0, 0.0))
