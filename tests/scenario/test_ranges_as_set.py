"""Ranges are told as they are set, in round numbers; a number that is a sum says of what."""

from __future__ import annotations

import pytest

from pondsim.errors import ScenarioError
from pondsim.scenario.read import read_scenario
from tests.scenarios_for_tests import minimal_design, write_design

TUBING = 'tubing_diameter = "0.5 in"\ntubing_length = "50 ft"\n'


def fault(tmp_path, text):
    with pytest.raises(ScenarioError) as told:
        read_scenario(write_design(tmp_path, text))
    return str(told.value)


@pytest.mark.parametrize(
    ("extra", "wanted"),
    [
        ('minimum_run = "90 d"\n', "from 0 min to 1 d."),
        ('elevation = "40000 ft"\n', "from -500 m to 9000 m."),
        ('transfer_efficiency = "90 %/m"\n', "from 0 %/m to 12 %/m."),
    ],
)
def test_a_range_is_told_as_it_is_set(tmp_path, extra, wanted):
    lines = [
        line for line in minimal_design().splitlines(True) if not line.startswith(("transfer", "elevation"))
    ]
    place = lines.index("[[aeration]]\n") + 1
    assert wanted in fault(tmp_path, "".join([*lines[:place], extra, *lines[place:]]))


def test_a_share_is_told_in_percent_to_whom_wrote_percent(tmp_path):
    text = minimal_design() + '[solids]\nshare = ["130 %", "20 %", "20 %", "20 %", "20 %"]\n'
    assert '"130 %" is too high; write a plain number or a share from 0 % to 100 %.' in fault(tmp_path, text)


@pytest.mark.parametrize("given", ['"6 ball valve"', '["6 ball valve"]'])
def test_fittings_of_tubing_are_a_sum_of_loss_coefficients(tmp_path, given):
    place = 'air_flow = "1.5 scfm"\n'
    text = minimal_design().replace(place, f"{place}{TUBING}tubing_fittings = {given}\n")
    assert "expected: sum of the loss coefficients of valves and bends of a line." in fault(tmp_path, text)
