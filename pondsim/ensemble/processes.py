"""Tasks done by processes of this machine, which end with the one that started them.

A process that is ended from outside, for want of memory for one, is replaced, and its task is done again, a
few times at most. All are started afresh ("spawn"), so that they hold no lock and no file of their parent.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import traceback
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from multiprocessing.connection import Connection, wait
from threading import Thread
from typing import Any

from pondsim.errors import RunError

ATTEMPTS = 3  # times a task is begun before its processes' ends are taken for its own fault
PATIENCE = 5.0  # s that an ended process has to go


def in_processes(
    function: Callable[[Any], Any], tasks: Sequence[Any], processes: int
) -> Iterator[tuple[int, Any]]:
    """Place and result of each task, in the order in which they are done.

    Raises
    ------
    RunError
        A task whose process was ended from outside `ATTEMPTS` times.
    Exception
        Whatever `function` raised; tasks not yet done are dropped.
    """
    waiting = deque(range(len(tasks)))
    begun = [0] * len(tasks)
    workers: list[_Worker] = []

    def next_task(worker: _Worker) -> None:
        if waiting:
            place = waiting.popleft()
            begun[place] += 1
            worker.begin(place, tasks[place])

    try:
        for _ in range(min(processes, len(tasks))):
            workers.append(_Worker(function))
            next_task(workers[-1])
        while busy := [worker for worker in workers if worker.place is not None]:
            ready = wait([worker.pipe for worker in busy])
            for worker in [one for one in busy if one.pipe in ready]:
                place = worker.place
                assert place is not None
                try:
                    result = worker.result()
                except (EOFError, OSError):
                    if begun[place] >= ATTEMPTS:
                        raise RunError(_ended(begun[place])) from None
                    waiting.appendleft(place)
                    worker.close()
                    worker.start()
                else:
                    yield place, result
                next_task(worker)
    finally:
        for worker in workers:
            worker.close()


def _ended(times: int) -> str:
    return (
        f"a process was ended from outside {times} times while it worked on one run, perhaps for want of "
        "memory; use fewer processes. In a script of your own the call must stand under "
        'if __name__ == "__main__":'
    )


class _Worker:
    """A process that does one task after another, and the task it is at."""

    def __init__(self, function: Callable[[Any], Any]) -> None:
        self.function = function
        self.start()

    def start(self) -> None:
        """Start a process; once closed, another."""
        context = multiprocessing.get_context("spawn")
        self.pipe, theirs = context.Pipe()
        self.process = context.Process(target=_work, args=(theirs, self.function), daemon=True)
        self.place: int | None = None
        with _no_interrupt():
            self.process.start()
        theirs.close()  # else its end would not be seen here

    def begin(self, place: int, task: Any) -> None:
        """Hand over a task; a process that is gone is found out when its result is asked for."""
        self.place = place
        with suppress(OSError):
            self.pipe.send(task)

    def result(self) -> Any:
        """What came of the task; EOFError or OSError where the process is gone, else what was raised."""
        done, value = self.pipe.recv()
        self.place = None
        if not done:
            raise value
        return value

    def close(self) -> None:
        """End the process, at work or not."""
        self.pipe.close()
        self.process.terminate()
        self.process.join(PATIENCE)
        if self.process.is_alive():
            self.process.kill()
            self.process.join()
        self.process.close()


@contextmanager
def _no_interrupt() -> Iterator[None]:
    """Ctrl-C at the terminal reaches every process at once; what is started here leaves it to its parent."""
    if sys.platform == "win32":
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, [signal.SIGINT])
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _work(pipe: Connection, function: Callable[[Any], Any]) -> None:
    """Do tasks until the parent closes the pipe or ends, however it ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    Thread(target=_end_with_parent, daemon=True).start()
    while True:
        try:
            task = pipe.recv()
        except (EOFError, OSError):
            return
        try:
            answer = True, function(task)
        except Exception as error:
            error.add_note(f"In a process of its own:\n{traceback.format_exc()}")
            answer = False, error
        with suppress(BrokenPipeError):
            pipe.send(answer)


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    assert parent is not None
    wait([parent.sentinel])
    os._exit(1)
