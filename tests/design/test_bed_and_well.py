"""Bed under the intake, fall of the gravity line, depth of the well, equipment that never runs."""

from __future__ import annotations

import pytest

from pondsim.cli._hand_check import hand_check
from pondsim.comparison.remarks import sentence
from pondsim.design.air import limits as air_limits
from pondsim.design.circulation import limits, line_sheet
from pondsim.design.cut import cut_of
from pondsim.design.held import all_limits
from pondsim.design.remarks import design_records
from pondsim.design.sheet import design_sheet
from pondsim.errors import ScenarioError
from pondsim.scenario.read import read_scenario
from tests.line_for_tests import PARTS, line_scenario, line_text
from tests.scenarios_for_tests import living_site, write_design

FOOT = 0.3048
SCFM = FOOT**3 / 60.0


def limit(scenario, part, words):
    (found,) = (one for one in all_limits(scenario) if one.part == part and words in one.what)
    return found


def with_intake(tmp_path, elevation, *, bed=None):
    text = f'zone = "deep pool"\nelevation = "{elevation}"\ninside_diameter = "12 in"\n'
    return line_scenario(tmp_path, intake=text + (f'bed = "{bed}"' if bed else ""))


@pytest.mark.parametrize(
    ("elevation", "bed", "over", "verdict"),
    [
        (
            "0.2 ft",
            None,
            -0.3,
            "fail",
        ),  # centre 0.2 ft over the lowest bed of the zone: half the pipe is buried
        ("0.5 ft", None, 0.0, "pass"),
        ("5 ft", None, 4.5, "pass"),
        ("5 ft", "4.8 ft", -0.3, "fail"),
        ("5 ft", "4.5 ft", 0.0, "pass"),
        ("5 ft", "6 ft", -1.5, "fail"),
    ],
)
def test_a_buried_pipe_fails(tmp_path, elevation, bed, over, verdict):
    """Bottom of the opening: its centre less half its 12 in bore."""
    found = limit(with_intake(tmp_path, elevation, bed=bed), "intake", "bottom of the pipe over the bed")
    assert found.value / FOOT == pytest.approx(over, abs=1e-9)
    assert found.verdict == verdict


def test_sheet_picture_and_remark_take_the_bed_under_the_intake(tmp_path):
    taken, said = with_intake(tmp_path, "5 ft"), with_intake(tmp_path, "5 ft", bed="3 ft")
    assert cut_of(taken).bed == 0.0
    assert cut_of(said).bed == pytest.approx(3 * FOOT)
    assert line_sheet(said).stations[0].bottom == pytest.approx(3 * FOOT)
    words = "The bed under the intake is taken as the lowest of deep pool, 0 ft"
    assert any(words in sentence(one) for one in design_records(taken, design_sheet(taken)))
    assert not any(one.code == "bed_assumed" for one in design_records(said, design_sheet(said)))


DUG = """
[[dredging]]
zone = "deep pool"
date = "2025-03-01"
depth = "2 ft"
full_from = "1 ft"
"""


@pytest.mark.parametrize(("date", "bed"), [("2025-03-01", -2.0), ("2025-07-02", 0.0)])
def test_the_bed_under_the_intake_is_that_after_work_before_the_period(tmp_path, date, bed):
    """2 ft of muck dug in March is gone in July; what is dug in July lies there at the start."""
    text = 'zone = "deep pool"\nelevation = "0.2 ft"\ninside_diameter = "12 in"\n'
    site = living_site() + DUG.replace("2025-03-01", date)
    dug = read_scenario(write_design(tmp_path, line_text(intake=text), site))
    assert line_sheet(dug).stations[0].bottom / FOOT == pytest.approx(bed)
    over = limit(dug, "intake", "bottom of the pipe over the bed")
    assert over.value / FOOT == pytest.approx(-0.3 - bed, abs=1e-9)
    after = " after dredging from 2025-03-01" if bed else ""
    assert f"lowest of its zone{after}: write" in over.note
    words = f"taken as the lowest of deep pool{after}, {bed:g} ft"
    assert any(words in sentence(one) for one in design_records(dug, design_sheet(dug)))
    assert design_sheet(dug).zones[0].depth / FOOT == pytest.approx(10.0 - bed)


def test_an_intake_of_unknown_size_is_held_by_its_centre(tmp_path):
    text = 'zone = "deep pool"\nelevation = "5 ft"\nbed = "5.1 ft"'
    bare = dict.fromkeys(("gravity_line", "wet_well", "discharge"))
    scenario = line_scenario(tmp_path, intake=text, pump='flow = "300 gpm"', **bare)
    assert limit(scenario, "intake", "center over the bed").verdict == "fail"


@pytest.mark.parametrize("bed", ["-1 ft", "10 ft"])
def test_a_bed_outside_its_zone_is_refused(tmp_path, bed):
    with pytest.raises(ScenarioError, match=r"intake\.bed = .* is not between the lowest bed"):
        with_intake(tmp_path, "5 ft", bed=bed)


@pytest.mark.parametrize(("outlet", "verdict"), [("4 ft", "pass"), ("4.6 ft", "warn"), ("6.5 ft", "warn")])
def test_a_gravity_line_that_climbs_warns(tmp_path, outlet, verdict):
    """Its invert at the intake is 5 ft less half of 12 in nominal schedule 40, 11.94 in inside: 4.503 ft."""
    scenario = line_scenario(tmp_path, also={"gravity_line": f'outlet = "{outlet}"'})
    found = limit(scenario, "gravity line", "fall from the intake")
    assert found.value / FOOT == pytest.approx(5 - 11.938 / 24 - float(outlet.split()[0]), abs=1e-3)
    assert found.verdict == verdict


@pytest.mark.parametrize(("outlet", "verdict"), [("7 ft", "pass"), ("8.2 ft", "warn"), ("9.2 ft", "fail")])
def test_an_outlet_above_the_water_of_the_well(tmp_path, outlet, verdict):
    """The well stands about 0.2 ft under the low pool of 9 ft; the line is 1 ft high at its end."""
    scenario = line_scenario(tmp_path, also={"gravity_line": f'outlet = "{outlet}"'})
    assert limit(scenario, "gravity line", "over the top of its outlet at low pool").verdict == verdict


@pytest.mark.parametrize(("bottom", "verdict"), [("1 ft", "pass"), ("-8 ft", "warn"), ("-400 ft", "fail")])
def test_a_well_absurdly_deep(tmp_path, bottom, verdict):
    """From the bank top, 13 ft; from 20 ft an engineer designs the shoring: 29 CFR 1926.652, from memory."""
    well = PARTS["wet_well"].replace('"1 ft"', f'"{bottom}"')
    found = limit(line_scenario(tmp_path, wet_well=well), "wet well", "depth of its floor")
    assert found.value / FOOT == pytest.approx(13 - float(bottom.split()[0]))
    assert found.verdict == verdict
    assert "1926.652" in found.source


def test_equipment_that_never_runs_is_told(tmp_path):
    """The period is 1 to 11 July: a winter season, and an outage of it all, leave nothing running."""
    assert not [one for one in limits(line_scenario(tmp_path)) if "time it runs" in one.what]
    idle = line_scenario(tmp_path, also={"pump": 'season = ["11-01 to 03-31"]'})
    found = limit(idle, "pump", "time it runs in the period")
    assert (found.value, found.verdict) == (0.0, "warn")
    path = tmp_path / "design.toml"
    text = path.read_text().replace('season = ["11-01 to 03-31"]', "")
    path.write_text(text + '[[outage]]\nstart = "2025-07-01 00:00"\nsystems = ["pump"]\n')
    assert limit(read_scenario(path), "pump", "time it runs in the period").verdict == "warn"


UNIT = """
[[aeration]]
name = "{name}"
zone = "deep pool"
elevation = "1 ft"
diffusers = 2
air_flow = "3.725 scfm"
power = "500 W"
season = ["{season}"]
hours = ["20:00-08:00"]
"""


@pytest.mark.parametrize(
    ("second", "scfm"),
    [("09-01 to 10-31", 7.45), ("07-01 to 10-31", 14.9)],
)
def test_seasonal_entries_of_one_compressor_are_not_added_up(tmp_path, second, scfm):
    """Two entries of 7.45 scfm: one after the other in the year, or both at one time."""
    text = 'site = "site.toml"\ntitle = "two seasons"\n'
    text += UNIT.format(name="early", season="05-01 to 08-31") + UNIT.format(name="late", season=second)
    scenario = read_scenario(write_design(tmp_path, text))
    sheet = design_sheet(scenario)
    assert sheet.air_at_once / SCFM == pytest.approx(scfm)
    share = scfm / 14.9 * 0.5  # of both, 12 h a day
    assert sheet.transfer == pytest.approx(share * sum(unit.transfer for unit in sheet.units), rel=1e-6)
    rule = next(one for one in air_limits(scenario) if "areal rule" in one.what)
    assert rule.value / SCFM == pytest.approx(scfm)
    said = " ".join(hand_check(sheet, "us"))
    assert ("the most that runs at one time" in said) == (scfm < 10)
