"""Machine code kept on disk, and bundles handed to compiled code by pointer."""

from __future__ import annotations

import copy as copying
import errno
import gc
import math
import os
import pickle
import shutil
import subprocess
import sys
from dataclasses import FrozenInstanceError, dataclass
from pathlib import Path

import numpy as np
import pytest
from numba.core.errors import TypingError
from numba.core.typing.typeof import typeof

from pondsim.engine.loop import integrate
from pondsim.jit import compiled as door
from pondsim.jit import kept
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import add_with_carry, compiled, compiled_for_loop, copy, is_compiled

PACKAGE = Path(kept.__file__).parents[1]

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
import numpy as np
import pondsim
from pondsim.jit.kept import cache_folder
from pondsim.engine.probe import probe
assert Path(pondsim.__file__).parent == Path("pondsim").resolve()
print(cache_folder().name, probe(np.full(3, 0.05))[2], sum(probe.stats.cache_hits.values()))
"""


def copied(folder):
    """A copy of the package, with a function more."""
    shutil.copytree(PACKAGE, folder / "pondsim", ignore=shutil.ignore_patterns("__pycache__"))
    (folder / "pondsim" / "engine" / "probe.py").write_text(PROBE)
    return folder / "pondsim"


@pytest.fixture
def package(tmp_path):
    """A copy of the package with an empty cache of its own."""
    return copied(tmp_path)


@pytest.fixture(scope="module")
def compiled_once(tmp_path_factory):
    """A copy that has run once, and what it answered."""
    package = copied(tmp_path_factory.mktemp("once"))
    return package.parent, run_copy(package)


@pytest.fixture
def ran(compiled_once, tmp_path):
    """A copy of the package with the cache of a run, and what that answered; a copied cache is the cache."""
    place, answer = compiled_once
    shutil.copytree(place, tmp_path / "copy")
    return tmp_path / "copy" / "pondsim", answer


def start_copy(package):
    own = {"PYTHONPATH": str(package.parent), "PONDSIM_CACHE": str(package.parent / "cache")}
    return subprocess.Popen(
        [sys.executable, "-B", "-c", PROGRAM],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | own,
        cwd=package.parent,
    )


def run_copy(package, says=""):
    """Name of the cache's folder, the number computed, and how often the cache served, in a fresh process."""
    process = start_copy(package)
    printed, said = process.communicate()
    assert process.returncode == 0, said
    assert says in said if says else said == ""
    folder, depth, hits = printed.split()
    return folder, float(depth), int(hits)


def test_a_change_in_an_imported_module_is_never_answered_from_the_cache(ran):
    """Critical depth goes with gravity to the power -1/3: eight times the gravity, half the depth."""
    package, (folder, depth, hits) = ran
    assert hits == 0
    assert depth == pytest.approx(2.0 * (0.05**2 / 9.80665) ** (1 / 3), rel=1e-12)

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


def test_an_edited_message_compiles_nothing_again(ran):
    package, (folder, depth, _) = ran
    for name in ("errors.py", "words.py", "output/collect.py", "scenario/read.py"):
        path = package / name
        path.write_text(path.read_text() + "\n# Said in other words.\n")
    assert run_copy(package) == (folder, depth, 1)


def test_old_folders_of_machine_code_are_swept_away_and_nothing_else(package):
    """PONDSIM_CACHE may point to a folder that holds other things."""
    cache = package.parent / "cache"
    others = [f"{number:016x}" for number in range(6)]
    for number, name in enumerate([*others, "photographs"]):
        (cache / name).mkdir(parents=True)
        os.utime(cache / name, (number, number))
    folder, _, _ = run_copy(package)
    assert {path.name for path in cache.iterdir()} == {folder, *others[3:], "photographs"}


def test_where_no_cache_can_be_written_the_numbers_are_the_same(package):
    (package.parent / "cache").write_text("a file where the folder should be")
    _, depth, hits = run_copy(package, says="cannot be written (")
    assert hits == 0
    assert depth == pytest.approx(2.0 * (0.05**2 / 9.80665) ** (1 / 3), rel=1e-12)


def test_damaged_machine_code_is_compiled_again(ran):
    package, answer = ran
    written = sorted((package.parent / "cache").glob("*/*"))
    assert [path.name.partition("-")[0] for path in written] == ["lip.critical_depth", "probe.probe"]
    assert [path.suffix for path in written] == [".part", ".code"]
    whole = written[1].read_bytes()
    flipped = bytearray(whole)
    flipped[len(whole) // 2] ^= 1
    for damaged in (
        b"",
        whole[: len(whole) // 2],
        np.random.default_rng(1).bytes(len(whole)),
        bytes(flipped),
    ):
        for path in written:
            path.write_bytes(damaged)
        assert run_copy(package) == answer
    assert run_copy(package) == (*answer[:2], 1)


def test_a_part_is_read_again_where_only_its_caller_is_compiled(ran):
    """The caller links what was kept of the other; a part that is not there is compiled."""
    package, (folder, depth, _) = ran
    part, caller = sorted((package.parent / "cache").glob("*/*"))
    written = part.stat().st_mtime_ns
    caller.unlink()
    assert run_copy(package) == (folder, depth, 0)
    assert part.stat().st_mtime_ns == written
    for path in (part, caller):
        path.unlink()
    assert run_copy(package) == (folder, depth, 0)


class Planted:
    """What a stranger might leave in a folder that others may write to."""

    def __reduce__(self):
        return Path.touch, (Path("taken_over"),)


def test_machine_code_that_others_may_have_written_is_never_loaded(ran):
    package, (folder, depth, _) = ran
    cache = package.parent / "cache"
    for path in (cache / folder).iterdir():
        payload = pickle.dumps(Planted())
        path.write_bytes(kept.CHECKSUM(payload).digest() + payload)
    for open_to_all in (cache, cache / folder):
        open_to_all.chmod(0o777)
        said = f"others may write in {open_to_all} (to forbid it: chmod go-w {open_to_all})"
        assert run_copy(package, says=said) == (folder, depth, 0)
        assert not (package.parent / "taken_over").exists()
        open_to_all.chmod(0o700)


@pytest.fixture
def own_cache(monkeypatch, tmp_path):
    monkeypatch.setenv("PONDSIM_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr(kept._Disk, "has_room", True)
    for cached in (kept.cache_folder, kept.is_kept):
        cached.cache_clear()
    yield
    for cached in (kept.cache_folder, kept.is_kept):
        cached.cache_clear()


@pytest.mark.skipif(sys.platform == "win32", reason="folders of Windows have no owner's number")
def test_a_folder_of_another_user_is_not_trusted(own_cache, monkeypatch, caplog):
    monkeypatch.setattr(kept.os, "geteuid", lambda: 123456)
    assert not is_compiled()
    assert not kept.is_kept()
    assert [record.message.partition(":")[0] for record in caplog.records] == ["machine code is not kept"]
    assert "belongs to another user. Every command compiles it again" in caplog.text


def test_a_full_disk_is_named_once_and_stops_nothing(own_cache, monkeypatch, caplog):
    def full(path, content):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(kept, "_write", full)
    one, other = compiled(lambda x: x + 1.0), compiled(lambda x: x + 2.0)
    assert (one(1.0), other(1.0)) == (2.0, 3.0)
    assert len(caplog.records) == 1
    assert "No space left on device" in caplog.text


def test_two_processes_compile_into_one_new_folder(package):
    both = [start_copy(package), start_copy(package)]
    answers = {process.communicate() for process in both}
    assert [process.returncode for process in both] == [0, 0], answers
    assert len({(printed.split()[0], printed.split()[1], said) for printed, said in answers}) == 1
    assert {path.suffix for path in (package.parent / "cache").glob("*/*")} == {".code", ".part"}
    assert run_copy(package)[2] == 1


def test_the_time_loop_is_compiled_only_when_its_own_code_is_there(monkeypatch, tmp_path):
    """Other functions on disk do not count: they take no time, the loop takes long."""
    monkeypatch.setattr(door, "cache_folder", lambda: tmp_path)
    assert not is_compiled()
    (tmp_path / "lip.critical_depth-0123.code").touch()
    assert not is_compiled()
    (tmp_path / f"{integrate.py_func.__module__.rpartition('.')[2]}.{integrate.__name__}-0123.code").touch()
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


@dataclass(frozen=True, eq=False)
class Vector(Bundle):
    whole: np.ndarray
    part: np.ndarray
    rows: np.ndarray
    inner: Inner


@compiled_for_loop
def sum_of_parts(vector, nothing):
    total = vector.inner.factor
    for i in range(vector.part.size):
        total += vector.part[i]
    return total


def test_a_bundle_that_was_used_pickles_without_addresses_of_its_process():
    """The copy reads its own arrays, also once the first is gone, and views stay views."""
    whole = np.arange(6.0)
    bundle = Vector(whole, whole[2:4], whole[2:].reshape(2, 2), Inner(0.5, 7))
    assert sum_of_parts(bundle, 0) == 5.5
    for twin in (pickle.loads(pickle.dumps(bundle)), copying.deepcopy(bundle)):
        assert twin._address != bundle._address
        assert twin.inner._address != bundle.inner._address
        twin.whole[2] = 100.0
        assert sum_of_parts(twin, 0) == 103.5
        assert twin.rows.tolist() == [[100.0, 3.0], [4.0, 5.0]]
        assert sum_of_parts(bundle, 0) == 5.5


def test_the_type_of_a_bundle_is_made_once():
    bundle = outer()
    assert typeof(bundle) is bundle._numba_type is outer(rows=7)._numba_type


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


def test_a_function_is_the_same_by_itself_and_as_a_part():
    """Called from Python it has a door of its own; called from compiled code it has none."""

    @compiled
    def twice(x, more=0.5):
        return 2.0 * x + more

    @compiled
    def through_it(x):
        return twice(x) - twice(x, 0.25)

    assert through_it(3.0) == 0.25
    assert not twice.signatures
    assert twice(np.array([1.0, 2.0])).tolist() == [2.5, 4.5]
    assert len(twice.signatures) == 1


def test_entries_and_rows_of_arrays_are_those_of_numpy():
    """Against the same lines run by Python; counted from the end too, and from arrays with gaps."""

    def lines(table, block, numbers, small, out):
        row = table[-1]
        out[0] = row[numbers[0]] + table[numbers[1], -2] + block[1, -2, numbers[0]]
        plane = block[numbers[0]]
        out[1] = plane[-1, small[0]] + plane[1][2] + plane.size + block[0, 1].size
        plane[0, 0] = 7.5
        row[-3] = numbers[1]
        table[0, numbers[0]] = 4
        out[-1] = row.shape[0] + row.strides[0] + plane.nbytes
        return plane, block[1, 0]

    def given(step):
        small, table, block = (
            np.array([2], dtype=np.uint8),
            np.arange(12.0 * step).reshape(3, -1)[:, ::step],
            np.arange(24.0 * step).reshape(2, 3, -1)[:, :, ::step],
        )
        return table, block, np.array([-1, 1]), small, np.zeros(3)

    in_compiled = compiled(lines)
    for step in (1, 2):
        ours, numpys = given(step), given(step)
        views, expected = in_compiled(*ours), lines(*numpys)
        for one, other in zip((*ours, *views), (*numpys, *expected), strict=True):
            assert one.tolist() == other.tolist()
        del ours
        assert views[0].tolist() == expected[0].tolist()  # what the view shows is still there


def test_compiling_leaves_the_garbage_collector_as_it_was(monkeypatch):
    """Also where it ends in an error; meanwhile it collects rarely."""
    found, during = gc.get_threshold(), []
    usual = kept.KeptCode.read
    monkeypatch.setattr(kept.KeptCode, "read", lambda *a: (during.append(gc.get_threshold()), usual(*a))[1])

    @compiled
    def half(x):
        return 0.5 * x

    @compiled
    def through_it(x):
        return half(x)

    gc.set_threshold(600, 7, 8)
    try:
        assert through_it(3.0) == 1.5
        with pytest.raises(TypingError):
            through_it("three")
        assert gc.get_threshold() == (600, 7, 8)
        assert max(during) > (10_000,)
    finally:
        gc.set_threshold(*found)


def test_an_error_raised_in_a_part_reaches_python():
    @compiled
    def refuse(x):
        if x < 0.0:
            raise ValueError("below zero")
        return x

    @compiled
    def through_it(x):
        return refuse(x) + 1.0

    assert through_it(1.0) == 2.0
    with pytest.raises(ValueError, match="below zero"):
        through_it(-1.0)


def test_division_by_zero_gives_infinity_not_an_error():
    @compiled_for_loop
    def ratio(a, b):
        return a / b

    assert ratio(1.0, 0.0) == np.inf
    assert np.isnan(ratio(0.0, 0.0))


def test_many_small_changes_add_up_to_what_they_are():
    """Against the exact sum of the standard library: a plain sum is off by more than 1e-10."""
    total, carry, change = np.array([1e3, 0.0]), np.zeros(2), np.array([0.1 / 3.0, 1e-9 / 7.0])
    plain = total.copy()
    for _ in range(100_000):
        add_with_carry(change, total, carry)
        plain += change
    exact = np.array(
        [math.fsum([start, *[one] * 100_000]) for start, one in zip([1e3, 0.0], change, strict=True)]
    )
    assert total == pytest.approx(exact, rel=2.3e-16)
    assert np.abs(plain - exact)[0] > 1e-10


def test_a_numba_whose_inside_is_not_known_compiles_its_own_way(package):
    """As a version to come would: the same number, from the cache the second time."""
    file = package / "jit" / "kept.py"
    text = file.read_text()
    assert text.count("WITH_PARTS = ((0, 60), (0, 68))") == 1
    file.write_text(text.replace("WITH_PARTS = ((0, 60), (0, 68))", "WITH_PARTS = ((0, 1), (0, 2))"))
    first, second = run_copy(package), run_copy(package)
    assert first[1] == second[1] == pytest.approx(2.0 * (0.05**2 / 9.80665) ** (1 / 3), rel=1e-12)
    assert (first[2], second[2]) == (0, 1)
    assert not list(package.parent.glob("cache/**/*.part"))
