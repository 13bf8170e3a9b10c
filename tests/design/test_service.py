"""The service calendar: seasons of timers, numbers of the design, one page."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from pondsim.cli._cautions import service_cautions
from pondsim.design.service import runs_in_winter, service_calendar
from pondsim.scenario.read import read_scenario
from pondsim.words import CAUTION
from tests.cli.common import DEMO, call
from tests.cli.sheet import AIR
from tests.line_for_tests import line_scenario
from tests.scenarios_for_tests import write_design


def test_seasons_rule_the_months(tmp_path):
    """A pump from May to September: raked in those months, checked in April, drained in October."""
    scenario = line_scenario(tmp_path, {"pump": 'season = ["05-01 to 09-30"]'})
    tasks = {task.name: task.months for task in service_calendar(scenario)}
    assert [k + 1 for k, m in enumerate(tasks["grate raked, pump off"]) if m] == [5, 6, 7, 8, 9]
    assert [k + 1 for k, m in enumerate(tasks["isolation valve shut and opened once"]) if m] == [4, 10]
    assert [k + 1 for k, m in enumerate(tasks["drained and cleaned, valve shut"]) if m] == [10]
    assert "drained before frost, filled again" in tasks
    assert "signs and fence at thin ice" not in tasks
    all_year = {task.name for task in service_calendar(line_scenario(tmp_path))}
    assert "signs and fence at thin ice" in all_year


def test_thin_ice_is_named_where_anything_runs_in_winter(tmp_path):
    """Weekly from December to February in the north, June to August in the south, never near the equator."""
    north = line_scenario(tmp_path)
    place = north.place
    wanted = {40.0: [1, 2, 12], -40.0: [6, 7, 8], 20.0: []}
    for degrees, months in wanted.items():
        scenario = replace(north, place=replace(place, latitude=math.radians(degrees)))
        tasks = {task.name: task.months for task in service_calendar(scenario)}
        marked = tasks.get("signs and fence at thin ice", ())
        assert [k + 1 for k, mark in enumerate(marked) if mark] == months
        assert runs_in_winter(scenario) == bool(months)


def test_the_page_of_the_demo(tmp_path):
    """Bed 635 ft, opening 0.995 ft over it; 5 ft well: 5.6 ft below pump-off hold 823 gal."""
    page = tmp_path / "calendar.txt"
    result = call("calendar", DEMO / "waterfall_night_air.toml", "-o", page)
    assert result.exit_code == 0, result.output
    text = call("calendar", DEMO / "waterfall.toml").output
    lines = text.splitlines()
    assert len(lines) < 66 and max(map(len, lines)) <= 98  # one printed page
    assert "bed 635.00 ft as sounded; the bottom of the opening is at 635.99 ft" in text
    assert "then 823 gal by a portable one" in " ".join(text.split())
    both = page.read_text(encoding="utf-8")
    assert ("membranes" in both and "rebuild kit" in both) or "oil and belt" in both
    assert "kills" in text


def test_a_first_start_is_in_the_afternoon_and_read_at_dawn(tmp_path):
    """Oxygen is lowest at dawn: what stirs up bottom water then kills; so docs/manager.md."""
    scenario = read_scenario(write_design(tmp_path, 'site = "site.toml"\ntitle = "air"\n' + AIR))
    (start,) = [task for task in service_calendar(scenario) if "first start" in task.name]
    for said in (start.note, CAUTION["first start"]):
        assert "in cool weather" in said and "early in the afternoon, never at dawn" in said
        assert re.search("(meter|top) at dawn", said)


def test_cautions_of_the_calendar_fit_the_equipment(tmp_path):
    """docs/cautions.md: timers, sensors and floats start equipment by themselves."""
    air = write_design(tmp_path, 'site = "site.toml"\ntitle = "air"\n' + AIR)
    said = service_cautions(read_scenario(air))
    assert CAUTION["first start"] in said
    assert not {CAUTION[key] for key in ("entry", "flotation", "divers", "lockout")} & set(said)
    page = " ".join(call("calendar", air).output.split())
    assert CAUTION["first start"] in page and CAUTION["flotation"] not in page
    said = service_cautions(line_scenario(tmp_path))
    assert {CAUTION[key] for key in ("entry", "flotation", "divers", "lockout")} <= set(said)
    assert CAUTION["first start"] not in said


SENSOR = '[aeration.set_point]\nzone = "deep pool"\ndepth = "3 ft"\non_below = "4 mg/L"\noff_above = "5 mg/L"'


@pytest.mark.parametrize(
    ("key", "starts"),
    [("", False), ('hours = ["20:00-08:00"]', True), ('season = ["05-01 to 09-30"]', True), (SENSOR, True)],
)
def test_what_starts_by_itself_is_locked_out(tmp_path, key, starts):
    """Named by `check` and `calendar` for timers and sensors; for floats, see above."""
    path = write_design(tmp_path, f'site = "site.toml"\ntitle = "air"\n{AIR}{key}\n')
    for command in ("check", "calendar"):
        result = call(command, path)
        assert result.exit_code == 0, result.output
        assert (CAUTION["lockout"] in " ".join(result.output.split())) == starts


@pytest.mark.parametrize("name", ["existing.toml"])
def test_nothing_to_look_after(name):
    result = call("calendar", DEMO / name)
    assert result.exit_code == 2 and "has no equipment" in result.output
