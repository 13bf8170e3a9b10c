"""Tests that were skipped for a reason nobody listed make the run fail."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
BODY = """import pytest
def test_runs(): pass
def test_does_not(): pytest.skip({reason!r})
"""
WHOLE = "import pytest\npytest.importorskip({reason!r})\n"


@pytest.mark.parametrize(
    ("text", "reason", "passes"),
    [
        (BODY, "root may write anywhere", True),
        (BODY, "the moon is full", False),
        (WHOLE, "no_such_library_anywhere", False),
    ],
)
def test_an_unlisted_skip_fails(tmp_path, text, reason, passes):
    (tmp_path / "test_it.py").write_text(text.format(reason=reason), encoding="utf-8")
    (tmp_path / "test_other.py").write_text("def test_runs(): pass\n", encoding="utf-8")
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-p",
        "tests.conftest",
        "--rootdir",
        str(tmp_path),
        str(tmp_path),
    ]
    found = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert (found.returncode == 0) == passes, found.stdout
    assert passes or "does not list" in found.stdout
