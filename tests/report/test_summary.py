"""The owner's page and the board's: what stands on them, and that each prints on one sheet."""

from __future__ import annotations

import json

import numpy as np
import pytest

from pondsim.comparison import compare
from pondsim.comparison.findings import findings
from pondsim.errors import ScenarioError
from pondsim.reporting.answer import answer
from pondsim.reporting.board import BoardEntry, board
from pondsim.reporting.equipment import items_to_build
from pondsim.reporting.members import TITLE
from pondsim.reporting.promise import Promise, read_promise
from pondsim.reporting.study import study_of
from pondsim.reporting.summary import summary
from pondsim.starter import write_starter
from tests.cli.common import call
from tests.figures.readings import dawns_by_day
from tests.report.browser import DESK, PAPERS, PHONE, open_page, opened, printed_pages
from tests.report.page_reader import Page
from tests.results.ponds import givens, small_pond, with_old_water

UNITS = 12  # aeration units of the fullest page

EQUIPMENT = {
    "intake.zone": ["arm", ""],
    "intake.elevation": [98.0, "m"],
    "pump.hours": [[[0.0, 86400.0]], ""],
    "waterfall.zone": ["pool", ""],
    "waterfall.drop": [1.2192, "m"],
    "waterfall.lip": [101.2, "m"],
}
SHEET = {
    "pass": 7,
    "fail": [],
    "warn": [],
    "limits": [
        {"part": "pump", "what": "power", "kind": "power", "value": 900.0, "most": 2000.0, "verdict": "pass"},
        {
            "part": "intake",
            "what": "cover",
            "kind": "length",
            "value": 0.3048,
            "least": 0.6096,
            "verdict": "warn",
        },
    ],
    "line": [
        ["normal pool", "flow", "flow", 0.0315451, False],
        ["normal pool", "head of the pump", "length", 3.048, False],
    ],
    "pipes": ["", "", ""],
}
SUMS = {"title": "loop", "currency": "$", "years": 10, "first": 41200.0, "each_year": 2300.0}
SUMS |= {"present_worth": 58960.0, "without_interest": 64200.0, "equal_yearly": 7636.0, "not_priced": []}
SUMS |= {"per_kg_oxygen": None, "per_day_of_failure_avoided": None}


def ponds(**more):
    """Days 3, 4, 5 and 20 fall to 1.5 mg/L at dawn today, day 20 alone with the loop."""
    existing = dawns_by_day([3, 4, 5, 20], title="existing", pumped=0.0)
    loop = dawns_by_day([20], title="loop")
    known = {"givens": givens(equipment=EQUIPMENT), "design_sheet": json.dumps(SHEET)}
    return [existing, loop.assign_attrs(known | more)]


def test_the_summary_says_what_is_built_what_it_costs_and_what_could_go_wrong():
    """A drop of 1.2192 m is 4 ft; 0.0315451 m3/s are 500 gpm, 3.048 m are 10 ft; 0.3048 m is 1 ft."""
    text = Page(summary(ponds(), sums=[SUMS])).text
    for words in (
        "\u201cloop\u201d does not meet the oxygen criteria near the surface in every zone",
        "days below the 1-day minimum of oxygen, 3 mg/L, top, worst zone",
        "500 gpm against 10 ft at normal pool; runs all day",
        "in pool; drop 4 ft; crest at 332.02 ft",
        "$41,200",
        "Present worth, 10 years: $58,960",
        "7 limits pass, 0 FAIL, 1 WARN.",
        "intake, cover: 1 ft, limit at least 2 ft",
        "oxygen falls to 1.5 mg/L at dawn in pool",
        "Electricity near water kills",
        "A simulation does not replace an engineer's stamp.",
        "One run at stated values, 2025-06-01 to 2025-07-11, no interval",
        "Prepared by",
    ):
        assert words in " ".join(text.split()), words


@pytest.mark.parametrize(
    ("fixed", "told"), [(20.0, "$70 over the run, meter charge included, "), (0.0, "$50 over")]
)
def test_the_cost_of_electricity_says_whether_the_meter_is_in_it(fixed, told):
    """$50 of energy, and the meter's charge where there is one."""
    bill = {"bill_energy_charge": 50.0, "bill_demand_charge": 0.0, "bill_fixed_charge": fixed}
    existing, loop = (
        pond.assign({name: ("month", [charge]) for name, charge in bill.items()}) for pond in ponds()
    )
    assert told in " ".join(Page(summary([existing, loop])).text.split())


@pytest.mark.parametrize(
    ("known", "told"),
    [
        ({"electricity": True}, "These sums count electricity."),
        ({"electricity": False}, "LEFT OUT of these sums: electricity."),
        ({}, "Whether these sums count electricity is not known"),  # sums of an earlier version
    ],
)
def test_summary_and_board_say_whether_the_sums_hold_electricity(known, told):
    existing, loop = ponds()
    sums = SUMS | known
    for page in (summary([existing, loop], sums=[sums]), board([BoardEntry("", existing, loop, sums)])):
        assert told in " ".join(Page(page).text.split())


def aerated(**air):
    """The words on the air unit, which is given `air` beside its timer."""
    known = {"zone": "pool", "diffusers": 3, "kind": "fine", "hours": [[0.0, 86400.0]]} | air
    unit = {f"aeration.pool_air.{key}": [value, ""] for key, value in known.items()}
    (item,) = items_to_build(small_pond(givens=givens(equipment=unit)))
    return item.words.in_("us")


def test_what_switches_a_unit_and_its_season_are_told():
    """1.2192 m are 4 ft; 0.004 kg/m3 are 4 mg/L. Without both the words are those of the timer alone."""
    start = "in pool; 3 fine-bubble diffusers; "
    assert aerated(season=[[1, 1, 12, 31]]) == f"{start}runs all day"
    assert aerated(season=[[6, 1, 9, 30]]) == f"{start}runs all day; only 06-01 to 09-30"
    sensor = {"zone": "arm", "depth": 1.2192, "on_below": 0.004, "off_above": 0.005}
    sensor = {f"set_point.{key}": value for key, value in sensor.items()}
    told = f"{start}switched by the oxygen reading in arm, 4 ft under the surface: "
    told += "on below 4 mg/L, off above 5 mg/L"
    assert aerated(**sensor) == told
    assert aerated(**sensor, hours=[[72000.0, 115200.0]]) == f"{told}; at most 20:00 to 08:00"


@pytest.mark.parametrize(
    ("hours", "told"),
    [
        ({"pool_air": 0.0}, "Its aerator never ran in this period: pool_air."),
        ({"pool_air": 0.0, "arm_air": 0.0}, "Its aerators never ran in this period: pool_air and arm_air."),
        ({"pool_air": 0.0, "arm_air": 1.0}, "Of its equipment, pool_air never ran in this period."),
        (
            {"circulation pump": 0.0, "arm_air": 1.0},
            "Of its equipment, circulation pump never ran in this period.",
        ),
        ({"pool_air": 1.0}, ""),
    ],
)
def test_equipment_that_never_ran_is_told_by_name(hours, told):
    existing, air = small_pond(title="existing"), small_pond(title="air")
    shares = np.broadcast_to(list(hours.values()), (air.sizes["time"], len(hours)))
    air = air.assign_coords(system=list(hours)).assign(running_share=(("time", "system"), shares))
    other = air.assign_coords(system=[f"other_{name}" for name in hours]).assign_attrs(title="other")
    text = findings(compare([existing, air, other]))[1]  # what is another design's is not told
    page = " ".join(Page(summary([existing, air])).text.split())
    assert (told in text and told in page) if told else ("never ran" not in text + page)
    assert "other_" not in text


def test_an_interval_stands_beside_the_numbers_and_its_sentence_in_the_answer(tmp_path):
    file = tmp_path / "promise.json"
    one = {"low": 1.0, "median": 3.0, "high": 6.0, "better": 0.9}
    design = {"sentence": "Nine members of ten improve.", "measures": {"days_failing_top": one}}
    file.write_text(json.dumps({"members": 64, "designs": {"loop": design}}), encoding="utf-8")
    text = " ".join(Page(summary(ponds(), promise=read_promise(file))).text.split())
    assert "5 to 95 % of 64 members" in text and "1 to 6" in text
    assert "Nine members of ten improve." in text and "no interval" not in text


@pytest.mark.parametrize(
    ("whole", "words"),
    [
        (None, "stated values, with no interval. A tie is"),
        (
            {"members": 64, "designs": {"loop": {}}},
            "stated values, with no interval. A tie is",
        ),  # no such part
        (
            {"members": 64, "weather_years": ["2025"], "designs": {"loop": {}}},
            f"stated values, with the interval over 64 members in the part \u201c{TITLE}\u201d. A tie is",
        ),
    ],
)
def test_the_verdict_says_where_the_interval_is(whole, words):
    promise = None if whole is None else Promise(64, {}, {"loop": {}}, (), whole)
    blocks = answer(study_of(ponds(), "us", promise)).blocks
    (said,) = [block.text.us for block in blocks if getattr(block, "style", "") == "verdict"]
    assert f"One run of each design at its {words}" in said


@pytest.mark.parametrize("content", ["{", "[]", '{"members": 3}', '{"members": 3, "designs": {"a": 1}}'])
def test_a_file_that_holds_no_intervals_is_refused(tmp_path, content):
    file = tmp_path / "promise.json"
    file.write_text(content, encoding="utf-8")
    with pytest.raises(ScenarioError, match="holds no intervals"):
        read_promise(file)


def site_text(tmp_path, change):
    folder = tmp_path / "starter"
    if not folder.exists():
        write_starter(folder)
    site = change((folder / "site.toml").read_text(encoding="utf-8"))
    return f"# ---- site.toml\n{site}\n# ---- existing.toml\nsite = 'site.toml'\n"


def test_the_notice_of_the_starter_goes_when_the_pond_is_the_users(tmp_path):
    """The zones decide; then the parts that are left of the starter are named; at last nothing is said."""

    def text_of(change):
        existing, loop = ponds()
        return Page(summary([existing.assign_attrs(scenario_text=site_text(tmp_path, change)), loop])).text

    assert "This is the invented starter pond" in text_of(lambda site: site)
    own_zone = text_of(lambda site: site.replace("[[zone]]", '[[zone]]\nfloating_cover = "1 %"', 1))
    assert "invented starter pond" not in own_zone
    assert "Still invented, as in the starter file: levels, drainage areas and weather." in own_zone
    assert "invented" not in text_of(lambda _: 'title = "my pond"\n')


def test_the_board_ranks_by_days_avoided_for_a_dollar():
    """The loop avoids the same days in both ponds; at half the cost it gains twice as much."""
    existing, loop = small_pond(1.0, title="existing"), small_pond(8.0, title="loop", pumped=0.02)
    cheap = SUMS | {"equal_yearly": SUMS["equal_yearly"] / 2.0}
    entries = [
        BoardEntry("dear", existing, loop, SUMS),
        BoardEntry("unpriced", existing, loop, None),
        BoardEntry("cheap", existing, loop, cheap),
    ]
    page = board(entries)
    places = [page.index(f"<td>{name}</td>") for name in ("cheap", "dear", "unpriced")]
    assert places == sorted(places)
    text = " ".join(Page(page).text.split())
    assert (
        "Not priced, so not ranked: unpriced." in text
        and "cheap, \u201cloop\u201d: 40 days fewer below the 1-day minimum in 40 days for $3,818 a year."
        in text
    )


def test_commands_write_the_pages_and_refuse_in_words(files, tmp_path):
    page = tmp_path / "summary.html"
    result = call("summary", *files, "-o", page)
    assert result.exit_code == 0, result.output
    assert "To be built" in page.read_text(encoding="utf-8")
    same = call("summary", files[1], files[1], "-o", tmp_path / "x.html")
    assert same.exit_code == 2 and "give the design a title of its own" in same.output
    listed = tmp_path / "ponds.toml"
    listed.write_text(f'[[pond]]\nexisting = "{files[0]}"\ndesign = "{files[1]}"\n', encoding="utf-8")
    result = call("board", listed, "-o", tmp_path / "board.html")
    assert result.exit_code == 0, result.output
    listed.write_text('[[pond]]\nexisting = "no.nc"\n', encoding="utf-8")
    wrong = call("board", listed, "-o", tmp_path / "board.html")
    assert wrong.exit_code == 2 and "ponds.toml:2" in wrong.output and "file not found" in wrong.output


def fullest():
    """A page with all that can stand on it: many units and failed limits, costs, alternatives."""
    equipment = dict(EQUIPMENT)
    for number in range(UNITS):
        start = f"aeration.unit_with_a_long_name_{number}"
        equipment |= {f"{start}.zone": ["pool", ""], f"{start}.diffusers": [4, "1"]}
        equipment |= {f"{start}.kind": ["fine", ""], f"{start}.source": ["compressor", ""]}
    limit = SHEET["limits"][1] | {"what": "water over the top of the pipe against vortices at low pool"}
    sheet = SHEET | {"limits": [limit | {"part": f"part {k}", "verdict": "fail"} for k in range(20)]}
    existing, loop = ponds(givens=givens(equipment=equipment), design_sheet=json.dumps(sheet))
    loop = with_old_water(loop)
    others = [loop.assign_attrs(title=f"another alternative {k}") for k in range(2)]
    sums = SUMS | {"not_priced": [f"an item with a long name {k}" for k in range(30)]}
    return summary([existing, loop, *others], sums=[sums])


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    found = opened(tmp_path_factory.mktemp("profile"))
    yield found
    found.quit()


@pytest.mark.browser
@pytest.mark.parametrize("make", [lambda: summary(ponds(), sums=[SUMS]), fullest], ids=["plain", "fullest"])
def test_the_summary_prints_on_one_sheet_and_fits_a_phone(browser, tmp_path, make):
    path = tmp_path / "summary.html"
    path.write_text(make(), encoding="utf-8")
    for width in (PHONE, DESK):
        open_page(browser, path.as_uri(), width)
        wide = browser.execute_script("return document.documentElement.scrollWidth")
        assert wide <= width
    assert {paper: printed_pages(browser, paper) for paper in PAPERS} == {"letter": 1, "A4": 1}


def test_the_summary_lists_what_is_dredged_and_dosed_before_the_equipment():
    """To be signed: 76.4555 m3 are 100 yd3, 0.6096 m are 2 ft; what animals bring is no work."""
    times = {"start": "2025-06-02T00:00", "end": "2025-06-07T00:00"}
    cut = {"depth": [0.6096, "m"], "full_from": [1.524, "m"], "left": [0.1, "1"], "volume": [76.4555, "m3"]}
    dredging = {"code": "dredging", "severity": "note", "where": "pool", "times": times}
    dredging |= {"numbers": cut | {"bed": [96.0, "m"]}, "names": {"counts": "inside"}}
    geese = {"code": "load", "severity": "note", "where": "pool", "times": times}
    geese |= {"numbers": {}, "names": {"counts": "inside", "name": "geese"}}
    known = {"design_sheet": json.dumps(SHEET | {"work": [dredging, geese]}), "givens": givens()}
    text = Page(summary(ponds(**known))).text
    for words in (
        "To be done and built",
        "Dredging, pool: 2025-06-02 00:00 to 2025-06-07 00:00; 100 yd3 in place; the bed 2 ft deeper",
        "Dredging leaves a bank under water that can slide",
    ):
        assert words in text
    assert "Nothing: this design" not in text
    assert "geese" not in text


def test_the_summary_says_all_zones_where_none_is_worst():
    """8 mg/L everywhere: no day fails in any zone, so no single one of them is named."""
    text = Page(summary([small_pond(title="existing"), small_pond(title="loop", pumped=0.02)])).text
    assert "0 all zones" in text and "0 pool" not in text
