"""A pond of one zone over a few days: no page speaks of other zones, of a week or of a summer."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from pondsim.comparison import compare
from pondsim.comparison.findings import findings
from pondsim.comparison.remarks import sentence
from pondsim.comparison.verdict import verdict
from pondsim.records import Record
from pondsim.reporting import answer, events, report
from pondsim.reporting.summary import summary
from pondsim.reporting.tables import worst_of
from tests.report.page_reader import Page, keep_parts
from tests.report.test_edges import pond

OTHERS = re.compile(r"(every|any|all|worst) zones?|worst \(|summer|season|hottest", re.IGNORECASE)


def alone(lows, title, **more):
    """The pool alone for five days, with one value of oxygen each day."""
    oxygen = np.repeat(lows, 24)
    oxygen = np.append(oxygen, oxygen[-1])[:, None, None]
    return pond(days=5, oxygen=oxygen, title=title, **more).isel(zone=[0])


def ponds():
    """Below 3 mg/L on three days of five today, on one with the loop and on four with the mixer."""
    found = [
        alone([2.0, 2.0, 2.0, 6.0, 6.0], "today"),
        alone([2.5, 6.0, 6.0, 6.0, 6.0], "loop", pumped=0.01),
        alone([1.0, 1.0, 1.0, 1.0, 6.0], "mixer", pumped=0.02),
    ]
    found[2]["power"] = 2.0 * found[1]["power"]
    return found


def test_sentences_of_a_pond_of_one_zone_name_no_others():
    comparison = compare(ponds())
    said = [verdict(comparison), *findings(comparison)]
    assert "No design meets the oxygen criteria near the surface, nor does the existing pond." in said[0]
    assert '"loop" has the fewest days below the 1-day minimum, 1 ("today": 3).' in said[0]
    assert "and performs worse: it is below the 1-day minimum on 4 days instead of 1" in said[0]
    assert "Today pool falls below the 1-day minimum on 3 days; with it pool does on 1." in said[2]
    assert not [OTHERS.search(text) for text in said if OTHERS.search(text)]


def test_the_owner_reads_the_period_and_no_word_of_other_zones():
    text = Page(summary(ponds())).text
    assert "One run at stated values, 2025-06-01 to 2025-06-06, no interval" in text
    assert "falls below the 1-day minimum on 1 of 5 days in pool; today it does so on 3." in text
    assert "days below the 1-day minimum of oxygen, 3 mg/L, top, pool, d" in text
    assert OTHERS.search(text) is None


def test_the_report_closes_up_on_the_whole_run(monkeypatch):
    keep_parts(monkeypatch, answer.answer, answer.criteria_part, events.events_part)
    page = Page(report(ponds()).html)
    assert "The largest storm and the whole run" in [text for _, text in page.headings]
    assert "Whole run: 2025-06-01 00:00 to 2025-06-06 00:00" in page.text
    assert OTHERS.search(page.text.replace("every zone, 0 to", "")) is None  # a limit's own words


@pytest.mark.parametrize(("values", "named"), [((0.0, 0.0), "all zones"), ((0.0, None), "pool")])
def test_all_zones_are_alike_only_where_each_has_a_value(values, named):
    """A zone without a number, dry or not judged, is not like the others."""
    rows = [row for row in compare([pond(), pond(title="b")]).rows if row.key.startswith("days_failing_top.")]
    known = [replace(row, values=(0.0, value)) for row, value in zip(rows, values, strict=True)]
    assert worst_of(known, 1)[1] == named


def test_a_run_of_hours_is_told_in_hours():
    """From midnight to 9 o'clock: no results are before a day, and nothing lasts 0 or 0.375 days."""
    begun = {"until": "2025-06-01T09:00"}
    shows = Record(
        "start_shows", "note", numbers={"days": (0.375, "d"), "searched": (32400.0, "s")}, times=begun
    )
    filled = Record("bed_of_short_period", "note", numbers={"length": (32400.0, "s")})
    assert sentence(shows).startswith("Results before June 1 09:00 (at least 9 h) still depend on")
    assert sentence(filled).startswith("The bed was filled by repeating a period of only 9 h: compare")
    short = [one.isel(time=slice(0, 10)).assign_attrs(balance_redox=1e-8) for one in ponds()[:2]]
    notes = " ".join(compare(short).notes)
    lines = "the 30-day mean, the 7-day mean minimum and the 1-day minimum"
    assert f"Too short to judge by {lines} of the criteria." in notes
    assert "the largest error is 1e-08 (oxygen and all oxygen demand)." in notes
    assert "Simulated 2025-06-01 00:00 to 2025-06-01 09:00, 9 h." in Page(summary(short)).text
