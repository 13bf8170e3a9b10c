"""Slips that people make often are told with their own cure."""

from __future__ import annotations

import pytest

from pondsim.errors import ScenarioError
from pondsim.scenario.read import read_scenario
from pondsim.scenario.vary import Change, read_changed
from tests.line_for_tests import PARTS, line_scenario
from tests.scenarios_for_tests import write_design


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


@pytest.mark.parametrize(
    ("key", "value", "cure"),
    [
        ("start.water_temperature", "20 degC", "[[start.profile]], with zone, depth, temperature"),
        ("start.temperature", "68 degF", "[[start.profile]], with zone, depth, temperature"),
        ("pump.head", "20 ft", "write total_head beside a stated flow, rated_head beside rated_flow."),
    ],
)
def test_what_stands_elsewhere_or_by_another_name_is_told_where(tmp_path, key, value, cure):
    """In a file, and laid over one."""
    section, name = key.split(".")
    path = write_design(tmp_path)
    text = path.read_text().replace("[pump]\n", f'[pump]\n{name} = "{value}"\n')
    if section == "start":
        text = path.read_text() + f'\n[start]\n{name} = "{value}"\n'
    written = tmp_path / "written.toml"
    written.write_text(text)
    for read in (
        lambda: read_scenario(written),
        lambda: read_changed(path, [Change(key, value, path)]),
    ):
        with pytest.raises(ScenarioError, match=f"{key} is an unknown key") as told:
            read()
        assert cure in str(told.value)


def test_a_design_without_a_site_is_told_to_name_one(tmp_path):
    path = tmp_path / "design.toml"
    path.write_text('title = "alone"\n')
    with pytest.raises(ScenarioError, match=r'begin with: site = "site.toml"'):
        read_scenario(path)
