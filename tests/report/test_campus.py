"""The page on four campus designs: small enough to mail, made while one waits."""

from __future__ import annotations

import time

import pytest

from pondsim.reporting import UNREAD, report
from pondsim.results import load
from tests.cli.common import DEMO, call

MOST_BYTES = 3e6
MOST_SECONDS = 20.0  # of computing; a machine with idle cores needs about half of it
DESIGNS = ("existing", "waterfall", "waterfall_night_air", "air_all_day")


@pytest.mark.slow
def test_page_on_four_designs_is_small_and_quick(tmp_path):
    assert call("compare", *(DEMO / f"{name}.toml" for name in DESIGNS), "--save", tmp_path).exit_code == 0
    began = time.process_time()
    made = report([load(tmp_path / f"{name}.nc", without=UNREAD) for name in DESIGNS])
    assert len(made.html.encode()) < MOST_BYTES
    assert time.process_time() - began < MOST_SECONDS
