# ruff: noqa: E501 (one row is one fault and its whole message)
"""Every bad input: its exact file, line and words. A change is made in the small scenario and must be found."""

from __future__ import annotations

import pytest

from pondsim.errors import ScenarioError
from pondsim.scenario.read import read_scenario
from tests.scenarios_for_tests import faults_of, minimal_design, minimal_site, write_design

CONNECTION = '[[connection]]\nbetween = ["deep pool", "cove"]\nwidth = "40 ft"\nsill = "6 ft"\n'


def problems(tmp_path, *changes, extra=""):
    """Messages after changing texts of the two files, with the folder taken away."""
    site, design = minimal_site(), minimal_design()
    for old, new in changes:
        assert old in site + design
        site, design = site.replace(old, new), design.replace(old, new)
    return faults_of(write_design(tmp_path, design + extra, site))


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('drop = "4 ft"', 'drop = "4"', 'design.toml:13: waterfall.drop = "4" has no unit; write a length, such as "4 ft" or "1.2 m".'),
        ('drop = "4 ft"', "drop = 4", 'design.toml:13: waterfall.drop = 4 has no unit; write a length, such as "4 ft" or "1.2 m".'),
        ('drop = "4 ft"', 'drop = "4 gpm"', 'design.toml:13: waterfall.drop = "4 gpm" is a flow; write a length, such as "4 ft" or "1.2 m".'),
        ('drop = "4 ft"', 'drop = "4 Ft"', 'design.toml:13: waterfall.drop = "4 Ft" has an unknown unit "Ft"; did you mean "ft"?'),
        ('drop = "4 ft"', 'drop = "-4 ft"', 'design.toml:13: waterfall.drop = "-4 ft" is too low; write a length from 0 ft to 19.68 ft.'),
        ('drop = "4 ft"', 'drop = "40 ft"', 'design.toml:13: waterfall.drop = "40 ft" is too high; write a length from 0 ft to 19.68 ft.'),
        ('drop = "4 ft"', "drop = true", 'design.toml:13: waterfall.drop = true is not a length; write such as "4 ft" or "1.2 m".'),
        ('drop = "4 ft"', 'drop = "0 ft"', 'design.toml:13: waterfall.drop is nothing while the pump runs; write such as "4 ft", or take the loop out.'),
        ('drop = "4 ft"\n', "", "design.toml:11: waterfall.drop is missing: water level to water level, all steps together."),
        ('width = "5 ft"', 'width = "5 ft"\nwidht = "5 ft"', 'design.toml:15: waterfall.widht is an unknown key; did you mean "width"?'),
        ('flow = "300 gpm"', 'flow = "300 gpm"\ndrop = "1 ft"', "design.toml:10: pump.drop is an unknown key; did you mean it for [waterfall]?"),
        ("[pond]", "[ponds]", 'site.toml:13: ponds is an unknown section; did you mean "pond"?'),
        ("diffusers = 2", 'diffusers = "2"', 'design.toml:20: aeration.pool air.diffusers = "2" is not a whole number; write such as 1, no quotes.'),
        ("diffusers = 2", "diffusers = 0", "design.toml:20: aeration.pool air.diffusers = 0 is too low; write a whole number from 1 to 1000."),
        ('["20:00-08:00"]', '["20:00-08:00", "07:00-09:00"]', 'design.toml:22: aeration.pool air.hours has overlapping hours: "20:00-08:00" and "07:00-09:00"; write them as one span.'),
        ('["20:00-08:00"]', "[]", 'design.toml:22: aeration.pool air.hours = [] is not a list of spans; on each day, such as ["20:00-08:00"]; all day when left out.'),
        ('"pool air"', '"7"', 'design.toml:17: aeration.7.name = "7" is not a name; write up to 40 letters, digits, spaces, "_" or "-" in quotes, a letter first.'),
        ('"pool air"', '"pool air "', 'design.toml:17: aeration.pool air .name = "pool air " is not a name; write up to 40 letters, digits, spaces, "_" or "-" in quotes, a letter first, no space last.'),
        ("[pump]", "[[pump]]", "design.toml:8: pump is a list; write it once, as [pump]."),
        ("[[aeration]]", "[aeration]", "design.toml:16: aeration is a list of sections; write [[aeration]] above each."),
        ('[pump]\nflow = "300 gpm"\n', "", "design.toml:4: intake stands without [pump]; the circulation loop needs all three."),
        ('zone = "cove"\ndrop', 'zone = "coves"\ndrop', 'design.toml:12: waterfall.zone = "coves" names no zone; did you mean "cove"? Zones: deep pool, cove.'),
        ('[intake]\nzone = "deep pool"', '[intake]\nzone = "bay"', 'design.toml:5: intake.zone = "bay" names no zone. Zones: deep pool, cove.'),
        ('elevation = "3 ft"', 'elevation = "-1 ft"', 'design.toml:6: intake.elevation = -1 ft (-0.3048 m) is not above the bed of "deep pool", 0 ft (0 m).'),
        ('elevation = "3 ft"', 'elevation = "11 ft"', "design.toml:6: intake.elevation = 11 ft (3.3528 m) is not below pond.normal_pool = 10 ft (3.048 m)."),
        ('elevation = "3 ft"', 'elevation = "9.5 ft"', "design.toml:6: intake.elevation = 9.5 ft (2.8956 m) is dry at pond.low_pool = 9 ft (2.7432 m); lay it deeper."),
        ('elevation = "1 ft"', 'elevation = "-2 ft"', 'design.toml:19: aeration.pool air.elevation = -2 ft (-0.6096 m) is not above the bed of "deep pool", 0 ft (0 m).'),
        ('"5 ft", "10 ft", "13 ft"]\narea = ["5000 ft2"', '"11 ft", "10 ft", "13 ft"]\narea = ["5000 ft2"', "site.toml:21: zone.deep pool.stage does not rise at value 3; write elevations from the bottom up."),
        ('"8000 ft2"', '"200 ft2"', "site.toml:28: zone.cove.area shrinks upward; a zone is at least as wide above as below. Are the rows in order?"),
        ('"8000 ft2"', '"-8000 ft2"', 'site.toml:28: zone.cove.area item 2: "-8000 ft2" is too low; write an area from 0 m2 to 1e7 m2.'),
        (', "8000 ft2"', "", "site.toml:28: zone.cove.area has 2 values for 3 stages; write one for each."),
        ('["5 ft", "10 ft", "13 ft"]', '["5 ft", "10 ft", "12 ft"]', "site.toml:27: zone.cove.stage ends at 12 ft (3.6576 m), below pond.bank_top = 13 ft (3.9624 m); carry the table up to the bank top."),
        ('bank_top = "13 ft"', 'bank_top = "10 ft"', "site.toml:14: pond.normal_pool = 10 ft (3.048 m) is not below bank_top = 10 ft (3.048 m)."),
        ('low_pool = "9 ft"', 'low_pool = "10.5 ft"', "site.toml:16: pond.low_pool = 10.5 ft (3.2004 m) is not below normal_pool = 10 ft (3.048 m)."),
        ('["deep pool", "cove"]', '["cove", "cove"]', 'site.toml:31: connection.1.between joins "cove" to itself; name two zones.'),
        ('sill = "6 ft"', 'sill = "14 ft"', "site.toml:33: connection.1.sill = 14 ft (4.2672 m) is not below pond.bank_top = 13 ft (3.9624 m): no water would ever pass."),
        ('"2025-07-04 15:00"', '"2025-07-04 15:00Z"', 'site.toml:44: inflow.1.start = "2025-07-04 15:00:00+00:00" names a time zone; write local standard time, such as "2025-06-03 14:00".'),
        ('"2025-07-04 15:00"', '"2025-02-30"', 'site.toml:44: inflow.1.start = "2025-02-30" does not exist: February 2025 has 28 days.'),
        ('"2025-07-04 15:00"', '2025-02-30', 'site.toml:44: inflow.start = 2025-02-30 does not exist: February 2025 has 28 days.'),
        ('"2025-07-04 15:00"', '"2025-13-04"', 'site.toml:44: inflow.1.start = "2025-13-04" does not exist: there is no month 13.'),
        ('"2025-07-04 15:00"', '"2025-07-04 24:00"', 'site.toml:44: inflow.1.start = "2025-07-04 24:00" does not exist: a day goes from 00:00 to 23:59.'),
        ('"2025-07-04 15:00"', '"4 July"', 'site.toml:44: inflow.1.start = "4 July" is not a day and time; write such as "2025-06-03 14:00".'),
        ('volume = "0.5 acre-ft"\n', "", "site.toml:42: inflow.1 lacks volume; write volume and duration, or hydrograph_time and hydrograph_flow."),
        ("volume =", 'hydrograph_time = ["0 h", "1 h"]\nvolume =', "site.toml:46: inflow.1.hydrograph_time stands beside volume or duration; keep the hydrograph or those two."),
        ('longitude = "-60 deg"', 'longitude = "60 deg"', "site.toml:11: place.utc_offset = -4 h does not fit place.longitude, where the sun says 4.0 h; west is negative in both."),
        ('crest = "10 ft"', 'crest = "13.5 ft"', "site.toml:51: outlet.weir.crest = 13.5 ft (4.1148 m) is not below pond.bank_top = 13 ft (3.9624 m)."),
        ('crest = "10 ft"', 'crest = "4 ft"', 'site.toml:51: outlet.weir.crest = 4 ft (1.2192 m) is below the bed of "cove", 5 ft (1.524 m).'),
        ('[outlet.weir]\ncrest = "10 ft"\nwidth = "6 ft"\n', "", "site.toml:48: outlet has neither [outlet.weir] nor [outlet.orifice]; write one of them."),
        ('"60 %", "60 %"]\n', '"60 %"]\n', "site.toml:40: weather.synthetic.cloud_cover has 11 values; write a list of twelve, January first."),
        ('["150 ft", "0 ft"]', '"150 ft"', 'site.toml:26: zone.cove.centre = "150 ft" is not a place; write [east, north], such as ["120 ft", "-40 ft"].'),
    ],
)  # fmt: skip
def test_one_fault_one_line(tmp_path, old, new, message):
    assert message in problems(tmp_path, (old, new))


@pytest.mark.parametrize(
    ("extra", "message"),
    [
        ('[bed]\noxygen_demand = "30 g/m2/d"\n', 'design.toml:24: bed.oxygen_demand = "30 g/m2/d" is too high; write a rate per area from 0 g/m2/d to 20 g/m2/d.'),
        ("[bed]\noxygen_demand_theta = 2\n", "design.toml:24: bed.oxygen_demand_theta = 2 is too high; write a plain number or a share from 1 to 1.2."),
        ('[[column]]\nheader = "Temp"\n', "design.toml:23: column is an unknown section; it lies within another: write [[weather.column]] or [[rain.column]] or [[readings.column]]."),
        ('[solids]\nshare = ["30 %", "20 %", "20 %", "20 %", "20 %"]\n', "design.toml:24: solids.share adds up to 110 %; it must be 100 %."),
        ('[solids]\nshare = ["50 %", "50 %"]\n', "design.toml:24: solids.share has 2 values for 5 settling velocities."),
        ('[judging]\ncriterion = "warm"\n', 'design.toml:24: judging.criterion = "warm" is none of "warm_other", "warm_early", "cold_other", "cold_early", "cold_early_exposed"'),
        ('[[bloom_crash]]\nstart = "2025-07-02"\n[[bloom_crash]]\nstart = "2025-07-05"\nzones = ["cove"]\n', "design.toml:26: bloom_crash.2.start overlaps bloom_crash 1 in cove, recovery included."),
        ('[[start.profile]]\nzone = "cove"\ndepth = ["0 ft", "-2 ft"]\ntemperature = ["70 degF", "68 degF"]\ndissolved_oxygen = ["8 mg/L", "5 mg/L"]\n', 'design.toml:25: start.profile.1.depth item 2: "-2 ft" is too low; write a length from 0 ft to 328 ft.'),
        ('[[start.profile]]\nzone = "cove"\ndepth = ["2 ft", "0 ft"]\ntemperature = ["70 degF"]\ndissolved_oxygen = ["8 mg/L", "5 mg/L"]\n', "design.toml:25: start.profile.1.depth does not go down; write the top first."),
        ('[start]\nwater_surface = "14 ft"\n', "design.toml:24: start.water_surface = 14 ft (4.2672 m) is not between the bed, 0 ft (0 m), and pond.bank_top = 13 ft (3.9624 m)."),
        ('[resuspension]\nwaves = "yes"\n', 'design.toml:24: resuspension.waves = "yes" is not true or false; write true or false, no quotes.'),
        ('[[base_flow]]\nzone = "spring"\nflow = "5 gpm"\n', 'design.toml:24: base_flow.1.zone = "spring" names no zone. Zones: deep pool, cove.'),
        ('[weather]\nfile = "none.csv"\n', 'design.toml:24: weather.file = "none.csv": file not found: none.csv.'),
        ("[frost]\n", "design.toml:23: frost is an unknown section"),
    ],
)  # fmt: skip
def test_one_fault_in_a_section_added(tmp_path, extra, message):
    assert any(line.startswith(message) for line in problems(tmp_path, extra=extra))


def test_free_air_flow_is_refused(tmp_path):
    (line,) = problems(tmp_path, ('"1.5 scfm"', '"1.5 cfm"'))
    assert (
        line.startswith('design.toml:21: aeration.pool air.air_flow = "1.5 cfm" is free air')
        and "scfm" in line
    )


def test_a_zone_nobody_is_connected_to(tmp_path):
    lines = problems(tmp_path, (CONNECTION, ""))
    assert lines[0] == (
        "site.toml:18: zone.deep pool is connected to no other zone; write [[connection]] with "
        'between = ["deep pool", "cove"] or another neighbor.'
    )
    assert lines[1].startswith("site.toml:24: zone.cove is connected to no other zone")


def test_a_pond_in_two_parts(tmp_path):
    parts = "".join(
        f'\n[[zone]]\nname = "{name}"\ncentre = ["0 ft", "0 ft"]\nstage = ["5 ft", "13 ft"]\narea = ["1 m2", "2 m2"]\n'
        for name in ("north", "south")
    )
    join = '\n[[connection]]\nbetween = ["deep pool", "cove"]\nwidth = "9 ft"\nsill = "6 ft"\n'
    join += join.replace("deep pool", "north").replace("cove", "south")
    (line,) = problems(tmp_path, extra=parts + join)
    assert line == (
        'design.toml:24: zone.north is cut off from "deep pool" (north, south); write a [[connection]] between.'
    )


def test_a_dry_zone_holds_no_intake(tmp_path):
    lines = problems(
        tmp_path,
        ('["5 ft", "10 ft", "13 ft"]', '["10.5 ft", "11 ft", "13 ft"]'),
        ('[intake]\nzone = "deep pool"', '[intake]\nzone = "cove"'),
    )
    assert any(
        line
        == 'design.toml:5: intake.zone = "cove" is dry at normal pool: its bed is at 10.5 ft (3.2004 m), '
        "pond.normal_pool = 10 ft (3.048 m)."
        for line in lines
    )


def test_all_problems_come_at_once_in_order(tmp_path):
    lines = problems(
        tmp_path,
        ('drop = "4 ft"', 'drop = "4"'),
        ("diffusers = 2", "difusers = 2"),
        ('duration = "6 h"', 'duration = "6"'),
        ('utc_offset = "-4 h"', 'utc_offset = "-4"'),
        (CONNECTION, ""),
    )
    places = [line.split(": ")[0] for line in lines]
    assert places == [
        "design.toml:13",
        "design.toml:16",
        "design.toml:20",
        "site.toml:11",
        "site.toml:18",
        "site.toml:24",
        "site.toml:41",
    ]


def test_a_text_that_is_no_toml_gives_its_line(tmp_path):
    (line,) = problems(tmp_path, ('flow = "300 gpm"', "flow = 300 gpm"))
    assert line == 'design.toml:9: pump.flow = 300 gpm has no quotes; write flow = "300 gpm".'


@pytest.mark.parametrize(
    ("old", "new", "waiting"),
    [
        ('low_pool = "9 ft"', 'low_pool = "9"', "[pond] as a whole, and how that fits with [period], [zone], [connection], [outlet], [intake], [pump], [waterfall] and [aeration]"),
        ('drop = "4 ft"', 'drop = "4"', "[waterfall] as a whole, and how that fits with [pond], [zone], [intake] and [pump]"),
        ('volume = "0.5 acre-ft"', 'volume = "0.5"', "[inflow] as a whole, and how that fits with [zone]"),
    ],
)  # fmt: skip
def test_what_a_fault_keeps_from_being_checked_is_named(tmp_path, old, new, waiting):
    site, design = minimal_site().replace(old, new), minimal_design().replace(old, new)
    with pytest.raises(ScenarioError) as caught:
        read_scenario(write_design(tmp_path, design, site))
    last = str(caught.value.problems[-1]).replace(f"{tmp_path}/", "")
    assert last == f"design.toml: not checked yet: {waiting}. Fix the errors above and read the files again."


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"2025-07-11"', '"9999-12-31"', "site.toml:5: period.end = \"9999-12-31 00:00\" is outside the years 1900 to 2100."),
        ('"2025-07-04 15:00"', "0001-01-01", "site.toml:44: inflow.1.start = \"0001-01-01 00:00\" is outside the years 1900 to 2100."),
        ("night air (invented)", "night air \\u0000", "design.toml:2: title = 'Waterfall and night air \\x00' has a control character in it; take it out."),
        ("[pump]", '[weather]\nfile = "' + "x" * 5000 + '"\n[pump]', f'design.toml:9: weather.file = "{"x" * 200}...": file not found: '),
        ('site = "site.toml"', 'site = "' + "../" * 2000 + 'a"', f'design.toml:1: site = "{("../" * 67)[:200]}...": file not found: '),
        ('site = "site.toml"', 'site = "a\\u0000b"', 'design.toml:1: site = '),
    ],
)  # fmt: skip
def test_what_no_system_takes_is_told_and_no_traceback(tmp_path, old, new, told):
    assert any(line.startswith(told) for line in problems(tmp_path, (old, new)))


def test_what_neither_file_has_is_missing_in_both(tmp_path):
    (tmp_path / "site.toml").write_text("", encoding="utf-8")
    path = tmp_path / "design.toml"
    path.write_text('site = "site.toml"\ntitle = "bare"\n', encoding="utf-8")
    assert faults_of(path)[0] == (
        "design.toml: period is missing here and in the site file, site.toml; write [period] with start, end."
    )
    path.write_text('title = "alone"\n[period]\nstart = "2025-07-01"\nend = "2025-07-02"\n', encoding="utf-8")
    assert faults_of(path)[0].startswith("design.toml: place is missing; write [place]")


def test_a_directory_is_no_file(tmp_path):
    (tmp_path / "ponds").mkdir()
    path = tmp_path / "design.toml"
    path.write_text('site = "ponds"\n', encoding="utf-8")
    assert faults_of(path) == ['design.toml:1: site = "ponds": is a directory, not a file: ponds.']
