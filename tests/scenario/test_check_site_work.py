# ruff: noqa: E501 (one row is one fault and its whole message)
"""Every fault of well, trench and plan."""

from __future__ import annotations

import pytest

from pondsim.comparison.remarks import sentence
from pondsim.design.plan_lengths import plan_lengths_apart
from pondsim.errors import ScenarioError
from pondsim.scenario.pipe_tables import manning_of
from pondsim.scenario.read import read_scenario
from pondsim.site.pipe_run import pipe_run
from tests.cli.common import DEMO
from tests.line_for_tests import PARTS, line_scenario, line_text
from tests.scenarios_for_tests import write_design

TRENCH = 'station = ["0 ft", "40 ft", "80 ft"]\nbed = ["3 ft", "6 ft", "12 ft"]\n'
WELL = PARTS["wet_well"]


def test_a_sound_trench_and_vault_are_read(tmp_path):
    vault = WELL.replace('diameter = "6 ft"', 'length = "6 ft"\nwidth = "5 ft"\npump_on = "8 ft"')
    scenario = line_scenario(
        tmp_path, wet_well=vault + '[wet_well.structure]\nwall = "8 in"\ntop = "13 ft"', trench=TRENCH
    )
    assert scenario.wet_well is not None
    assert scenario.wet_well.area == pytest.approx(30 * 0.3048**2)


@pytest.mark.parametrize(
    ("parts", "message"),
    [
        (
            {"wet_well": WELL + 'width = "5 ft"'},
            "wet_well.width stands beside diameter; a well is round or a box.",
        ),
        (
            {"wet_well": WELL.replace('diameter = "6 ft"', 'width = "6 ft"')},
            "wet_well has no size; write diameter, or length and width of a box vault.",
        ),
        (
            {"wet_well": WELL + 'pump_on = "6.5 ft"'},
            "wet_well.pump_on = 6.5 ft (1.9812 m) is not between pump_off, 7 ft (2.1336 m), and "
            "pond.normal_pool = 10 ft (3.048 m).",
        ),
        (
            {"wet_well": WELL + '[wet_well.structure]\nwall = "6 in"\ntop = "1.5 ft"'},
            "wet_well.structure.top = 1.5 ft (0.4572 m) is not above the floor and the top slab, 1.6667 ft "
            "(0.508 m).",
        ),
        (
            {"wet_well": WELL + '[wet_well.structure]\nwall = "6 in"\ntop = "9 ft"'},
            "wet_well.structure.top = 9 ft (2.7432 m) is not above pond.normal_pool = 10 ft (3.048 m): the "
            "pond stands in the well and would run over it.",
        ),
        (
            {"wet_well": WELL + '[wet_well.structure]\nwall = "6 in"\ntop = "13 ft"\nopening = "7 ft"'},
            "wet_well.structure.opening = 7 ft (2.1336 m) is wider than the well.",
        ),
        (
            {"trench": TRENCH.replace('"0 ft", ', "")},
            "trench.bed has 3 values, station 2; write one for each.",
        ),
        (
            {"trench": TRENCH.replace('"0 ft", ', '"1 ft", ')},
            "trench.station begins at 1 ft (0.3048 m); begin with 0 ft, at the intake.",
        ),
        (
            {"trench": TRENCH.replace('"40 ft"', '"90 ft"')},
            "trench.station does not rise at item 3; count along the line from the intake.",
        ),
        (
            {"trench": TRENCH + 'hard = ["2 ft", "7 ft", "12 ft"]'},
            "trench.hard item 2: 7 ft (2.1336 m) is above the bed, 6 ft (1.8288 m).",
        ),
        (
            {"trench": 'bottom_width = "3 ft"', "gravity_line": None, "wet_well": None},
            "trench has no pipe to lie in it; write [intake] and [gravity_line].",
        ),
        (
            {"trench": TRENCH, "intake": PARTS["intake"] + 'bed = "4 ft"'},
            "intake.bed = 4 ft (1.2192 m) contradicts the first value of trench.bed, 3 ft (0.9144 m)",
        ),
        (
            {"layout": 'gravity_east = ["1 ft", "2 ft"]\ngravity_north = ["1 ft"]'},
            "layout.gravity_north has 1 value, gravity_east 2; write one for each.",
        ),
        (
            {"layout": 'discharge_east = ["1 ft"]\ndischarge_north = ["1 ft"]'},
            "layout.discharge_east has 1 value; a line has two ends.",
        ),
    ],
)
def test_faults(tmp_path, parts, message):
    with pytest.raises(ScenarioError) as caught:
        read_scenario(write_design(tmp_path, line_text(None, **parts)))
    assert message in str(caught.value)


def test_corrugated_pipe_has_its_own_roughness_unless_one_is_stated(tmp_path):
    """n = 0.012, as recommended for design: check 15.15. In a 15 in pipe that is about a millimeter of wall."""
    assert manning_of("pe_corrugated") == pytest.approx(0.012, abs=5e-4)
    text = PARTS["gravity_line"].replace("12 in", "15 in").replace("pvc_40", "pe_corrugated")
    line = line_scenario(tmp_path, gravity_line=text).gravity_line
    assert line is not None
    assert 0.5e-3 < pipe_run(line).roughness < 2e-3
    stated = line_scenario(tmp_path, gravity_line=text + 'roughness = "0.3 mm"').gravity_line
    assert stated is not None
    assert pipe_run(stated).roughness == pytest.approx(0.3e-3)


def test_lengths_that_do_not_belong_together_are_said(tmp_path):
    """By hand: the trench ends at 80 ft, as the pipe's 80 ft; the plan of the discharge is 3-4-5: 50 ft for 150 ft."""
    east = 'discharge_east = ["0 ft", "30 ft"]\ndischarge_north = ["0 ft", "40 ft"]\n'
    [found] = plan_lengths_apart(line_scenario(tmp_path, trench=TRENCH, layout=east))
    assert "layout.discharge is 50 ft long on the plan, discharge.length is" in sentence(found)
    [found] = plan_lengths_apart(line_scenario(tmp_path, trench=TRENCH.replace('"80 ft"', '"120 ft"')))
    assert "trench.station is 120 ft long on the plan, gravity_line.length is 80 ft" in sentence(found)


def test_the_lengths_of_the_demo_belong_together():
    """Corners of its plan by Pythagoras: 70 ft of gravity line, 319 ft of discharge for 320 ft of pipe."""
    assert plan_lengths_apart(read_scenario(DEMO / "waterfall.toml")) == []
