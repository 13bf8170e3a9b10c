"""Weights by readings: exact posteriors, tempering, memory of errors, and twins whose truth is known."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from pondsim.ensemble.facts import Read, memory_days, split
from pondsim.ensemble.fit import fit
from pondsim.ensemble.learnt import learnt
from pondsim.ensemble.sampling import Unknown, shares_of
from pondsim.ensemble.statistics import effective_number, quantile, weights_of
from pondsim.ensemble.weights import interval, tempered, weigh

MEMBERS = 2**14


def chi2_of(errors, variance, worth):
    """Twice the negative log-likelihood of each member, less a constant: normal errors."""
    return worth * np.nanmean(errors * errors, axis=1) / variance


def moments(values, weights):
    mean = weights @ values
    return mean, weights @ (values - mean) ** 2


def test_posterior_of_one_parameter_seen_directly():
    """Normal prior 2 and variance 1, reading 3 of variance 0.25: exactly 2.8 and 0.2; in four tempered steps
    of a quarter of the log-likelihood each, the same (Emerick & Reynolds 2013: sum of 1/alpha is 1)."""
    prior = stats.norm.ppf(shares_of([Unknown("a")], MEMBERS)[:, 0], 2.0, 1.0)
    chi2 = chi2_of((prior - 3.0)[:, None], 0.25, 1.0)
    assert moments(prior, weights_of(chi2)) == pytest.approx((2.8, 0.2), abs=1e-3)
    first = moments(prior, weights_of(chi2 / 4.0))
    assert first[0] == pytest.approx(2.5, abs=1e-3)  # one step of alpha 4
    assert moments(prior, weights_of(4 * (chi2 / 4.0))) == pytest.approx((2.8, 0.2), abs=1e-3)


def test_posterior_of_two_parameters():
    """m = (1, 2), C = diag(1, 4), H = ((1, 1), (1, -1)), d = (4.6, -2), R = 0.5: m1 1.24, v1 0.2, by
    m + K (d - H m) and C - K H C with K = C H'(H C H' + R)^-1."""
    shares = shares_of([Unknown("a"), Unknown("b")], MEMBERS)
    a, b = stats.norm.ppf(shares[:, 0], 1.0, 1.0), stats.norm.ppf(shares[:, 1], 2.0, 2.0)
    errors = np.stack([a + b - 4.6, a - b + 2.0], axis=1)
    weights = weights_of(chi2_of(errors, 0.5, 2.0))
    assert moments(a, weights) == pytest.approx((1.24, 0.2), abs=0.005)
    C, H, R, d = np.diag([1.0, 4.0]), np.array([[1.0, 1], [1, -1]]), 0.5 * np.eye(2), np.array([4.6, -2.0])
    K = C @ H.T @ np.linalg.inv(H @ C @ H.T + R)
    exact = np.array([1.0, 2.0]) + K @ (d - H @ [1.0, 2.0])
    assert [weights @ a, weights @ b] == pytest.approx(exact.tolist(), abs=0.005)


def test_weights_are_tempered_to_the_number_that_is_stated():
    chi2 = np.linspace(0.0, 4000.0, 64)
    weights, exponent = tempered(chi2, 10.0)
    assert effective_number(weights) == pytest.approx(10.0, rel=1e-6) and 0.0 < exponent < 1.0
    assert tempered(np.zeros(64), 10.0)[1] == 1.0


def hourly(days):
    return np.datetime64("2025-07-01T00:30", "s") + np.arange(24 * days) * np.timedelta64(3600, "s")


def level(rng, days, rho=0.75, deviation=1.0):
    """A level error that remembers from day to day, by the hour."""
    daily = np.zeros(days)
    daily[0] = rng.normal()
    for day in range(1, days):
        daily[day] = rho * daily[day - 1] + np.sqrt(1.0 - rho**2) * rng.normal()
    return deviation * np.repeat(daily, 24)


def test_the_memory_of_a_level_error_is_a_week():
    """Correlation 0.75 from day to day: (1 + rho)/(1 - rho) = 7 days an independent reading; three weeks of
    a logger hold some three, and a few days tell nothing of it."""
    rng = np.random.default_rng(3)
    found = [memory_days(hourly(90), np.array([level(rng, 90)])) for _ in range(40)]
    assert np.median(found) == pytest.approx(7.0, abs=1.5)
    assert memory_days(hourly(9), np.zeros((3, 9 * 24))) == 7.0
    white = [memory_days(hourly(90), rng.normal(size=(1, 90 * 24))) for _ in range(20)]
    assert np.median(white) < 1.5


def test_the_tail_is_whole_days_at_the_end():
    held = split(hourly(10), 0.3)
    assert held.sum() == 72 and held[-72:].all()


UNKNOWNS = [Unknown("level", 2.0, 8.0), Unknown("swing", 0.5, 3.0), Unknown("unseen", 0.0, 1.0)]
DAYS, TAIL = 40, 0.3


def twin(values, days=DAYS):
    """A stand-in for a pond: oxygen of a level and a daily swing; the third unknown acts elsewhere."""
    hours = np.arange(24 * days)
    wave = np.sin(2.0 * np.pi * (hours - 9) / 24.0)
    return values[:, :1] + values[:, 1:2] * wave


def series_of(computed, read):
    saturation = np.full(read.size, 8.5)
    return Read(
        "logger", "dissolved_oxygen", "cove", False, hourly(read.size // 24), 1.0, read, computed, saturation
    )


def trial(seed, members=256):
    """One truth inside the ranges, read with noise that remembers and a gap, and what was said of it."""
    rng = np.random.default_rng(seed)
    shares = shares_of(UNKNOWNS, members, seed)
    values = np.stack([one.value(shares[:, k]) for k, one in enumerate(UNKNOWNS)], axis=1)
    truth = np.array([one.value(rng.uniform(0.1, 0.9)) for one in UNKNOWNS])
    read = twin(truth[None])[0] + level(rng, DAYS, 0.75, 0.4) + rng.normal(0.0, 0.2, 24 * DAYS)
    read[100:130] = np.nan
    found = weigh([series_of(twin(values), read)], TAIL, 10.0)
    ends = [quantile(values[:, k], [0.05, 0.95], found.weights) for k in range(3)]
    return truth, ends, found, shares


@pytest.fixture(scope="module")
def trials():
    return [trial(seed) for seed in range(20)]


def test_intervals_hold_the_truth_as_often_as_they_say(trials):
    """20 truths: the 90 % interval holds it in 15 to 20 (binomial, 95 % central range)."""
    low, high = stats.binom.interval(0.95, 20, 0.9)
    for place in range(3):
        inside = sum(ends[place][0] <= truth[place] <= ends[place][1] for truth, ends, _, _ in trials)
        assert max(low, 15) <= inside <= high


def test_what_can_be_seen_is_learnt_and_nothing_else(trials):
    """The level narrows; what the readings cannot see keeps the spread of its range."""
    told = [learnt(UNKNOWNS, shares, found.weights) for _, _, found, shares in trials]
    assert sum(one[0].learnt for one in told) >= 18
    assert np.median([one[0].narrowed for one in told]) < 0.5
    assert sum(one[2].learnt for one in told) <= 2
    assert np.median([one[2].narrowed for one in told]) == pytest.approx(1.0, abs=0.1)


def test_chance_names_nothing_of_many():
    """Weights that have nothing to do with any of 70 unknowns: one in twenty studies names some."""
    unknowns = [Unknown(f"u{k}") for k in range(70)]
    named = 0
    for seed in range(20):
        weights = np.random.default_rng(seed).dirichlet(np.full(64, 0.5))
        named += any(one.learnt for one in learnt(unknowns, shares_of(unknowns, 64, seed), weights))
    assert named <= stats.binom.ppf(0.999, 20, 0.05)


def test_the_tail_is_covered_once_it_was_widened(trials):
    """90 % of the held readings lie within the interval and its margin, as stated; in the next stretch of the
    same pond most do too."""
    for _, _, found, _ in trials:
        held = found.held[0]
        assert held.count == 12 * 24 and 0.0 <= held.inside <= 1.0
        assert (held.margin > 0.0) == (held.inside < 0.9)
        assert held.run < held.rivals["saturation"]
    assert np.mean([found.effective for _, _, found, _ in trials]) >= 10.0


def test_the_interval_holds_members_and_reading_error():
    """Members N(5, 1) read with an error of 1: N(5, sqrt 2)."""
    members = stats.norm.ppf(shares_of([Unknown("a")], 1024), 5.0, 1.0)
    low, high = interval(members, np.full(1024, 1.0 / 1024), 1.0)
    assert [low[0], high[0]] == pytest.approx(stats.norm.interval(0.9, 5.0, np.sqrt(2.0)), abs=0.12)


def test_readings_beyond_every_member_are_told():
    shares = shares_of(UNKNOWNS, 64)
    values = np.stack([one.value(shares[:, k]) for k, one in enumerate(UNKNOWNS)], axis=1)
    found = weigh([series_of(twin(values), np.full(24 * DAYS, 30.0))], TAIL, 10.0)
    assert found.above["logger"] == 1.0 and found.miss["logger"] > 15.0
    told = learnt(UNKNOWNS, shares, found.weights)
    assert told[0].at_edge == "high"


def test_unknowns_that_stand_for_each_other_are_named():
    """Only the sum of two levels is read: they are traded, with a correlation near -1."""
    unknowns = [Unknown("a"), Unknown("b"), Unknown("c")]
    shares = shares_of(unknowns, 1024)
    read = np.full(24 * DAYS, 1.0)
    computed = np.repeat((shares[:, 0] + shares[:, 1])[:, None], read.size, axis=1)
    weights = weights_of(chi2_of(computed - read, 0.01, 3.0))
    told = learnt(unknowns, shares, weights)
    assert told[0].traded == "b" and told[0].correlation < -0.8 and told[2].traded == ""


def test_a_fit_of_linear_residuals_is_the_exact_posterior():
    """The two parameters above, by scores about their priors: m1 1.24 and v1 0.2."""
    d, H = np.array([4.6, -2.0]), np.array([[1.0, 1.0], [1.0, -1.0]])
    found = fit(lambda z: (H @ np.array([1.0 + z[0], 2.0 + 2.0 * z[1]]) - d) / np.sqrt(0.5), 2)
    assert 1.0 + found.score[0] == pytest.approx(1.24, abs=1e-4)
    assert found.spread[0] ** 2 == pytest.approx(0.2, abs=1e-4) and not found.at_bound.any()
    coarse = fit(lambda z: np.round((H @ np.array([1.0 + z[0], 2.0 + 2.0 * z[1]]) - d) / np.sqrt(0.5), 3), 2)
    assert coarse.score == pytest.approx(found.score, abs=0.02)  # slopes reach further than digits are kept
    assert coarse.spread == pytest.approx(found.spread, rel=0.02)
    far = fit(lambda z: (z - 9.0) / 0.01, 1)
    assert far.at_bound.all()
