"""`pondsim size` holds what it recommends against the design sheet, and says what it costs to run."""

from __future__ import annotations

import json

import pytest

from pondsim.cli._size_places import height
from pondsim.scenario.read import read_scenario
from pondsim.scenario.vary import read_changed
from pondsim.sizing.by_word import size_of
from pondsim.units import from_si
from tests.cli.common import call
from tests.scenarios_for_tests import minimal_site, write_design
from tests.sizing.ponds import write_tank

TURNOVER = "nominal_turnover <= 2 d"
ERROR = 2


DEEP_MIDDLE = """
[intake]
zone = "middle"
elevation = "90 ft"

[pump]
flow = "300 gpm"
total_head = "8 ft"

[waterfall]
zone = "shallow"
drop = "4 ft"
width = "5 ft"
"""


@pytest.fixture
def deep_middle(tmp_path):
    """A middle of 20 ft and a shallow arm of 4 ft under a normal pool of 104 ft, low pool 103 ft."""
    text = minimal_site().replace('"10 ft"\nbank_top = "13 ft"\nlow_pool = "9 ft"', "POOL")
    text = text.replace("POOL", '"104 ft"\nbank_top = "107 ft"\nlow_pool = "103 ft"')
    text = text.replace('"deep pool"', '"middle"').replace('"cove"', '"shallow"')
    text = text.replace('["0 ft", "5 ft", "10 ft", "13 ft"]', '["84 ft", "94 ft", "104 ft", "107 ft"]')
    text = text.replace('["5 ft", "10 ft", "13 ft"]', '["100 ft", "104 ft", "107 ft"]')
    text = text.replace('sill = "6 ft"', 'sill = "100 ft"').replace('crest = "10 ft"', 'crest = "104 ft"')
    design = 'site = "site.toml"\ntitle = "deep middle (invented)"\n' + DEEP_MIDDLE
    return write_design(tmp_path, design, text)


def test_places_on_a_pond_with_a_deep_middle(deep_middle):
    """90 ft is 6 ft over the deep bed; in the arm, bed 100 ft, it is half the 3 ft of water at low pool."""
    scenario = read_scenario(deep_middle)
    assert height("shallow", scenario) == f"{101.5 * 0.3048:.9g} m"
    assert height("middle", scenario) == f"{90 * 0.3048:.9g} m"
    result = call("size", "places", deep_middle, "--pairs", "shallow>middle, middle>shallow")
    assert result.exit_code == 0, result.output
    assert "101.5" in result.output
    assert "On the design sheet" in result.output


def test_a_pair_that_cannot_be_is_named(deep_middle):
    result = call("size", "places", deep_middle, "--pairs", "shallow@106 ft>middle, middle>shallow")
    assert result.exit_code == ERROR
    assert 'is not below pond.normal_pool = 104 ft (31.699 m). (pair "shallow to middle")' in result.output


LONG = "invented pump with the long name that a maker gives to a three-phase machine"
TARIFF = '\n[tariff]\nprice = "0.25 $/kWh"\ncurrency = "EUR"\n'


def test_a_list_has_the_cost_and_the_sheet_of_every_entry_in_the_own_currency(tmp_path):
    """1 hp is too little for 600 gpm against 20 ft at 50 % (6.1 hp): the entry meets the target and FAILs.

    The tank's 2 days of 400 gpm against 8 ft: rho g Q H/0.5 x 48 h.
    """
    tank = write_tank(tmp_path, extra=TARIFF)
    pumps = tmp_path / "pumps.toml"
    pumps.write_text(
        f'[[pump]]\nname = "{LONG}"\nprice = 1900\nflow = "400 gpm"\nwire_to_water = "50 %"\n'
        '[[pump]]\nname = "P 600"\nprice = 2400\nrated_flow = "600 gpm"\nrated_head = "20 ft"\n'
        'efficiency = 0.5\nnameplate_power = "1 hp"\n'
    )
    pipe = '\n[discharge]\nnominal = "12 in"\npipe = "pvc_40"\nlength = "50 ft"\n'
    tank.write_text(tank.read_text().replace('total_head = "8 ft"\n', "") + pipe)
    data_file = tmp_path / "a.json"
    result = call("size", "flow", tank, "--until", TURNOVER, "--catalogue", pumps, "--json", data_file)
    assert result.exit_code == 0, result.output
    lines = [line for line in result.stdout.splitlines() if str(tmp_path) not in line]
    assert max(map(len, lines)) <= 80
    said = " ".join(result.output.split())
    assert "EUR" in said and "$" not in said.split("Cautions")[0]
    assert "1 FAIL" in said and "FAIL pump, shaft power of one pump" in said
    small, large = json.loads(data_file.read_text())["catalogue"]
    assert (small["fate"], large["fate"]) == ("too small", "meets")
    assert large["sheet"]["fail"] == 1
    assert small["timers_money"] == pytest.approx(0.25 * small["timers_kwh"], rel=1e-3)
    assert large["currency"] == "EUR"


SEASONS = """
[[aeration]]
name = "{name}"
zone = "tank"
elevation = "1 ft"
diffusers = 2
air_flow = "3.725 scfm"
power = "500 W"
season = ["{season}"]
"""


def test_the_air_of_two_seasons_of_one_compressor_is_that_of_one(tmp_path):
    """7.45 scfm in spring and the same 7.45 in summer are not 14.9."""
    design = write_tank(tmp_path)
    text = design.read_text().split("[[aeration]]")[0]
    text += SEASONS.format(name="spring", season="03-01 to 05-31")
    design.write_text(text + SEASONS.format(name="summer", season="06-01 to 09-30"))
    size = size_of(design, "air")
    assert from_si(size.present, "scfm") == pytest.approx(7.45, rel=1e-6)
    doubled = read_changed(design, size.changes(2.0 * size.present, design)).scenario
    assert [from_si(unit.air_flow, "scfm") for unit in doubled.aeration] == pytest.approx([7.45, 7.45])
    assert size.value_of(doubled) == pytest.approx(2.0 * size.present)


@pytest.mark.parametrize(
    ("options", "reported"),
    [
        (("--by", "dawn"), "--by: dawn is an unknown measure"),
        (("--by", "dawn_lowest_top.bay"), "--by: dawn_lowest_top.bay is an unknown measure"),
        (("--by", "electricity"), "--by: neither more nor less of electricity is better"),
        (("--until", "dawn_lowest_top.bay >= 3 mg/L"), "dawn_lowest_top has: tank."),
        (("--until", "dawn_lowest_top >= 3 ft"), 'dawn_lowest_top = "3 ft" is a length'),
    ],
)
def test_what_pairs_are_ranked_by_is_checked_before_they_run(tmp_path, monkeypatch, options, reported):
    monkeypatch.setattr("pondsim.sizing.places.try_all", lambda *_: pytest.fail("a run was started"))
    result = call("size", "places", write_tank(tmp_path), "--pairs", "tank>tank", *options)
    assert result.exit_code == ERROR, result.output
    assert reported in " ".join(result.output.split())


@pytest.mark.parametrize(
    ("what", "until", "options", "said"),
    [
        (
            "drop",
            "electricity >= 1 MWh",
            ("5 ft", "8 ft"),
            "upper search bound; to search above it, give --to.",
        ),
        (
            "drop",
            "electricity >= 1 MWh",
            ("5 ft", "6 m"),
            "upper search bound; waterfall.drop allows no more.",
        ),
        ("waterfall.width", "electricity >= 1 kWh", ("0.1 m", "9 ft"), "waterfall.width allows no less."),
        ("drop", "electricity >= 1 kWh", ("5 ft", "6 m"), "kWh. To search below it, give --from."),
        ("waterfall.width", "replaced_share >= 99 %", ("2 ft", "9 ft"), "It reaches 57.99 % at every size"),
    ],
)
def test_an_end_past_which_a_key_allows_nothing_is_told_as_that(tmp_path, what, until, options, said):
    """A drop is at most 6 m, a lip at least 0.1 m wide; the width of the lip moves no water."""
    low, high = options
    result = call(
        "size", what, write_tank(tmp_path), "--until", until, "--from", low, "--to", high, "--steps", "2"
    )
    assert result.exit_code == 0, result.output
    assert said in " ".join(result.stdout.split())


def test_the_edge_of_a_map_says_which_side_may_go_on(tmp_path):
    """The most electricity in least money lies at the ends; the drop allows no more than 6 m."""
    ends = ("--from", "500 gpm, 5 ft", "--to", "600 gpm, 6 m", "--steps", "2")
    result = call("size", "flow,drop", write_tank(tmp_path), "--until", "electricity >= 200 kWh", *ends)
    assert result.exit_code == 0, result.output
    said = " ".join(result.stdout.split())
    assert (
        "flow 500 gpm and drop 19.7 ft: waterfall.drop allows no more; extend the search with --from" in said
    )
