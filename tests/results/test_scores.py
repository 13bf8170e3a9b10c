"""Scores against the published values and exact ones that the checks list, and series with a known answer."""

from __future__ import annotations

import numpy as np
import pytest

from pondsim.measures import scores

# Small series of the checks: RMSE and bias by definition, Nash & Sutcliffe 1970, Gupta et al. 2009 (exact).
READ = np.array([5.0, 6.0, 7.0, 8.0, 6.0, 5.0])
COMPUTED = np.array([5.5, 6.0, 6.5, 7.5, 6.5, 5.0])
NAN = np.nan


def test_scores_of_a_run_against_readings():
    assert scores.rmse(READ, COMPUTED) == pytest.approx(0.408248, abs=1e-4)
    assert scores.nash_sutcliffe(READ, COMPUTED) == pytest.approx(0.853659, abs=1e-4)
    assert scores.kling_gupta(READ, COMPUTED) == pytest.approx(0.742893, abs=1e-4)
    assert scores.bias(READ, COMPUTED + 0.25) == pytest.approx(0.25, abs=1e-12)
    with_gaps = np.array([*READ, NAN, 9.0]), np.array([*COMPUTED, 3.0, NAN])
    assert scores.rmse(*with_gaps) == scores.rmse(READ, COMPUTED)


def test_the_mean_of_the_readings_is_no_zero_of_kling_gupta():
    """-0.41 (Knoben et al. 2019, Hydrol. Earth Syst. Sci. 23:4323); 0 by Nash and Sutcliffe."""
    assert scores.kling_gupta(READ, np.full(6, READ.mean())) == pytest.approx(-0.41, abs=0.005)
    assert scores.nash_sutcliffe(READ, np.full(6, READ.mean())) == pytest.approx(0.0, abs=1e-12)
    assert np.isnan(scores.kling_gupta(np.full(6, 4.0), COMPUTED))


MINIMA = [4.8, 4.4, 4.1, 3.9, 3.6, 3.8, 4.2, 4.5, 4.0, 3.7, 4.3, 4.9]
MISSING = [4.8, 4.4, 4.1, 3.9, NAN, 3.8, 4.2, 4.5, 4.0, 3.7, 4.3, 4.9]


@pytest.mark.parametrize(
    ("daily", "need", "lowest", "count"),
    [(MINIMA, 7, 3.95714, 6), (MISSING, 7, 4.2, 1), (MISSING, 6, 4.01667, 6)],
)
def test_lowest_seven_day_mean_of_daily_minima(daily, need, lowest, count):
    """US EPA 1986 wording, exact; a missing day hides the worst window, so windows judged are counted."""
    means = scores.window_means(np.array(daily), 7, need)
    assert np.nanmin(means) == pytest.approx(lowest, abs=5e-4)
    assert np.isfinite(means).sum() == count


def test_lowest_thirty_day_mean():
    rising = [5.6 + 0.05 * n for n in range(16)]
    falling = [6.35 - 0.08 * n for n in range(1, 19)]
    means = scores.window_means(np.array([*rising, *falling]), 30, 30)
    assert means.size == 5
    assert means.min() == pytest.approx(5.784, abs=5e-4)


def test_highest_seven_day_mean_of_daily_maxima():
    warm = np.array([23.1, 24.0, 25.2, 26.1, 25.8, 25.0, 24.2, 23.9, 24.8, 26.0])
    means = scores.window_means(warm, 7, 7)
    assert means.max() == pytest.approx(25.1143, abs=5e-4)
    assert int(np.argmax(means)) + 1 == 4


OXYGEN = np.array([4.1, 3.6, 2.9, 2.5, 2.2, 3.1, 4.0, 5.2, 2.8, 2.9, 3.0, 4.4])


def test_share_below_a_limit():
    assert scores.share_below(OXYGEN, 3.0) == pytest.approx(0.416667, abs=5e-5)
    assert scores.share_below(np.where(OXYGEN == 2.5, NAN, OXYGEN), 3.0) == pytest.approx(4 / 11)


def stamps(days, minutes=30, start="2025-07-01"):
    return np.datetime64(start, "s") + np.arange(days * 1440 // minutes) * np.timedelta64(minutes, "m")


def test_a_day_that_lacks_the_hours_before_dawn_has_no_minimum():
    """48 readings a day: four missing leave 92 %, five 89.6 %; one at 05:00 is enough to lose it."""
    times = stamps(4)
    values = np.ones(times.size)
    values[10:14] = NAN  # 05:00 of the first day
    values[48 + 30 : 48 + 34] = NAN  # four in the afternoon of the second
    values[96 + 30 : 96 + 35] = NAN  # five in that of the third
    days, complete = scores.complete_days(times, values, 0.5)
    assert days.astype(str).tolist() == ["2025-07-01", "2025-07-02", "2025-07-03", "2025-07-04"]
    assert complete.tolist() == [False, True, False, True]


def test_naive_rivals_of_a_wave_that_rises_a_little_each_day():
    """Of a wave with a trend of 0.1 a day yesterday's hour is 0.1 too low; the mean day of 5 is centered."""
    times = stamps(5, 60)
    hours = np.arange(times.size)
    values = 6.0 + np.sin(2.0 * np.pi * hours / 24.0) + 0.1 * (hours // 24)
    before = scores.same_hour_yesterday(times, values, 1.0)
    assert np.isnan(before[:24]).all()
    assert before[24:] - values[24:] == pytest.approx(np.full(96, -0.1), abs=1e-9)
    others = scores.mean_day(times, values)
    # the other four days of the first one are 0.1 to 0.4 higher: 0.25 on average
    assert others[:24] - values[:24] == pytest.approx(np.full(24, 0.25), abs=1e-9)
    gap = values.copy()
    gap[30:40] = NAN
    assert np.isnan(scores.same_hour_yesterday(times, gap, 1.0)[55:64]).all()


@pytest.mark.parametrize("late", [-3.0, 0.0, 2.0, 5.5])
def test_the_timing_of_a_daily_wave_whatever_its_level(late):
    times = stamps(6, 30)
    hours = np.arange(times.size) / 2.0
    read = 7.0 + 2.0 * np.cos(2.0 * np.pi * (hours - 17.0) / 24.0)
    computed = 3.0 + 1.0 * np.cos(2.0 * np.pi * (hours - 17.0 - late) / 24.0)
    assert scores.hours_late(times, read, computed) == pytest.approx(late, abs=1e-6)
    assert scores.daily_wave(times, read) == pytest.approx((17.0, 2.0), abs=1e-6)
    assert np.isnan(scores.hours_late(times, read, 0.1 * computed))
