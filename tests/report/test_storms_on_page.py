"""Design storms, limits and the water that leaves on the page: what is worse, and by which tolerance."""

from __future__ import annotations

import json

import pytest

from pondsim.comparison import compare
from pondsim.comparison.harm import STORM, season_harm
from pondsim.comparison.storms import storm_words
from pondsim.errors import ScenarioError
from pondsim.measures import peak_words
from pondsim.reporting import answer, report
from pondsim.reporting.harm import read_storms, storms_part
from pondsim.reporting.limits import leaving_part, limits_part
from tests.report.page_reader import Page, keep_parts
from tests.results.ponds import small_pond
from tests.results.test_own_limits import leaving

MEASURES = dict.fromkeys(STORM, 5.0) | {"drawdown": 50000.0, "outlet_temperature": 25.0}


def storm_file(path, **worse):
    found = {
        "name": "10yr",
        "begin": "2025-07-15 06:00",
        "end": "2025-07-16 06:00",
        "pool_m": 3.0,
        "designs": ["existing", "loop"],
        "measures": [MEASURES, MEASURES | worse],
    }
    path.write_text(json.dumps({"storms": [found]}), encoding="utf-8")
    return path


def test_a_storm_names_what_is_worse_with_its_tolerance(tmp_path, monkeypatch):
    """5 to 5.2 m3/s is 177 to 184 cfs; 2 % of 5 are 0.1 m3/s, 3.5 cfs. What is null does not come to pass."""
    storms = read_storms(storm_file(tmp_path / "storms.json", peak_out=5.2, drawdown=None))
    keep_parts(monkeypatch, answer.answer)
    page = Page(report([small_pond(title="existing"), small_pond(title="loop")], storms=[storms]).html)
    assert not any("Storm 10yr" in text for _, text in page.headings)  # its part goes with the part on harm
    part = storms_part(storms)
    said = next(block for block in part.blocks if getattr(block, "name", "") == "loop")
    assert "peak outflow (177 to 184 cfs, tolerance 3.5 cfs (2 %))" in said.text.us
    assert "peak outflow (5 to 5.2 m3/s, tolerance 0.1 m3/s (2 %))" in said.text.si
    assert "drawdown time" in said.text.us
    table = next(block for block in part.blocks if getattr(block, "heads", None))
    marked = {row.head.si: row.cells[2].mark for group in table.groups for row in group.rows}
    assert sum(mark == "!" for mark in marked.values()) == 2


@pytest.mark.parametrize("text", ["", "[]", '{"storms": [{"name": 3}]}', '{"storms": [{"designs": [1]}]}'])
def test_another_file_is_refused(tmp_path, text):
    path = tmp_path / "other.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError, match="holds no storms"):
        read_storms(path)


def test_limits_and_the_water_that_leaves_have_parts_of_their_own(monkeypatch):
    ponds = [
        leaving(small_pond(mg, title=title), dissolved_oxygen=mg - 1.0, water_temperature=25.0).assign(
            outlet_suspended_solids=(
                ("time", "settling_class"),
                small_pond()["power"].values[:, None] + [1.0, 2.0],
            )
        )
        for mg, title in ((2.0, "existing"), (7.0, "loop"))
    ]
    keep_parts(monkeypatch, answer.answer, limits_part, leaving_part)
    page = Page(report(ponds).html)
    assert "Which limit fails, and when" in [text for _, text in page.headings]
    assert "fails in 2 of 2 zones, worst pool: 40 of 40 days, Jun 1 to Jul 10, lowest 2 mg/L" in page.text
    assert page.numbers["outlet_oxygen_mean#0", "us"] == "1.0"
    assert page.numbers["outlet_oxygen_mean#1", "us"] == "6.0"
    assert page.numbers["outlet_hours_below_5#0", "us"] == "240"


@pytest.mark.parametrize(
    ("step", "words"),
    [
        (1.0, "highest hourly mean"),
        (2.0, "highest 2-hour mean"),
        (0.5, "highest 30-minute mean"),
        (0.25, "peak"),
        (float("nan"), "peak"),  # one moment has no step
    ],
)
def test_a_mean_flow_is_no_peak(step, words):
    assert peak_words(step) == words


@pytest.mark.parametrize(("every", "words"), [(1, "highest hourly mean"), (4, "highest 4-hour mean")])
def test_compare_names_a_mean_flow_and_its_harm(every, words):
    """Outflow is kept as its mean between results, so an hour at 5 m3/s is no peak."""
    existing = small_pond(days=2, title="existing")
    design = small_pond(days=2, title="loop")
    design["outflow"][20:30] = 5.0
    comparison = compare([one.isel(time=slice(None, None, every)) for one in (existing, design)])
    assert comparison.row("outlet_peak").label == f"{words} out"
    (worse,) = [line for line in season_harm(comparison, 1) if line.key == "outlet_peak"]
    assert worse.worse and worse.judged.words == f"{words} outflow"


def test_words_of_a_storm_follow_the_step():
    assert storm_words("peak_in")[0] == "peak in"
    assert storm_words("peak_in", "highest hourly mean")[0] == "highest hourly mean in"
    assert storm_words("peak_peak", "highest hourly mean")[0] == "highest hourly mean runoff of peak"
