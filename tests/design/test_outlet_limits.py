"""Outlet and normal pool, 10 ft in this pond: where water stops running is plain from the drawing."""

from __future__ import annotations

import pytest

from pondsim.design.held import all_limits
from pondsim.scenario.read import read_scenario
from tests.cli.common import DEMO, call
from tests.scenarios_for_tests import minimal_site, write_design

WEIR = '[outlet.weir]\ncrest = "10 ft"\nwidth = "6 ft"\n'
HOLE = '[outlet.orifice]\nelevation = "{}"\ndiameter = "6 in"\n'
CREST = '[outlet.weir]\ncrest = "{}"\nwidth = "6 ft"\n'
TABLE = '[outlet.table]\nstage = ["{}", "11 ft"]\nflow = ["0 cfs", "5 cfs"]\n'


def bare(folder, outlet, also=""):
    """A design without equipment over the pond of this outlet; its path."""
    site = minimal_site().replace(WEIR, also + outlet)
    return write_design(folder, 'site = "site.toml"\ntitle = "bare"\n', site=site)


@pytest.mark.parametrize(
    ("outlet", "over"),
    [
        (HOLE.format("10.25 ft"), None),
        (HOLE.format("9.92 ft"), -0.33),
        (HOLE.format("9.92 ft") + CREST.format("10.5 ft"), -0.33),
        (HOLE.format("10.25 ft") + CREST.format("12 ft"), None),
        (CREST.format("7 ft"), -3.0),
        (CREST.format("11 ft"), 1.0),
        (CREST.format("10.05 ft"), None),
        (TABLE.format("9 ft"), -1.0),
    ],
)
def test_level_of_the_outlet_against_normal_pool(tmp_path, outlet, over):
    """A hole of 6 in runs down to 3 in under its middle; a crest to itself; a table to its last nothing."""
    found = [one for one in all_limits(read_scenario(bare(tmp_path, outlet))) if one.code == "outlet_level"]
    if over is None:
        assert not found
    else:
        assert [one.verdict for one in found] == ["warn"]
        assert found[0].value == pytest.approx(over * 0.3048, abs=1e-6)


def test_tailwater_holds_the_pond_up(tmp_path):
    """A hole 1 ft under the pool runs no lower than the water it runs into."""
    drowned = bare(tmp_path, HOLE.format("9.25 ft"), 'tailwater = "10 ft"\n')
    assert not [one for one in all_limits(read_scenario(drowned)) if one.code == "outlet_level"]


def test_check_names_both_elevations(tmp_path):
    """No error: a low opening may be meant."""
    result = call("check", bare(tmp_path, CREST.format("7 ft")), "--strict")
    assert result.exit_code == 0, result.output
    said = " ".join(result.output.split())
    assert "WARN level at which the outlet stops running, over normal pool -3 ft, at least 0 ft" in said
    assert "above 7 ft (2.1336 m); pond.normal_pool is 10 ft (3.048 m)" in said


@pytest.mark.parametrize("name", ["existing.toml", "waterfall_night_air.toml"])
def test_outlets_of_the_demo_agree_with_its_pool(name):
    assert "outlet stops running" not in call("check", DEMO / name).output
