"""The designs that come along, from the command line."""

from __future__ import annotations

import json
import re

import numpy as np
import pytest

from pondsim.results import load
from tests.cli.common import DEMO, call

NUMBER = re.compile(r"[-+]?[0-9.]*[0-9]")
DESIGNS = ("existing", "waterfall", "waterfall_night_air", "air_all_day", "air_on_demand")
# Laid over a design: ten days, one storm, and nothing that would come later.
TEN_DAYS = """
period.end = "2025-05-25 00:00"
bloom_crash = []
weather.hot_spell = []
pond.layers = 6
"""
STORM = """
[[inflow]]
zone = "forebay"
start = "2025-05-20 15:00"
duration = "6 h"
volume = "0.8 acre-ft"
"""


def shortened(folder):
    """The designs over ten days; their paths."""
    paths = []
    for name in DESIGNS:
        text = (DEMO / f"{name}.toml").read_text(encoding="utf-8")
        assert text.count('site = "site.toml"') == 1
        site = f'site = "{(DEMO / "site.toml").as_posix()}"'
        path = folder / f"{name}.toml"
        path.write_text(text.replace('site = "site.toml"', site + TEN_DAYS) + STORM, encoding="utf-8")
        paths.append(path)
    return paths


@pytest.mark.parametrize("name", DESIGNS)
def test_every_design_checks_without_a_fault(name):
    result = call("check", DEMO / f"{name}.toml")
    assert result.exit_code == 0, result.output
    whole = next(line for line in result.output.splitlines() if "whole pond" in line).split()
    assert float(whole[2]) == pytest.approx(1.5, rel=0.01)  # acre, said in the site file
    assert float(whole[3]) == pytest.approx(7.28, rel=0.01)  # acre-ft
    assert ("gpm against" in result.output) == name.startswith("waterfall")
    assert ("SOTR" in result.output) == ("air" in name)


def test_the_designs_side_by_side(tmp_path):
    paths = shortened(tmp_path)
    result = call("compare", *paths, "--save", tmp_path / "out", "--json", tmp_path / "a.json")
    assert result.exit_code == 0, result.output
    assert max(len(line) for line in result.output.splitlines() if str(tmp_path) not in line) <= 80
    assert "nan" not in result.output.lower().split()
    told = json.loads((tmp_path / "a.json").read_text())
    assert all(told["design_sheets"]) and all(told["judged"])  # of every design, whichever way it was run
    assert told["design_sheets"][1]["pass"] > 20
    assert "design sheet: " in result.output
    rows = {m["key"]: m["values"] for m in told["measures"]}
    assert rows["oxygen_budget.waterfall"][0] == rows["oxygen_budget.waterfall"][3] == 0.0
    assert rows["electricity"][0] == 0.0
    assert rows["electricity"][2] > rows["electricity"][1] > rows["electricity"][3] > 0.0
    assert rows["electricity"][3] > rows["electricity"][4] > 0.0  # of the same air, switched by need
    assert rows["cost.fixed"] == pytest.approx([20.0 * 10 / 31] * 5)  # ten of May's days
    for name in DESIGNS:
        results = load(tmp_path / "out" / f"{name}.nc")
        balances = [value for key, value in results.attrs.items() if key.startswith("balance_")]
        assert len(balances) >= 6
        assert max(float(np.max(np.abs(value))) for value in balances) < 1e-6


@pytest.mark.slow
def test_the_season_of_the_readme(tmp_path):
    """The README's block, to the last printed digit or so: steps differ a little between machines."""
    readme = (DEMO.parent.parent / "README.md").read_text(encoding="utf-8")
    command = next(line for line in readme.splitlines() if "pondsim compare scenarios/campus/" in line)
    designs = re.findall(r"scenarios/campus/(\w+\.toml)", command)
    result = call("compare", *(DEMO / name for name in designs))
    assert result.exit_code == 0, result.output
    printed = readme.split("<!-- demo")[1].split("```text\n")[1].split("```")[0]
    output = " ".join(result.output.split())
    for part in re.split(r"\.\.\.|\n\n", printed):
        pieces = NUMBER.split(" ".join(part.split()))
        found = re.search("([-+]?[0-9.]*[0-9])".join(re.escape(piece) for piece in pieces), output)
        assert found, f"README.md no longer says what is printed: {part}"
        for now, then in zip(found.groups(), NUMBER.findall(part), strict=True):
            assert float(now) == pytest.approx(float(then), rel=0.03, abs=0.1 if "." in then else 2.0)
