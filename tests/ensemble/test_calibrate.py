"""Calibration from outside and with the real model: twins, what is said and refused, what promise takes."""

from __future__ import annotations

import json

import numpy as np
import pytest
from markupsafe import escape
from scipy import stats

from pondsim.ensemble.calibrate import AtReadings, calibrate, warnings_of
from pondsim.ensemble.facts import Read
from pondsim.ensemble.learnt import Learnt, learnt
from pondsim.ensemble.runner import run_tasks
from pondsim.ensemble.sampling import Unknown, shares_of, values_of
from pondsim.ensemble.statistics import quantile
from pondsim.ensemble.study import RunDrawn
from pondsim.ensemble.unknowns import drawn, unknowns_of
from pondsim.ensemble.weather_years import WeatherYear
from pondsim.ensemble.weights import Held, Weighing, weigh
from pondsim.ensemble.weights_file import weighted_draws
from pondsim.errors import ScenarioError
from pondsim.scenario.read import read_scenario
from tests.cli.common import call
from tests.ensemble.test_study import SMALL
from tests.ensemble.twins import twin

TWO = """
[unknowns]
defaults = false

[[unknowns.range]]
key = "bed.oxygen_demand"
low = "1 g/m2/d"
high = "4 g/m2/d"

[[unknowns.range]]
key = "start.chlorophyll"
low = "15 ug/L"
high = "150 ug/L"
shape = "log-uniform"
"""


@pytest.fixture(scope="module")
def logged(tmp_path_factory):
    return twin(tmp_path_factory.mktemp("twin"), days=4, more=TWO)


@pytest.fixture(scope="module")
def weighed(logged):
    folder = logged[0].parent
    files = ("-o", folder / "w.nc", "--json", folder / "w.json", "--keep", folder / "kept")
    told = call("calibrate", logged[0], "--members", "16", "--effective", "4", *files)
    assert told.exit_code == 0, told.stderr
    return told


def test_what_is_said(weighed, logged):
    """Effective number, held-out tail beside rivals, learnt and not; four days are too few facts."""
    said = " ".join(weighed.stdout.split())
    assert max(map(len, weighed.stdout.splitlines())) <= 80
    for words in ("16 members compared with readings", "worth", "Held out, logger", "yesterday's hour",
                  "of past errors lay within", "fewer than three error memories"):  # fmt: skip
        assert words in said
    assert "validated" not in said and "calibrated value" not in said
    data = json.loads((logged[0].parent / "w.json").read_text())
    assert data["effective_number"] >= 4.0 and {one["name"] for one in data["unknowns"]} == {
        "bed.oxygen_demand",
        "start.chlorophyll",
    }
    again = call(
        "calibrate", logged[0], "--members", "16", "--effective", "4", "--keep", logged[0].parent / "kept"
    )
    assert again.stdout == weighed.stdout  # from what was kept


def test_a_fit_is_told_as_a_range(logged, weighed):
    """Both unknowns of the twin: the truth lies near; never one value."""
    folder = logged[0].parent
    files = ("--keep", folder / "kept", "--json", folder / "fit.json")
    told = call(
        "calibrate", logged[0], "--members", "16", "--effective", "4", "--fit", "start.chlorophyll", *files
    )
    assert told.exit_code == 0, told.stderr
    assert "Least squares with the ranges as priors" in " ".join(told.stdout.split())
    row = json.loads((folder / "fit.json").read_text())["fits"][0]
    assert row["low"] < row["high"] and row["narrowed"] < 1.0
    strange = call("calibrate", logged[0], "--members", "16", "--effective", "4", "--fit", "x", *files)
    assert strange.exit_code == 2 and "--fit x: is not a drawn number" in strange.stderr


def test_promise_takes_draws_and_weights(weighed, logged):
    """The same values and weights for what was drawn; the weather, which no reading knew, drawn anew."""
    folder = logged[0].parent
    draws = weighted_draws(
        [read_scenario(folder / "existing.toml"), read_scenario(folder / "design.toml")], folder / "w.nc"
    )
    assert [one.name for one in draws.unknowns] == ["bed.oxygen_demand", "start.chlorophyll", "weather"]
    assert draws.weights.sum() == pytest.approx(1.0) and len(draws.weights) == 16
    told = call("promise", folder / "existing.toml", folder / "design.toml", "--weights", folder / "w.nc")
    assert told.exit_code == 0 and "by their weights" in told.stdout, told.stderr
    site = (folder / "site.toml").read_text()
    (folder / "site.toml").write_text(site.replace('high = "4 g/m2/d"', 'high = "3 g/m2/d"'))
    other = call("promise", folder / "existing.toml", folder / "design.toml", "--weights", folder / "w.nc")
    (folder / "site.toml").write_text(site)
    assert other.exit_code == 2 and "bed.oxygen_demand was drawn from another range" in other.stderr
    (folder / "site.toml").write_text(site.replace('"cove"', '"bay"'))
    text = (folder / "design.toml").read_text()
    (folder / "bay.toml").write_text(text.replace('"cove"', '"bay"'))
    strange = call("promise", folder / "existing.toml", folder / "bay.toml", "--weights", folder / "w.nc")
    (folder / "site.toml").write_text(site)
    assert strange.exit_code == 2 and "of a pond with the zones deep pool, cove" in strange.stderr


def test_size_takes_draws_and_weights(weighed, logged, monkeypatch, tmp_path):
    """Few members by their weights, the same at each size; a search that goes on runs nothing twice."""
    folder, ran = logged[0].parent, []
    real = RunDrawn.__call__
    monkeypatch.setattr(RunDrawn, "__call__", lambda self, task: ran.append(task) or real(self, task))
    options = ("--until", "dawn_lowest_top >= 0.1 mg/L", "--steps", "2", "--members", "4",
               "--weights", folder / "w.nc", "--keep", tmp_path / "kept")  # fmt: skip
    told = call("size", "flow", folder / "design.toml", *options, "--json", tmp_path / "a.json")
    assert told.exit_code == 0, told.output
    data = json.loads((tmp_path / "a.json").read_text())
    assert data["kind"] == "already" and data["runs"][0]["share"] > 0.8
    assert len(ran) == data["members"] * len(data["runs"]) == len(set(ran))
    assert len({task.values for task in ran}) == data["members"]
    said = " ".join(told.stdout.split())
    assert "taken by the weights of w.nc, worth" in said and "2 unknowns over their ranges" in said
    ran.clear()
    again = call("size", "flow", folder / "design.toml", *options)
    assert again.stdout == told.stdout and not ran


def test_the_page_takes_weights(weighed, logged, tmp_path):
    """What is printed stands on the page in the same words; another file is refused."""
    folder = logged[0].parent
    call("run", logged[0], "-o", tmp_path / "read.nc")
    page = ("report", tmp_path / "read.nc", "-o", tmp_path / "page.html", "--no-tables")
    made = call(*page, "--weights", folder / "w.nc")
    assert made.exit_code == 0, made.output
    html = " ".join((tmp_path / "page.html").read_text().split())
    assert "What the readings say of the unknowns" in html
    for paragraph in weighed.stdout.replace("Warning: ", "").split("\n\n")[:3]:
        assert escape(" ".join(paragraph.split())) in html
    refused = call(*page, "--weights", tmp_path / "read.nc")
    assert refused.exit_code == 2 and "holds no weights of this version" in refused.stderr


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--held-out", "0.9"], "--held-out 0.9: write a share of the days from 0.1 to 0.6"),
        (["--effective", "99", "--members", "16"], "--effective 99 of 16 members: write a number from 2"),
        (["--seed", "-1"], "not in the range x>=0"),
        (["--by", "oxygen"], "is not something that is read; write one of dissolved_oxygen"),
        (["--by", "chlorophyll"], "no readings of chlorophyll lie within the period"),
        (["--members", "10", "--effective", "4"], "write 8 or 16"),
    ],
)
def test_what_cannot_be_is_refused(logged, options, said):
    told = call("calibrate", logged[0], *options)
    assert told.exit_code == 2 and said in told.stderr


def test_no_readings_are_refused(logged):
    with pytest.raises(ScenarioError, match="there are no readings to hold members against"):
        calibrate(read_scenario(logged[0].parent / "existing.toml"), 4, effective=2.0)
    told = call("calibrate", logged[0].parent / "existing.toml")
    assert told.exit_code == 2 and "existing.toml: has no [[readings]]" in told.stderr


def test_every_warning_comes_where_it_should():
    """Members too far, a tail worse than yesterday's hour, few facts, readings above all, an edge, a bed."""
    held = Held("a", 50, 1.2, 0.0, {"yesterday's hour": 1.0}, 0.5, 0.8)
    weighing = Weighing(
        np.ones(4) / 4, 3.0, 10.0, 0.5, {"a": 7.0}, {"a": 2.0}, {"a": 1.0}, {"a": 0.3}, (held,)
    )
    times = np.array(["2025-07-01"], dtype="M8[s]")
    top = Read("a", "dissolved_oxygen", "cove", False, times, 1.0, np.ones(1), np.ones((4, 1)), np.ones(1))
    told = [Learnt(Unknown("bed.oxygen_demand"), True, 0.4, 1.0, 2.0, "high", "", 0.0)]
    codes = [record.code for record in warnings_of(weighing, told, [top], 10.0)]
    assert codes == ["few_members", "no_better", "few_memories", "above_members", "at_edge", "bed_from_top"]
    good = Weighing(np.ones(4) / 4, 30.0, 30.0, 1.0, {"a": 2.0}, {"a": 9.0}, {"a": 1.0}, {"a": 0.0},
                    (Held("a", 50, 0.5, 0.0, {"yesterday's hour": 1.0}, 0.95, 0.0),))  # fmt: skip
    deep = Read("a", "dissolved_oxygen", "cove", True, times, 1.0, np.ones(1), np.ones((4, 1)), np.ones(1))
    plain = [Learnt(Unknown("bed.oxygen_demand"), True, 0.4, 1.0, 2.0, "", "", 0.0)]
    assert warnings_of(good, plain, [deep], 10.0) == []


@pytest.mark.long
def test_twins_of_the_real_model(tmp_path):
    """20 truths of the small pond, drawn as members are, read near the top for 20 days with errors that
    remember: the 90 % interval of the mean of the last days, never seen, holds the truth in 15 to 20; what
    the
    logger cannot see (chloride of runoff) keeps its spread."""
    days, members, truths = 20, 128, 20
    path, _ = twin(
        tmp_path, days=days, more=SMALL.split("[[unknowns.weather]]")[0].replace("defaults = false", "")
    )
    scenario = read_scenario(path)
    unknowns = unknowns_of([scenario], [WeatherYear("as measured")])
    shares = shares_of(unknowns, members, 1)
    others = shares_of(unknowns, 32, 99)[:truths]
    values = values_of(unknowns, np.concatenate([shares, others]))
    tasks = [tuple(sorted(drawn(scenario, unknowns, row).items())) for row in values]
    found = run_tasks(AtReadings(scenario, ("dissolved_oxygen",)), tasks)
    computed = np.stack([one["computed"].values for one in found]).astype(float)
    rng = np.random.default_rng(8)
    times = np.datetime64("2025-07-01T01:00", "s") + np.arange(computed.shape[1]) * np.timedelta64(3600, "s")
    tail = computed[:, -5 * 24 :].mean(axis=1)
    inside, spread = 0, []
    for truth in range(truths):
        level = np.zeros(days)
        for day in range(1, days):
            level[day] = 0.75 * level[day - 1] + np.sqrt(1 - 0.75**2) * rng.normal(0.0, 0.3)
        noise = np.repeat(level, 24)[: times.size] + rng.normal(0.0, 0.2, times.size)
        read = computed[members + truth] + noise
        one = Read(
            "logger",
            "dissolved_oxygen",
            "deep pool",
            False,
            times,
            1.0,
            read,
            computed[:members],
            np.full(times.size, 8.5),
        )
        weighing = weigh([one], 0.25, 10.0)
        low, high = quantile(tail[:members], [0.05, 0.95], weighing.weights)
        inside += low <= tail[members + truth] <= high
        prior = np.ptp(np.quantile(tail[:members], [0.05, 0.95]))
        told = {one.unknown.name: one for one in learnt(unknowns, shares, weighing.weights)}
        spread.append((told["stormwater.chloride"].narrowed, (high - low) / prior))
    assert max(stats.binom.interval(0.95, truths, 0.9)[0], 15) <= inside
    unseen, forecast = np.median(spread, axis=0)
    assert unseen == pytest.approx(1.0, abs=0.15) and forecast < 0.6
