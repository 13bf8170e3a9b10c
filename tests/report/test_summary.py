"""The owner's page: what stands on it."""

from __future__ import annotations

import json

import numpy as np
import pytest

from pondsim.comparison import compare
from pondsim.comparison.findings import findings
from pondsim.errors import ScenarioError
from pondsim.records import Record, to_json
from pondsim.reporting.answer import answer
from pondsim.reporting.equipment import items_to_build
from pondsim.reporting.members import TITLE
from pondsim.reporting.promise import Promise, read_promise
from pondsim.reporting.study import study_of
from pondsim.reporting.summary import summary
from pondsim.starter import write_starter
from pondsim.words import CAUTION
from tests.report.owner import EQUIPMENT, SHEET, SUMS, ponds
from tests.report.page_reader import Page
from tests.results.ponds import givens, small_pond


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
    ("fixed", "told"),
    [(20.0, "$70 over the run of 40 days, meter charge included, "), (0.0, "$50 over the run of 40 days, ")],
)
def test_the_cost_of_electricity_says_whether_the_meter_is_in_it(fixed, told):
    """$50 of energy, and the meter's charge where there is one."""
    bill = {"bill_energy_charge": 50.0, "bill_demand_charge": 0.0, "bill_fixed_charge": fixed}
    existing, loop = (
        pond.assign({name: ("month", [charge]) for name, charge in bill.items()}) for pond in ponds()
    )
    assert told in " ".join(Page(summary([existing, loop])).text.split())


@pytest.mark.parametrize(
    ("today", "design", "told"),
    [
        (8.0, 8.0, "as far as this run can judge, and so does today's pond."),
        (1.0, 8.0, "as far as this run can judge; today's pond fails the "),
        (8.0, 1.0, "1-day minimum; today's pond fails none."),
        (1.0, 1.0, "; today's pond fails the "),
    ],
)
def test_the_answer_says_whether_the_pond_of_today_meets_the_criteria_too(today, design, told):
    """8 mg/L all day meets every criterion, 1 mg/L none: EPA 440/5-86-003, table 1."""
    ends = small_pond(today, title="existing"), small_pond(design, title="loop", pumped=0.02)
    text = " ".join(Page(summary(list(ends))).text.split())
    assert told in text and ("\u201cloop\u201d meets" in text) == (design == 8.0)


def test_the_page_says_how_long_the_start_shows():
    """The longer one of both runs."""

    def begun(days, until):
        numbers = {"days": (days, "d"), "searched": (90 * 86400.0, "s")}
        return Record("start_shows", "note", numbers=numbers, times={"until": until})

    existing, loop = ponds()
    loop = loop.assign_attrs(remarks=to_json([begun(43.0, "2025-08-02T00:00")]))
    existing = existing.assign_attrs(remarks=to_json([begun(20.0, "2025-07-10T00:00")]))
    text = " ".join(Page(summary([existing, loop])).text.split())
    assert "Results before August 2 (43 days) still depend on the starting conditions" in text
    assert "July 10" not in text
    assert "depend on the starting" not in Page(summary(ponds())).text


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


@pytest.mark.parametrize(("fact", "caution"), [("winter", "thin ice"), ("automatic", "lockout")])
@pytest.mark.parametrize("known", [True, False, None])
def test_ice_and_what_starts_by_itself_are_warned_of(fact, caution, known):
    """Results of an earlier version do not say; a pond without equipment has neither."""
    known, warns = ({}, True) if known is None else ({fact: known}, known)
    for equipment, has in ((EQUIPMENT, warns), ({}, False)):
        facts = {"givens": givens(equipment=equipment), "design_sheet": json.dumps(SHEET | known)}
        text = " ".join(Page(summary(ponds(**facts))).text.split())
        assert (CAUTION[caution] in text) == has
