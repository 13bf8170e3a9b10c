"""A check that never runs is none: a test may be skipped for a listed reason only."""

from __future__ import annotations

import os
from typing import Any

import pytest

# Before NumPy is loaded: threads of its library that wait for each other over matrices of three rows take
# seconds on a busy machine.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# Programs that tests start would read the source of the whole package again, each for a quarter of a second.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

LISTED = {  # reason of a skip: why it may be
    "root may write anywhere": "a container has no other user; run by any other user it is tested",
    "no device that is always full": "only Linux has one",
    "signals of POSIX": "Windows has neither them nor limits on the size of files",
    "folders of Windows have no owner's number": "and the others are tested",
    "no Chromium with its driver is installed": ".ci/run installs both, and demands them",
    "could not import 'sphinx'": "of the extra docs, which .ci/run installs for a step of its own",
    "could not import 'myst_parser'": "of the extra docs, which .ci/run installs for a step of its own",
}
_unlisted: list[str] = []


def is_listed(reason: str) -> bool:
    """Whether a test may be skipped for this reason."""
    return any(reason.removeprefix("Skipped: ").startswith(one) for one in LISTED)


def _note(report: Any) -> None:
    if report.skipped and isinstance(report.longrepr, tuple) and not is_listed(report.longrepr[2]):
        _unlisted.append(f"{report.nodeid}: {report.longrepr[2]}")


pytest_runtest_logreport = _note
pytest_collectreport = _note


def pytest_sessionfinish(session: pytest.Session) -> None:
    if _unlisted and session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: Any) -> None:
    for line in _unlisted:
        terminalreporter.write_line(
            f"skipped for a reason that tests/conftest.py does not list: {line}", red=True
        )
