"""A gravity line too thin for its pump: nothing on the sheet is shown as if the loop ran."""

from __future__ import annotations

import json

from pondsim.design.cut import cut_of
from pondsim.design.line_sheet import line_sheet
from pondsim.design.sheet import design_sheet
from pondsim.figures.hardware import hardware_figure
from tests.cli.common import call
from tests.line_for_tests import line_scenario, line_text
from tests.scenarios_for_tests import write_design

# 700 gpm in 3 in is 32 ft/s, a velocity head of 16 ft: the well cannot stand 3 ft under the pond.
THIN = {"gravity_line": 'inside_diameter = "3 in"\nlength = "80 ft"', "pump": 'flow = "700 gpm"'}


def test_a_loop_that_stops_has_no_turnover_no_oxygen_and_no_electricity(tmp_path):
    sheet = design_sheet(line_scenario(tmp_path, **THIN))
    loop = sheet.loop
    assert loop.stops and loop.most < loop.flow
    assert (loop.mean_flow, loop.oxygen, sheet.energy) == (0.0, 0.0, 0.0)
    assert loop.turnover == float("inf")


def test_the_headline_says_that_it_does_not_run(tmp_path):
    path = tmp_path / "sheet.json"
    result = call("check", write_design(tmp_path, line_text(**THIN)), "--json", path)
    said = " ".join(result.output.split())
    assert "Circulation: does not run: the intake delivers" in said
    assert "at every level it does not run" in said.lower()
    for words in ("nominal turnover", "splash and wind", "waterfall adds", "published methods"):
        assert words not in said
    rows = json.loads(path.read_text())["operating_points"]
    assert {row["what"] for row in rows} == {
        "pond",
        "water over the top of the intake",
        "maximum flow of the intake",
    }


def test_the_picture_keeps_the_water_in_the_well(tmp_path):
    scenario = line_scenario(tmp_path, **THIN)
    figure = hardware_figure(line_sheet(scenario), cut_of(scenario))
    upper, lower = figure.axes[:2]
    assert upper.get_title(loc="left").startswith("Does not run at normal pool: the intake gives")
    assert not [text for text in upper.texts if "runs at" in text.get_text()]
    assert lower.get_title(loc="left").startswith("No operating point at")


def test_a_line_wide_enough_runs(tmp_path):
    """As in line_for_tests: 12 in."""
    loop = design_sheet(line_scenario(tmp_path)).loop
    assert not loop.stops
    assert loop.mean_flow == loop.flow
