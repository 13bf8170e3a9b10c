"""What is said of events before a run: those outside the period, dredging done, deep or twice, idle ones."""

from __future__ import annotations

import pytest

from pondsim.comparison.remarks import sentence
from pondsim.scenario.read import read
from pondsim.scenario.settings_site import lowest_bed
from tests.scenarios_for_tests import faults_of, living_site, minimal_design, write_design, write_site

PERIOD = "2025-07-01 00:00 to 2025-07-11 00:00"
DIG = '\n[[dredging]]\ndate = "{}"\nzone = "cove"\ndepth = "{}"\n'
LOAD = '\n[[load]]\nname = "geese"\nzone = "cove"\nstart = "2025-07-0{}"\nend = "2025-07-0{}"\n'
AIR = '\n[[aeration]]\nname = "deep air"\nzone = "cove"\nelevation = "4 ft"\ndiffusers = 1\n'
AIR += 'air_flow = "1 scfm"\n'


def said(folder, text):
    return [sentence(one) for one in read(write_site(folder, living_site() + text)).notes]


@pytest.mark.parametrize(
    ("kind", "keys"),
    [
        ("treatment", 'dose = "10 kg"\nbinds = "0.01 g/g"\n'),
        ("dye", 'extinction = "1 1/m"\n'),
        ("cover", 'share = "50 %"\nend = "{}"\n'),
        ("load", 'name = "geese"\nzone = "cove"\nphosphorus = "1 kg/d"\nend = "{}"\n'),
    ],
)
def test_what_is_dated_outside_the_period_is_told(tmp_path, kind, keys):
    """As storms and bloom crashes are; what comes later stays, for years of one bed."""
    for start, end, later in (
        ("2025-06-20", "2025-06-22", ""),
        ("2025-08-20", "2025-08-22", "; pondsim years runs later years"),
    ):
        text = f'\n[[{kind}]]\nstart = "{start}"\n{keys.format(end)}'
        told = f"the {kind} of {start} 00:00 lies outside the period, {PERIOD}, and is left out{later}."
        assert said(tmp_path, text) == [told]
        assert len(getattr(read(tmp_path / "site.toml").scenario, kind)) == 1
    inside = f'\n[[{kind}]]\nstart = "2025-07-02"\n{keys.format("2025-07-04")}'
    assert said(tmp_path, inside) == []


def test_dredging_after_the_period_is_left_out_and_before_it_is_done(tmp_path):
    """Of 5 ft of water over the cove's bed at 5 ft; 5 days of work, of which 2.5 lie before 1 July."""
    (after,) = said(tmp_path, DIG.format("2025-08-01", "1 ft"))
    assert after.startswith(f"the dredging of 2025-08-01 00:00 lies outside the period, {PERIOD}")
    (done,) = said(tmp_path, DIG.format("2025-05-01", "1 ft"))
    assert "dredging of cove of 2025-05-01 00:00 counts as done at the start" in done
    assert "lowest at 4 ft then" in done
    (half,) = said(tmp_path, DIG.format("2025-06-28 12:00", "1 ft"))
    assert "is 50 % done at the start" in half and "lowest at 4.5 ft then" in half
    (cut,) = said(tmp_path, DIG.format("2025-07-09", "1 ft"))
    assert cut == "the dredging of 2025-07-09 00:00 ends after the period and is cut to it."


def test_dredgings_of_one_zone_at_one_time_add_up(tmp_path):
    """1 + 2 ft, and 10 % of 10 % of the muck; one after the other nothing is said."""
    first, twice = DIG.format("2025-07-02", "1 ft"), DIG.format("2025-07-04", "2 ft")
    (told,) = said(tmp_path, first + twice)
    assert "dredgings of cove of 2025-07-02 00:00 and 2025-07-04 00:00 overlap" in told
    assert "add up to 3 ft and leave 1 % of the muck" in told
    assert said(tmp_path, DIG.format("2025-07-01", "1 ft") + DIG.format("2025-07-06", "1 ft")) == []


def test_a_hole_much_deeper_than_the_pond_is_told(tmp_path):
    """The cove is 5 ft deep, its neighbor 10 ft: 15 ft of water are still half as much again."""
    assert said(tmp_path, DIG.format("2025-07-02", "10 ft")) == []
    (told,) = said(tmp_path, DIG.format("2025-07-02", "11 ft"))
    assert told.startswith(
        "cove is dredged to -6 ft, 16 ft under normal pool, where it and its neighbors were"
    )


def test_events_that_do_nothing_are_told(tmp_path):
    assert said(tmp_path, LOAD.format(2, 4)) == ['the load "geese" brings nothing: no amount is given.']
    assert said(tmp_path, LOAD.format(2, 4) + 'ammonium = "1 kg/d"\n') == []
    (told,) = said(tmp_path, '\n[[outage]]\nstart = "2025-07-02"\nduration = "1 d"\n')
    assert told == "The outages of this file stop nothing: the design has no pump and no air."


@pytest.mark.parametrize(
    ("section", "told"),
    [
        (DIG.format("2025-07-02", "1 ft").replace("date", "start"), "write date, when the work begins"),
        (DIG.format("2025-07-02", "1 ft") + 'end = "2025-07-05"\n', "write date and duration"),
        (
            '\n[[dye]]\nstart = "2025-07-02"\nend = "2025-07-05"\nextinction = "1 1/m"\n',
            "dye has no end, it fades (fading)",
        ),
    ],
)
def test_a_key_of_another_event_is_answered_with_the_one_meant(tmp_path, section, told):
    faults = faults_of(write_site(tmp_path, living_site() + section))
    assert any(told in line for line in faults), faults
    assert not any("[period]" in line for line in faults)


def test_air_may_stand_in_the_hole_that_was_dredged_before(tmp_path):
    """At 4 ft over a bed of 5 ft: in the hole of May, not in one that is dug while it would run."""
    design = minimal_design() + AIR
    assert "[[aeration]]" in design
    done, later = (living_site() + DIG.format(date, "2 ft") for date in ("2025-05-01", "2025-07-03"))
    scenario = read(write_design(tmp_path, design, done)).scenario
    assert scenario.aeration[-1].elevation < lowest_bed(scenario.zone, "cove")
    faults = faults_of(write_design(tmp_path, design, later))
    (told,) = [line for line in faults if "aeration.deep_air" in line or "deep air" in line]
    assert "at the start of the period. [[dredging]] takes it to 3 ft" in told
    (plain,) = faults_of(write_design(tmp_path, design, living_site()))
    assert plain.endswith('is not above the bed of "cove", 5 ft (1.524 m).')
