"""Targets: what was typed, checked against the measures of made-up results."""

from __future__ import annotations

import numpy as np
import pytest

from pondsim.comparison.entries import entries
from pondsim.errors import ScenarioError
from pondsim.sizing.target import check_name, check_wish, entry_of, read_wish, target_of
from tests.results.ponds import ZONES, small_pond

POUND = 0.45359237  # kg, exact


@pytest.fixture(scope="module")
def measures():
    oxygen = np.array([6.0, 2.5])[None, :, None]
    return entries(small_pond(oxygen, pumped=0.01))


def target(measures, text):
    return target_of(read_wish(text), measures, ZONES)


@pytest.mark.parametrize(
    ("text", "measure", "sign", "strict", "value"),
    [
        ("renewed_share >= 80 %", "renewed_share", 1, False, 0.8),
        ("renewed_share>=0.8", "renewed_share", 1, False, 0.8),
        ("dawn_lowest_top.arm > 3 mg/L", "dawn_lowest_top.arm", 1, True, 3.0),
        ("dawn_lowest_top at least 3000 ug/L", "dawn_lowest_top", 1, False, 3.0),
        ("days_failing_top.pool <= 5 d", "days_failing_top.pool", -1, False, 5.0),
        ("nominal_turnover ≤ 48 h", "nominal_turnover", -1, False, 2.0),
        ("hours_below_3_top at most 1 d", "hours_below_3_top", -1, False, 24.0),
        ("electricity < 3.6 MJ", "electricity", -1, True, 1.0),
        ("oxygen_budget.waterfall >= 10 lb/d", "oxygen_budget.waterfall", 1, False, 10 * POUND),
        ("highest_surface <= 100 ft", "highest_surface", -1, False, 30.48),
    ],
)
def test_a_target_is_read_in_the_unit_of_its_measure(measures, text, measure, sign, strict, value):
    found = target(measures, text)
    assert (found.measure, found.sign, found.strict) == (measure, sign, strict)
    assert found.value == pytest.approx(value, rel=1e-9)


def test_a_name_of_no_measure_is_told_before_any_run(measures):
    with pytest.raises(ScenarioError, match='renewed_shore is an unknown measure; did you mean "renewed_sh'):
        check_name("renewed_shore", ZONES)
    with pytest.raises(ScenarioError, match=r'mean "dawn_lowest_top.arm"\? dawn_lowest_top has: pool, arm.'):
        check_name("dawn_lowest_top.arn", ZONES)
    for name in ["dawn_lowest_top", "dawn_lowest_top.worst", *measures]:
        check_name(name, ZONES)


def test_a_target_in_another_unit_is_told_before_any_run():
    check_wish(read_wish("dawn_lowest_top.arm >= 3 mg/L"), ZONES)
    check_wish(read_wish("cost <= 1200 $"), ZONES)
    with pytest.raises(ScenarioError, match=r'dawn_lowest_top\.arm = "3 ft" is a length; write a'):
        check_wish(read_wish("dawn_lowest_top.arm >= 3 ft"), ZONES)
    with pytest.raises(ScenarioError, match='replaced_share = "80" is not a share'):
        check_wish(read_wish("replaced_share >= 80"), ZONES)


def test_what_is_met():
    found = read_wish("x >= 3 mg/L"), read_wish("x > 3 mg/L"), read_wish("x <= 3 mg/L")
    assert [wish.strict for wish in found] == [False, True, False]


def test_the_value_itself_counts_unless_more_is_asked(measures):
    assert target(measures, "dawn_lowest_top >= 3 mg/L").met(3.0)
    assert not target(measures, "dawn_lowest_top > 3 mg/L").met(3.0)
    assert target(measures, "days_failing_top <= 5 d").met(5.0)
    assert not target(measures, "days_failing_top <= 5 d").met(6.0)
    assert not target(measures, "days_failing_top <= 5 d").met(None)
    assert target(measures, "days_failing_top <= 5 d").margin(3.0) == 2.0


def test_a_key_without_zone_is_the_worst_zone(measures):
    """The arm has 2.5 mg/L, the pool 6; the arm is 6 d from the waterfall, the pool 2."""
    assert entry_of("dawn_lowest_top", measures, ZONES).label == "arm"
    assert entry_of("dawn_lowest_top", measures, ZONES).value == pytest.approx(2.5)
    assert entry_of("hours_below_3_top", measures, ZONES).label == "arm"
    assert entry_of("days_since_waterfall.worst", measures, ZONES).value == pytest.approx(6.0)
    assert entry_of("days_since_waterfall", measures, ZONES).label == "days since waterfall"  # the whole pond
    assert entry_of("days_since_waterfall.pool", measures, ZONES).value == pytest.approx(2.0)


def test_a_zone_that_never_sees_the_waterfall_is_the_worst():
    still = entries(small_pond())
    assert entry_of("days_since_waterfall.worst", still, ZONES).value is None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            "renewed_share",
            'is not a target; write measure, >= or <=, and value, as in "replaced_share',
        ),
        ("renewed_share = 80 %", "asks for equality"),
        (">= 80 %", "is not a target"),
        ("renewed_share >=", "is not a target"),
        (
            "renewed_shore >= 80 %",
            'renewed_shore is an unknown measure; did you mean "renewed_share"?',
        ),
        (
            "dawn_lowest_top.arn >= 3 mg/L",
            'mean "dawn_lowest_top.arm"? dawn_lowest_top has: pool, arm.',
        ),
        ("dawn_lowest_top >= 3", 'dawn_lowest_top = "3" has no unit; write a concentration, such as'),
        ("dawn_lowest_top >= 3 ft", 'dawn_lowest_top = "3 ft" is a length; write a concentration'),
        ("renewed_share >= 80", 'renewed_share = "80" is not a share; write such as "80 %" or 0.8.'),
        ("bed_growth <= 1 in", "bed_growth has no worst zone, since neither more nor less of it is better"),
        ("nominal_turnover <= 3 furlong", 'unknown unit "furlong"'),
    ],
)
def test_a_bad_target_says_what_is_wanted(measures, text, words):
    with pytest.raises(ScenarioError) as caught:
        target(measures, text)
    assert str(caught.value).startswith("--until: ")
    assert words in str(caught.value)
