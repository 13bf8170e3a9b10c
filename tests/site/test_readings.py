"""Files of readings: clocks, dates, columns, gap codes, units; and what is wrong. All invented."""

from __future__ import annotations

import tomllib
from importlib.resources import files

import numpy as np
import pytest

from pondsim.comparison.readings_words import QUANTITIES
from pondsim.errors import ScenarioError
from pondsim.scenario.read import read_scenario
from pondsim.site.readings import UNITS, read_instrument
from tests.scenarios_for_tests import minimal_site

SEA_LEVEL = ('elevation = "100 m"', 'elevation = "0 m"')
PLAIN = "time,dissolved_oxygen [mg/L],water_temperature [degC]"
ROWS = [f"2025-07-01 {n:02d}:00,{5 + n % 3},{20 + n}" for n in range(6)]


@pytest.fixture
def pond(tmp_path):
    """The readings of a small pond, from keys of [[readings]] and the text of its file."""

    def read(keys: str, lines: list[str], *changes: tuple[str, str]):
        site = minimal_site()
        for old, new in changes:
            assert old in site
            site = site.replace(old, new)
        where = '\n[[readings]]\nname = "logger"\nfile = "logger.csv"\nzone = "cove"\n'
        (tmp_path / "logger.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
        (tmp_path / "site.toml").write_text(site + where + keys, encoding="utf-8")
        scenario = read_scenario(tmp_path / "site.toml")
        (given,) = scenario.readings
        return read_instrument(given, scenario.place)

    return read


def hours(instrument, day="2025-07-01"):
    return ((instrument.time - np.datetime64(day)) / np.timedelta64(1, "m") / 60.0).tolist()


def test_own_headers_are_read_as_they_stand(pond):
    one = pond('depth = "1 ft"\n', [PLAIN, *ROWS])
    assert (one.name, one.zone, one.elevation, one.step) == ("logger", "cove", None, 3600.0)
    assert one.depth == pytest.approx(0.3048, abs=1e-12)
    assert hours(one) == [0, 1, 2, 3, 4, 5]
    assert one.values["dissolved_oxygen"] == pytest.approx([5, 6, 7, 5, 6, 7], abs=1e-9)
    assert one.values["water_temperature"] == pytest.approx([20, 21, 22, 23, 24, 25], abs=1e-9)
    assert not one.impossible["dissolved_oxygen"].any()


LOGGER = """\
depth = "2 ft"
header_line = 2
time_columns = ["Date", "Clock"]
time_format = "%m/%d/%y %I:%M %p"
utc_offset = "0 h"
time_is = "start"
gap_codes = ["-9999", "ERR"]
ignore = ["Batt, V", "pH"]
column = [
  { header = "DO, mg per L", holds = "dissolved_oxygen", unit = "mg/L" },
  { header = "Temp, °F", holds = "water_temperature", unit = "degF" },
]
"""


def test_a_logger_with_dates_headers_codes_and_clock_of_its_own(pond):
    """Universal time is 4 h ahead of UTC-4; a step of 30 min whose start is stamped stands 15 min later."""
    lines = ["Site 7, downloaded", 'Date,Clock,"DO, mg per L","Temp, °F",pH,"Batt, V"']
    lines += ["7/1/25,4:00 AM,6.5,68,7.1,3.6", "7/1/25,4:30 AM,-9999.0,ERR,7,3"]
    lines += ["7/1/25,5:00 AM,6.1,,7,3", "7/1/25,12:30 PM,5.5,77,7,3"]
    one = pond(LOGGER, lines)
    assert hours(one) == [0.25, 0.75, 1.25, 8.75]
    assert one.values["dissolved_oxygen"] == pytest.approx([6.5, np.nan, 6.1, 5.5], abs=1e-9, nan_ok=True)
    warmth = one.values["water_temperature"]  # 68 and 77 degF are 20 and 25 degC
    assert warmth == pytest.approx([20.0, np.nan, np.nan, 25.0], abs=1e-9, nan_ok=True)
    assert one.coded == {"dissolved_oxygen": 1, "water_temperature": 1}
    assert one.lines.tolist() == [3, 4, 5, 6]


NEW_YORK = 'time_zone = "America/New_York"\n'
EASTERN = ('longitude = "-60 deg"', 'longitude = "-75 deg"'), ('utc_offset = "-4 h"', 'utc_offset = "-5 h"')


@pytest.mark.parametrize(
    ("stamps", "standard"),
    [
        (["00:30", "01:00", "01:30", "01:00", "01:30", "02:00"], [-0.5, 0.0, 0.5, 1.0, 1.5, 2.0]),
        (["01:30", "01:00", "01:30", "02:00"], [0.5, 1.0, 1.5, 2.0]),
        (["01:00", "01:30", "02:00", "02:30"], [1.0, 1.5, 2.0, 2.5]),  # begins in it, of its second turn
        (["01:30", "02:00", "02:30", "03:00"], [1.5, 2.0, 2.5, 3.0]),
        (["00:00", "01:00", "03:00", "04:00"], [-1.0, 0.0, 3.0, 4.0]),  # a true gap
    ],
)
def test_an_hour_that_comes_twice_in_the_fall_is_told_by_the_order_of_lines(pond, stamps, standard):
    """Clocks went from 2:00 daylight to 1:00 standard time on November 2, 2025 (IANA time zone database)."""
    one = pond(NEW_YORK, ["time,dissolved_oxygen [mg/L]", *(f"2025-11-02 {t},6" for t in stamps)], *EASTERN)
    assert hours(one, "2025-11-02") == standard


def test_the_hour_that_clocks_skip_in_spring_is_refused(pond):
    rows = [f"2025-03-09 {t},6" for t in ("01:30", "02:30", "03:30")]
    with pytest.raises(ScenarioError, match=r"csv:3: time .*02:30.* does not exist in America/New_York"):
        pond(NEW_YORK, ["time,dissolved_oxygen [mg/L]", *rows], *EASTERN)


def test_stamps_that_carry_their_offset_are_taken_at_their_word(pond):
    rows = [f"2025-07-01T0{n}:00:00+02:00,6" for n in (6, 7)]
    assert hours(pond("", ["time,dissolved_oxygen [mg/L]", *rows])) == [0.0, 1.0]


def test_percent_of_saturation_becomes_a_concentration(pond):
    """At sea level and 20 degC fresh water holds 9.092 mg/L (Benson and Krause 1984, in Standard Methods)."""
    lines = ["time,dissolved_oxygen [%],water_temperature [degC]", "2025-07-01,100,20", "2025-07-02,50,20"]
    one = pond("", lines, SEA_LEVEL)
    assert one.values["dissolved_oxygen"] == pytest.approx([9.092, 4.546], abs=5e-4)
    assert one.as_share == ("dissolved_oxygen",)
    with pytest.raises(ScenarioError, match="for mg/L the file must hold water_temperature too"):
        pond("", ["time,dissolved_oxygen [%]", "2025-07-01,100", "2025-07-02,50"])


def test_a_staff_gauge_reads_from_its_zero(pond):
    lines = ["time,water_surface_elevation [ft]", "2025-07-01,1.5", "2025-07-05,1.25"]
    one = pond('gauge_zero = "8.5 ft"\n', lines)
    assert one.values["water_surface_elevation"] == pytest.approx([10 * 0.3048, 9.75 * 0.3048], abs=1e-9)


def test_one_impossible_value_is_marked_and_kept(pond):
    rows = [f"2025-07-{day:02d},{6 if day != 5 else 60}" for day in range(1, 21)]
    one = pond("", ["time,dissolved_oxygen [mg/L]", *rows])
    assert np.flatnonzero(one.impossible["dissolved_oxygen"]).tolist() == [4]
    assert one.values["dissolved_oxygen"][4] == pytest.approx(60.0)


@pytest.mark.parametrize(
    ("keys", "lines", "words"),
    [
        ("", ["time,DO [mg/L]"], r"csv:1: DO \[mg/L\] is not a column of a file of readings; dissolved_oxy"),
        ("", [f"{PLAIN},pH", *(f"{one},7" for one in ROWS)], r"csv:1: pH is not .* leave it out by ignore"),
        ("", [PLAIN.replace(" [degC]", ""), *ROWS], r"csv:1: water_temperature has no unit"),
        ("", [PLAIN, ROWS[1], ROWS[0]], r"csv:3: time 2025-07-01 00:00 is not later .* needs time_zone"),
        ("", [PLAIN, ROWS[0], ROWS[0]], r"csv:3: time 2025-07-01 00:00 stands twice"),
        (
            'time_format = "%m/%d/%Y %H:%M"\n',
            [PLAIN, "2/30/2025 1:00,6,20"],
            r'csv:2: time "2/30/2025 1:00" names a day that its month does not have',
        ),
        ("", [PLAIN, "7/1/2025 1:00,6,20"], r'csv:2: time "7/1/2025 1:00" is not a time; .* time_format'),
        ("", [PLAIN, "2025-07-01,Fault,20"], r'csv:2: dissolved_oxygen \[mg/L\] "Fault" is not a number'),
        ("", [PLAIN, *(r.replace(",5,", ",-9999,") for r in ROWS)], r'-9999 stands 2 times .* \["-9999"\]'),
        (
            "",
            [PLAIN, *(f"{r[:16]},6{n},20" for n, r in enumerate(ROWS))],
            r"100 % of this column; is its unit",
        ),
        (
            'time_format = "%d/%m"\n',
            [PLAIN, *ROWS],
            r'toml:\d+: .*time_format = "%d/%m" gives no day and time',
        ),
        ("", [PLAIN.replace(",", ";"), "2025-07-01;6;20"], r"csv:1: has semicolons between its columns"),
        ('time_format = "%m/%d/%Y %I:%M"\n', [PLAIN, *ROWS], r"gives no day and time"),
        ('time_zone = "Ohio"\n', [PLAIN, *ROWS], '"Ohio" is no time zone; write an IANA name'),
        (
            'utc_offset = "0 h"\ntime_zone = "UTC"\n',
            [PLAIN, *ROWS],
            r"utc_offset and time_zone are both given",
        ),
        ('depth = "1 ft"\nelevation = "9 ft"\n', [PLAIN, *ROWS], r"depth and elevation are both given"),
        ('elevation = "90 ft"\n', [PLAIN, *ROWS], r"elevation = 90 ft .* is not between the bed of cove"),
        ('depth = "9 ft"\n', [PLAIN, *ROWS], r"depth = 9 ft .* is more than cove is deep"),
        (
            'column = [{ header = "Oxygen", holds = "dissolved_oxygen", unit = "mg/L" }]\n',
            ["time,Oxygen mg", "2025-07-01,6"],
            r"csv:1: Oxygen is not in the header; Oxygen mg is meant",
        ),
    ],
)
def test_faults_are_told_where_they_stand(pond, keys, lines, words):
    with pytest.raises(ScenarioError, match=words):
        pond(keys, lines)


def test_a_design_adds_its_own_instrument_to_those_of_the_site(tmp_path, pond):
    pond('depth = "1 ft"\n', [PLAIN, *ROWS])
    (tmp_path / "probe.csv").write_text("\n".join([PLAIN, *ROWS]), encoding="utf-8")
    own = '[[readings]]\nname = "probe"\nfile = "probe.csv"\nzone = "deep pool"\nelevation = "2 ft"\n'
    design = tmp_path / "design.toml"
    design.write_text('site = "site.toml"\ntitle = "design"\n' + own, encoding="utf-8")
    scenario = read_scenario(design)
    assert [read_instrument(one, scenario.place).name for one in scenario.readings] == ["logger", "probe"]


def test_readings_are_kept_in_the_unit_of_the_output_they_are_held_against():
    """variables.toml says both; another unit would be scored as a miss."""
    text = files("pondsim.data").joinpath("variables.toml").read_text(encoding="utf-8")
    declared = tomllib.loads(text)
    for name, unit in UNITS.items():
        assert declared[f"read_{name}"]["units"] == unit == QUANTITIES[name][1], name
        assert declared.get(name, {"units": unit})["units"] == unit, name
