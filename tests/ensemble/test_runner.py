"""The runner with real threads and processes: orders, errors, killed processes, killed parents, Ctrl-C."""

from __future__ import annotations

import importlib
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from pondsim.ensemble.kept import Kept, fingerprint
from pondsim.ensemble.processes import ATTEMPTS
from pondsim.ensemble.runner import processors, run_tasks
from pondsim.errors import RunError, ScenarioError
from pondsim.scenario.read import read_scenario
from pondsim.scenario.values import with_value
from tests.cli.common import WEATHER_FILE, weather_rows, write_files, write_weather
from tests.ensemble import work
from tests.scenarios_for_tests import write_design

ROOT = Path(__file__).parent.parent.parent
HERE = ["serial", "threads:3", "processes:2"]
posix = pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")


@pytest.mark.parametrize("how", HERE)
def test_results_come_in_the_order_of_the_tasks(how):
    shares = []
    assert run_tasks(work.slow_square, range(5), how, report=shares.append) == [0, 1, 4, 9, 16]
    assert shares == pytest.approx([0.0, 0.2, 0.4, 0.6, 0.8, 1.0])
    assert run_tasks(work.square, [], how) == []


@pytest.mark.parametrize("how", HERE)
def test_an_error_of_a_task_goes_through_with_its_text(how):
    with pytest.raises(RunError, match="the second cannot be done"):
        run_tasks(work.fail_at_two, range(4), how)
    with pytest.raises(ScenarioError, match="nothing here can be read") as caught:
        run_tasks(work.wrong, [1], how)
    assert [str(problem) for problem in caught.value.problems] == ["nothing here can be read"]


def test_processes_are_others_and_as_many_as_asked():
    found = set(run_tasks(work.process_of, range(6), "processes:3"))
    assert len(found) == 3 and os.getpid() not in found
    assert set(run_tasks(work.process_of, range(2), "threads")) == {os.getpid()}


@pytest.mark.parametrize("how", ["process", "processes:0", "threads:-1", "tcp:/here", "", "cluster:x"])
def test_a_word_that_is_no_way_is_refused(how):
    with pytest.raises(ScenarioError, match="is not a way to do runs; write serial, threads"):
        run_tasks(work.square, [1], how)


@posix
@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM])
def test_the_task_of_a_killed_process_is_done_again(tmp_path, number):
    tasks = [(str(tmp_path), name, ends, number) for name, ends in (("a", 0), ("b", 1), ("c", 0), ("d", 2))]
    assert run_tasks(work.count_and_end, tasks, "processes:2") == [("a", 1), ("b", 2), ("c", 1), ("d", 3)]


@posix
def test_a_task_that_kills_every_process_is_given_up(tmp_path):
    tasks = [(str(tmp_path), "a", 99, signal.SIGKILL)]
    with pytest.raises(RunError, match=f"was ended from outside {ATTEMPTS} times"):
        run_tasks(work.count_and_end, tasks, "processes:1")
    assert len(list(tmp_path.glob("a.*"))) == ATTEMPTS


def alive(pid):
    try:
        text = Path(f"/proc/{pid}/stat").read_text() if Path("/proc").is_dir() else ""
        os.kill(pid, 0)
    except (ProcessLookupError, FileNotFoundError):
        return False
    return ") Z " not in text


def until(condition, seconds=30.0):
    end = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < end, "it did not come to that"
        time.sleep(0.02)


def started(folder, function, how="processes:2"):
    """A Python of its own at two endless tasks, once both are begun, and the processes that do them."""
    code = (  # a shell has background jobs ignore Ctrl-C
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "from tests.ensemble import work; from pondsim.ensemble.runner import run_tasks\n"
        f"if __name__ == '__main__': run_tasks(work.{function}, [{str(folder)!r}] * 2, {how!r})"
    )
    parent = subprocess.Popen(
        [sys.executable, "-c", code], cwd=ROOT, stderr=subprocess.PIPE, start_new_session=True, text=True
    )
    until(lambda: len(list(folder.glob("*.pid"))) == 2)
    return parent, [int(path.stem) for path in folder.glob("*.pid")]


@posix
@pytest.mark.parametrize("function", ["say_and_sleep", "say_and_work"])
@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM])
def test_no_process_outlives_its_parent(tmp_path, function, number):
    parent, workers = started(tmp_path, function)
    assert all(alive(pid) for pid in workers)
    parent.send_signal(number)
    parent.communicate(timeout=30)
    until(lambda: not any(alive(pid) for pid in workers), 5.0)


@posix
def test_ctrl_c_at_the_terminal_ends_all_with_one_traceback_only(tmp_path):
    """The terminal sends SIGINT to the whole group; the processes must not add tracebacks of their own."""
    parent, workers = started(tmp_path, "say_and_sleep")
    os.killpg(parent.pid, signal.SIGINT)
    _, told = parent.communicate(timeout=30)
    assert told.count("Traceback") == 1 and told.rstrip().endswith("KeyboardInterrupt")
    until(lambda: not any(alive(pid) for pid in workers), 5.0)


def test_threads_begin_no_task_after_a_failed_one():
    begun, gate = [], threading.Event()

    def task(number):
        begun.append(number)
        if number == 0:
            raise RunError("first")
        gate.wait(10.0)

    with pytest.raises(RunError, match="first"):
        run_tasks(task, range(50), "threads:2")
    gate.set()
    time.sleep(0.2)
    assert len(begun) <= 4


def text_of(number):
    return str(number).encode()


def number_of(data):
    return int(data)


@pytest.mark.parametrize("how", HERE)
def test_a_study_that_was_broken_off_goes_on_where_it_stood(tmp_path, how):
    folder = tmp_path / "kept"
    (tmp_path / "begun").mkdir()
    kept = Kept(folder, "1", text_of, number_of)
    with pytest.raises(RunError):
        run_tasks(work.fail_at_two, range(3), "serial", kept=kept)
    assert sorted(kept.read(number) for number in (0, 1)) == [0, 1] and kept.read(2) is None
    shares = []
    assert run_tasks(work.square, range(4), how, kept=kept, report=shares.append) == [0, 1, 4, 9]
    assert shares[0] == 0.5
    again = Kept(folder, "2", text_of, number_of)
    assert [again.read(number) for number in range(4)] == [None] * 4
    kept.path(3).write_bytes(b"cut o")
    assert run_tasks(work.square, range(4), how, kept=kept) == [0, 1, 4, 9]
    assert not list(folder.glob("*.part"))


def test_a_folder_that_cannot_be_made_is_named(tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(ScenarioError, match="this folder cannot be made"):
        Kept(tmp_path / "file" / "kept", "1", text_of, number_of)


def test_fingerprints_follow_every_value_and_the_content_of_files(tmp_path):
    scenario = read_scenario(write_design(tmp_path))
    own = fingerprint(scenario)
    assert own == fingerprint(read_scenario(tmp_path / "design.toml"))
    assert own != fingerprint(with_value(scenario, "waterfall.drop", scenario.waterfall.drop * (1 + 1e-15)))
    assert fingerprint(1, 2) != fingerprint((1, 2)) != fingerprint("1", "2")
    assert fingerprint(("a", "b"), ()) != fingerprint(("a",), ("b",))
    rows = weather_rows()
    write_weather(tmp_path, rows)
    with_file = read_scenario(write_files(tmp_path, WEATHER_FILE))
    before = fingerprint(with_file)
    write_weather(tmp_path, [*rows[:-1], rows[-1].replace("77", "78")])
    assert fingerprint(with_file) != before
    with pytest.raises(TypeError, match="no fingerprint of object"):
        fingerprint(object())


@pytest.mark.slow
@pytest.mark.filterwarnings("default")
def test_a_cluster_of_this_machine_and_one_by_its_address(tmp_path):
    distributed = importlib.import_module("distributed")  # a second that only this test has to spend
    assert run_tasks(work.slow_square, range(5), "cluster:2") == [0, 1, 4, 9, 16]
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        address = cluster.scheduler_address
        assert run_tasks(work.square, range(5), address) == [0, 1, 4, 9, 16]
        with pytest.raises(RunError, match="the second cannot be done"):
            run_tasks(work.fail_at_two, range(4), address)
        tasks = [(str(tmp_path), name, ends, signal.SIGKILL) for name, ends in (("a", 0), ("b", 1))]
        assert run_tasks(work.count_and_end, tasks, address) == [("a", 1), ("b", 2)]
        with pytest.raises(RunError, match="ended again and again"):
            run_tasks(work.count_and_end, [(str(tmp_path), "c", 99, signal.SIGKILL)], address)
        with distributed.Client(address) as client:  # a cluster cannot close while workers start again
            client.wait_for_workers(2, timeout=60)
    with pytest.raises(ScenarioError, match="no Dask scheduler answers there"):
        run_tasks(work.square, [1], "tcp://127.0.0.1:9")


def test_processors_are_those_this_process_may_use():
    assert 1 <= processors() <= (os.cpu_count() or 1)
