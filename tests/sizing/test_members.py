"""Sizes over members: shares in closed form, and a tank whose answer in every member is known by hand."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from scipy import stats

from pondsim.ensemble.few import few_of
from pondsim.ensemble.sampling import Unknown, shares_of
from pondsim.ensemble.study import Draws, draws_from
from pondsim.ensemble.weather_years import WeatherYear
from pondsim.sizing.members import margin_of_share, share_meeting
from tests.cli.common import call
from tests.sizing.ponds import DAY, GPM, VOLUME, write_tank


def test_the_share_that_meets_and_the_margin_that_a_share_reaches():
    """Four of five weigh 0.2: three meet; 60 % reach 1, 80 % reach -1; one that failed reaches nothing."""
    margins, weights = np.array([3.0, -1.0, 2.0, 1.0, -math.inf]), np.full(5, 0.2)
    assert share_meeting(margins, weights) == pytest.approx(0.6)
    assert margin_of_share(margins, weights, 0.6) == 1.0 and margin_of_share(margins, weights, 0.8) == -1.0
    assert margin_of_share(margins, weights, 0.9) == -math.inf
    assert share_meeting(np.zeros(1), np.ones(1), strict=True) == 0.0
    assert share_meeting(np.zeros(1), np.ones(1)) == 1.0


def test_an_error_beside_the_members_adds_its_variance():
    """Members N(1, 2) with an error of deviation 1.5: their sum is N(1, 2.5), so 80 % reach its quantile."""
    members = stats.norm.ppf(shares_of([Unknown("a")], 4096)[:, 0], 1.0, 2.0)
    weights = np.full(4096, 1.0 / 4096)
    exact = stats.norm(1.0, 2.5)
    assert margin_of_share(members, weights, 0.8, 1.5) == pytest.approx(exact.ppf(0.2), abs=0.01)
    assert share_meeting(members, weights, 1.5) == pytest.approx(exact.sf(0.0), abs=0.002)
    one = margin_of_share(np.array([2.0, -math.inf]), np.array([0.9, 0.1]), 0.8, 1.0)
    assert 0.9 * stats.norm.cdf(2.0 - one) == pytest.approx(0.8)


def test_few_stand_for_many_by_their_weights():
    """Each draw comes count w times, rounded down or up, and on average exactly so."""
    unknowns = [Unknown("a")]
    many = draws_from(unknowns, shares_of(unknowns, 64), [WeatherYear("as stated")], 1)
    weights = np.random.default_rng(2).dirichlet(np.full(64, 0.5))
    many = Draws(many.unknowns, many.shares, many.values, many.years, many.year, weights, 1, 0.4)
    mean = np.zeros(64)
    for seed in range(200):
        few = few_of(many, 16, seed)
        places = np.searchsorted(np.sort(many.shares[:, 0]), few.shares[:, 0])
        rows = np.argsort(many.shares[:, 0])[places]
        copies = np.zeros(64)
        copies[rows] = np.round(16 * few.weights)
        assert (np.abs(copies - 16 * weights) < 1.0).all() and few.weights.sum() == pytest.approx(1.0)
        mean += copies / 200
    assert mean == pytest.approx(16 * weights, abs=0.12)
    assert few.margin == 0.4 and few_of(many, 64).members <= 64
    plain = Draws(many.unknowns, many.shares, many.values, many.years, many.year)
    assert few_of(plain, 64).weights == pytest.approx(np.full(64, 1.0 / 64))


SPLASH = """
[unknowns]
defaults = false

[[unknowns.range]]
key = "zone.tank.floating_cover"
low = "0 %"
high = "20 %"

[[unknowns.weather]]
name = "usual"
"""
ONE_OF = ("--until", "nominal_turnover <= 2 d")


@pytest.fixture(scope="module")
def tank(tmp_path_factory):
    return write_tank(tmp_path_factory.mktemp("tank"), extra=SPLASH)


def test_a_size_that_no_draw_moves_is_that_of_a_plain_search(tank, tmp_path):
    """Turnover is volume over flow in every member: all agree, at V / (2 d)."""
    files = ("--json", tmp_path / "a.json", "--csv", tmp_path / "a.csv", "--figure", tmp_path / "a.svg")
    told = call("size", "flow", tank, *ONE_OF, "--members", "2", "--steps", "3", *files)
    assert told.exit_code == 0, told.output
    data = json.loads((tmp_path / "a.json").read_text())
    by_hand = VOLUME / (2 * DAY) / GPM
    assert data["below"] < by_hand < data["size"] * 1.001 and data["size"] == pytest.approx(by_hand, rel=0.06)
    assert {one["share"] for one in data["runs"]} == {0.0, 1.0}
    assert "no readings stand behind them" in " ".join(told.stdout.split())
    assert (tmp_path / "a.svg").read_text().startswith("<?xml")
    lines = [line for line in told.stdout.splitlines() if str(tank.parent) not in line]
    assert max(map(len, lines)) <= 80


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--members", "3"), "write 2 or 4"),
        (("--confidence", "0.9"), "--confidence: goes with --weights or --members"),
        (("--members", "2", "--confidence", "2"), "write a share from 0.5 to 0.99"),
        (("--weights", "{design}"), "cannot be read as a file of weights"),
        (("--members", "2", "--cluster", "here"), "is not a way to do runs"),
        (("--members", "2", "--workers", "2", "--cluster", "tcp://127.0.0.1:9"), "give one of the two"),
    ],
)
def test_what_cannot_be_is_refused(tank, options, said):
    options = [one.format(design=tank) for one in options]
    told = call("size", "flow", tank, *ONE_OF, "--steps", "2", *options)
    assert told.exit_code == 2 and said in told.stderr and "Traceback" not in told.stderr


def test_what_is_drawn_cannot_be_sized(tank):
    told = call("size", "zone.tank.floating_cover", tank, *ONE_OF, "--from", "1 %", "--to", "5 %",
                "--members", "2")  # fmt: skip
    assert told.exit_code == 2 and "zone.tank.floating_cover: is drawn among the unknowns" in told.stderr
