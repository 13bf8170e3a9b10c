"""Results files by the general-purpose checker of the Climate and Forecast (CF) conventions."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from pondsim.results import load
from tests.cli.common import SHORT, call, write_files

CHECKER = Path(sys.executable).with_name("compliance-checker")


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="the checker has wheels for Linux only")
@pytest.mark.parametrize("equipped", [False, True])
def test_results_keep_cf_1_11_without_an_error(tmp_path, equipped):
    """With equipment and without, where the dimension of aeration units is empty."""
    design = write_files(tmp_path, SHORT)
    done = call("run", design if equipped else tmp_path / "site.toml", "-o", tmp_path / "a.nc")
    assert done.exit_code == 0, done.output
    assert load(tmp_path / "a.nc").attrs["Conventions"] == "CF-1.11"
    subprocess.run(
        [CHECKER, "--test", "cf:1.11", "--format", "json", "-o", tmp_path / "cf.json", tmp_path / "a.nc"],
        capture_output=True,
        check=False,  # it ends with 2 for warnings too, such as of the order of dimensions
        timeout=300,
    )
    report = json.loads((tmp_path / "cf.json").read_text(encoding="utf-8"))
    report = report.get("cf:1.11", report)
    errors = [message for check in report["high_priorities"] for message in check["msgs"]]
    assert errors == []
    assert report["possible_points"] > 500
