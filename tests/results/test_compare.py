"""Comparing designs: differences, findings, and runs that must not be compared."""

import numpy as np
import pytest

from pondsim.comparison import Row, compare
from pondsim.comparison.cells import cells, differences
from pondsim.comparison.findings import findings
from pondsim.comparison.head import head
from pondsim.comparison.lengths import length_text
from pondsim.comparison.remarks import remarks_of
from pondsim.errors import ScenarioError
from pondsim.records import Record, from_json, to_json
from tests.results.ponds import four, pair, small_pond


def test_each_row_holds_the_difference_to_the_existing_pond():
    comparison = pair()
    row = comparison.row("dawn_lowest_top.arm")
    assert row.values == pytest.approx((2.0, 4.5))
    assert differences(row, "si") == pytest.approx((0.0, 2.5))
    assert row.failing == (True, False)
    assert row.best == (False, True)
    assert comparison.value("hours_below_3_top.arm", 0) == pytest.approx(960.0)
    assert comparison.value("hours_below_3_bottom.arm", 1) == 0.0
    assert comparison.value("longest_below_5_top.arm", 1) == pytest.approx(960.0)
    assert comparison.value("days_failing_top.arm", 0) == 40
    assert comparison.value("nominal_turnover", 0) is None
    assert comparison.value("electricity", 1) == pytest.approx(960.0)
    assert comparison.value("fit_for_fish_mean", 0) == pytest.approx(2 / 3)
    assert comparison.value("nothing of the kind", 0) is None


def test_a_run_of_hours_is_told_in_hours():
    """Two hours are no 0 days; a day and a half is 36 h; whole days and seasons stay days."""
    told = {2.0 / 24.0: "2 h", 1.0: "1 day", 1.5: "36 h", 1.99: "2 days", 2.0: "2 days", 138.0: "138 days"}
    assert {days: length_text(days) for days in told} == told


def test_equal_titles_are_told_apart():
    assert compare([small_pond(), small_pond(), small_pond()]).titles == (
        "As it is",
        "As it is (2)",
        "As it is (3)",
    )


def test_a_run_shorter_than_a_day_has_no_dawns_but_no_crash_either():
    short = small_pond(days=1).isel(time=slice(0, 10))
    comparison = compare([short, short])
    assert comparison.row("dawn_lowest_top.pool") is None
    assert "cannot be judged" in findings(comparison)[0]


def test_notes_carry_remarks_versions_and_the_mass_balance():
    comparison = pair(remarks="The pond fell dry in arm.\n", pondsim_version="0.0.9")
    assert '"loop": The pond fell dry in arm.' in comparison.notes
    assert any("the largest error is 1e-09" in note for note in comparison.notes)
    assert any("different versions" in note for note in comparison.notes)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda d: d.isel(time=slice(24, None)), "give both the same \\[period\\]"),
        (lambda d: d.isel(time=slice(None, None, 2)), "period.output_step"),
        (lambda d: d.assign_coords(zone=["pool", "bay"]), "designs of one site"),
        (lambda d: d.assign_attrs(normal_pool_m=101.0), "normal pools differ"),
        (lambda d: d.assign_attrs(latitude_deg=41.0), "latitudes differ"),
        (lambda d: d.assign_attrs(criterion="cold_other"), "judging.criterion"),
        (lambda d: d.assign_attrs(fish_oxygen_mg_per_L=4.0), "judging.fish_oxygen"),
    ],
)
def test_runs_that_differ_in_more_than_their_design_are_refused(change, words):
    with pytest.raises(ScenarioError, match=words):
        compare([small_pond(), change(small_pond(title="other"))])


def test_nothing_to_compare():
    with pytest.raises(ScenarioError, match="nothing to compare"):
        compare([])


def test_coarse_results_are_not_judged_by_their_lows():
    """Every third hour only: no days failing, dawns or hours below, and a note that says what to do."""
    coarse = small_pond(days=40).isel(time=slice(0, None, 3))
    comparison = compare([coarse, coarse])
    assert comparison.row("days_failing_top.pool") is None
    assert comparison.row("hours_below_3_top.pool") is None
    assert any("period.output_step" in note for note in comparison.notes)
    assert len(findings(comparison)) == 2


def test_a_run_shorter_than_the_longest_mean_says_that_it_was_not_judged():
    notes = compare([small_pond(days=9)] * 2).notes
    assert "Too short to judge by the 30-day mean of the criteria." in notes
    shorter = compare([small_pond(days=5)] * 2).notes
    assert "Too short to judge by the 30-day mean and the 7-day mean minimum of the criteria." in shorter
    assert not any("30-day mean" in note for note in compare([small_pond(days=40)] * 2).notes)


def test_records_travel_as_json_and_damaged_ones_are_an_error():
    pond = small_pond(days=3)
    records = [
        Record("bill_in_part", numbers={"2025-07": (0.25, "1")}),
        Record("zone_dry", "warning", 'arm: "north", old', times={"first": "2025-07-04T06:00"}),
        Record("of_a_newer_version", "caution", "arm", {"depth": (0.5, "m")}),
    ]
    pond.attrs["remarks"] = to_json(records)
    assert from_json(pond.attrs["remarks"]) == records
    assert [remark.text for remark in remarks_of(pond)] == [
        "The electricity bill covers 25 % of 2025-07: demand and fixed charges of a partial month are "
        "counted by that share, and its peak power is that of the days run.",
        'Zone arm: "north", old fell dry, first on July 4; what is printed for it while it is dry describes '
        "a film of water and means nothing.",
        "of a newer version arm depth 0.5 m",
    ]
    half = '[{"code": "pump_stood", "severity": "note"}'
    for damaged in ("[", "[1]", '[{"code": "zone_dry"}]', half, f"{half}]", "[" * 9999):
        pond.attrs["remarks"] = damaged
        with pytest.raises(ScenarioError, match=r"damaged \(attribute remarks\)"):
            remarks_of(pond)


def test_lowest_water_stands_in_the_table():
    pond = small_pond(days=3)
    row = compare([pond, pond]).row("lowest_surface")
    assert row is not None
    assert row.values[0] == pytest.approx(float(pond["water_surface_elevation"].min()))


def test_other_weather_is_told():
    """Wind half as strong in the second run: only the wind is named."""
    first, second = small_pond(days=9), small_pond(days=9)
    for pond in (first, second):
        pond["wind_speed"] = ("time", np.full(pond.sizes["time"], 3.0))
    assert head(compare([first, second])) == []
    second["wind_speed"] = 0.5 * second["wind_speed"]
    assert head(compare([first, second])) == [
        '"As it is (2)" differs from "As it is" in more than equipment: wind.'
    ]


def test_a_printed_difference_is_that_of_the_printed_numbers():
    """92.64 and 92.56 print as 92.6 both: no difference is left to print."""
    row = Row(
        key="k",
        section="s",
        unit="%",
        us="%",
        si="%",
        good=1,
        values=(92.64, 92.56, 92.66),
        no_contest=(False,) * 3,
    )
    assert [(cell.value, cell.change) for cell in cells(row, "us")] == [
        ("92.6", ""),
        ("92.6", "="),
        ("92.7", "+0.1"),
    ]


def test_no_cost_is_marked_as_best_and_a_fixed_charge_alone_is_told():
    """The cheapest is the pond that nothing is done to; $90 for an idle meter applies either way."""
    ponds = four(powers=(0.0, 100.0, 200.0, 50.0))
    for pond, dollars in zip(ponds, (0.0, 10.0, 30.0, 5.0), strict=True):
        charges = (dollars, 0.0, 90.0)
        for name, value in zip(("energy", "demand", "fixed"), charges, strict=True):
            pond[f"bill_{name}_charge"] = ("month", np.array([value]))
        pond.coords["month"] = ["2025-06"]
    comparison = compare(ponds)
    assert comparison.row("cost").best == (False,) * 4
    assert "the fixed charge of the meter, $90, applies either way" in findings(comparison)[0]
