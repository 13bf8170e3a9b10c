"""One face for many tasks: one after another, in threads, in processes, or on a Dask cluster.

How the tasks are done is a word, so that a study moves from a laptop to a cluster by changing that word.
This file is the one door to Dask, which is an extra: ``pip install "pondsim[cluster]"``.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from queue import Empty, SimpleQueue
from threading import Event, Thread
from typing import Any, TypeVar

from pondsim.ensemble.kept import Kept
from pondsim.ensemble.processes import ATTEMPTS, in_processes
from pondsim.errors import RunError, ScenarioError

Task = TypeVar("Task")
Result = TypeVar("Result")

TURN = 0.5  # s
REACHED = 10.0  # s within which a scheduler must answer
WAYS = ("serial", "threads", "processes", "cluster")
_WAY = re.compile(rf"({'|'.join(WAYS)})(?::(\d{{1,4}}))?")
_ADDRESS = re.compile(r"(tcp|tls|ws|wss)://\S+")


def run_tasks(
    function: Callable[[Task], Result],
    tasks: Sequence[Task],
    how: str = "threads",
    *,
    kept: Kept | None = None,
    report: Callable[[float], None] | None = None,
) -> list[Result]:
    """Results of a function for each task, in their order.

    Parameters
    ----------
    function : callable
        Takes one task. For processes and clusters it and its tasks travel by pickle: a function of a module.
    tasks : sequence
        What it is called with.
    how : str
        ``"serial"``; ``"threads"``, which share one memory and one loaded time loop; ``"processes"``, which
        end with this one; ``"cluster"``, a Dask cluster on this machine; or the address of a Dask scheduler,
        as ``"tcp://10.0.0.5:8786"``. A count may follow: ``"processes:4"``; else one for each processor.
    kept : Kept, optional
        Folder in which results are kept as they are done, and from which those that are there are taken.
    report : callable, optional
        Called with the share done, 0 to 1.

    Raises
    ------
    ScenarioError
        `how` is none of these, or Dask is not installed or not reached.
    RunError
        A process that was ended from outside again and again; `function`'s own errors go through as they are.
    """
    results: dict[int, Any] = {}
    each_result(function, tasks, results.__setitem__, how, kept=kept, report=report)
    return [results[place] for place in range(len(tasks))]


def each_result(
    function: Callable[[Task], Result],
    tasks: Sequence[Task],
    take: Callable[[int, Result], None],
    how: str = "threads",
    *,
    kept: Kept | None = None,
    report: Callable[[float], None] | None = None,
) -> None:
    """Hand over the place and the result of each task as it is done; none is held here.

    `take` is called in this thread, those that were kept first. All else as in `run_tasks`.
    """
    way, count = _way(how)
    left = []
    for place, task in enumerate(tasks):
        found = None if kept is None else kept.read(task)
        if found is None:
            left.append(place)
        else:
            take(place, found)
    finished = len(tasks) - len(left)

    def tell() -> None:
        if report and tasks:
            report(finished / len(tasks))

    tell()
    done = _WAYS[way](function, [tasks[place] for place in left], min(count, len(left)) or 1, how)
    for place, result in done:
        if kept is not None:
            kept.write(tasks[left[place]], result)
        take(left[place], result)
        finished += 1
        tell()


def _way(how: str) -> tuple[str, int]:
    """The way that is meant, and how many at once."""
    if _ADDRESS.fullmatch(how):
        return "address", 1
    found = _WAY.fullmatch(how)
    if found is None or found[2] == "0":
        raise ScenarioError(
            f'"{how}" is not a way to do runs; write {", ".join(WAYS)}, with a count as in "processes:4", or '
            'the address of a Dask scheduler, such as "tcp://10.0.0.5:8786"'
        )
    return found[1], int(found[2]) if found[2] else processors()


def processors() -> int:
    """Processors that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


Done = Iterator[tuple[int, Any]]
Function = Callable[[Any], Any]


def _serial(function: Function, tasks: Sequence[Any], count: int, how: str) -> Done:
    for place, task in enumerate(tasks):
        yield place, function(task)


def _in_threads(function: Function, tasks: Sequence[Any], count: int, how: str) -> Done:
    """Threads that stop at the next task once nobody waits; none keeps the interpreter from ending."""
    if count == 1:
        yield from _serial(function, tasks, count, how)
        return
    waiting: SimpleQueue[int | None] = SimpleQueue()
    answers: SimpleQueue[tuple[int, Any, BaseException | None]] = SimpleQueue()
    stopped = Event()
    for place in range(len(tasks)):
        waiting.put(place)
    for _ in range(count):
        waiting.put(None)

    def work() -> None:
        while (place := waiting.get()) is not None and not stopped.is_set():
            try:
                answers.put((place, function(tasks[place]), None))
            except BaseException as error:  # raised again below, by the thread that waits
                answers.put((place, None, error))

    try:
        for _ in range(count):
            Thread(target=work, daemon=True).start()
        for _ in tasks:
            place, result, error = _next(answers)
            if error is not None:
                raise error
            yield place, result
    finally:
        stopped.set()


def _next(answers: SimpleQueue[Any]) -> Any:
    """The next answer; waits in short turns, since not every system wakes a wait for Ctrl-C."""
    while True:
        with suppress(Empty):
            return answers.get(timeout=TURN)


def _in_processes(function: Function, tasks: Sequence[Any], count: int, how: str) -> Done:
    yield from in_processes(function, tasks, count)


def _on_local_cluster(function: Function, tasks: Sequence[Any], count: int, how: str) -> Done:
    """A Dask cluster of this machine, which is closed at the end."""
    distributed = _dask()
    with (
        distributed.LocalCluster(count, threads_per_worker=1, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):
        yield from _by_client(distributed, client, function, tasks)


def _on_cluster(function: Function, tasks: Sequence[Any], count: int, how: str) -> Done:
    """A Dask cluster that runs already, and runs on."""
    distributed = _dask()
    try:
        client = distributed.Client(how, timeout=REACHED)
    except OSError as error:
        raise ScenarioError(f"{how}: no Dask scheduler answers there ({error})") from None
    with client:
        yield from _by_client(distributed, client, function, tasks)


def _by_client(distributed: Any, client: Any, function: Function, tasks: Sequence[Any]) -> Done:
    """Dask does a task again whose worker is gone, as often as its configuration says."""
    places = {client.submit(function, task, pure=False): place for place, task in enumerate(tasks)}
    for future in distributed.as_completed(list(places)):
        try:
            result = future.result()
        except distributed.KilledWorker:
            raise RunError(
                "a worker of the cluster was ended again and again while it worked on one run"
            ) from None
        place = places.pop(future)
        future.release()
        yield place, result


def _dask() -> Any:
    try:
        import dask  # noqa: PLC0415
        import distributed  # noqa: PLC0415
    except ImportError:
        raise ScenarioError(
            'a cluster needs Dask, which is not installed; install it by pip install "pondsim[cluster]"'
        ) from None
    dask.config.set({"distributed.scheduler.allowed-failures": ATTEMPTS - 1})
    return distributed


_WAYS: dict[str, Callable[[Function, Sequence[Any], int, str], Done]] = {
    "serial": _serial,
    "threads": _in_threads,
    "processes": _in_processes,
    "cluster": _on_local_cluster,
    "address": _on_cluster,
}
