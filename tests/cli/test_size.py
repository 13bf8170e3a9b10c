"""`pondsim size` from outside, on a tank whose answers can be worked out by hand."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from pondsim.design.held import breaches
from pondsim.scenario.read import read_scenario
from pondsim.scenario.vary import read_changed
from pondsim.site.circulation_line import flow_at_normal_pool
from pondsim.sizing.by_word import size_of
from pondsim.sizing.trial import try_out
from tests.cli.common import DEMO, call
from tests.sizing.ponds import DAY, GPM, VOLUME, write_tank

TURNOVER = "nominal_turnover <= 2 d"
BY_HAND = VOLUME / (2 * DAY) / GPM  # gpm, 519.5
ERROR = 2


@pytest.fixture(scope="module")
def tank(tmp_path_factory):
    return write_tank(tmp_path_factory.mktemp("tank"))


def short_lines(output, tank):
    """No line passes 80 letters but those that show a path."""
    lines = [line for line in output.splitlines() if str(tank.parent) not in line and "Written" not in line]
    return max(len(line) for line in lines) <= 80


def test_a_flow_with_its_table_files_and_a_catalogue(tank, tmp_path):
    pumps = tmp_path / "pumps.toml"
    pumps.write_text(
        '[[pump]]\nname = "P 400"\nprice = 1900\nflow = "400 gpm"\n'
        '[[pump]]\nname = "P 600"\nprice = 2400\nflow = "600 gpm"\ntotal_head = "10 ft"\n'
    )
    files = [tmp_path / f"out.{kind}" for kind in ("csv", "json", "png")]
    options = [
        part
        for name, file in zip(("--csv", "--json", "--figure"), files, strict=True)
        for part in (name, file)
    ]
    result = call("size", "flow", tank, "--until", TURNOVER, "--catalogue", pumps, *options)
    assert result.exit_code == 0, result.output
    assert short_lines(result.output, tank)
    assert "is the smallest flow of the pump that meets it" in result.output
    assert "The smallest on the list that meets it is P 600" in result.output
    assert "electricity near water" in result.output
    data = json.loads(files[1].read_text())
    assert data["kind"] == "found"
    assert data["below"] < BY_HAND < data["size"] * 1.001
    assert data["size"] == pytest.approx(BY_HAND, rel=0.03)
    assert data["as_designed"] == pytest.approx(300)
    assert [(one["name"], one["fate"]) for one in data["catalogue"]] == [
        ("P 400", "too small"),
        ("P 600", "meets"),
    ]
    for run in data["runs"]:
        assert run["value"] == pytest.approx(VOLUME / (run["size"] * GPM) / DAY, rel=0.01)
        assert run["meets"] == (run["value"] <= 2.0)
    rows = list(csv.reader(files[0].read_text().splitlines()))
    assert rows[0][:2] == ["flow [gpm]", "reached [d]"]
    assert len(rows) == len(data["runs"]) + 1
    assert files[2].read_bytes().startswith(b"\x89PNG")


def test_si_units_and_the_measures_one_may_name(tank, tmp_path):
    result = call("size", "measures", tank, "--units", "si", "--json", tmp_path / "keys.json")
    assert result.exit_code == 0, result.output
    keys = {one["key"]: one for one in json.loads((tmp_path / "keys.json").read_text())}
    assert keys["nominal_turnover"]["unit"] == "d"
    assert float(keys["nominal_turnover"]["value"]) == pytest.approx(VOLUME / (300 * GPM) / DAY, rel=0.01)
    assert "dawn_lowest_top.tank" in result.output


@pytest.mark.parametrize(
    ("until", "options", "words"),
    [
        ("nominal_turnover <= 1 h", (), "No flow of the pump from 100 gpm to 1500 gpm meets it. The best is"),
        ("nominal_turnover <= 100 d", (), "The lower search bound, 100 gpm, already meets it"),
        ("electricity <= 100 kWh", (), "More is not always better here:"),
        (
            "replaced_share >= 70 %",
            ("--from", "20 L/s", "--to", "40 L/s", "--units", "si"),
            "L/s is the smallest",
        ),
        ("renewed_share >= 50 %", (), "The renewed share is a threshold"),
    ],
)
def test_the_sentences(tank, until, options, words):
    result = call("size", "flow", tank, "--until", until, *options)
    assert result.exit_code == 0, result.output
    assert words in " ".join(result.output.split())
    assert short_lines(result.output, tank)


def test_a_map_of_two_sizes(tank, tmp_path):
    files = [tmp_path / f"map.{kind}" for kind in ("csv", "json", "svg")]
    options = [
        part
        for name, file in zip(("--csv", "--json", "--figure"), files, strict=True)
        for part in (name, file)
    ]
    limits = ("--from", "400 gpm, 2 scfm", "--to", "700 gpm, 8 scfm", "--steps", "2")
    result = call("size", "flow,air", tank, "--until", TURNOVER, *limits, *options)
    assert result.exit_code == 0, result.output
    assert "The least electricity that meets it: flow 700 gpm with air 2 scfm" in " ".join(
        result.output.split()
    )
    data = json.loads(files[1].read_text())
    assert data["least"] == [pytest.approx(700), pytest.approx(2)]
    assert [run["meets"] for run in data["runs"]] == [False, False, True, True]
    assert len(files[0].read_text().splitlines()) == 5
    assert "<svg" in files[2].read_text()


def test_places_in_a_list_and_typed(tank, tmp_path):
    listed = tmp_path / "pairs.toml"
    listed.write_text(
        '[[pair]]\nname = "low"\nintake.elevation = "2 ft"\n'
        '[[pair]]\nname = "high"\nintake.elevation = "6 ft"\n'
    )
    result = call("size", "places", tank, "--list", listed, "--csv", tmp_path / "a.csv")
    assert result.exit_code == 0, result.output
    said = " ".join(result.output.split())
    assert (
        "The choice makes little difference" in said and ", last " not in said
    )  # of two the next is the last
    assert short_lines(result.output, tank)
    assert {row[0] for row in csv.reader((tmp_path / "a.csv").read_text().splitlines())} == {
        "",
        "low",
        "high",
    }
    typed = call("size", "places", tank, "--pairs", "tank@4 ft>tank", "--until", "replaced_share >= 10 %")
    assert typed.exit_code == 0, typed.output
    assert "1 of 1 pairs meet it. Best is tank to tank" in typed.output


@pytest.mark.parametrize(
    ("words", "reported"),
    [
        (("flow",), '--until: is needed; write such as --until "replaced_share >= 80 %"'),
        (("flo", "--until", TURNOVER), 'flo: cannot be sized; did you mean "flow"?'),
        (("flow", "--until", "replaced_shore >= 80 %"), "replaced_shore is an unknown measure; did you mean"),
        (("flow", "--until", "replaced_share >= 8 ft"), 'replaced_share = "8 ft" is a length'),
        (("flow", "--until", TURNOVER, "--from", "3 ft"), '--from: flow = "3 ft" is a length'),
        (("flow", "--until", TURNOVER, "--to", "1e6 gpm"), "--to: pump.flow"),
        (("flow", "--until", TURNOVER, "--precision", "two"), "--precision: "),
        (("flow", "--until", TURNOVER, "--precision", "90 %"), "--precision: "),
        (("flow", "--until", TURNOVER, "--pairs", "a>b"), "--pairs: does not go with flow"),
        (("flow", "--until", TURNOVER, "--figure", "a.txt"), "a picture ends in .png"),
        (("flow", "--until", TURNOVER, "--every"), "--every: does not go with flow"),
        (("flow,", "--until", TURNOVER), '"flow," is not two sizes'),
        (("flow,air", "--until", TURNOVER, "--from", "3 gpm"), '--from: "3 gpm" is not two sizes'),
        (("places",), "--pairs: give either"),
        (("places", "--pairs", "tank-tank"), '--pairs: "tank-tank" is not a pair'),
        (("places", "--pairs", "tank>bay"), '--pairs: waterfall.zone = "bay" names no zone.'),
        (("measures", "--until", TURNOVER), "--until: does not go with measures"),
    ],
)
def test_bad_input(tank, words, reported):
    what, *options = words
    result = call("size", what, tank, *options)
    assert result.exit_code == ERROR, result.output
    assert reported in result.output
    assert "Traceback" not in result.output


def test_faults_of_a_catalogue_are_told_at_their_lines_before_anything_is_run(tank, tmp_path):
    pumps = tmp_path / "pumps.toml"
    pumps.write_text(
        '[[pump]]\nname = "A"\nflow = "400 ft"\n[[pump]]\nname = "B"\nflwo = "600 gpm"\n'
        '[[blower]]\nname = "C"\nair = "6 scfm"\n'
    )
    result = call("size", "flow", tank, "--until", TURNOVER, "--catalogue", pumps)
    assert result.exit_code == ERROR
    assert 'pumps.toml:3: pump.flow = "400 ft" is a length' in result.output
    assert 'pumps.toml:6: pump.flwo is an unknown key; did you mean "flow"?' in result.output
    assert "pumps.toml:9: air is a size by its word; this list is read for flow." in result.output


def test_an_output_that_is_an_input_is_refused(tank, tmp_path):
    pumps = tmp_path / "pumps.toml"
    pumps.write_text('[[pump]]\nname = "A"\nflow = "400 gpm"\n')
    for output in (tank, pumps):
        result = call("size", "flow", tank, "--until", TURNOVER, "--catalogue", pumps, "--csv", output)
        assert result.exit_code == ERROR
        assert "is an input of this command" in result.output


@pytest.fixture(scope="module")
def campus(tmp_path_factory):
    """The designs of the repository over a fortnight."""
    folder = tmp_path_factory.mktemp("campus")
    for file in DEMO.glob("*"):
        text = file.read_text(encoding="utf-8")
        if "site = " in text:
            text += '\n[period]\nstart = "2025-08-01"\nend = "2025-08-04"\n'
        (folder / file.name).write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize(("what", "name"), [("flow", "waterfall"), ("air", "air_all_day")])
def test_the_own_delivery_as_a_size_takes_the_power_of_the_untouched_design(campus, what, name):
    design = campus / f"{name}.toml"
    size = size_of(design, what)
    laid = read_changed(design, size.changes(size.present, Path("size"))).scenario
    own = try_out(read_scenario(design)).energy
    assert try_out(laid).energy == pytest.approx(own, rel=0.02)


def test_the_row_of_the_design_is_the_untouched_run(campus, tmp_path):
    design, file = campus / "waterfall.toml", tmp_path / "a.json"
    limits = ("--from", "500 gpm", "--to", "1300 gpm", "--steps", "2", "--precision", "50 %")
    result = call("size", "flow", design, "--until", "replaced_share >= 1 %", *limits, "--json", file)
    assert result.exit_code == 0, result.output
    data = json.loads(file.read_text())
    own = next(one for one in data["runs"] if one["size"] == pytest.approx(data["as_designed"]))
    assert own["kwh"] == pytest.approx(try_out(read_scenario(design)).energy, rel=1e-5)


def test_what_the_sheet_says_of_an_answer_is_told_apart_from_the_design(campus):
    design = campus / "waterfall.toml"
    size = size_of(design, "flow")
    own = read_scenario(design)
    found = breaches(own, read_changed(design, size.changes(4.0 * size.present, Path("size"))).scenario)
    assert "discharge" in {one.limit.part for one in found if not one.also}
    assert own.pump.nameplate_power and "nameplate" not in {one.limit.source for one in found}  # another pump
    assert [one.limit.verdict for one in found] == sorted(one.limit.verdict for one in found)
    assert {one.also for one in breaches(own, own)} == {True}


def test_the_lip_moves_with_the_drop(campus):
    design = campus / "waterfall.toml"
    size = size_of(design, "drop")
    own, laid = read_scenario(design), read_changed(design, size.changes(2.0, Path("size"))).scenario
    assert laid.waterfall.lip - own.waterfall.lip == pytest.approx(2.0 - own.waterfall.drop)
    assert flow_at_normal_pool(laid) < flow_at_normal_pool(own)


def test_a_fault_of_an_end_stands_alone_and_measures_fit_the_page(campus):
    result = call(
        "size", "flow", campus / "waterfall.toml", "--until", "electricity <= 1 kWh", "--from", "-100 gpm"
    )
    assert result.exit_code == ERROR
    assert "bloom_crash" not in result.output
    listed = call("size", "measures", campus / "waterfall.toml")
    assert max(map(len, listed.output.splitlines())) <= 80


@pytest.mark.parametrize(
    ("key", "name", "taken", "word"),
    [
        ("pump.flow", "waterfall", "curve_efficiency, curve_flow, curve_head", "flow"),
        ("aeration.pool_air.air_flow", "air_all_day", "source_free_flow, source_power", "air"),
    ],
)
def test_a_key_that_takes_the_place_of_a_curve_says_so(campus, key, name, taken, word):
    (note,) = size_of(campus / f"{name}.toml", key).notes
    assert note.startswith(f"{key} takes the place of ")
    assert taken in note
    assert f"pondsim size {word} keeps" in note
    assert size_of(campus / "waterfall.toml", "waterfall.width").notes == ()


@pytest.mark.parametrize("what", ["{}", "{},flow"])
def test_a_key_that_has_no_say_is_not_sized(tmp_path, what):
    """Nothing erodes, so no length of shore changes a number; nothing is run."""
    design = write_tank(tmp_path)
    target = ("--until", "dawn_lowest_top >= 4 mg/L")
    ends = ("0 ft", "9 ft") if what == "{}" else ("0 ft, 100 gpm", "9 ft, 200 gpm")
    key = "zone.tank.shoreline"
    result = call("size", what.format(key), design, *target, "--from", ends[0], "--to", ends[1])
    assert result.exit_code == ERROR
    assert f"size: {key} changes nothing: the other keys of the design leave it no say." in result.output


def test_a_key_is_sized_in_the_unit_it_is_declared_in(tmp_path):
    """2 g/m2/d are 2e-3/86,400 kg/m2/s; nobody reads the latter."""
    size = size_of(write_tank(tmp_path), "bed.oxygen_demand")
    assert size.text(2e-3 / DAY, "us") == size.text(2e-3 / DAY, "si") == "2 g/m2/d"
    assert size_of(tmp_path / "design.toml", "mixing.diffusivity_floor").us == "m2/s"
