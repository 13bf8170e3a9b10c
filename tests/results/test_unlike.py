"""Files that differ in more than equipment: said first, no verdict unless it is asked for, events by name."""

import json

import numpy as np
import pytest

from pondsim.cli._tables import comparison_data, comparison_text
from pondsim.comparison import compare
from pondsim.comparison.findings import findings
from pondsim.comparison.head import head
from pondsim.comparison.verdict import verdict
from pondsim.records import Record, to_json
from pondsim.reporting import answer, appendix, report
from tests.report.page_reader import Page, keep_parts
from tests.results.ponds import arm, givens, small_pond

PUMP = {"pump.flow": [0.02, "m3/s"]}
BED = "bed.oxygen_demand"


def with_bed(demand, **pond):
    return small_pond(givens=givens(pond={BED: [demand, "g/m2/d"]}), **pond)


def doubled():
    """The bed of the second file asks for twice as much, and its arm is poorer for it."""
    return [with_bed(1.0, oxygen=arm(6.5), title="loop"), with_bed(2.0, oxygen=arm(2.0), title="other bed")]


def test_what_differs_beside_equipment_comes_first_and_there_is_no_verdict():
    comparison = compare(doubled())
    first = f'"other bed" differs from "loop" in more than equipment: {BED} 2 g/m2/d instead of 1 g/m2/d.'
    assert head(comparison) == [first]
    assert verdict(comparison).startswith("No verdict: these files differ in more than equipment")
    lines = " ".join(comparison_text(comparison).split())
    assert lines.startswith(first)
    assert "below the 1-day minimum on" not in verdict(comparison)
    assert not any(any(row.best) for row in comparison.rows)
    data = comparison_data(comparison)
    assert (data["judged"], data["differs_beside_equipment"][1]["pond"]) == (
        [True, False],
        f"{BED} 2 g/m2/d instead of 1 g/m2/d",
    )


def test_others_are_judged_without_the_one_that_is_unlike():
    """Two loops over one bed and a third over another: the third leads by its numbers and is left out."""
    first, other = doubled()
    rival = with_bed(1.0, oxygen=arm(2.0), title="rival")
    best = other.assign_attrs(title="best", givens=givens(pond={BED: [2.0, "g/m2/d"]}))
    best["dissolved_oxygen"] = first["dissolved_oxygen"] + 1.0
    comparison = compare([rival, first, best])
    said = verdict(comparison)
    assert '"loop" has the highest minimum dawn oxygen, 6.0 mg/L ("rival": 2.0 mg/L)' in said
    assert 'Left out of the verdict for that: "best".' in said
    assert comparison.row("dawn_lowest_top.arm").best == (False, True, False)


def test_a_verdict_that_is_asked_for_is_given_below_what_differs():
    comparison = compare(doubled(), allow_differences=True)
    assert len(head(comparison)) == 1
    assert '"other bed" is below the 1-day minimum on 40 days more than "loop"' in verdict(comparison)
    assert any(any(row.best) for row in comparison.rows)


def test_the_page_says_first_what_differs_and_claims_no_same_weather(monkeypatch):
    keep_parts(monkeypatch, answer.answer)
    page = Page(report(doubled()).html).text
    assert "same weather" not in page and "same pond" not in page
    assert page.index("in more than equipment") < page.index("No verdict")
    alike = Page(report([with_bed(1.0), with_bed(1.0, title="loop", pumped=0.02)]).html).text
    assert "in the same pond and weather" in alike
    assert "No verdict" not in alike


def test_designs_that_differ_alike_are_named_together_whatever_their_titles_hold():
    others = [with_bed(2.0, title=title) for title in ("{pond} 1", "{pond} 2")]
    comparison = compare([with_bed(1.0, title="{0}"), *others])
    change = f"{BED} 2 g/m2/d instead of 1 g/m2/d"
    assert head(comparison) == [
        f'"{{pond}} 1" and "{{pond}} 2" differ from "{{0}}" in more than equipment: {change}.'
    ]


def test_a_little_rain_more_is_seen():
    """A drizzle of 0.9 mm in a day is 1e-8 m/s: as much as the tolerance of a plain comparison of numbers."""
    first, second = small_pond(days=9), small_pond(days=9)
    for pond, rain in ((first, 0.0), (second, 9e-9)):
        pond["rain_intensity"] = ("time", np.full(pond.sizes["time"], rain))
    assert "rain" in head(compare([first, second]))[0]


def test_equipment_alone_is_no_difference_and_lists_are_compared_by_their_numbers():
    zone = {"zone.pool.area": [[600.0, 1000.0], "m2"]}
    ponds = [
        small_pond(givens=givens(pond=zone, equipment=one), title=t) for one, t in (({}, "a"), (PUMP, "b"))
    ]
    assert head(compare(ponds)) == []
    shifted = {"zone.pool.area": [[600.0, 1001.0], "m2"]}
    other = small_pond(givens=givens(pond=shifted, equipment=PUMP), title="c")
    assert head(compare([ponds[0], other])) == [
        '"c" differs from "a" in more than equipment: zone.pool.area.'
    ]


def test_older_results_are_held_by_what_they_tell():
    """Parameters as used stand in every file; those of equipment are no difference of the pond."""

    def older(value, name="bed.oxygen_demand"):
        rows = [{"key": name, "value": value, "unit": "g/m2/d"}]
        pond = small_pond(parameters=json.dumps(rows))
        del pond.attrs["givens"]
        return pond

    comparison = compare([older(1.0), older(2.0)])
    assert "bed.oxygen_demand 2 g/m2/d instead of 1 g/m2/d" in head(comparison)[0]
    assert any("do not hold all that was given" in note for note in comparison.notes)
    assert head(compare([older(1.0, "waterfall.loss"), older(2.0, "waterfall.loss")])) == []


def outage(title, low, cost):
    """The loop with a power failure: the same equipment, another event, another bill."""
    events = {"outage.1.start": ["2025-06-10 12:00", ""], "outage.1.duration": [64800.0, "s"]}
    kept = givens(equipment=PUMP, events=events if "outage" in title else {})
    pond = small_pond(arm(low), title=title, pumped=0.02, givens=kept)
    pond.coords["month"] = ["2025-06"]
    for name, dollars in (("energy", cost), ("demand", 0.0), ("fixed", 0.0)):
        pond[f"bill_{name}_charge"] = ("month", np.array([dollars]))
    return pond


def test_an_event_is_no_purchase():
    """Of two loops one has an outage: neither its bill nor its days make it a design that costs or saves."""
    existing = small_pond(arm(1.0), title="existing")
    comparison = compare([existing, outage("loop", 6.5, 300.0), outage("loop, outage", 2.0, 387.0)])
    said = verdict(comparison)
    assert (
        '"loop, outage" is "loop" with the same equipment and other events (outage from 2025-06-10 12:00)'
        in said
    )
    assert "it is below the 1-day minimum on 40 days instead of 0" in said
    assert "and has a minimum dawn oxygen of 2.0 mg/L instead of 6.0" in said
    assert '"loop, outage" costs' not in said and "$87" not in said
    assert '"loop" has the fewest days below the 1-day minimum' in said
    assert head(comparison) == [
        '"loop, outage" differs from "existing" by events: outage from 2025-06-10 12:00.'
    ]


def test_costs_under_two_tariffs_are_not_held_against_each_other():
    """The days saved are then checked against electricity."""
    ponds = [outage("existing", 1.0, 100.0), outage("loop", 6.5, 300.0)]
    for pond, price in zip(ponds, (0.1, 0.2), strict=True):
        kept = {"tariff.energy": [price, "$/kWh"]}
        pond.attrs["givens"] = givens(equipment={"pump.flow": [price, "m3/s"]}, tariff=kept)
    ponds[1]["power"] = 2.0 * ponds[1]["power"]
    comparison = compare(ponds)
    assert "in the tariff, so costs are not compared" in head(comparison)[0]
    assert (
        '"loop" uses 960 kWh more than "existing" and is below the 1-day minimum on 40 days fewer'
        in verdict(comparison)
    )


@pytest.mark.parametrize("title", ["Option B: waterfall", "waterfall, 400 gpm"])
def test_titles_with_colons_and_commas_lose_no_remark(title, monkeypatch):
    record = Record("below_low_pool", "warning", "", {"below": (0.15, "m")}, {"first": "2025-06-03T04:00"})
    kept = to_json([record])
    low = "first on June 3; the lowest level was 0.49 ft (0.15 m) below it."
    remark = f"The water level fell below low pool, {low}"
    comparison = compare([small_pond(title="existing"), small_pond(title=title, pumped=0.02, remarks=kept)])
    assert remark in findings(comparison)[1]
    assert f'"{title}": {remark}' in comparison.notes
    keep_parts(monkeypatch, answer.answer, appendix.scenario_part)
    page = Page(report([small_pond(title="existing"), small_pond(title=title, remarks=kept)]).html)
    assert page.text.count(remark) == 3  # in its paragraph in both systems of units, and among the notes


def dredged(name, date, depth):
    """Givens of one dredging; keys as results keep them."""
    of = f"dredging.{name}"
    return {f"{of}.date": [date, ""], f"{of}.zone": ["arm", ""], f"{of}.depth": [depth, "m"]}


def test_dredgings_are_told_apart_by_zone_date_and_depth():
    """3 ft and 1 ft in m; a depth that both files have otherwise is said with both."""
    first, second = dredged(1, "2025-06-10 00:00", 0.9144), dredged(2, "2025-06-20 00:00", 0.3048)
    ponds = [
        small_pond(title="existing", givens=givens()),
        small_pond(title="dug", givens=givens(events=first | second)),
    ]
    told = "dredging of arm from 2025-06-10 00:00 by {}; dredging of arm from 2025-06-20 00:00 by {}"
    comparison = compare(ponds)
    for system, depths in (("us", ("3 ft", "1 ft")), ("si", ("0.914 m", "0.305 m"))):
        (line,) = head(comparison, system)
        assert line == f'"dug" differs from "existing" by events: {told.format(*depths)}.'
    assert told.format("3 ft (0.914 m)", "1 ft (0.305 m)") in verdict(comparison)
    deeper = dredged(1, "2025-06-10 00:00", 1.2192)
    ponds = [small_pond(title=str(k), givens=givens(events=one)) for k, one in enumerate((first, deeper))]
    assert head(compare(ponds)) == ['"1" differs from "0" by events: dredging by 4 ft instead of 3 ft.']
