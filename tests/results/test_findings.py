"""Paragraphs on each design: oxygen supplied, harm, starts and trips, what its design sheet says."""

from __future__ import annotations

import json

import pytest

from pondsim.cli._tables import comparison_text
from pondsim.comparison import compare
from pondsim.comparison.findings import findings, paragraphs, worst_zone
from pondsim.comparison.remarks import sentence
from pondsim.comparison.verdict import verdict
from pondsim.records import Record, to_json
from pondsim.reporting import answer, report
from tests.report.page_reader import Page, keep_parts
from tests.results.ponds import arm, pair, small_pond, switched


def test_findings_say_share_of_the_bed_demand_and_both_kinds_of_turnover():
    """1 kg/d is 2.2 lb/d; the bed takes 10 kg/d, so 10 %; the arm's water is 6 d old."""
    comparison = pair()
    assert worst_zone(comparison) == "arm"
    before, after = findings(comparison)
    assert "Lowest dawn oxygen: arm, surface, 2.0 mg/L." in before
    assert "falls below the 1-day minimum on 40 of 40 days in arm" in before
    sediment = "10 % of what the sediment consumes, 22 lb/d (sediment oxygen demand);"
    assert f"2.2 lb/d of oxygen, {sediment}" in after
    # by hand: 1000 m3 of 2 d and 500 m3 of 6 d, (1000 (1 - exp(-3/2)) + 500 (1 - exp(-3/6))) / 1500 = 0.649
    assert "65 % of the water is replaced within 3 d; older than the rest: arm (6 d)" in after
    assert "At the run's mean flows, optimistic where water is stratified, mean water age since" in after
    assert "960 kWh in 40 days" in after
    assert "1 kg/d of oxygen" in findings(comparison, "si")[1]


def test_harm_is_said():
    """The pool falls from 6 to 3.5 mg/L: below 5 mg/L in all of 960 h, and lower at dawn; the arm gains."""
    existing, worse = small_pond(arm(4.0), title="a"), small_pond(arm(4.5, pool=3.5), title="b")
    text = findings(compare([existing, worse]))[1]
    lows = "It lowers the lowest dawn oxygen in pool (6.0 to 3.5 mg/L)."
    assert f"{lows} Also worse: mean oxygen at dawn, top, in pool (6.0 to 3.5 mg/L)." in text
    assert "Largest change" not in text  # by bands the mean moved most, but a lowest dawn kills fish


def test_a_supersaturated_pond_loses_oxygen_at_the_waterfall():
    pond = small_pond(title="loop", pumped=0.02)
    pond["oxygen_total"] = pond["oxygen_total"] * (1 - 2 * (pond["oxygen_pathway"] == "waterfall"))
    assert "removes 2.2 lb/d" in findings(compare([small_pond(), pond]))[1]


def test_air_beside_a_waterfall_has_the_sediment_told_once():
    """1 kg/d by the waterfall and 0.5 by bubbles, 10 % and 5 % of the 10 kg/d that the bed takes."""
    pond = small_pond(title="loop and air", pumped=0.02)
    pond["oxygen_total"].loc["pool", "bubbles"] = 0.5 * 40.0
    said = findings(compare([small_pond(), pond]), "si")[1]
    assert (
        "The waterfall supplies 1 kg/d of oxygen and the aeration 0.5 kg/d, 10 % and 5 % of what the "
        "sediment consumes, 10 kg/d (sediment oxygen demand); "
        "their other effects come from the water they move."
    ) in said
    assert said.count("what the sediment consumes") == 1


def test_what_the_sediment_consumes_is_named_by_the_two_lines_of_the_budget_that_it_adds_up():
    """10 kg/d by the bed itself, 7 by what it let out: of 17 kg/d the 1 kg/d of the waterfall is 5.9 %."""
    ponds = [small_pond(arm(2.0), title="existing"), small_pond(arm(4.5), title="loop", pumped=0.02)]
    lines = [
        str(line).replace("respiration", "bottom_debt_oxidation")
        for line in ponds[0]["oxygen_pathway"].values
    ]
    comparison = compare([pond.assign_coords(oxygen_pathway=lines) for pond in ponds])
    rows = {row.label: row.values[1] for row in comparison.rows if row.key.startswith("oxygen_budget.")}
    assert rows["sediment oxygen demand"] == -10.0 and rows["bottom oxygen debt"] == -7.0
    said = "5.9 % of what the sediment consumes, 17 kg/d (sediment oxygen demand 10, bottom oxygen debt 7);"
    assert said in findings(comparison, "si")[1]


@pytest.mark.parametrize(
    ("starts", "trips", "words"),
    [
        (1, 0, "It uses 960 kWh in 40 days."),
        (40, 0, "It uses 960 kWh in 40 days."),
        (17, 0, "It uses 960 kWh in 40 days; pump starts 17 times, runs 900 h."),
        (90, 88, '"Loop": Pump trips 88 times, starts 90 times and runs 900 of 960 h.'),
        (1, 1, '"Loop": Pump trips once, starts once and runs 900 of 960 h.'),
    ],
)
@pytest.mark.parametrize("system", ["us", "si"])
def test_findings_tell_of_starts_that_no_timer_makes(starts, trips, words, system):
    """1 kW through 40 days is 960 kWh; one start, or one a day, is what a timer makes."""
    design = switched(starts=starts, trips=trips)
    assert words in findings(compare([small_pond(), design]), system)[1]


def test_a_pump_that_lost_its_flow_is_told_in_the_paragraph():
    existing, design = small_pond(days=3), small_pond(days=3)
    short = Record("intake_short", "warning", "pump", {"cover": (0.15, "m")}, {"first": "2025-06-02T04:00"})
    design.attrs |= {"title": "Option B: waterfall, 400 gpm", "remarks": to_json([short])}
    comparison = compare([existing, design])
    said = "within 0.49 ft (0.15 m) of the intake's centerline, first on June 2: the pump loses its flow"
    assert said in findings(comparison)[1]
    assert any(
        note.startswith('"Option B: waterfall, 400 gpm": The water level') for note in comparison.notes
    )


def test_a_pump_that_trips_all_season_is_the_first_word(monkeypatch):
    """19,872 trips and no hour run: nothing stands before it, on the screen and on the page."""
    design = switched(starts=19872, trips=19872, hours=0.0)
    comparison = compare([small_pond(), design])
    first = "Pump trips 19872 times, starts 19872 times and runs 0 of 960 h."
    assert paragraphs(comparison)[1].startswith(first)
    assert findings(comparison)[1].count("trips") == 1
    keep_parts(monkeypatch, answer.answer)
    assert first in Page(report([small_pond(), design]).html).text


def test_a_pump_with_a_float_is_not_told_to_get_one():
    """Pump off at 2 m is 6.56 ft."""
    numbers = {"cover": (0.15, "m")}
    moment = {"first": "2025-06-02T04:00"}
    without, with_it = (
        sentence(Record("intake_short", "warning", "pump", numbers | more, moment))
        for more in ({}, {"pump_off": (2.0, "m")})
    )
    assert "Give it a float switch" in without
    assert "Give it" not in with_it and "pump off is at 6.56 ft (2.00 m)" in with_it


FAILING = {
    "fail": [{"part": "intake", "what": "cover at low pool"}, {"part": "pump", "what": "suction"}],
    "warn": [{"part": "pump", "what": "efficiency"}],
    "pass": 20,
}


PASSING = {"fail": [], "warn": [], "pass": 24}


def sheeted():
    """The best near the surface fails two limits of its design sheet."""
    existing = small_pond(arm(2.0), title="existing", design_sheet=json.dumps({**PASSING, "pass": 0}))
    old = small_pond(arm(4.5), title="old pump", pumped=0.02, design_sheet=json.dumps(FAILING))
    new = small_pond(arm(4.2), title="new pump", pumped=0.01, design_sheet=json.dumps(PASSING))
    return [existing, old, new]


def test_a_design_that_fails_its_sheet_is_never_best_without_that_word():
    comparison = compare(sheeted())
    said = verdict(comparison)
    assert '"old pump" (2 FAIL) has the highest minimum dawn oxygen' in said
    assert said.count('"old pump"') == said.count('"old pump" (2 FAIL)')
    assert '"new pump" (' not in said
    text = findings(comparison)
    assert "2 FAIL (intake, cover at low pool; pump, suction) and 1 WARN (pump, efficiency)" in text[1]
    assert "design sheet" not in text[2]
    lines = comparison_text(comparison).splitlines()
    assert "  A  existing" in lines  # nothing of it is judged
    assert "  B  old pump  (design sheet: 2 FAIL, 1 WARN)" in lines
    assert "  C  new pump  (design sheet: no FAIL, no WARN)" in lines


def test_the_page_holds_the_sheets_beside_the_designs(monkeypatch):
    keep_parts(monkeypatch, answer.answer)
    made = report(sheeted())
    row = next(line for line in made.tables["at_a_glance"].splitlines() if line.startswith("design sheet"))
    assert "2 FAIL, 1 WARN" in row and "no FAIL, no WARN" in row
    assert "2 FAIL (intake, cover at low pool; pump, suction)" in Page(made.html).text
