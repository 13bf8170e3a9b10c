"""The design sheet and the hand check, against the trade's worked example."""

from dataclasses import replace

import pytest

from pondsim.cli._hand_check import hand_check
from pondsim.comparison.remarks import sentence
from pondsim.design.remarks import design_records
from pondsim.design.sheet import design_sheet
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings_control import Outage
from pondsim.units import convert
from tests.scenarios_for_tests import minimal_site

ONE_ZONE = """
title = "one zone"
[period]
start = "2025-06-01"
end = "2025-07-01"
[place]
latitude = "40 deg"
longitude = "-60 deg"
utc_offset = "-4 h"
[pond]
normal_pool = "106 ft"
bank_top = "108 ft"
low_pool = "105 ft"
[[zone]]
name = "pond"
centre = ["0 ft", "0 ft"]
stage = ["100 ft", "108 ft"]
area = ["1.5 acre", "1.5 acre"]
[bed]
oxygen_demand = "1.5 g/m2/d"
[intake]
zone = "pond"
elevation = "104 ft"
[pump]
flow = "300 gpm"
total_head = "20 ft"
wire_to_water = 0.5
hours = ["20:00-08:00"]
[waterfall]
zone = "pond"
drop = "4 ft"
width = "3 ft"
[[aeration]]
name = "air"
zone = "pond"
elevation = "102 ft"
diffusers = 2
air_flow = "1 scfm"
transfer_efficiency = "5 %/m"
power = "500 W"
[weather.synthetic]
"""


@pytest.fixture(scope="module")
def scenario(tmp_path_factory):
    path = tmp_path_factory.mktemp("design") / "one.toml"
    site = minimal_site()
    start = site.index("[weather.synthetic]")
    lines = [line for line in site[start:].splitlines()[1:] if line.strip()]
    end = next((i for i, line in enumerate(lines) if line.startswith("[")), len(lines))
    path.write_text(ONE_ZONE + "\n".join(lines[:end]) + "\n")
    return read_scenario(path)


def test_the_trades_hand_check(scenario):
    """300 gpm, efficiency 0.45, 4 mg/L: 6.5 lb/d; 1.5 acre, 6 ft, 1.5 g/m2/d: 33 lb/d at 28 degC.

    Turnover 6.8 d, and 680 gpm to renew it in three days.

    Worked by hand from the definitions: common practice, no source.
    """
    sheet = design_sheet(replace(scenario, pump=replace(scenario.pump, hours=())))
    assert convert(sheet.bed_takes, "kg/s", "lb/d") == pytest.approx(33.0, abs=0.5)
    assert convert(sheet.loop.oxygen * 0.45 / sheet.loop.efficiency, "kg/s", "lb/d") == pytest.approx(
        6.5, abs=0.05
    )
    assert sheet.loop.turnover / 86400 == pytest.approx(6.8, abs=0.05)
    assert convert(sheet.loop.renewal_flow, "m3/s", "gpm") == pytest.approx(680, abs=5)
    assert convert(sheet.area, "m2", "acre") == pytest.approx(1.5)
    assert convert(sheet.volume, "m3", "acre-ft") == pytest.approx(9.0)
    assert min(sheet.loop.efficiencies) <= sheet.loop.efficiency <= max(sheet.loop.efficiencies)


def test_half_a_day_halves_flow_and_oxygen_and_doubles_the_turnover(scenario):
    """20:00 to 08:00 is half a day: 3.25 lb/d, 13.6 d, 150 gpm; by hand."""
    sheet = design_sheet(scenario)
    loop = sheet.loop
    assert convert(loop.mean_flow, "m3/s", "gpm") == pytest.approx(150)
    assert convert(loop.oxygen * 0.45 / loop.efficiency, "kg/s", "lb/d") == pytest.approx(3.25, abs=0.03)
    assert loop.turnover / 86400 == pytest.approx(13.6, abs=0.1)
    said = " ".join(hand_check(sheet, "us"))
    assert "the pump delivers 300 gpm for 12 h a day, daily mean 150 gpm" in said
    assert "at most" not in said
    assert " ".join(hand_check(design_sheet(with_outage(scenario)), "us")).count("at most") >= 4


def with_outage(scenario):
    """All equipment stands still for some hours."""
    return replace(scenario, outage=(Outage(start=scenario.period.start, duration=7200.0),))


def test_one_number_of_oxygen_and_the_range_of_the_methods_beside_it(scenario):
    """Gameson, Avery and Novak, Nakasone: the oxygen is in proportion to each one's efficiency."""
    sheet = design_sheet(scenario)
    low, high = sheet.loop.oxygen_range
    spread = max(sheet.loop.efficiencies) / min(sheet.loop.efficiencies)
    assert high / low == pytest.approx(spread)
    assert low <= sheet.loop.oxygen <= high
    assert scenario.waterfall.method == "avery_novak"
    said = " ".join(hand_check(sheet, "us"))
    assert "The three published methods give" in said
    assert "promise" not in said


def test_power_and_hours(scenario):
    """Power is rho g Q H / efficiency; horsepower = gpm ft / 3960 / efficiency says the same."""
    sheet = design_sheet(scenario)
    assert convert(sheet.loop.power, "W", "hp") == pytest.approx(300 * 20 / 3960 / 0.5, rel=0.003)
    # 8 h of the first morning, 29 whole nights, and 4 h of the last evening.
    assert sheet.loop.hours == pytest.approx(8 + 29 * 12 + 4)
    assert sheet.units[0].hours == pytest.approx(720)
    assert sheet.energy == pytest.approx(3600 * (sheet.loop.power * sheet.loop.hours + 500 * 720))


def test_aeration_transfer(scenario):
    """1 scfm carries 0.47253 kg/h of oxygen (0.075 lb/ft3, mass share 0.2315); 5 %/m over 4 ft."""
    unit = design_sheet(scenario).units[0]
    assert unit.depth == pytest.approx(4 * 0.3048)
    assert unit.transfer * 3600 == pytest.approx(2 * 0.47253 * 0.05 * 4 * 0.3048, rel=0.002)


def test_remarks_name_what_leaves_good_practice(scenario):
    found = " ".join(map(sentence, design_records(scenario, design_sheet(scenario))))
    for words in (
        "short-circuits",
        "22 % of the flow",
        "weather is invented",
        "No measured profile",
        "No outlet",
        "diffusers lie 4 ft deep",
    ):
        assert words in found
    assert "over it at low pool" not in found  # a limit says it, with its verdict


def test_a_pond_with_no_equipment_needs_none(scenario):
    bare = replace(scenario, pump=None, intake=None, waterfall=None, aeration=())
    sheet = design_sheet(bare)
    assert sheet.loop is None
    assert sheet.energy == 0.0
    assert len(hand_check(sheet, "us")) == 2
    assert not any(record.where == "pump" for record in design_records(bare, sheet))
