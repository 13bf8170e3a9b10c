"""Slips that people make often are told with their own cure."""

from __future__ import annotations

import pytest

from pondsim.errors import ScenarioError
from pondsim.scenario.read import read_scenario
from tests.line_for_tests import PARTS, line_scenario


def fault(tmp_path, item):
    with pytest.raises(ScenarioError) as told:
        line_scenario(tmp_path, discharge=PARTS["discharge"].replace("4 long radius elbow", item))
    return str(told.value)


@pytest.mark.parametrize("item", ["2 90 degree elbow", "90 elbow", "90 deg elbow", "3 90 degree bends"])
def test_a_90_degree_elbow_asks_which(tmp_path, item):
    said = fault(tmp_path, item)
    assert '"standard elbow", "long radius elbow" or "sweep elbow"' in said
    assert "45" not in said


@pytest.mark.parametrize("count", ["-4", "0", "4.5", "4000"])
def test_a_count_out_of_range_is_told_as_a_count(tmp_path, count):
    said = fault(tmp_path, f"{count} standard elbow")
    assert f"counts {count}; write a whole number from 1 to 999" in said


def test_a_45_degree_elbow_needs_no_count(tmp_path):
    line_scenario(tmp_path, discharge=PARTS["discharge"].replace("4 long radius elbow", "45 degree elbow"))


def test_a_design_without_a_site_is_told_to_name_one(tmp_path):
    path = tmp_path / "design.toml"
    path.write_text('title = "alone"\n')
    with pytest.raises(ScenarioError, match=r'begin with: site = "site.toml"'):
        read_scenario(path)
