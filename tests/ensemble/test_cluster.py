"""Members done by real processes: a Dask scheduler and workers as one starts them by hand, and our own.

One of them is killed at work, a run is killed and goes on: the numbers are those of a run in this process.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import time

import psutil  # comes with distributed
import pytest

from tests.cli.common import call
from tests.ensemble.ponds import two_designs
from tests.ensemble.test_study import SMALL

pytestmark = [pytest.mark.slow, pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")]
PATIENCE = 180.0  # s
RUNS = 16  # eight members of two designs


def until(condition):
    end = time.monotonic() + PATIENCE
    while not (found := condition()):
        assert time.monotonic() < end, "it did not come to that"
        time.sleep(0.02)
    return found


def process(folder, name, module, *words):
    """A Python of its own, its output in a file."""
    with (folder / f"{name}.log").open("w") as log:
        command = [sys.executable, "-m", module, *map(str, words)]
        return subprocess.Popen(command, stdout=log, stderr=subprocess.STDOUT, cwd=folder)


class Cluster:
    """A scheduler and two workers, with no nanny that would replace a worker that is gone."""

    def __init__(self, folder):
        self.folder = folder
        words = ("--port", "0", "--host", "127.0.0.1", "--no-dashboard")
        self.scheduler = process(folder, "scheduler", "distributed.cli.dask_scheduler", *words)
        self.log = folder / "scheduler.log"
        self.address = until(lambda: re.search(r"tcp://127\.0\.0\.1:\d+", self.log.read_text()))[0]
        self.workers = []
        for _ in range(2):
            self.add()

    def add(self):
        """One more worker, once it is there."""
        here = self.log.read_text().count("Register worker")
        words = (self.address, "--nthreads", "1", "--no-nanny", "--no-dashboard")
        name = f"worker {len(self.workers)}"
        self.workers.append(process(self.folder, name, "distributed.cli.dask_worker", *words))
        until(lambda: self.log.read_text().count("Register worker") > here)

    def close(self):
        for one in (*self.workers, self.scheduler):
            one.kill()
            one.wait(30)


@pytest.fixture
def cluster(tmp_path):
    found = Cluster(tmp_path)
    yield found
    found.close()


@pytest.fixture(scope="module")
def pond(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pond")
    two_designs(folder, SMALL, days=3, layers=4)
    return folder


def options(pond, name):
    files = [pond / one for one in ("existing.toml", "design.toml")]
    return ["promise", *files, "--members", "8", "--json", pond / f"{name}.json", "--keep", pond / name]


def said(pond, name):
    return json.loads((pond / f"{name}.json").read_text())


@pytest.fixture(scope="module")
def alone(pond):
    """What is said by runs in this process."""
    told = call(*options(pond, "alone"))
    assert told.exit_code == 0, told.stderr
    return said(pond, "alone")


def same(one, other):
    """Whether two answers are alike, to the digits that the compiler leaves open between processes."""
    if isinstance(one, dict):
        return set(one) == set(other) and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(same, one, other))
    return one == (pytest.approx(other, rel=1e-4, abs=1e-6) if isinstance(other, float) else other)


def kept(pond, name):
    return {path.name: path.stat().st_mtime_ns for path in (pond / name).glob("*.done")}


def test_a_worker_of_a_cluster_is_killed_at_work(pond, alone, cluster):
    """What it was at is done by the other one."""
    told = process(pond, "cluster", "pondsim", *options(pond, "cluster"), "--cluster", cluster.address)
    until(lambda: kept(pond, "cluster") or told.poll() is not None)
    cluster.workers[0].kill()
    assert told.wait(PATIENCE) == 0, (pond / "cluster.log").read_text()
    assert len(kept(pond, "cluster")) == RUNS and same(alone, said(pond, "cluster"))


def test_a_process_of_our_own_is_killed_at_work(pond, alone):
    told = process(pond, "workers", "pondsim", *options(pond, "workers"), "--workers", 2)
    until(lambda: kept(pond, "workers") or told.poll() is not None)
    busy = [one for one in psutil.Process(told.pid).children() if "spawn_main" in " ".join(one.cmdline())]
    busy[0].kill()
    assert told.wait(PATIENCE) == 0, (pond / "workers.log").read_text()
    assert len(kept(pond, "workers")) == RUNS and same(alone, said(pond, "workers"))


@pytest.mark.parametrize("way", ["cluster", "workers"])
def test_a_study_that_was_killed_goes_on_with_nothing_twice(pond, alone, cluster, way):
    """What was kept is taken as it is: no file of it is written again, and each of the others once."""
    name = f"killed {way}"
    how = ("--cluster", cluster.address) if way == "cluster" else ("--workers", 2)
    told = process(pond, name, "pondsim", *options(pond, name), *how)
    until(lambda: len(kept(pond, name)) >= 4 or told.poll() is not None)
    told.kill()
    told.wait(30)
    before = kept(pond, name)
    assert 4 <= len(before) < RUNS
    again = process(pond, name, "pondsim", *options(pond, name), *how)
    assert again.wait(PATIENCE) == 0, (pond / f"{name}.log").read_text()
    after = kept(pond, name)
    assert len(after) == RUNS and before.items() <= after.items() and same(alone, said(pond, name))
