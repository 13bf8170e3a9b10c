"""What members say: paired differences, ties, probabilities, promises and the plan that proves them."""

from __future__ import annotations

import json
import math
from dataclasses import asdict

import numpy as np
import pytest
import xarray as xr
from scipy import stats

from pondsim.cli._promise_data import answer_csv
from pondsim.cli._promise_text import answer_text, worse_text
from pondsim.ensemble.answer import answer_of, measurements
from pondsim.ensemble.paired import paired, worst_places
from pondsim.ensemble.promise import least_gain, members_needed, plan_of, promised
from pondsim.ensemble.statistics import wilson_interval
from pondsim.ensemble.unknowns import OF_GROWN
from pondsim.errors import ScenarioError
from pondsim.measures.declared import declarations
from pondsim.scenario.defaults import default_parameters
from tests.ensemble.ponds import made_study


def test_differences_are_paired():
    """A18: two values of deviation 1 and correlation 0.9 differ with deviation 0.447, not 1.414."""
    rng = np.random.default_rng(2)
    old = rng.normal(5.0, 1.0, 4096)
    new = 5.0 + 0.9 * (old - 5.0) + np.sqrt(1.0 - 0.81) * rng.normal(size=4096) + 0.3
    row = next(
        one for one in paired(made_study(new - old, old), 1) if one.measure.key == "dawn_mean_top.cove"
    )
    deviation = (row.high - row.low) / (2.0 * stats.norm.ppf(0.95))
    assert deviation == pytest.approx(0.4472, abs=0.02)
    assert row.difference == pytest.approx(0.3, abs=0.03) and row.existing == pytest.approx(5.0, abs=0.05)


def test_shares_and_their_intervals():
    """8 of 40 members better beyond the band of 0.06 mg/L: 0.105 to 0.348 (Wilson 1927); 30 tie."""
    study = made_study([0.5] * 8 + [0.05] * 30 + [-0.5] * 2, year=[0] * 8 + [1] * 32)
    row = next(one for one in paired(study, 1) if one.measure.key == "dawn_mean_top.cove")
    assert (row.better.share, row.tie.share, row.worse.share) == pytest.approx((0.2, 0.75, 0.05))
    assert (row.better.low, row.better.high) == pytest.approx((0.105, 0.347573), abs=2e-4)
    assert row.by_year == (pytest.approx((0.5, 8)), pytest.approx((0.05, 32)))
    assert row.meets is None
    lowest = next(one for one in paired(study, 1) if one.measure.key == "dawn_lowest_top.cove")
    short = (study["measure"].sel(key="dawn_lowest_top.cove") >= 3.0).mean("member").values
    assert (lowest.existing_meets.share, lowest.meets.share) == pytest.approx(tuple(short))


def test_weights_count_for_what_they_are_worth():
    """Half of the weight on 10 of 40 members: worth by Kish (sum w)^2 / sum w^2 = 30."""
    weights = np.array([0.05] * 10 + [0.5 / 30] * 30)
    row = next(one for one in paired(made_study([1.0] * 10 + [0.0] * 30, weights=weights), 1))
    assert row.better.share == pytest.approx(0.5)
    assert (row.better.low, row.better.high) == pytest.approx(wilson_interval(0.5, 30.0))


def test_failed_members_are_left_out():
    study = made_study([1.0] * 4 + [-9.0] * 4)
    study["failure"] = study["failure"].astype(object)
    study["failure"][1, 4:] = "the water freezes"
    answer = answer_of(study)
    assert (answer.members, answer.asked, answer.failures) == (4, 8, ("the water freezes",))
    assert all(
        row.low == pytest.approx(1.0) for row in answer.designs[0].rows if row.measure.key[:9] == "dawn_mean"
    )


def test_a_promised_number_is_kept_as_often_as_it_says():
    """Of 200 studies of 64 members from N(0.5, 0.3) at most one in ten (and luck) promises more than nine of
    ten of all members reach: 0.5 - 1.2816 x 0.3."""
    true = 0.5 - stats.norm.ppf(0.9) * 0.3
    rng = np.random.default_rng(4)
    weights = np.full(64, 1.0 / 64)
    numbers = [least_gain(rng.normal(0.5, 0.3, 64), weights, 0.9) for _ in range(200)]
    too_much = sum(number > true for number in numbers)
    assert too_much <= stats.binom.ppf(0.999, 200, 0.1)
    assert np.median(numbers) > 0.5 - 2.4 * 0.3  # nor is it needlessly little


def test_a_promise_stands_beyond_a_tie_or_not_at_all():
    found = promised(made_study(np.linspace(0.3, 1.0, 64)), 1, 0.9)
    assert found.measure.key == "dawn_mean_top.cove" and 0.3 <= found.amount <= 0.4
    assert found.reached.low >= 0.9 and found.amount * 10 == pytest.approx(round(found.amount * 10))
    assert promised(made_study(np.linspace(0.0, 1.0, 64)), 1, 0.9) is None
    assert promised(made_study([1.0] * 8), 1, 0.9) is None  # eight members say too little
    assert members_needed(0.9) == 15  # n/(n + z^2) >= 0.9, z = 1.2816
    assert promised(made_study([1.0] * 15), 1, 0.9) is not None
    with pytest.raises(ScenarioError, match=r"x: no measure of these members .* such as dawn_mean_top\.cove"):
        promised(made_study([1.0] * 8), 1, 0.9, "x")
    with pytest.raises(ScenarioError, match=r"confidence = 1.5: write a share from 0.5 to 0.99"):
        promised(made_study([1.0] * 8), 1, 1.5)


def shares_study(name, differences):
    """A measure kept as a share and shown in per cent, or any other, that differs by the given numbers."""
    study = made_study(differences)
    rows = json.loads(study.attrs["measures"])
    stem, _, zone = name.partition(".")
    one = asdict(declarations()[f"{stem}_by_zone" if zone else stem].template)
    one |= {"key": name, "label": zone or one["label"]}
    rows[name] = json.loads(json.dumps(one), parse_constant=lambda _: None)
    old = np.full(len(differences), 0.3)
    more = xr.DataArray(np.stack([old, old + differences])[..., None], dims=("design", "member", "key"))
    wider = study.assign_coords(key=study["key"]).drop_vars("measure").drop_dims("key")
    measure = xr.concat([study["measure"], more.assign_coords(key=[name])], "key")
    return wider.assign(measure=measure).assign_attrs(measures=json.dumps(rows))


@pytest.mark.parametrize(
    ("name", "least", "system", "told"),
    [
        (
            "replaced_share",
            0.447,
            "us",
            "replaced within {within} d, higher by at least 44 percentage points.",
        ),
        (
            "replaced_share",
            0.447,
            "si",
            "replaced within {within} d, higher by at least 44 percentage points.",
        ),
        ("phosphorus_captured", 0.0749, "us", "higher by at least 7 percentage points."),
        ("clarity.cove", 0.25, "us", "in cove, higher by at least 0.8 ft."),  # 0.25 m are 0.82 ft
        ("clarity.cove", 0.25, "si", "higher by at least 0.2 m."),
    ],
)
def test_a_promise_is_rounded_down_in_the_unit_shown(name, least, system, told):
    """All members gain `least` or more; per cent by definition, 0.3048 m are a foot."""
    study = shares_study(name, least + np.linspace(0.0, 1e-4, 64))
    answer = answer_of(study, key=name, system=system)
    said = answer_text(study, answer, system)
    assert told in " ".join(said.split())
    assert answer.designs[0].promise.reached.share == pytest.approx(1.0)


def test_the_refusal_of_a_promise_names_the_measure_asked_for():
    study = shares_study("replaced_share", np.linspace(-0.5, 0.5, 64))
    said = " ".join(answer_text(study, answer_of(study, key="replaced_share"), "us").split())
    assert "nothing beyond a tie can be promised" in said and "replaced within {within} d." in said
    assert "by dawns near the surface" not in said
    any_measure = made_study(np.linspace(-1.0, 1.0, 64))
    said = " ".join(answer_text(any_measure, answer_of(any_measure), "us").split())
    assert "by dawns near the surface" in said


def test_the_plan_has_the_power_it_says():
    """Dawns as in the members, independent from day to day, with the logger's error: the paired t-test finds
    the effect in 80 % of trials."""
    study = made_study(np.full(64, 0.4), days=120)
    plan = plan_of(study, 1, "dawn_mean_top.cove")
    assert plan.effect == pytest.approx(0.4) and plan.safe is False
    rng = np.random.default_rng(6)
    spread = np.hypot(0.5 * np.sqrt(2.0), np.sqrt(2.0) * 0.2)
    assert plan.spread == pytest.approx(spread, rel=0.03) and abs(plan.rho) < 0.05
    trials = rng.normal(plan.effect, plan.spread, (4000, plan.pairs))
    t = trials.mean(axis=1) / (trials.std(axis=1, ddof=1) / np.sqrt(plan.pairs))
    assert np.mean(t > stats.t.ppf(0.95, plan.pairs - 1)) == pytest.approx(0.8, abs=0.03)
    assert plan_of(made_study(np.full(64, 0.0)), 1, "dawn_mean_top.cove").pairs is None


def test_a_study_too_short_for_a_dawn_has_no_plan():
    """Two hours of the night: no day of any member has a dawn, so nothing is planned and nothing fails."""
    study = made_study(np.full(64, 0.4))
    short = study.assign(oxygen_dawn_top=study["oxygen_dawn_top"] * np.nan)
    assert plan_of(short, 1, "dawn_mean_top.cove") is None
    assert plan_of(study.isel(day=slice(0, 0)), 1, "dawn_mean_top.cove") is None


def test_what_decides_is_named_with_what_a_measurement_leaves():
    from pondsim.ensemble.sampling import Unknown, shares_of  # noqa: PLC0415

    unknowns = [Unknown("bed.oxygen_demand", 1.0, 4.0, 2.0), Unknown("light.albedo", 0.05, 0.1, 0.07)]
    shares = shares_of(unknowns, 256)
    answer = answer_of(made_study(shares[:, 0] + 0.1 * shares[:, 1], unknowns=unknowns))
    one = answer.designs[0]
    assert one.ranked.indices[0].unknown.name == "bed.oxygen_demand" and one.ranked.indices[0].first > 0.9
    assert one.worth[0].name == "bed.oxygen_demand" and "chamber" in one.worth[0].what
    before, after = one.interval[1] - one.interval[0], one.worth[0].high - one.worth[0].low
    assert before == pytest.approx(0.9, abs=0.03) and 0.6 < after < 0.8  # 25 % of 1 to 4 leaves that


def test_every_measurement_is_of_something_that_is_drawn():
    assert set(measurements()) - {"waterfall.method"} <= set(default_parameters())
    assert {
        name.partition(".")[0] for name in measurements() if name in OF_GROWN or "phosphorus" in name
    } >= {"algae", "phosphorus", "stormwater"}  # ponds whose algae grow have tests of their own


def deeper(study, by):
    """A made-up study whose dawns are of the bottom, the zone dredged by `by` in the design. [m]"""
    key = "hours_below_3_bottom.cove"
    one = asdict(declarations()["hours_below_3_bottom"].template) | {"key": key, "label": "cove"}
    one = {name: None if isinstance(v, float) and np.isnan(v) else v for name, v in one.items()}
    hours = study["measure"].isel(key=[0]).assign_coords(key=[key]) * 100.0
    beds = np.broadcast_to(np.array([190.0, 190.0 - by])[:, None, None], (2, study.sizes["member"], 1))
    whole = xr.concat([study["measure"], hours], "key")
    study = study.drop_vars(["measure", "key"]).assign(
        measure=whole, bed=(("design", "member", "zone"), beds)
    )
    return study.assign_attrs(measures=json.dumps(json.loads(study.attrs["measures"]) | {key: one}))


def test_the_bottom_of_a_dredged_zone_is_neither_worse_nor_better_nor_promised():
    """A bed 0.6 m deeper: the bottom is another place; as deep as ever it is worse in all members."""
    answers = []
    for by in (0.0, 0.6):
        study = deeper(made_study([1.0] * 64), by)
        answer = answer_of(study)
        answers.append((study, answer, next(r for r in answer.designs[0].rows if "bottom" in r.measure.key)))
    (_, was, same), (study, answer, row) = answers
    assert same.worse.share == 1.0 and "Hours below 3 mg/L, bottom" in worse_text(was.designs[0])[0]
    assert not row.compared and row.better is row.worse is None and math.isnan(row.difference)
    assert worse_text(answer.designs[0]) == [] and math.isfinite(row.value)
    assert worst_places(study, 1)["hours_below_3_bottom"][1] is None
    assert answer.designs[0].promise.measure.key == "dawn_mean_top.cove"  # the top is compared as ever
    text = answer_text(study, answer, "us", full=True)
    assert "in cove 2.0 ft (0.60 m) lower" in " ".join(text.split()) and "nan" not in text
    assert "nan" not in answer_csv(answer, "us").lower()
    better = deeper(made_study([-1.0] * 64), 0.6)
    assert promised(better, 1) is None
    with pytest.raises(ScenarioError, match="the bed of cove lies elsewhere than in the existing pond"):
        promised(better, 1, 0.9, "hours_below_3_bottom.cove")


def test_no_number_of_the_table_is_a_negative_zero():
    """Differences of -0.04 to 0.04 mg/L print with one decimal."""
    study = made_study(np.linspace(-0.04, 0.04, 32))
    text = answer_text(study, answer_of(study), "us", full=True)
    assert "+0.0" in text and "-0.0 " not in text and "-0.0\n" not in text and "-0%" not in text
