"""Tasks for the runner, in a module of their own, since processes read it by name."""

from __future__ import annotations

import os
import time
from pathlib import Path

from pondsim.errors import RunError, ScenarioError


def square(number):
    return number * number


def slow_square(number):
    time.sleep(0.02 * (5 - number))
    return number * number


def process_of(_):
    time.sleep(0.05)
    return os.getpid()


def fail_at_two(number):
    if number == 2:
        raise RunError("the second cannot be done")
    return number


def wrong(_):
    raise ScenarioError("nothing here can be read")


def count_and_end(task):
    """Writes that it was begun; ends its own process by the signal named, as often as asked."""
    folder, name, ends, number = task
    begun = len(list(Path(folder).glob(f"{name}.*")))
    Path(folder, f"{name}.{begun}").touch()
    if begun < ends:
        os.kill(os.getpid(), number)
        time.sleep(60.0)  # a signal may take a moment
    return name, begun + 1


def say_and_sleep(folder):
    """Says which process it is and sleeps far longer than any test waits."""
    Path(folder, f"{os.getpid()}.pid").touch()
    time.sleep(600.0)


def say_and_work(folder):
    """The same, at work in Python all the time."""
    Path(folder, f"{os.getpid()}.pid").touch()
    end = time.monotonic() + 600.0
    while time.monotonic() < end:
        sum(range(1000))
