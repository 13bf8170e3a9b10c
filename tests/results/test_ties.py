"""Ties are called ties and never headline; harm, trips and the design sheet stand where they are read."""

from dataclasses import fields, replace

import numpy as np
import pytest

from pondsim.cli._size_text import value_text
from pondsim.cli._tables import comparison_csv
from pondsim.comparison import Row, compare
from pondsim.comparison.cells import BEST, cells
from pondsim.comparison.entries import entries
from pondsim.comparison.findings import findings, paragraphs
from pondsim.comparison.verdict import verdict
from pondsim.measures.declared import declarations
from tests.results.ponds import four, givens, small_pond

POUNDS = 0.45359237  # kg, NIST SP 811


@pytest.mark.parametrize(
    ("name", "band"),
    [
        # Bands of the project's statement on the grid: what doubling layers and the like may move.
        ("days_failing_top", 2.0),
        ("dawn_mean_top", 0.06),
        ("dawn_lowest_top", 0.15),  # a single dawn
        ("hours_below_3_top", 48.0),
        ("days_since_waterfall", 0.1),
    ],
)
def test_bands_of_ties(name, band):
    measure = declarations()[name].template
    assert measure.tied(1.0, 1.0 + band)
    assert not measure.tied(1.0, 1.0 + 1.01 * band)


def test_bands_by_share_hold_where_they_are_wider():
    hours = declarations()["hours_below_3_bottom"].template
    assert hours.tied(1000.0, 1100.0) and not hours.tied(1000.0, 1120.0)  # 10 % of the larger
    line = declarations()["oxygen_budget_by_oxygen_pathway"].template
    assert line.tied(0.0, 0.299 * POUNDS) and not line.tied(0.0, 0.302 * POUNDS)  # 0.3 lb/d
    assert line.tied(20.0, 21.0) and not line.tied(20.0, 21.2)  # 5 %


def test_89_against_90_days_and_a_tenth_of_a_milligram_are_no_headline():
    ponds = four(lows=(2.0, 2.1, 2.1, 2.0), bad_days=(20, 19, 20, 20), length=138)
    comparison = compare(ponds)
    days = [comparison.value("days_failing_top.arm", k) for k in range(4)]
    assert 0 < max(days) - min(days) <= 2
    said = verdict(comparison)
    assert (
        f"All tie on days below the 1-day minimum in the worst zone: {min(days):.0f} to {max(days):.0f}."
        in said
    )
    assert "All tie on minimum dawn oxygen: 2.0 to 2.1 mg/L." in said
    for word in ("fewest", "highest", "fewer", "performs worse"):
        assert word not in said
    assert '"loop and air" uses 496 kWh more than "air" and ties with it in the worst zone.' in said
    text = findings(comparison)[1]
    assert "The lowest dawn oxygen in arm is a tie: 2.0 and 2.1 mg/L" in text
    assert "Days below the 1-day minimum in the worst zone are a tie" in text
    assert "change for the worse" not in text
    row = comparison.row("dawn_lowest_top.arm")
    assert row.best == (False,) * 4
    assert [cell.change for cell in cells(row, "us")] == ["", "tie", "tie", "="]


def test_values_that_print_alike_share_the_star():
    """26.51 and 26.54 % both print 26.5: both are best."""
    ponds = [small_pond(title=str(k), pumped=0.01 * (k > 0)) for k in range(3)]
    for pond, share in zip(ponds, (80.0, 73.49, 73.46), strict=True):
        pond["solids_in_kg"] = pond["solids_in_kg"] * 0 + np.array([50.0, 50.0])
        pond["solids_out_kg"] = pond["solids_out_kg"] * 0 + np.array([share / 2, share / 2])
    row = compare(ponds).row("solids_captured")
    assert row.best == (False, True, True)
    assert [cell.value + cell.mark for cell in cells(row, "us")] == ["20.0", "26.5*", "26.5*"]


def test_the_paragraph_names_what_a_treatment_makes_worse():
    """1.2 mg/L at 3 o'clock every day, after the treatment also from 12 to 15 in the arm: no dawn changes.

    Straight lines to and from 6 mg/L are below 2 for 2 x 0.8/4.8 h: 13.3 h in 40 days, and 3 h + 0.33 h a day
    more, 9.1 bands; below 5 it is 63.3 h and 183.3 h more, 7.4 bands of a tenth.
    """
    ponds = []
    for title, more in (("existing", 0), ("treated", 4)):
        oxygen = np.full((24 * 40 + 1, 2, 3), 6.0)
        oxygen[3::24] = 1.2
        for hour in range(more):
            oxygen[12 + hour :: 24, 1] = 1.2
        ponds.append(small_pond(oxygen, title=title))
    text = findings(compare(ponds))[1]
    assert "The lowest dawn oxygen in pool stays 1.2 mg/L" in text
    assert "Largest change for the worse: hours below 2 mg/L, top, in arm (13 to 147 h)." in text


def test_a_season_that_never_falls_to_low_pool_says_so_and_how_to_run_it_dry():
    """The pond stands at 100 m; low pool is 99.7 m, 327.10 ft."""
    kept = [
        givens(pond={"pond.low_pool": [99.7, "m"]}, equipment=e) for e in ({}, {"pump.flow": [1.0, "m3/s"]})
    ]
    ponds = [small_pond(givens=one, title=t) for one, t in zip(kept, "ab", strict=True)]
    note = next(note for note in compare(ponds).notes if "low pool" in note)
    assert "never falls to low pool (327.10 ft, 99.70 m); the lowest is 328.08 ft, 100.00 m" in note
    assert 'water_surface = "327.10 ft"' in note
    ponds[1]["water_surface_elevation"] = ponds[1]["water_surface_elevation"] - 0.5
    assert not any("never falls" in note for note in compare(ponds).notes)
    assert not any(
        "never falls" in note for note in compare([ponds[0], ponds[0]]).notes
    )  # nothing draws water


def test_another_currency_is_the_unit_of_amounts():
    """Read from the results, not from a heading; sizes by cost have no share of 0 to 1 to fall into."""
    ponds = four()
    for pond, amount in zip(ponds, (0.0, 10.0, 30.0, 5.0), strict=True):
        pond.attrs["currency"] = "EUR"
        for name, value in (("energy", amount), ("demand", 0.0), ("fixed", 0.0)):
            pond[f"bill_{name}_charge"] = ("month", np.array([value]))
        pond.coords["month"] = ["2025-06"]
    comparison = compare(ponds)
    assert (comparison.row("cost").unit, comparison.row("cost").shown_in("us")) == ("$", "EUR")
    assert '"loop and air" costs 20 EUR more than "loop"' in verdict(comparison)
    assert value_text(20.0, entries(ponds[1])["cost"], "us") == "20 EUR"  # a target of a size
    assert "cost,Electricity cost over the run,all,EUR,0,10,30,5" in comparison_csv(comparison)


def test_nine_days_do_not_tie_by_the_hours_of_a_season():
    """0 against 31 h of 9 days: more than a tenth of the larger, and 48 h in 138 days are 3 h in 9."""
    ponds = []
    for title, hours in (("existing", 0), ("loop", 31)):
        oxygen = np.full((24 * 9 + 1, 2, 3), 6.0)
        oxygen[30 : 30 + hours, 1] = 1.0
        ponds.append(small_pond(oxygen, days=9, title=title))
    row = compare(ponds).row("hours_below_3_top.arm")
    assert row.values[0] == 0.0 and row.values[1] == pytest.approx(31.0, abs=1.0)
    assert row.ties == (True, False)


def test_digits_that_a_grid_check_moved_are_not_printed():
    """Moved by 0.3 mg/L: one decimal; by 3: none; by 40 h: tens."""
    row = compare(four()).row("dawn_lowest_top.arm")
    places = [replace(row, moved=moved).places("si") for moved in (0.0, 0.001, 0.3, 3.0)]
    assert places == [1, 1, 1, 0]
    hours = replace(
        row, unit="h", us="h", si="h", decimals=0, moved=40.0, tie=50.0, limit=float("nan"),
        values=(3141.0, 3082.0), no_contest=(False, False),
    )  # fmt: skip
    assert [(cell.value, cell.change) for cell in cells(hours, "us")] == [("3140", ""), ("3080", "-60")]
    assert [(c.value, c.change) for c in cells(replace(hours, tie=60.0), "us")][1] == ("3080", "tie")


@pytest.mark.parametrize("system", ["us", "si"])
def test_no_star_stands_beside_a_number_that_prints_alike(system):
    """A foot cubed is 0.0283168 m3: 16.11, 16.12 and 16.02 L/s are 0.569, 0.569 and 0.566 cfs, all 0.57."""
    peak = declarations()["outlet_peak"].template
    values = (0.01611, 0.01612, 0.01602)
    row = Row(
        **{one.name: getattr(peak, one.name) for one in fields(peak)}, values=values, no_contest=(False,) * 3
    )
    printed = cells(row, "us")
    assert [cell.value for cell in printed] == ["0.57"] * 3
    assert [cell.mark for cell in cells(row, system)] == [""] * 3
    far = replace(row, values=(0.01611, 0.01612, 0.01405))
    assert [cell.mark for cell in cells(far, system)] == ["", "", BEST]


def one_kill(hours, title):
    """A season at 6 mg/L in which the arm stands at 2 mg/L for so many hours in a row."""
    oxygen = np.full((24 * 138 + 1, 2, 3), 6.0)
    oxygen[24 * 30 : 24 * 30 + hours, 1] = 2.0
    return small_pond(oxygen, days=138, title=title)


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        (8, 55, "below 3 mg/L near the surface arm (8 to 54 h)"),
        (0, 7, "below 3 mg/L near the surface arm (0 to 6 h)"),
        (0, 6, ""),
        (30, 70, ""),  # more than a day to begin with
        (55, 8, ""),
    ],
)
def test_hours_that_kill_fish_are_named_though_they_tie(was, now, said):
    """The band of a season, 48 h, is longer than a kill. Half an hour is crossed on the way down and up."""
    comparison = compare([one_kill(was, "existing"), one_kill(now, "loop")])
    row = comparison.row("hours_below_3_top.arm")
    assert row.values == pytest.approx((max(was - 0.5, 0.0), now - 0.5)) and row.ties[1]
    text = paragraphs(comparison)[1]
    assert ("hours that can kill fish" in text) is bool(said)
    assert said in text


@pytest.mark.parametrize(
    "name",
    ["outlet_hours_below_3", "windows_failing_mean_7_day_top", "windows_failing_mean_minimum_7_day_bottom"],
)
def test_bands_of_windows_and_drawn_hours_go_with_the_length_of_the_run(name):
    """As those of days: as stated over 138 days, a tenth of it over 13.8, never below 1."""
    one = declarations()[name]
    assert one.tie_in(138.0) == one.template.tie
    assert one.tie_in(13.8) == pytest.approx(max(one.template.tie / 10.0, 1.0))
    assert one.tie_in(69.0) == pytest.approx(one.template.tie / 2.0)
