"""Reading: values in SI, a design over a site, files found, the text kept."""

from __future__ import annotations

import dataclasses
from datetime import datetime

import pytest

from pondsim.errors import ScenarioError
from pondsim.scenario.read import locate, problem_at, read, read_scenario, scenario_text
from pondsim.units import to_si
from tests.scenarios_for_tests import living_site, minimal_design, minimal_site, write_design, write_site


def test_a_site_alone_is_a_scenario(tmp_path):
    scenario = read_scenario(write_site(tmp_path))
    assert scenario.title == "Two-zone test pond (invented)"
    assert [zone.name for zone in scenario.zone] == ["deep pool", "cove"]
    assert scenario.zone[0].stage == pytest.approx((0.0, 1.524, 3.048, 3.9624))
    assert scenario.pond.normal_pool == pytest.approx(3.048)
    assert scenario.period.start == datetime(2025, 7, 1)
    assert scenario.weather.synthetic.air_temperature[6] == pytest.approx(298.15)
    assert scenario.weather.synthetic.daily_range[0] == pytest.approx(8.0)
    assert scenario.place.utc_offset == -14400.0
    assert scenario.pump is None and scenario.aeration == ()


def test_absent_keys_take_their_defaults(tmp_path):
    scenario = read_scenario(write_site(tmp_path))
    assert scenario.pond.layers == 16
    assert scenario.bed.oxygen_demand == pytest.approx(2e-3 / 86400)
    assert scenario.inflow[0].suspended_solids == pytest.approx(67e-3)
    assert scenario.solids.share == pytest.approx((0.2,) * 5)


def test_a_design_lies_over_its_site(tmp_path):
    scenario = read_scenario(write_design(tmp_path))
    assert scenario.title == "Waterfall and night air (invented)"
    assert scenario.pump.flow == pytest.approx(300 * 6.30901964e-5, rel=1e-8)
    assert scenario.aeration[0].hours == ((72000.0, 115200.0),)
    assert scenario.aeration[0].air_flow == pytest.approx(1.5 * 4.719474432e-4, rel=1e-9)
    assert len(scenario.inflow) == 1


def test_the_scenario_is_frozen(tmp_path):
    scenario = read_scenario(write_site(tmp_path))
    with pytest.raises(dataclasses.FrozenInstanceError):
        scenario.pond.layers = 3


def test_named_entries_merge_and_other_lists_are_replaced(tmp_path):
    design = """
site = "site.toml"
[pond]
layers = 10
[[zone]]
name = "cove"
floating_cover = "20 %"
[[inflow]]
zone = "cove"
start = "2025-07-05"
duration = "2 h"
volume = "10 m3"
[[inflow]]
zone = "cove"
start = "2025-07-06"
duration = "2 h"
volume = "20 m3"
"""
    scenario = read_scenario(write_design(tmp_path, design))
    assert scenario.pond.layers == 10 and scenario.pond.bank_top == pytest.approx(3.9624)
    assert scenario.zone[1].floating_cover == pytest.approx(0.2)
    assert scenario.zone[1].stage[0] == pytest.approx(1.524)
    assert scenario.zone[0].floating_cover == 0.0
    assert [storm.volume for storm in scenario.inflow] == [10.0, 20.0]


def test_a_new_name_adds_an_entry(tmp_path):
    unit = '[[aeration]]\nname = "cove air"\nzone = "cove"\nelevation = "6 ft"\ndiffusers = 1\n'
    scenario = read_scenario(write_design(tmp_path, minimal_design() + unit + 'air_flow = "1 scfm"\n'))
    assert [unit.name for unit in scenario.aeration] == ["pool air", "cove air"]


def test_one_weather_source_of_the_design_replaces_the_other(tmp_path):
    (tmp_path / "hours.csv").write_text("time\n", encoding="utf-8")
    design = 'site = "site.toml"\n[weather]\nfile = "hours.csv"\n'
    weather = read_scenario(write_design(tmp_path, design)).weather
    assert weather.file == tmp_path / "hours.csv" and weather.synthetic is None


def test_a_file_is_looked_for_beside_the_file_that_names_it(tmp_path):
    (tmp_path / "given").mkdir()
    (tmp_path / "given" / "hours.csv").write_text("time\n", encoding="utf-8")
    head, tail = minimal_site().split("[weather.synthetic]")
    write_site(
        tmp_path / "given", head + '[weather]\nfile = "hours.csv"\n\n[[inflow]]' + tail.split("[[inflow]]")[1]
    )
    design = tmp_path / "design.toml"
    design.write_text('site = "given/site.toml"\ntitle = "over it"\n', encoding="utf-8")
    assert read_scenario(design).weather.file == tmp_path / "given" / "hours.csv"


def test_days_may_be_written_without_quotes(tmp_path):
    site = (
        minimal_site()
        .replace('start = "2025-07-01"', "start = 2025-07-01")
        .replace('"2025-07-04 15:00"', "2025-07-04T15:00:00")
    )
    scenario = read_scenario(write_site(tmp_path, site))
    assert scenario.period.start == datetime(2025, 7, 1)
    assert scenario.inflow[0].start == datetime(2025, 7, 4, 15)


def test_chlorophyll_is_one_value_or_twelve(tmp_path):
    one = read_scenario(
        write_site(tmp_path, living_site() + '[algae]\nmode = "given"\nchlorophyll = "20 ug/L"\n')
    )
    assert one.algae.chlorophyll == pytest.approx((20e-6,) * 12)
    twelve = ", ".join(f'"{month} ug/L"' for month in range(1, 13))
    many = read_scenario(
        write_site(tmp_path, living_site() + f'[algae]\nmode = "given"\nchlorophyll = [{twelve}]\n')
    )
    assert many.algae.chlorophyll[11] == pytest.approx(12e-6)


def test_shares_may_be_numbers_or_percent(tmp_path):
    extra = '[mixing]\nwind_reduction = 0.5\n[light]\nalbedo = "8 %"\n'
    scenario = read_scenario(write_site(tmp_path, minimal_site() + extra))
    assert (scenario.mixing.wind_reduction, scenario.light.albedo) == (0.5, pytest.approx(0.08))


def test_the_text_of_both_files_is_kept(tmp_path):
    path = write_design(tmp_path)
    text = read(path).text
    assert minimal_site() in text and minimal_design() in text
    assert scenario_text(path) == text
    assert "# ---- site.toml" in text and str(tmp_path) not in text


def test_places_of_keys_are_known(tmp_path):
    path = write_design(tmp_path)
    where = read(path).where
    assert locate(where, "waterfall.drop") == (path, 13)
    assert locate(where, "zone.cove.area") == (tmp_path / "site.toml", 28)
    assert locate(where, "inflow.1.volume") == (tmp_path / "site.toml", 46)
    assert locate(where, "waterfall.steps") == (path, 11), "the section, where the key would stand"
    assert locate(where, "bed.theta") is None
    assert str(problem_at(where, path, "bed", "is odd.")) == f"{path}: bed is odd."


def test_windows_line_ends_and_byte_order_mark(tmp_path):
    path = tmp_path / "site.toml"
    path.write_bytes(b"\xef\xbb\xbf" + minimal_site().replace("\n", "\r\n").encode())
    assert read(path).where["outlet.weir.crest"] == (path, 51)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda path: None, "design.toml: file not found."),
        (lambda path: path.mkdir(), "design.toml: the file cannot be read"),
        (lambda path: path.write_bytes(b"\x89HDF\xff\xfe"), "design.toml: the file is not UTF-8 text"),
        (lambda path: path.write_text('a = "x\n'), "design.toml:1: a is missing a quote"),
        (
            lambda path: path.write_text('site = "none.toml"\n'),
            'design.toml:1: site = "none.toml": file not found: ',
        ),
        (lambda path: path.write_text("site = 3\n"), "design.toml:1: site is not a file name"),
        (
            lambda path: path.write_text('\nsite = "design.toml"\n'),
            "design.toml:2: site stands in a site file",
        ),
    ],
)
def test_files_that_cannot_be_read(tmp_path, make, words):
    path = tmp_path / "design.toml"
    make(path)
    with pytest.raises(ScenarioError) as caught:
        read_scenario(path)
    assert words in str(caught.value)


def test_a_results_file_is_no_scenario(tmp_path):
    """Every command that reads a design says so, also those that do not look at the ending themselves."""
    path = tmp_path / "run.nc"
    path.write_bytes(b"\x89HDF\xff\xfe")
    with pytest.raises(ScenarioError, match=r"run\.nc: is a results file; give the design file it came from"):
        read_scenario(path)


def test_an_empty_file_says_what_is_needed(tmp_path):
    with pytest.raises(ScenarioError) as caught:
        read_scenario(write_site(tmp_path, ""))
    text = str(caught.value)
    for words in (
        "title is missing",
        "[place] with latitude, longitude, utc_offset",
        "[[zone]] with name, centre",
    ):
        assert words in text


def test_si_and_us_units_give_the_same_pond(tmp_path):
    us = read_scenario(write_site(tmp_path))
    si = read_scenario(write_site(tmp_path, minimal_site().replace('"10 ft"', '"3.048 m"')))
    assert us.pond.normal_pool == pytest.approx(si.pond.normal_pool, rel=1e-15)
    assert us.outlet.weir[0].crest == pytest.approx(to_si("3.048 m", "m"))


def test_one_weir_or_a_stack(tmp_path):
    """A single weir may be a plain section, to which a design gives one key; a list replaces it."""
    extra = '\n[outlet.weir]\nwidth = "9 ft"\n'
    one = read_scenario(write_design(tmp_path, minimal_design() + extra))
    assert [(w.crest, w.width) for w in one.outlet.weir] == [pytest.approx((3.048, 9 * 0.3048))]
    two = "".join(f'\n[[outlet.weir]]\ncrest = "{crest} ft"\nwidth = "2 ft"\n' for crest in (10, 11))
    two += '\n[[outlet.orifice]]\nelevation = "9.5 ft"\ndiameter = "3 in"\n'
    two += '\n[[outlet.spillway]]\ncrest = "12 ft"\nwidth = "20 ft"\n'
    stack = read_scenario(write_design(tmp_path, minimal_design() + two)).outlet
    assert [len(part) for part in (stack.weir, stack.orifice, stack.spillway)] == [2, 1, 1]
    assert stack.weir[1].crest == pytest.approx(11 * 0.3048)


def test_drainage_and_rain_of_a_file(tmp_path):
    """A design may change one key of a drainage area, and name another source of rain."""
    site = minimal_site() + (
        '\n[rain.design_storm]\nstart = "2025-07-03"\ndepth = "2 in"\n'
        '\n[[drainage]]\nname = "lot"\nzone = "cove"\narea = "3 acre"\nimpervious_share = "40 %"\n'
        'soil_group = "B"\ntime_of_concentration = "15 min"\n'
        '[[drainage.cover]]\ncover = "fair lawn"\nshare = "100 %"\n'
    )
    design = minimal_design() + (
        '\n[[drainage]]\nname = "lot"\ncurve_number = 80\n'
        f"\n[rain.synthetic]\ntotal = {['3 in'] * 12}\nstorms = {[8] * 12}\n"
    ).replace("'", '"')
    scenario = read_scenario(write_design(tmp_path, design, site))
    (area,) = scenario.drainage
    assert (area.curve_number, area.soil_group, area.cover) == (80.0, None, ())
    assert area.area == pytest.approx(3 * 43560 * 0.3048**2)
    assert scenario.rain.design_storm is None
    assert scenario.rain.synthetic.total[0] == pytest.approx(0.0762)
