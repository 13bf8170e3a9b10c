"""Days counted by an own minimum or by the federal one, limits that nobody can judge, and their words."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from pondsim.cli._tables import comparison_text
from pondsim.comparison import compare
from pondsim.comparison.limit_lines import limit_lines
from pondsim.comparison.verdict import verdict
from pondsim.errors import ScenarioError
from pondsim.measures.judged import LINE_WORDS
from pondsim.measures.limits import Limit, limits_text
from pondsim.reporting import report
from pondsim.reporting.summary import summary
from pondsim.scenario.check_limits import FEDERAL
from pondsim.scenario.read import read_scenario
from tests.cli.common import call, write_files
from tests.report.page_reader import Page
from tests.results.ponds import small_pond
from tests.results.test_own_limits import HOURS, by_hour, day_night


def of_own(oxygen, *limits):
    """The comparison of a pond with itself by own limits alone."""
    texts = {"own_limits": limits_text(list(limits)), "criterion": "own"}
    return compare([small_pond(oxygen, title=title, **texts) for title in ("old", "new")])


def test_days_are_counted_by_an_own_minimum_only_where_it_holds_all_season_near_every_surface():
    """Nights at 4 mg/L: every day falls below 5 and none below the federal 3 (1986 criteria, from memory).

    A minimum of 5 for January or for the deep is no reason to count summer days at the surface by it.
    """
    minimum = {"name": "a", "quantity": "oxygen", "value": 5.0, "statistic": "daily minimum"}
    everywhere = of_own(day_night(), Limit(**minimum))
    assert everywhere.value("days_failing_top.pool", 0) == 40.0 and everywhere.lent is None
    assert "federal" not in comparison_text(everywhere)
    elsewhere = (
        {"season": ((1, 1, 2, 28),)},
        {"season": ((6, 1, 6, 30),)},
        {"upper": 18.0, "lower": 21.0},
        {"lower": 1.8288},
        {"zone": "pool"},
        {"days": 7},
    )
    for row in elsewhere:
        found = of_own(day_night(), Limit(**minimum | row))
        assert found.value("days_failing_top.pool", 0) == 0.0 and found.lent == 3.0, row
        text = " ".join(comparison_text(found).split())
        assert "Days below the 1-day minimum, federal 3 mg/L, top" in text
        assert "counted by the federal 3 mg/L, which no design must meet here" in text
    low = of_own(2.0, Limit(**minimum | {"zone": "pool"}))
    cells = [row for row in low.rows if row.key.startswith("days_failing_top")]
    assert [row.values[0] for row in cells] == [40.0, 40.0]
    assert all(np.isnan(row.limit) or row.limit is None for row in cells)
    assert "below the federal 1-day minimum on 40 of 40 days" in " ".join(comparison_text(low).split())


def test_every_label_says_whose_minimum_days_are_counted_by():
    """Alone the criteria's; the federal one where own limits stand beside it or lend none; else own."""
    own = Limit(name="a", quantity="oxygen", value=5.0, statistic="daily minimum")
    january = replace(own, season=((1, 1, 1, 31),))
    cases = (
        ({}, "1-day minimum", ""),
        ({"own_limits": limits_text([own])}, "federal 1-day minimum", "federal "),
        ({"own_limits": limits_text([own]), "criterion": "own"}, "own 1-day minimum", "own "),
        ({"own_limits": limits_text([january]), "criterion": "own"}, "federal 1-day minimum", "federal "),
    )
    for attributes, words, whose in cases:
        level = 5 if words.startswith("own") else 3
        ponds = [small_pond(2.0, title="old", **attributes), small_pond(8.0, title="new", **attributes)]
        comparison = compare(ponds)
        assert comparison.day_minimum == words
        section = comparison.row("days_failing_top.pool").section
        assert section.startswith(f"Days below the 1-day minimum, {whose}{level} mg/L, top")
        assert f"{whose}{level} mg/L)" in comparison.row("minimum_1_day_top.pool").section
        said = " ".join(comparison_text(comparison).split())
        assert f"has the fewest days below the {words}" in said
        assert f"Today the worst zone (pool) falls below the {words} on 40 days" in said
        pages = {f", {level} mg/L": Page(summary(ponds)).text, "": Page(report(ponds).html).text}
        for limit, page in pages.items():
            text = " ".join(page.split())
            assert f"days below the {words} of oxygen{limit}, top" in text
            if whose:
                plain = re.sub(rf"{words}|1-day minimum, {whose}", "", text)
                assert "below the 1-day minimum" not in plain


def test_a_limit_that_cannot_be_judged_is_not_met():
    limit = Limit(name="w", quantity="oxygen", value=5.0, statistic="daily minimum", season=((1, 1, 2, 28),))
    found = of_own(8.0, limit)
    assert verdict(found).startswith("No limit could be judged.")
    text = " ".join(comparison_text(found).split())
    assert "meet" not in text.replace("must meet here", "") and "No limit could be judged" in text


def test_least_values_fall_short_and_highest_ones_exceed():
    """Every tenth of 961 values, the first among them, is 97: 10.1 %."""
    oxygen = by_hour(np.where(np.arange(HOURS) % 10 == 0, 3.0, 6.0))
    limit = {"name": "s", "statistic": "instantaneous", "allowed_share": 0.1, "test": "binomial"}
    low = Limit(**limit, quantity="oxygen", value=5.0)
    assert "10 % may fall short" in low.words()
    assert "10 % may exceed" in Limit(**limit, quantity="temperature", value=30.0).words()
    found = of_own(oxygen, low)
    assert "97 of 961 results, 10.1 %, worth" in limit_lines(found)[0].answers[0]
    warm = Limit(name="t", quantity="temperature", value=30.0, statistic="daily maximum")
    assert limit_lines(of_own(8.0, warm))[0].answers[0].startswith("met: highest pool: 77 degF")


def with_limits(folder, text):
    """The small design with limits in its site file."""
    design = write_files(folder)
    site = folder / "site.toml"
    site.write_text(f"{site.read_text(encoding='utf-8')}\n{text}", encoding="utf-8")
    return design


def limit_text(name, text=""):
    return f'[[judging.limit]]\nname = "{name}"\noxygen = "5 mg/L"\nstatistic = "daily minimum"\n{text}\n'


def test_the_example_of_the_page_is_read(tmp_path):
    """Every block of docs/criteria.md, in a pond whose zone has a blank in its name."""
    page = (Path(__file__).parents[2] / "docs" / "criteria.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```toml\n(.*?)```", page, re.DOTALL)
    assert blocks
    for block in blocks:
        found = read_scenario(with_limits(tmp_path, block.replace('"deep_pool"', '"deep pool"'))).judging
        assert [one.name for one in found.limit] == re.findall(r'^name = "(.*)"', block, re.MULTILINE)


def test_names_of_own_limits_are_not_those_of_federal_lines(tmp_path):
    assert set(FEDERAL) == set(LINE_WORDS.values())
    with pytest.raises(ScenarioError, match="name of a line of the federal criteria"):
        read_scenario(with_limits(tmp_path, limit_text("1-day minimum")))


def test_check_warns_of_limits_that_no_run_can_judge(tmp_path):
    """The period is July 1 to 11, so that July 8 to 10 are its last whole days; the pond is 10 ft deep."""
    never = {
        "winter": ('season = ["01-01 to 02-28"]', "no day of its season lies in the period"),
        "deep": (
            'from_depth = "60 ft"\nto_depth = "70 ft"',
            "deep at normal pool, and it is read from 60 ft",
        ),
        "month": ("days = 30", "averages 30 days in a row"),
        "part": ('days = 7\nseason = ["07-08 to 09-30"]', "longest part of its season in the period has 3"),
    }
    texts = [limit_text(name, text) for name, (text, _) in never.items()]
    design = with_limits(tmp_path, "\n".join([*texts, limit_text("7 days", "days = 7"), limit_text("top")]))
    result = call("check", design)
    assert result.exit_code == 0, result.output
    text = " ".join(result.output.split())
    for name, (_, told) in never.items():
        assert told in text.partition(f'The limit "{name}" cannot be judged: ')[2].partition(". ")[0]
    assert text.count("cannot be judged") == len(never)
