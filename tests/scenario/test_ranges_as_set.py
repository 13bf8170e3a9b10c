"""Ranges are told in the unit that was written, never wider than they are; a sum says of what."""

from __future__ import annotations

import pytest

from pondsim.ensemble.unknowns import unknowns_of
from pondsim.errors import ScenarioError
from pondsim.scenario.defaults import default_texts
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
        ('minimum_run = "90 d"\n', "from 0 d to 1 d."),
        # 500 m are 1640.4 ft, 9000 m 29 527.6 ft: cut to four digits on the side that is allowed
        ('elevation = "40000 ft"\n', "from -1640 ft to 29520 ft."),
        ('elevation = "40 km"\n', "from -0.5 km to 9 km."),
        ('elevation = "40000 m"\n', "from -500 m to 9000 m."),
        ('transfer_efficiency = "90 %/m"\n', "from 0 %/m to 12 %/m."),
    ],
)
def test_a_range_is_told_in_the_unit_that_was_written(tmp_path, extra, wanted):
    lines = [
        line for line in minimal_design().splitlines(True) if not line.startswith(("transfer", "elevation"))
    ]
    place = lines.index("[[aeration]]\n") + 1
    assert wanted in fault(tmp_path, "".join([*lines[:place], extra, *lines[place:]]))


@pytest.mark.parametrize(
    ("limit", "wanted"),
    [
        ('fish_temperature = "120 degF"', "from 41 degF to 104 degF."),  # 5 and 40 degC
        ('fish_temperature = "320 K"', "from 278.2 K to 313.1 K."),  # 278.15 and 313.15 K, cut inward
        ('fish_temperature = "50 degC"', "from 5 degC to 40 degC."),
    ],
)
def test_a_range_of_temperature_has_its_own_zero(tmp_path, limit, wanted):
    text = minimal_design() + f"[judging]\n{limit}\n"
    assert wanted in fault(tmp_path, text)


def test_a_range_of_a_study_is_refused_with_what_may_be(tmp_path):
    own = 'key = "bed.oxygen_demand"\nlow = "1 g/m2/d"\nhigh = "500 g/m2/d"\n'
    design = read_scenario(write_design(tmp_path, f"{minimal_design()}[[unknowns.range]]\n{own}"))
    least, most = default_texts("bed.oxygen_demand")["allowed"]
    with pytest.raises(ScenarioError, match=f"outside what bed.oxygen_demand may be, from {least} to {most}"):
        unknowns_of([design], [])


def test_a_share_is_told_in_percent_to_whom_wrote_percent(tmp_path):
    text = minimal_design() + '[solids]\nshare = ["130 %", "20 %", "20 %", "20 %", "20 %"]\n'
    assert '"130 %" is too high; write a plain number or a share from 0 % to 100 %.' in fault(tmp_path, text)


@pytest.mark.parametrize("given", ['"6 ball valve"', '["6 ball valve"]'])
def test_fittings_of_tubing_are_a_sum_of_loss_coefficients(tmp_path, given):
    place = 'air_flow = "1.5 scfm"\n'
    text = minimal_design().replace(place, f"{place}{TUBING}tubing_fittings = {given}\n")
    assert "expected: sum of the loss coefficients of valves and bends of a line." in fault(tmp_path, text)
