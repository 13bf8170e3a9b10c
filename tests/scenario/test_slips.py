# ruff: noqa: E501 (one row is one fault and its whole message)
"""Slips that were once read without a word: doubles, levels far off, profiles upside down, endless periods."""

from __future__ import annotations

import pytest

from pondsim.scenario.read import read
from tests.scenarios_for_tests import faults_of, minimal_design, minimal_site, write_design

LINES = len(minimal_design().splitlines())
ZONE = '[[zone]]\nname = "cove"\nfloating_cover = "{} %"\n'
LOT = '[[drainage]]\nname = "lot"\nzone = "cove"\narea = "2 acre"\ncurve_number = 80\ntime_of_concentration = "15 min"\n'
AIR = '[[aeration]]\nname = "pool air"\nalpha = 0.{}\n'
PROFILE = '[[start.profile]]\nzone = "cove"\ndepth = ["0 ft", "3 ft"]\ntemperature = {}\ndissolved_oxygen = ["8 mg/L", "5 mg/L"]\n'


def told(tmp_path, extra="", *changes):
    """Every fault as "file:line: key message"."""
    site, design = minimal_site(), minimal_design() + extra
    for old, new in changes:
        assert old in site + design
        site, design = site.replace(old, new), design.replace(old, new)
    return faults_of(write_design(tmp_path, design, site))


@pytest.mark.parametrize(
    ("extra", "first", "second", "name"),
    [
        (ZONE.format(10) + ZONE.format(20), 1, 4, "zone.cove"),
        (AIR.format(3) + AIR.format(4), -6, 1, "aeration.pool air"),
        (LOT + LOT, 1, 7, "drainage.lot"),
    ],
)
def test_a_name_given_twice_in_one_file_is_told_with_both_lines(tmp_path, extra, first, second, name):
    """In a design too, where entries are laid over those of the site by name."""
    lines = told(tmp_path, extra)
    assert (
        f"design.toml:{LINES + second}: {name} is already in line {LINES + first}; give each its own name."
    ) in lines


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('sill = "6 ft"', 'sill = "-636 ft"', 'site.toml:33: connection.1.sill = -636 ft (-193.85 m) is below the bed of "cove", 5 ft (1.524 m): water passes over the higher bed of the two.'),
        ('sill = "6 ft"', 'sill = "4.9 ft"', 'site.toml:33: connection.1.sill = 4.9 ft (1.4935 m) is below the bed of "cove", 5 ft (1.524 m): water passes over the higher bed of the two.'),
        ('low_pool = "9 ft"', 'low_pool = "-638.7 ft"', "site.toml:16: pond.low_pool = -638.7 ft (-194.68 m) is not above the deepest bed, 0 ft (0 m)."),
        ('"2025-07-11"', '"2205-07-11"', 'site.toml:5: period.end = "2205-07-11 00:00" is outside the years 1900 to 2100.'),
        ('"2025-07-11"', '"2035-07-03"', "site.toml:5: period.end makes the period 3654 d long; one run takes ten years (3653 d) at most. Run the years one by one."),
        ('"2025-07-11"', '"2027-07-02"\noutput_step = "5 min"', "site.toml:5: period.end makes 210528 results of 5 min; one run takes 110000 at most. Write a longer output_step, or a shorter period."),
    ],
)  # fmt: skip
def test_levels_and_periods_far_off(tmp_path, old, new, message):
    assert told(tmp_path, "", (old, new)) == [message]


@pytest.mark.parametrize(
    ("temperatures", "fault"),
    [
        ('["10 degC", "20 degC"]', "= 10 degC lies over 20 degC"),
        ('["4.5 degC", "8 degC"]', "= 4.5 degC lies over 8 degC"),
        ('["3 degC", "1 degC"]', "= 3 degC lies over 1 degC"),
        ('["1 degC", "4 degC"]', ""),  # water is densest at 4 degC: this is a winter pond
        ('["20 degC", "20.8 degC"]', ""),  # a cool night, or the thermometer
        ('["25 degC", "18 degC"]', ""),
    ],
)
def test_heavy_water_does_not_start_on_light_water(tmp_path, temperatures, fault):
    """Densest at 3.98 degC: CRC Handbook of Chemistry and Physics, from memory, not verified in text."""
    extra = PROFILE.format(temperatures)
    if fault:
        (line,) = told(tmp_path, extra)
        assert line.startswith(f"design.toml:{LINES + 4}: start.profile.1.temperature {fault} at 3 ft")
    else:
        read(write_design(tmp_path, minimal_design() + extra))


def test_a_profile_ends_at_the_bed(tmp_path):
    """The cove's bed lies at 5 ft, the bank top at 13 ft: no water there is deeper than 8 ft."""
    extra = PROFILE.format('["25 degC", "18 degC"]')
    read(write_design(tmp_path, minimal_design() + extra.replace('"3 ft"', '"7.9 ft"')))
    assert told(tmp_path, extra.replace('"3 ft"', '"28.5 ft"')) == [
        f"design.toml:{LINES + 3}: start.profile.1.depth reaches 28.5 ft (8.6868 m); cove is 8 ft (2.4384 m) deep at the bank top."
    ]


def test_oxygen_at_the_start_is_of_water(tmp_path):
    """Water in balance with air holds 8.26 mg/L at 25 degC (Standard Methods 4500-O): 30 mg/L is 360 % of it."""
    extra = PROFILE.format('["25 degC", "18 degC"]')
    read(write_design(tmp_path, minimal_design() + extra.replace('"8 mg/L"', '"20 mg/L"')))
    (line,) = told(tmp_path, extra.replace('"8 mg/L"', '"30 mg/L"'))
    assert line.startswith(f"design.toml:{LINES + 5}: start.profile.1.dissolved_oxygen") and "25 mg/L" in line


def test_a_monthly_dew_point_is_not_above_the_air(tmp_path):
    """Dew point is never above the air's temperature, so neither is its mean; July has 25 degC."""
    july = '"15 degC", "18 degC", "18 degC", "14 degC"'
    (line,) = told(tmp_path, "", (july, july.replace('"15 degC", "18 degC"', '"15 degC", "26 degC"')))
    assert line.startswith("site.toml:") and "weather.synthetic.dew_point = 26 degC in July" in line
    assert "air_temperature, 25 degC" in line
