"""A design that runs a part of its site's period."""

from __future__ import annotations

import pytest

from pondsim.errors import ScenarioError
from pondsim.scenario.read import read
from tests.scenarios_for_tests import minimal_design, minimal_site, write_design

STORMS = """
[[inflow]]
zone = "cove"
start = "{first}"
volume = "0.1 acre ft"
duration = "2 h"

[[inflow]]
zone = "{zone}"
start = "{second}"
volume = "0.2 acre ft"
duration = "2 h"
"""
SPELL = """
[[weather.hot_spell]]
start = "2025-07-{day}"
duration = "3 d"
"""
AUGUST = """
[period]
start = "2025-07-05 00:00"
end = "2025-07-09 00:00"
"""


def files(folder, *, zone="cove", day="02", design=AUGUST):
    storms = STORMS.format(first="2025-07-02 12:00", second="2025-07-06 12:00", zone=zone)
    site = minimal_site() + storms + SPELL.format(day=day)
    return write_design(folder, minimal_design() + design, site)


def test_what_the_site_dates_outside_the_period_is_left_out_and_told(tmp_path):
    reading = read(files(tmp_path))
    assert [storm.start.day for storm in reading.scenario.inflow] == [6]
    assert any("2 of the site's 3" in note and "storms" in note for note in reading.notes)


def test_a_hot_spell_that_reaches_into_the_period_stays(tmp_path):
    """Three days from the 2nd end with the 4th, before the period begins; from the 3rd they reach into it."""
    gone = read(files(tmp_path, day="02"))
    assert not gone.scenario.weather.hot_spell
    assert "the site's only hot spell lies outside the period and is left out" in gone.notes
    assert len(read(files(tmp_path, day="03")).scenario.weather.hot_spell) == 1


def test_a_fault_of_a_storm_that_stays_is_told_at_its_line(tmp_path):
    path = files(tmp_path, zone="nowhere")
    site = path.parent / "site.toml"
    line = 1 + site.read_text().splitlines().index('zone = "nowhere"')
    with pytest.raises(ScenarioError, match=rf"site.toml:{line}: inflow.1.zone"):
        read(path)


def test_an_event_of_the_design_itself_must_lie_in_its_period(tmp_path):
    own = STORMS.format(first="2025-07-02 12:00", second="2025-07-06 12:00", zone="cove")
    with pytest.raises(ScenarioError, match=r"inflow.1.start = 2025-07-02"):
        read(files(tmp_path, design=AUGUST + own))


def test_a_site_whose_own_period_is_shortened_keeps_its_hot_spell(tmp_path):
    """The starter's site.toml with an earlier period.end: a note; storms there stay a fault."""
    design = files(tmp_path, design="", day="20")
    site = tmp_path / "site.toml"
    site.write_text(site.read_text().replace("2025-07-11", "2025-07-10"))
    for path in (design, site):
        reading = read(path)
        assert not reading.scenario.weather.hot_spell
        assert len(reading.scenario.inflow) == 3
        assert any("only hot spell lies outside the period and is left out" in note for note in reading.notes)


def test_a_hot_spell_that_a_design_adds_outside_its_sites_period_is_a_fault(tmp_path):
    path = files(tmp_path, day="03", design=SPELL.format(day="20"))
    with pytest.raises(ScenarioError, match=r"design.toml:\d+: weather.hot_spell.1.start = 2025-07-20"):
        read(path)
