"""Ranges are told in the unit that was written, never wider than they are; a sum says of what."""

from __future__ import annotations

from pathlib import Path

import pytest

from pondsim.ensemble.unknowns import unknowns_of
from pondsim.errors import ScenarioError
from pondsim.scenario.convert import convert, si_unit
from pondsim.scenario.defaults import default_texts
from pondsim.scenario.keys import keys_of
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Scenario
from pondsim.scenario.unreadable import UnreadableError
from pondsim.scenario.vary import laid_value, read_changed
from pondsim.sizing.by_word import size_of
from pondsim.sizing.size import limits
from pondsim.units import DISPLAY, same_kind, to_si
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


def numbers_of(section, above=()):
    """Every number with a limit that a scenario may hold, by section and key."""
    for name, key in keys_of(section).items():
        if key.section is not None and key.section not in above:
            yield from numbers_of(key.section, (*above, section))
        elif key.kind == "quantity" and not (key.least is None and key.most is None):
            yield f"{section.__name__}.{name}", key


def test_a_limit_written_in_any_unit_shown_is_within_itself_when_it_is_read_again():
    """Both ends of a search are laid over the design as texts: 6 m are 19.685039370... ft."""
    units = {unit for pair in DISPLAY.values() for unit in pair}
    found, refused = dict(numbers_of(Scenario)), []
    assert {"Waterfall.drop", "Waterfall.width", "Aeration.air_flow", "Pump.total_head"} <= set(found)
    for name, key in found.items():
        kept = si_unit(key)
        fit = [one for one in units if same_kind(one, kept) and ("delta_" in one) == ("delta_" in kept)]
        for limit in (key.least, key.most):
            for unit in fit if limit is not None else ():
                text = laid_value(name, to_si(str(limit), kept), kept, unit, Path("--to")).value
                try:
                    convert(text, key)
                except UnreadableError as error:
                    refused.append(f"{name} {error}")
    assert not refused


@pytest.mark.parametrize("drop", ["4 ft", "1.2 m", "1 cm"])
def test_the_range_that_stands_when_none_is_typed_can_be_read(tmp_path, drop):
    path = write_design(tmp_path, minimal_design().replace('drop = "4 ft"', f'drop = "{drop}"'))
    size = size_of(path, "waterfall.drop")
    for end in limits(size, None, None):
        laid = read_changed(path, size.changes(end, Path("size"))).scenario
        assert laid.waterfall.drop == pytest.approx(end, rel=1e-9)
