"""Draws: evenness of the sequence, shapes against SciPy, correlation, bad numbers of members."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats
from scipy.stats import qmc

from pondsim.ensemble.sampling import Unknown, shares_of, values_of
from pondsim.errors import ScenarioError


def plain(count):
    return [Unknown(f"a{k}") for k in range(count)]


def test_the_sequence_is_that_of_sobol():
    """Point 4 (from 0) of the second dimension without scrambling is 0.375: SciPy; the first is kept."""
    assert qmc.Sobol(2, scramble=False).random(8)[4, 1] == 0.375
    shares = shares_of(plain(3), 64, seed=7)
    for column in shares.T:  # one point in each of 64 strata of each unknown, four in each of 16 boxes of two
        assert sorted((column * 64).astype(int)) == list(range(64))
    boxes = np.histogram2d(shares[:, 0], shares[:, 1], bins=4, range=[[0, 1], [0, 1]])[0]
    assert (boxes == 4).all()
    assert np.array_equal(shares, shares_of(plain(3), 64, seed=7))
    assert not np.array_equal(shares, shares_of(plain(3), 64, seed=8))


def test_more_members_begin_with_the_same():
    """So that a study goes on where it stood."""
    assert np.array_equal(shares_of(plain(4), 32), shares_of(plain(4), 128)[:32])


@pytest.mark.parametrize(
    ("shape", "law"),
    [
        ("uniform", stats.uniform(1.0, 3.0)),
        ("log-uniform", stats.loguniform(1.0, 4.0)),
        ("triangular", stats.triang(1.0 / 3.0, 1.0, 3.0)),
        ("normal-clipped", stats.truncnorm(-2.0, 2.0, 2.5, 0.75)),
    ],
)
def test_shapes_are_those_of_scipy(shape, law):
    one = Unknown("bed.oxygen_demand", 1.0, 4.0, 2.0, shape)
    share = np.linspace(0.01, 0.99, 50)
    assert law.cdf(one.value(share)) == pytest.approx(share, abs=1e-9)
    assert one.value(np.array([0.0, 1.0])) == pytest.approx([1.0, 4.0])


def test_a_choice_comes_as_often_as_its_chance():
    weather = Unknown("weather", shape="choice", options=("wet", "dry", "hot"), chances=(2.0, 1.0, 1.0))
    found = values_of([weather], shares_of([weather], 64))[:, 0]
    assert np.bincount(found.astype(int)).tolist() == [32, 16, 16]


def test_pairs_go_together_and_each_stays_even():
    shares = shares_of(plain(3), 4096, correlations={("a0", "a2"): 0.6})
    assert stats.spearmanr(shares[:, 0], shares[:, 2]).statistic == pytest.approx(0.6, abs=0.01)
    assert abs(stats.spearmanr(shares[:, 0], shares[:, 1]).statistic) < 0.01
    assert stats.kstest(shares[:, 2], "uniform").pvalue > 0.5
    with pytest.raises(ScenarioError, match=r"b is not drawn; drawn are a0, a1, a2"):
        shares_of(plain(3), 8, correlations={("a0", "b"): 0.6})
    with pytest.raises(ScenarioError, match="contradict each other"):
        shares_of(plain(3), 8, correlations={("a0", "a1"): 0.95, ("a1", "a2"): 0.95, ("a0", "a2"): -0.95})


@pytest.mark.parametrize(
    ("members", "said"), [(200, "write 128 or 256"), (0, "write 2 or 4"), (40000, "16384")]
)
def test_other_numbers_of_members_are_refused(members, said):
    with pytest.raises(ScenarioError, match=said):
        shares_of(plain(1), members)
