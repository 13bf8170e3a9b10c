"""Statistics of members against published values, exact results and SciPy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from pondsim.ensemble.statistics import (
    effective_number,
    independent_readings,
    independent_share,
    neighbour_correlation,
    paired_power,
    pairs_needed,
    quantile,
    weights_of,
    wilson_interval,
)


@pytest.mark.parametrize(
    ("k", "n", "low", "high"), [(8, 40, 0.1050, 0.3476), (0, 20, 0.0, 0.1611), (20, 20, 0.8389, 1.0)]
)
def test_wilson_interval_is_that_of_scipy(k, n, low, high):
    """Wilson 1927; values by scipy.stats.binomtest(k, n).proportion_ci(method="wilson")."""
    found = wilson_interval(k / n, n)
    assert found == pytest.approx((low, high), abs=1e-4)
    own = stats.binomtest(k, n).proportion_ci(method="wilson")
    assert found == pytest.approx((own.low, own.high), abs=1e-12)


def test_weights_and_what_they_are_worth():
    """Kish 1965: (sum w)^2 / sum w^2; the least chi2 is taken off, so that far misses do not give 0/0."""
    assert effective_number(np.exp(-0.5 * np.array([2.0, 4.0, 6.0, 10.0]))) == pytest.approx(
        2.00614, rel=1e-3
    )
    assert weights_of(np.array([802.0, 804.0, 806.0, 810.0]))[0] == pytest.approx(0.657233, abs=1e-4)
    assert effective_number(np.full(7, 3.0)) == pytest.approx(7.0)
    assert weights_of(np.array([3.0, np.nan, 3.0])).tolist() == [0.5, 0.0, 0.5]


def test_quantiles_by_the_linear_rule_and_by_weights():
    """Hyndman & Fan type 7: 1.95 of 1 to 20; a weight of two is a member that stands twice."""
    assert quantile(np.arange(1.0, 21.0), 0.05) == pytest.approx(1.95)
    rng = np.random.default_rng(3)
    values, weights = rng.normal(size=4000), rng.uniform(size=4000) ** 3
    twice = np.repeat(values, np.round(weights * 50).astype(int))
    for share in (0.05, 0.5, 0.95):
        assert quantile(values, share, weights) == pytest.approx(np.quantile(twice, share), abs=0.03)
    both = np.stack([values, 2.0 * values], axis=1)
    assert quantile(both, [0.1, 0.9], weights)[:, 1] == pytest.approx(
        2.0 * quantile(values, [0.1, 0.9], weights)
    )


def test_readings_that_remember_count_for_less():
    """AR(1), long series: Bayley & Hammersley 1946 (from memory); exact for the mean of n readings."""
    assert 720 * independent_share(0.95) == pytest.approx(18.4615, rel=1e-3)
    assert independent_readings(100, 0.5) == pytest.approx(33.7838, rel=1e-3)
    rng = np.random.default_rng(1)
    series = np.zeros(20000)
    for k in range(1, series.size):
        series[k] = 0.8 * series[k - 1] + rng.normal()
    series[500:520] = np.nan
    assert neighbour_correlation(series) == pytest.approx(0.8, abs=0.02)
    assert neighbour_correlation(np.full(5, np.nan)) == 0.0


@pytest.mark.parametrize(
    ("effect", "level", "pairs"), [(0.5, 0.975, 34), (0.2, 0.975, 199), (0.8, 0.975, 15)]
)
def test_pairs_needed_are_those_of_the_printed_tables(effect, level, pairs):
    """Cohen 1988: two-sided 5 %, power 0.80, paired: 34, 199, 15 (from memory, not verified in text)."""
    assert pairs_needed(effect, 0.8, level) == pairs


def test_power_of_the_paired_test_by_trying_it_out():
    rng = np.random.default_rng(5)
    drawn = rng.normal(0.4, 1.0, size=(20000, 30))
    t = drawn.mean(axis=1) / (drawn.std(axis=1, ddof=1) / np.sqrt(30))
    assert paired_power(0.4, 30) == pytest.approx(np.mean(t > stats.t.ppf(0.95, 29)), abs=0.012)
    assert pairs_needed(0.0) is None and pairs_needed(1e-4) is None
