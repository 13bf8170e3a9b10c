"""Pages on made-up results at the edge: what is missing is said, what is hostile is harmless."""

from __future__ import annotations

import html

import numpy as np
import pytest

from pondsim.errors import ScenarioError
from pondsim.reporting import answer, appendix, books, events, power, report, season
from tests.report.page_reader import Page, keep_parts
from tests.results.ponds import small_pond

HOSTILE = "<script>alert(\"x\")</script> & 'y' ${_"


def pond(days=40, **changes):
    """The made-up pond with a storm on its third day, warm weather and a plan."""
    base = small_pond(days=days, **changes)
    count = base.sizes["time"]
    rain = np.zeros(count)
    rain[10:14] = 2e-6
    return base.assign(
        inflow=("time", np.where(rain > 0.0, 0.5, 0.002)),
        rain_intensity=("time", rain),
        solids_in_rate=("time", 1e3 * rain),
        solids_out_rate=("time", 5e2 * rain),
        air_temperature=("time", 20.0 + 5.0 * np.sin(np.arange(count) / 24.0)),
        zone_x=("zone", np.array([0.0, 30.0])),
        zone_y=("zone", np.array([0.0, 0.0])),
    )


def test_markup_in_titles_zones_and_files_stays_text(made):
    zones = ["<b>pool</b>", "a&\"b'"]
    text = f"# ---- site.toml\ntitle = '''{HOSTILE}'''\n# ---- design.toml\n</pre>{HOSTILE}\n"
    runs = [
        pond(title=title, scenario_text=text).assign_coords(zone=zones) for title in (HOSTILE, f"2 {HOSTILE}")
    ]
    made = report(runs)
    page = Page(made.html)
    assert HOSTILE not in made.html
    assert not [script for script in page.scripts if "alert" in script and "</" in script]
    assert len(page.scripts) == len(Page(made.html).scripts)
    assert "b" not in {tag for tag, _ in page.stack} and HOSTILE in page.text
    assert html.escape("<b>pool</b>") in made.html


def test_one_run_is_reported_without_a_comparison():
    page = Page(report([pond()]).html)
    assert "One run, no comparison" in page.text
    assert "dawn_lowest_top.pool#0" in {key for key, _ in page.numbers}


def test_results_that_lack_variables_are_reported_without_those_parts():
    page = Page(report([small_pond(), small_pond(title="other")]).html)
    assert "results lack what is needed" in page.text
    assert "do not hold their parameters" in page.text
    assert "The results hold no scenario text" not in page.text


def test_water_that_melts_is_no_storm(monkeypatch):
    """Cold water without rain, on the page of each design and in the table of what is worse."""
    keep_parts(monkeypatch, events.events_part, events.harm_part)
    cold = {"inflow_water_temperature": lambda one: 1.0 + 0.0 * one["inflow"], "rain_intensity": _dry}
    page = Page(report([pond().assign(cold), pond(title="b").assign(cold)]).html)
    assert "The largest snowmelt and the hottest week" in [text for _, text in page.headings]
    assert "The snowmelt that brings most water begins at 2025-06-01 09:00" in page.text
    assert "In that snowmelt: each line with its own tolerance" in page.text
    assert "storm" not in page.text.lower().replace("pondsim storm", "")


def _dry(one):
    return 0.0 * one["rain_intensity"]


def test_pond_of_one_zone():
    page = Page(report([pond().isel(zone=[0]), pond(title="b", pumped=0.01).isel(zone=[0])]).html)
    assert "dawn_lowest_top.pool#1" in {key for key, _ in page.numbers}


def test_one_day_cannot_be_judged_by_longer_means():
    page = Page(report([pond(days=1), pond(days=1, title="b")]).html)
    assert "Too short to judge" in page.text


def test_results_every_six_hours_say_that_dawns_are_not_judged():
    page = Page(report([pond().isel(time=slice(None, None, 6))]).html)
    assert "No criterion can be judged" in page.text


def test_the_bound_of_the_mass_balance_is_a_number(monkeypatch):
    """A run that does not close to one part in a million is an error."""
    keep_parts(monkeypatch, books.balance_part)
    page = Page(report([pond(), pond(title="b")]).html)
    assert "A run with an error above 1e-06 is refused" in page.text


def test_no_oxygen_at_all():
    page = Page(report([pond(oxygen=0.0)]).html)
    assert float(page.numbers["dawn_lowest_top.pool#0", "us"]) == 0.0


def test_storm_without_an_end_is_not_compared(monkeypatch):
    keep_parts(monkeypatch, events.harm_part)
    dataset = pond()
    flow = np.full(dataset.sizes["time"], 0.002)
    flow[-3:] = 1.0
    page = Page(report([dataset.assign(inflow=("time", flow))]).html)
    assert "lasts until the run ends" in page.text


def test_storm_names_what_is_worse(monkeypatch):
    keep_parts(monkeypatch, events.harm_part)
    design = pond(title="b", outlet_zone="arm")
    outflow = design["outflow"].values * np.where(design["inflow"].values > 0.1, 5.0, 1.0)
    page = Page(report([pond(outlet_zone="arm"), design.assign(outflow=("time", outflow))]).html)
    assert "Worse than the existing pond: highest hourly mean outflow" in page.text
    # 0.002 and 0.01 m3/s by 35.3147 ft3/m3
    assert page.numbers["storm.peak_out#0", "us"] == "0.0706"
    assert page.numbers["storm.peak_out#1", "us"] == "0.353"


def test_other_versions_are_reported_with_a_remark(monkeypatch):
    keep_parts(monkeypatch, answer.answer, appendix.scenario_part)
    page = Page(report([pond(), pond(title="b", pondsim_version="0.0.9")]).html)
    assert "come from different versions" in page.text


@pytest.mark.parametrize(
    ("runs", "words"),
    [
        (lambda: [pond(), pond(days=10)], "cannot be compared"),
        (lambda: [pond(), pond().assign_coords(zone=["pool", "bay"])], "designs of one site"),
        (lambda: [pond(days=0)], "one moment only"),
    ],
)
def test_what_cannot_be_reported_is_refused_in_words(runs, words):
    with pytest.raises(ScenarioError, match=words):
        report(runs())


def test_a_missing_attribute_is_named():
    dataset = pond()
    del dataset.attrs["renewed_within_d"]
    with pytest.raises(ScenarioError, match="lack the attribute renewed_within_d; run the design again"):
        report([dataset])


def test_facts_that_cannot_be_read_are_left_out(monkeypatch):
    keep_parts(monkeypatch, season.plan_part, power.power_part, appendix.methods_part)
    page = Page(report([pond(layout="{no json", parameters="[")]).html)
    assert "do not hold their parameters" in page.text
