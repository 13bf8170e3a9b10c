"""The page's numbers are those of the terminal, of JSON and of the file, to the printed digit."""

from __future__ import annotations

import itertools
import re

import numpy as np
import pytest

from pondsim.cli._tables import comparison_data, comparison_text
from pondsim.comparison import compare
from pondsim.output.provenance import facts_of
from pondsim.reporting import TABLES, appendix, books, report
from pondsim.results import load
from pondsim.scenario.defaults import default_parameter
from pondsim.scenario.read import read_scenario
from tests.report.page_reader import Page, keep_parts
from tests.scenarios_for_tests import minimal_design, write_design

CUBIC_FEET_IN_M3 = 35.3146667  # NIST SP 811, 1/0.3048^3
POUNDS_IN_KG = 1.0 / 0.45359237  # NIST SP 811
FEET_IN_M = 1.0 / 0.3048


@pytest.fixture(scope="module")
def page(made):
    return Page(made.html)


def half_digit(text):
    """Half of the last printed digit."""
    return 0.5000001 * 10.0 ** -len(text.partition(".")[2])


def test_numbers_of_the_page_are_those_of_json(runs, page):
    compared = 0
    for system in ("us", "si"):
        for measure in comparison_data(compare(runs), system)["measures"]:
            for design, value in enumerate(measure["values"]):
                text = page.numbers.get((f"{measure['key']}#{design}", system))
                if text is None:
                    continue
                compared += 1
                if value is None:
                    assert text == "-"
                else:
                    tolerance = half_digit(text) + 1e-6 * abs(value)  # JSON keeps seven digits
                    assert float(text) == pytest.approx(value, abs=tolerance), measure["key"]
    assert compared > 200


def test_numbers_of_the_page_are_those_of_the_terminal(runs, page):
    lines = comparison_text(compare(runs), "us", full=True).splitlines()
    keys = {
        ("Days below the 1-day minimum", "cove"): "days_failing_top.cove",
        ("Lowest oxygen at dawn, top", "deep pool"): "dawn_lowest_top.deep pool",
        ("Hours below 3 mg/L, bottom", "deep pool"): "hours_below_3_bottom.deep pool",
        ("Oxygen budget", "sediment oxygen demand"): "oxygen_budget.bed_demand",
        ("Outlet and level", "highest hourly mean out [cfs]"): "outlet_peak",
        ("Days since the waterfall", "cove"): "days_since_waterfall.cove",
    }
    for (section, label), key in keys.items():
        start = next(k for k, line in enumerate(lines) if line.startswith(section))
        line = next(line for line in lines[start + 1 :] if line.startswith(f"  {label} "))
        cells = re.findall(r"(?<![(\d.+=-])(-?\d+(?:\.\d+)?|-)(?=[!* ]|$)", line[2 + len(label) :])
        assert cells[0] == page.numbers[f"{key}#0", "us"], line
        assert page.numbers[f"{key}#1", "us"] in cells, line


def test_numbers_of_the_page_are_those_of_the_file_by_plain_arithmetic(files, page):
    """Recomputed from the arrays alone; units by the factors of NIST SP 811."""
    for design, path in enumerate(files):
        file = load(path)
        hours = np.diff(file["time"].values) / np.timedelta64(1, "h")
        days = hours.sum() / 24.0
        volumes = file["mean_box_volume"].values
        ages = file["steady_age_since_waterfall"].values
        came, left = file["solids_in_kg"].values.sum(), file["solids_out_kg"].values.sum()
        expected = {
            ("electricity", "us"): np.sum(file["power"].values[1:] * hours) / 1000.0,
            ("outlet_peak", "us"): file["outflow"].values.max() * CUBIC_FEET_IN_M3,
            ("outlet_peak", "si"): file["outflow"].values.max() * 1000.0,
            ("highest_surface", "us"): file["water_surface_elevation"].values.max() * FEET_IN_M,
            ("solids_captured", "us"): 100.0 * (1.0 - left / came),
            ("outlet_solids", "us"): left * POUNDS_IN_KG,
        }
        by_line = file["oxygen_total"].sum("zone")
        for line in ("bed_demand", "photosynthesis", "waterfall"):
            total = float(by_line.sel(oxygen_pathway=line))
            expected[f"oxygen_budget.{line}", "us"] = total / days * POUNDS_IN_KG
            expected[f"oxygen_budget.{line}", "si"] = total / days
        for zone, name in enumerate(file["zone"].values):
            there = np.isfinite(volumes[zone])
            if design:
                mean = np.sum((volumes * ages)[zone][there]) / volumes[zone][there].sum()
                expected[f"days_since_waterfall.{name}", "us"] = mean
            grown = file["bed_thickness"].values[-1, zone] - file["bed_thickness"].values[0, zone]
            expected[f"bed_growth.{name}", "si"] = grown * 1000.0
        for (key, system), value in expected.items():
            text = page.numbers[f"{key}#{design}", system]
            assert float(text) == pytest.approx(value, abs=half_digit(text)), key


def test_worst_zone_is_the_worst_of_its_block(page):
    names = [key for key, system in page.numbers if key.startswith("worst:") and system == "us"]
    assert names
    for name in names:
        key, _, design = name.removeprefix("worst:").partition("#")
        family = key.rpartition(".")[0]
        others = [
            float(page.numbers[f"{family}.{zone}#{design}", "us"])
            for zone in ("deep pool", "cove")
            if (f"{family}.{zone}#{design}", "us") in page.numbers
        ]
        more_is_worse = family.startswith(("days_failing", "windows_failing", "hours_below", "longest_below"))
        assert float(page.numbers[name, "us"]) == (max(others) if more_is_worse else min(others)), name


def test_headings_are_in_order_and_anchors_lead_somewhere(made, page):
    levels = [level for level, _ in page.headings]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(b - a <= 1 for a, b in itertools.pairwise(levels))
    assert len(page.ids) == len(set(page.ids))
    for target in re.findall(r'href="#([^"]+)"', made.html):
        assert target in page.ids
    assert 'lang="en"' in made.html


def test_every_picture_has_a_text_and_a_caption(page):
    assert len(page.figures) >= 10
    assert all(figure["drawing"] and figure["caption"] for figure in page.figures)


def test_nothing_is_fetched_from_elsewhere(made):
    outside = set(re.findall(r"(?:https?:)?//[\w.-]+", made.html)) - {"http://www.w3.org"}  # names of XML
    assert not {address for address in outside if "." in address}
    assert not re.search(r"<(link|img|iframe|object|embed|base)\b|@import|url\((?!#)", made.html)


def test_page_has_no_number_that_is_none(page):
    words = re.findall(r"[A-Za-z]+", page.text)
    assert not {"nan", "NaN", "None", "inf", "Undefined"} & set(words)


def test_si_first_shows_si(runs, monkeypatch):
    keep_parts(monkeypatch, books.oxygen_part)
    page = report(runs, "si")
    assert 'class="show-si"' in page.html
    assert "lb" not in page.tables["oxygen_budget"]


def test_tables_hold_what_the_page_holds(made, page):
    assert set(made.tables) <= TABLES
    head = '"highest hourly mean out, cfs"'
    row = next(line for line in made.tables["outlet"].splitlines() if f",{head}" in line)
    cells = row.replace(head, "peak").split(",")
    assert cells[2:4] == [page.numbers["outlet_peak#0", "us"], page.numbers["outlet_peak#1", "us"]]


def test_parts_stand_in_the_order_a_reader_asks(page):
    parts = [text for level, text in page.headings if level == 2]
    wanted = [
        "question",
        "Which limit",
        "Equipment",
        "criterion",
        "plan",
        "dawn",
        "storm",
        "depth",
        "oxygen came",
    ]
    wanted += [
        "Circulation",
        "leaves",
        "harm",
        "Solids",
        "money",
        "not know",
        "sources",
        "balance",
        "scenario",
    ]
    assert len(parts) == len(wanted)
    assert all(word in part for word, part in zip(wanted, parts, strict=True))


def test_scenario_text_parameters_and_cautions_are_in_the_page(page):
    assert 'title = "Two-zone test pond (invented)"' in page.text
    assert "bottom_oxygen_debt.oxidation" in page.text
    assert "electricity near water kills" in page.text
    assert "Momentum." in page.text  # docs/limits.md
    assert "Benson, B. B.; Krause, D." in page.text  # references.bib


def test_a_value_that_the_user_stated_stands_with_his_source(runs, tmp_path, monkeypatch):
    """In the appendix: never the source of the default, and never marked as weak."""
    own = '[bed]\noxygen_demand = "2.5 g/m2/d"\n[algae]\nrespiration = "0.1 /d"\n'
    own += '[sources]\nbed.oxygen_demand = "three cores of June 2024"\n'
    facts = facts_of(read_scenario(write_design(tmp_path, minimal_design() + own)))
    keep_parts(monkeypatch, appendix.methods_part)
    html = report([run.assign_attrs(facts) for run in runs]).html.replace("<wbr>", "")
    rows = re.findall(r"<tr.*?</tr>", html, re.DOTALL)
    (bed,) = [row for row in rows if ">bed.oxygen_demand<" in row]
    (algae,) = [row for row in rows if ">algae.respiration<" in row]
    assert "three cores of June 2024" in bed and "stated by the user" in algae
    for row, name in ((bed, "bed.oxygen_demand"), (algae, "algae.respiration")):
        assert default_parameter(name).source not in row and "!" not in row
    assert "Sources stated with the values" in html
