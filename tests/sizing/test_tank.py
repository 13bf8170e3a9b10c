"""Sizes found by real runs of a tank whose answers can be worked out by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from pondsim.errors import RunError, ScenarioError
from pondsim.scenario.vary import Change, read_changed
from pondsim.simulate import run
from pondsim.sizing import trial as trial_module
from pondsim.sizing.by_word import size_of
from pondsim.sizing.catalogue import Candidate, cheapest, choose
from pondsim.sizing.grid import size_map
from pondsim.sizing.one import size_one, value_in
from pondsim.sizing.places import Pair, rank, worst_place
from pondsim.sizing.search import PRECISION
from pondsim.sizing.size import limits
from pondsim.sizing.target import read_wish
from pondsim.sizing.trial import try_all, try_out
from tests.records_for_tests import records_of
from tests.scenarios_for_tests import write_design
from tests.sizing.ponds import DAY, GPM, VOLUME, write_tank

HERE = Path("test")
EVAPORATES = 0.01  # of the volume, at most, in two days of July: 15 mm of 3 m, and as much again


@pytest.fixture(scope="module")
def tank(tmp_path_factory):
    return write_tank(tmp_path_factory.mktemp("tank"))


def scenario_of(design, size):
    return lambda value: read_changed(design, size.changes(value, HERE)).scenario


def sized(design, what, until, **options):
    size = size_of(design, what, options.pop("unit", None))
    start, end = options.pop("start", None), options.pop("end", None)
    low, high = limits(size, start, end)
    return size_one(scenario_of(design, size), low, high, read_wish(until), whole=size.whole, **options)


def test_the_flow_of_a_nominal_turnover_time_is_volume_over_time(tank):
    """V = 20000 ft2 x 10 ft; two days: 519.5 gpm, by hand."""
    found = sized(tank, "flow", "nominal_turnover <= 48 h")
    by_hand = VOLUME / (2 * DAY)
    assert by_hand / GPM == pytest.approx(519.5, abs=0.05)
    assert found.answer.kind == "found"
    assert found.answer.below <= by_hand * (1 + 1e-3)
    assert found.answer.size == pytest.approx(by_hand, rel=PRECISION + EVAPORATES)


def test_the_flow_that_replaces_a_share_of_a_mixed_tank(tank):
    """A mixed tank: 1 - exp(-N Q/V) went over the waterfall in N days; 80 % in three: Q = V ln 5 / 3 d."""
    found = sized(tank, "flow", "replaced_share >= 80 %", precision=0.005)
    by_hand = VOLUME * math.log(5.0) / (3 * DAY)
    assert found.answer.size == pytest.approx(by_hand, rel=0.005 + EVAPORATES)
    for point in found.points:
        exact = 1.0 - math.exp(-3 * DAY * point.size / VOLUME)
        assert point.value == pytest.approx(exact, rel=EVAPORATES)
    below, above = found.point(found.answer.below), found.point(found.answer.size)
    assert not below.meets and above.meets
    assert above.size - below.size <= 0.005 * above.size


def test_the_answer_stands_when_run_alone(tank):
    """The sizes just below and just above, each run anew and with all that a plain run does."""
    found = sized(tank, "flow", "replaced_share >= 50 %")
    size = size_of(tank, "flow")
    for value, meets in ((found.answer.below, False), (found.answer.size, True)):
        again = trial_module.trial_of(run(scenario_of(tank, size)(value)))
        assert (value_in(again, "replaced_share") >= 0.5) == meets


def test_electricity_of_a_loop_is_head_times_flow(tank):
    """rho g Q H / efficiency over two days; the head is stated, so kWh go with the flow."""
    found = sized(tank, "flow", "electricity.circulation pump >= 60 kWh")
    ratios = [point.value / point.size for point in found.points]
    assert ratios == pytest.approx([ratios[0]] * len(ratios), rel=1e-3)
    assert found.answer.kind == "found"


def test_the_smallest_that_uses_no_more_than_a_limit_is_the_smallest_looked_at(tank):
    found = sized(tank, "flow", "electricity <= 60 kWh")
    assert found.answer.kind == "already"
    most, over = found.answer.largest
    assert found.point(most).trial.energy <= 60.0 < found.point(over).trial.energy
    assert over - most <= PRECISION * over * (1 + 1e-9)


def test_air_is_sized_over_all_units(tank):
    """Electricity goes with the air at one depth and efficiency: a third more air, a third more kWh."""
    before = try_out(read_changed(tank, ()).scenario)
    used = {k: e.value for k, e in before.measures.items() if k.startswith("electricity.")}
    wanted = 4.0 / 3.0 * used["electricity.left air"]
    found = sized(tank, "air", f"electricity.left air >= {wanted} kWh", precision=0.005)
    size = size_of(tank, "air")
    assert found.answer.size == pytest.approx(4.0 / 3.0 * size.present, rel=0.01)


def test_hours_of_the_pump_within_a_budget_of_electricity(tank):
    """All day takes 24 h of it; half of it is twelve hours a day."""
    all_day = try_out(read_changed(tank, ()).scenario).measures["electricity.circulation pump"].value
    size = size_of(tank, "hours", "pump", "12:00")
    wish = read_wish(f"electricity.circulation pump >= {0.5 * all_day} kWh")
    found = size_one(scenario_of(tank, size), 3600.0, 24 * 3600.0, wish)
    assert found.answer.size / 3600.0 == pytest.approx(12.0, rel=PRECISION + 0.01)


def test_a_whole_number(tank):
    """Two diffusers use so much each; five of them are the first to pass four and a half times that."""
    each = 0.5 * try_out(read_changed(tank, ()).scenario).measures["electricity.left air"].value
    wish = f"electricity.left air >= {4.5 * each} kWh"
    found = sized(tank, "aeration.left air.diffusers", wish, end="12")
    assert (found.answer.below, found.answer.size) == (4.0, 5.0)


def test_a_target_no_size_meets(tank):
    found = sized(tank, "flow", "replaced_share >= 99.9 %", end="600 gpm")
    assert found.answer.kind == "never"
    assert found.answer.best.size == pytest.approx(600 * GPM)


def test_a_failed_run_counts_as_missing(tank, monkeypatch):
    """The pond freezes at no size here, so the failure is put in its way."""
    real = trial_module.run

    def failing(scenario, **options):
        if scenario.pump.flow < 400 * GPM:
            raise RunError("put in its way")
        return real(scenario, **options)

    monkeypatch.setattr(trial_module, "run", failing)
    found = sized(tank, "flow", "nominal_turnover <= 10 d")
    assert found.answer.size == pytest.approx(400 * GPM, rel=PRECISION)
    assert found.answer.below < 400 * GPM
    assert {point.trial.failure for point in found.failed} == {"put in its way"}
    assert not any(point.meets for point in found.failed)


def test_an_unknown_measure_is_told_after_the_first_run(tank):
    with pytest.raises(ScenarioError, match='did you mean "replaced_share"'):
        sized(tank, "flow", "replaced_shore >= 80 %")


def candidate(tank, name, gpm, price=None, **more):
    laid = [Change("pump.flow", f"{gpm} gpm", HERE), *(Change(k, v, HERE) for k, v in more.items())]
    return Candidate(name, price, gpm * GPM, read_changed(tank, laid).scenario)


def test_the_next_pump_one_can_buy(tank):
    """By hand 519.5 gpm turn the tank over in two days: 500 is too small, 540 serves, 700 costs less."""
    wish = read_wish("nominal_turnover <= 2 d")
    listed = [
        candidate(tank, "large", 900, 4000.0),
        candidate(tank, "small", 500, 1000.0),
        candidate(tank, "middle", 540, 3000.0),
        candidate(tank, "cheap", 700, 2000.0),
    ]
    offers = choose(listed, 519.5 * GPM, wish)
    assert [(o.candidate.name, o.fate) for o in offers] == [
        ("small", "too small"),
        ("middle", "meets"),
        ("cheap", "meets"),
        ("large", "not needed"),
    ]
    assert cheapest(offers).candidate.name == "cheap"
    assert offers[1].point.value == pytest.approx(VOLUME / (540 * GPM) / DAY, rel=EVAPORATES)
    every = choose(listed, 519.5 * GPM, wish, every=True)
    assert [o.fate for o in every] == ["misses", "meets", "meets", "meets"]


def test_without_prices_the_first_that_serves_is_enough(tank):
    listed = [candidate(tank, "a", 600), candidate(tank, "b", 700)]
    offers = choose(listed, 519.5 * GPM, read_wish("nominal_turnover <= 2 d"))
    assert [o.fate for o in offers] == ["meets", "not needed"]
    assert cheapest(offers) is None


def test_a_map_finds_the_least_cost(tank):
    """Turnover hangs on the flow alone, kWh on both: the least is the first flow that serves, least air."""
    flow, air = size_of(tank, "flow"), size_of(tank, "air")
    flows = tuple(gpm * GPM for gpm in (300.0, 560.0, 800.0))
    airs = (0.5 * air.present, 2.0 * air.present)

    def scenario_at(a, b):
        return read_changed(tank, [*flow.changes(a, HERE), *air.changes(b, HERE)]).scenario

    found = size_map(scenario_at, flows, airs, read_wish("nominal_turnover <= 2 d"))
    assert [[point.meets for point in row] for row in found.points] == [[False] * 2, [True] * 2, [True] * 2]
    assert found.least == (1, 0)
    assert not found.by_money
    costs = [[found.cost(point) for point in row] for row in found.points]
    assert all(row[0] < row[1] for row in costs)
    never = size_map(scenario_at, flows[:1], airs[:1], read_wish("nominal_turnover <= 1 d"))
    assert never.least is None and never.best == (0, 0)


def test_threads_give_the_same_numbers_in_the_same_order(tank):
    size = size_of(tank, "flow")
    scenarios = [scenario_of(tank, size)(gpm * GPM) for gpm in (200, 300, 400, 500)]
    here, there = try_all(scenarios, how="serial"), try_all(scenarios, how="threads:3")
    assert [trial.measures for trial in there] == [trial.measures for trial in here]


def test_the_second_start_can_be_left_out_and_nothing_else_moves(tank):
    scenario = read_changed(tank, ()).scenario
    full, short = run(scenario), run(scenario, how_long_start_matters=False)
    assert math.isnan(short.attrs["start_dependence_days"])
    assert full.attrs["start_dependence_days"] > 0.0
    assert short["dissolved_oxygen"].equals(full["dissolved_oxygen"])
    assert "start_shows" in records_of(full)
    assert "start_shows" not in records_of(short)


def test_places_are_ranked_by_what_they_do(tmp_path):
    """A return into the zone of the intake leaves the other zone alone."""
    design = write_design(tmp_path)
    short = Change("period.end", "2025-07-03", HERE)
    pairs = []
    for name, intake, waterfall in (("same", "deep pool", "deep pool"), ("across", "deep pool", "cove")):
        laid = [Change("intake.zone", intake, HERE), Change("waterfall.zone", waterfall, HERE), short]
        laid += [Change("inflow", [], HERE)]
        made = read_changed(design, laid).scenario
        pairs.append(Pair(name, intake, waterfall, made.intake.elevation, made))
    ranking = rank(pairs, "replaced_share")
    assert [one.pair.name for one in ranking.ranked] == ["across", "same"]
    assert ranking.ranked[0].value > ranking.ranked[1].value
    zone, days = worst_place(ranking.ranked[1].trial, "days_since_waterfall")
    assert zone == "cove"
    with_return = ranking.ranked[0].trial.measures["days_since_waterfall.cove"].value
    assert days is None or days > with_return
    wished = rank(pairs, "", read_wish("days_since_waterfall.worst <= 100 d"))
    assert wished.ranked[0].meets
    with pytest.raises(ScenarioError, match="neither more nor less of electricity is better"):
        rank(pairs[:1], "electricity")
