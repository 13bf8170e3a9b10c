"""Loggers that share errors: exact posteriors of linear and normal cases, and two that stand side by side."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from pondsim.ensemble.facts import Read
from pondsim.ensemble.sampling import Unknown, shares_of
from pondsim.ensemble.shared import Errors, correlations_of, share_alone
from pondsim.ensemble.statistics import weights_of
from pondsim.ensemble.weights import weigh

MEMBERS = 2**12
DAYS, TAIL, DAY_TO_DAY = 60, 0.1, 0.5


def equal(count, rho):
    return np.full((count, count), rho) + (1.0 - rho) * np.eye(count)


@pytest.mark.parametrize(("count", "rho"), [(2, 0.0), (2, 0.5), (2, 1.0), (5, 0.3)])
def test_series_alike_in_all_pairs_are_worth_what_their_mean_is(count, rho):
    """n / (1 + (n - 1) r): the variance of one over that of the mean of n, by sums over the matrix."""
    matrix = equal(count, rho)
    ones = np.ones(count) / count
    assert share_alone(matrix).sum() == pytest.approx(1.0 / (ones @ matrix @ ones))


@pytest.mark.parametrize("rho", [0.0, 0.6, 0.95])
def test_the_posterior_of_a_level_seen_by_three_loggers_is_exact(rho):
    """Prior N(2, 1), readings of deviation 0.5 with known correlations: m + C 1' R^-1 (d - m) with
    1/C = 1 + 1' R^-1 1, by linear algebra; the shares give the same."""
    prior = stats.norm.ppf(shares_of([Unknown("a")], MEMBERS)[:, 0], 2.0, 1.0)
    read = np.array([3.1, 2.8, 3.4])
    inverse = np.linalg.inv(0.25 * equal(3, rho))
    ones = np.ones(3)
    variance = 1.0 / (1.0 + ones @ inverse @ ones)
    mean = 2.0 + variance * (ones @ inverse @ (read - 2.0))
    shares = share_alone(equal(3, rho))
    weights = weights_of(np.sum(shares * (prior[:, None] - read) ** 2 / 0.25, axis=1))
    found = weights @ prior
    assert found == pytest.approx(mean, abs=0.003)
    assert weights @ (prior - found) ** 2 == pytest.approx(variance, abs=0.003)


def remembering(rng, days, deviation):
    """An error by the day that remembers half of the day before."""
    found = np.zeros(days)
    found[0] = rng.normal()
    for day in range(1, days):
        found[day] = DAY_TO_DAY * found[day - 1] + np.sqrt(1.0 - DAY_TO_DAY**2) * rng.normal()
    return deviation * found


def hourly(days, first="2025-06-01T00:30"):
    return np.datetime64(first, "s") + np.arange(24 * days) * np.timedelta64(3600, "s")


def logger(name, level, errors, variable="dissolved_oxygen"):
    """Readings of a level of 5 with errors by the day; members compute each its own level."""
    read = np.repeat(5.0 + errors, 24)
    computed = np.repeat(level[:, None], read.size, axis=1)
    return Read(
        name, variable, "cove", False, hourly(errors.size), 1.0, read, computed, np.full(read.size, 9.0)
    )


def spread_of(values, weights):
    return float(np.sqrt(weights @ (values - weights @ values) ** 2))


@pytest.mark.parametrize("rho", [0.0, 0.5, 0.95])
def test_the_spread_of_a_level_that_three_loggers_saw(rho):
    """Errors that remember and are shared to a known share: the exact posterior is that of generalized least
    squares with the whole covariance, day by day and logger by logger; 30 trials, nothing told beforehand.
    Counted as independent they would give up to the root of three less."""
    rng = np.random.default_rng(7)
    level = stats.norm.ppf(shares_of([Unknown("a")], 128)[:, 0], 5.0, 1.0)
    used = round((1.0 - TAIL) * DAYS)
    memory = DAY_TO_DAY ** np.abs(np.subtract.outer(np.arange(used), np.arange(used)))
    whole = 0.6**2 * np.kron(equal(3, rho), memory)
    ones = np.ones(3 * used)
    exact = (1.0 + ones @ np.linalg.solve(whole, ones)) ** -0.5
    found, inside = [], 0
    for _ in range(30):
        common = remembering(rng, DAYS, 0.6 * np.sqrt(rho))
        series = [
            logger(f"l{k}", level, common + remembering(rng, DAYS, 0.6 * np.sqrt(1.0 - rho)))
            for k in range(3)
        ]
        weights = weigh(series, TAIL, 2.0).weights
        found.append(spread_of(level, weights))
        inside += abs(weights @ level - 5.0) <= 1.645 * found[-1]
    assert np.median(found) == pytest.approx(exact, rel=0.25)
    assert inside >= stats.binom.ppf(0.025, 30, 0.9)


def test_what_two_loggers_share_is_counted_once():
    """The same readings twice are worth one."""
    rng = np.random.default_rng(3)
    level = np.linspace(3.0, 7.0, 256)
    errors = remembering(rng, DAYS, 0.6)
    one = weigh([logger("a", level, errors)], TAIL, 2.0)
    two = weigh([logger("a", level, errors), logger("b", level, errors)], TAIL, 2.0)
    assert one.alone == {"a": 1.0} and two.alone == pytest.approx({"a": 0.5, "b": 0.5})
    assert two.weights == pytest.approx(one.weights)


def test_quantities_and_stretches_that_do_not_meet():
    """Another quantity goes together as far as its errors do, whatever their sign; not by chance."""
    rng = np.random.default_rng(5)
    days = 60
    own = rng.normal(size=(3, days))

    def errors(variable, values, first="2025-06-01T00:30"):
        return Errors(variable, hourly(days, first), np.repeat(values, 24, axis=1), 1.0)

    oxygen = errors("dissolved_oxygen", own)
    against = errors("water_temperature", -own)
    apart = errors("water_temperature", rng.normal(size=(3, days)))
    later = errors("dissolved_oxygen", own, "2025-09-01T00:30")
    assert correlations_of([oxygen, against])[0, 1] == pytest.approx(1.0)
    assert correlations_of([oxygen, apart])[0, 1] < 0.2
    assert correlations_of([oxygen, later])[0, 1] == 1.0
    assert correlations_of([against, later])[0, 1] == 0.0
