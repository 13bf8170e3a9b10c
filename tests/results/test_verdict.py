"""The verdict: who meets the criteria, who is best, at what price; and zones that get worse."""

from __future__ import annotations

import numpy as np
import pytest

from pondsim.comparison import compare
from pondsim.comparison.findings import findings
from pondsim.comparison.verdict import verdict
from pondsim.reporting.summary import summary
from tests.report.page_reader import Page
from tests.results.ponds import four, small_pond


def test_the_verdict_names_the_best_its_price_and_who_pays_more_for_less():
    """100 W over 40 d is 96 kWh; the counts of failing days are those of the table."""
    comparison = compare(four())
    today, least, more, most = [comparison.value("days_failing_top.arm", k) for k in range(4)]
    said = verdict(comparison)
    assert said.startswith("No design meets the oxygen criteria near the surface in every zone")
    assert (
        f'"loop" has the fewest days below the 1-day minimum, {least:.0f} ("existing": {today:.0f}).' in said
    )
    lows = (
        '"loop" and "loop and air" tie for the highest minimum dawn oxygen, 2.5 mg/L ("existing": 1.0 mg/L).'
    )
    assert lows in said
    saved = f"is below the 1-day minimum on {today - least:.0f} days fewer."
    assert f'"loop" uses 96 kWh more than "existing" and {saved}' in said
    alone = verdict(compare([small_pond(title="existing"), small_pond(title="same")]))
    assert '("existing":' not in alone  # it is not held against itself
    dearer = f"is below the 1-day minimum on {more:.0f} days instead of {least:.0f}"
    dear = '"loop and air" uses 96 kWh more than "loop" and performs worse in its worst zone'
    assert f"{dear}: it {dearer}." in said
    assert most > today
    assert f'"air" is below the 1-day minimum on {most - today:.0f} days more than "existing"' in said
    assert "no interval" in said


def test_the_verdict_of_ponds_that_meet_the_criteria():
    said = verdict(compare(four(lows=(8.0, 8.0, 8.0, 8.0))))
    assert said.startswith("Every design meets the oxygen criteria")
    text = findings(compare(four(lows=(8.0, 8.0, 8.0, 8.0))))[1]
    assert "No zone falls below the 1-day minimum near the surface on any day" in text
    assert "stays 8.0 mg/L" in text
    assert verdict(compare(four(lows=(1.0, 8.0, 2.0, 2.0)))).startswith('"loop" meets the oxygen criteria')
    assert "cannot be judged" in verdict(compare([small_pond(days=40).isel(time=slice(0, None, 3))] * 2))


def test_the_verdict_counts_money_where_there_is_a_tariff():
    ponds = four()
    for pond, dollars in zip(ponds, (0.0, 10.0, 30.0, 5.0), strict=True):
        names = ("bill_energy_charge", "bill_demand_charge", "bill_fixed_charge")
        for name, value in zip(names, (dollars, 0.0, 0.0), strict=True):
            pond[name] = ("month", np.array([value]))
        pond.coords["month"] = ["2025-06"]
    assert '"loop and air" costs $20 more than "loop"' in verdict(compare(ponds))


def test_zones_that_get_worse_are_named_where_the_worst_zone_stays_as_it_is():
    """The arm fails on 15 days in both; the pool on 2 days, then on 12: 15 to 15 alone would hide it."""
    ponds = []
    for title, bad in (("existing", 2), ("treated", 12)):
        oxygen = np.full((24 * 40 + 1, 2, 3), 7.0)
        oxygen[: 24 * 15, 1] = 1.0
        oxygen[: 24 * bad, 0] = 1.0
        ponds.append(small_pond(oxygen, title=title))
    text = findings(compare(ponds))[1]
    assert (
        "Days below the 1-day minimum in the worst zone are a tie: 15 today (arm), 15 with it (arm)." in text
    )
    assert "Days below the 1-day minimum grow in number in pool (2 to 12)." in text
    assert "Failing 7-day windows (mean minimum) grow in number in pool (" in text


@pytest.mark.parametrize(
    ("was", "now", "said", "page"),
    [
        (0, 1, "are a tie: 0 today, 1 with it (arm).", "on 1 of 138 days in arm; today no zone does."),
        (
            2,
            0,
            "are a tie: 2 today (arm), 0 with it.",
            "on none of 138 days in any zone; today the worst zone falls below it on 2.",
        ),
        (
            0,
            9,
            "Today no zone falls below the 1-day minimum; with it the worst (arm) does on 9.",
            "on 9 of 138 days in arm; today no zone does.",
        ),
    ],
)
def test_no_zone_is_the_worst_where_none_has_a_day(was, now, said, page):
    """Dips at noon lie between dawns; the band of a season is 2 days."""
    ponds = []
    for title, bad in (("existing", was), ("loop", now)):
        oxygen = np.full((24 * 138 + 1, 2, 3), 7.0)
        oxygen[12 : 24 * bad : 24, 1] = 1.0
        ponds.append(small_pond(oxygen, days=138, title=title))
    assert said in findings(compare(ponds))[1]
    assert f"Oxygen falls below the 1-day minimum {page}" in " ".join(Page(summary(ponds)).text.split())
