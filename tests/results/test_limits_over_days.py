"""Statistics of criteria by worked examples: running means, missing days, shares, binomial tests."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import binomtest

from pondsim.measures import hours_below, longest_run_below
from pondsim.measures.windows_over_days import (
    chance_of,
    effective_number,
    in_season,
    judge_windows,
    window_means,
)
from tests.physics.tolerance import close_to

MINIMA = [4.8, 4.4, 4.1, 3.9, 3.6, 3.8, 4.2, 4.5, 4.0, 3.7, 4.3, 4.9]
MISSING = [4.8, 4.4, 4.1, 3.9, np.nan, 3.8, 4.2, 4.5, 4.0, 3.7, 4.3, 4.9]
MEANS = [5.6 + 0.05 * n for n in range(16)] + [6.27 - 0.08 * n for n in range(18)]
MAXIMA = [23.1, 24.0, 25.2, 26.1, 25.8, 25.0, 24.2, 23.9, 24.8, 26.0]
READINGS = [4.1, 3.6, 2.9, 2.5, 2.2, 3.1, 4.0, 5.2, 2.8, 2.9, 3.0, 4.4]


def days(count, first="2025-07-01"):
    return np.datetime64(first, "D") + np.arange(count)


@pytest.mark.parametrize(
    ("numbers", "needed", "count", "lowest", "checks"),
    [
        pytest.param(MINIMA, 7, 6, 3.95714, ("20.2", "20.1"), id="all days"),
        pytest.param(MISSING, 7, 1, 4.2, ("20.3", "20.4"), id="a day missing"),
        pytest.param(MISSING, 6, 6, 4.01667, ("", "20.5"), id="six of seven will do"),
    ],
)
def test_lowest_seven_day_mean_of_daily_minima(numbers, needed, count, lowest, checks):
    """Means by hand; windows overlap, one per day. A missing day hides the lowest unless it may be so."""
    found = judge_windows(days(12), numbers, 4.0, length=7, needed=needed)
    assert found.judged == close_to(count, 0.0, "windows", checks[0])
    assert found.not_judged == 6 - count
    assert found.worst == close_to(lowest, 0.0005, "mg/L", checks[1])


def test_lowest_thirty_day_mean_of_daily_means():
    """A mean by hand of 30 of 34 values."""
    found = judge_windows(days(34), MEANS, 5.5, length=30)
    assert (found.judged, found.failing) == (5, 0)
    assert found.worst == close_to(5.784, 0.0005, "mg/L", "20.6")


def test_highest_seven_day_average_of_daily_maxima():
    """A mean by hand; the window is dated by its last day: the fourth window ends on day 10."""
    found = judge_windows(days(10), MAXIMA, 25.0, least=False, length=7)
    assert found.worst == close_to(25.1143, 0.0005, "degC", "20.7")
    means = window_means(np.array(MAXIMA), 7)
    assert int(np.argmax(means)) + 1 == close_to(4, 0.0, "first day of the window", "20.8")
    assert (str(found.first), str(found.last)) == ("2025-07-10", "2025-07-10")


def test_share_of_readings_and_longest_run():
    """Counted by hand; a reading equal to the limit meets it. 5 of 12 are below 3, three of them in a row."""
    found = judge_windows(days(12), READINGS, 3.0)
    assert found.share == close_to(0.416667, 5e-5, "1", "20.9")
    steps = np.repeat(READINGS, 2)  # each reading stands for its hour: no line between two of them
    times = np.datetime64("2025-07-01", "s") + np.arange(12) * np.timedelta64(3600, "s")
    times = np.ravel(np.column_stack([times, times + np.timedelta64(3600, "s") - np.timedelta64(1, "us")]))
    assert float(longest_run_below(times, steps, 3.0)) == close_to(3, 0.001, "readings", "20.10")
    assert float(hours_below(times, steps, 3.0)) == pytest.approx(5.0, abs=0.001)


@pytest.mark.parametrize(
    ("n", "level", "least", "check"),
    [
        # Florida Administrative Code 62-303.320, Table 1 (read), 80 %: also 16-23: 4, 48-56: 8, 92-100: 13.
        pytest.param(15, 0.8, 3, "20.12", id="15 readings"),
        pytest.param(50, 0.8, 8, "20.13", id="50 readings"),
        pytest.param(100, 0.8, 13, "20.14", id="100 readings"),
        pytest.param(10, 0.8, 3, "", id="10 readings"),
        pytest.param(23, 0.8, 4, "", id="23 readings"),
        pytest.param(20, 0.9, 5, "20.15", id="20 readings at 90 %"),
    ],
)
def test_least_number_of_exceedances_to_list(n, level, least, check):
    """Florida Administrative Code 62-303.320, Table 1 (read); at 90 % scipy's binomial."""
    found = next(k for k in range(n + 1) if chance_of(k, n, 0.1) <= 1.0 - level)
    assert found == close_to(least, 0.0, "readings", check)


def test_chances_of_the_binomial():
    """Library scipy.stats.binomtest; a clean water is listed one time in three at 20 readings."""
    assert chance_of(5, 25, 0.1) == close_to(0.0979936, 0.0002, "1", "20.16")
    assert chance_of(5, 25, 0.1) == pytest.approx(binomtest(5, 25, 0.1, alternative="greater").pvalue)
    assert chance_of(3, 20, 0.1) == close_to(0.323073, 0.0002, "1", "20.11")
    assert chance_of(0, 20, 0.1) == 1.0


def test_effective_number_of_a_series_that_forgets():
    """n (1 - r)/(1 + r) of a first-order series; independent values count whole."""
    draw = np.random.default_rng(1)
    noise = draw.standard_normal(40000)
    series = np.zeros_like(noise)
    for place in range(1, series.size):
        series[place] = 0.9 * series[place - 1] + noise[place]
    assert effective_number(series) == pytest.approx(40000 * 0.1 / 1.9, rel=0.06)
    assert effective_number(noise) == pytest.approx(40000, rel=0.03)


def test_a_window_counts_when_all_of_its_days_are_in_the_season():
    """June alone, 7 days: the first window ends on June 7. A season over New Year has both of its ends."""
    found = judge_windows(days(60, "2025-05-20"), np.full(60, 1.0), 2.0, length=7, season=((6, 1, 6, 30),))
    assert (found.judged, found.failing, found.not_judged) == (24, 24, 0)
    assert (str(found.first), str(found.last)) == ("2025-06-07", "2025-06-30")
    winter = in_season(days(4, "2024-12-30"), ((12, 31, 1, 1),))
    assert list(winter) == [False, True, True, False]
    assert list(in_season(days(3, "2024-02-28"), ((2, 29, 2, 29),))) == [False, True, False]
