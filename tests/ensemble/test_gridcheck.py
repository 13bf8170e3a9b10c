"""Grid checks: how a pond is made finer, what counts as a move, a cut that moves nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pondsim.constants import DAY
from pondsim.ensemble.finer import cut_in_two, finer, largest_zone
from pondsim.ensemble.gridcheck import grid_check
from pondsim.ensemble.moves import Moves
from pondsim.errors import ScenarioError
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import BloomCrash, Outage
from pondsim.scenario.settings_living import Dredging
from pondsim.scenario.values import with_values
from pondsim.site.air_line import air_point
from tests.scenarios_for_tests import write_design


@pytest.fixture(scope="module")
def design(tmp_path_factory):
    return read_scenario(write_design(tmp_path_factory.mktemp("pond")))


@pytest.fixture(scope="module")
def still_pond(design):
    """One zone, no equipment, nothing flowing in or out: its halves cannot differ."""
    alone = replace(
        design, zone=design.zone[:1], connection=(), inflow=(), outlet=None, intake=None, pump=None,
        waterfall=None, aeration=(),
    )  # fmt: skip
    return with_values(alone, {"period.end": "2025-07-03", "pond.layers": 4, "start.spin_up": "0 d"})


def test_each_way_changes_one_thing(design):
    made = {one.name: one.scenario for one in finer(design)}
    assert list(made) == ["layers", "step", "tolerance", "zone"]
    assert made["layers"].pond.layers == 2 * design.pond.layers
    assert made["layers"].pond.top_layer == pytest.approx(0.5 * design.pond.top_layer)
    assert made["step"].numerics.hydraulic_step == pytest.approx(0.1 * design.numerics.hydraulic_step)
    assert made["tolerance"].numerics.tolerance == pytest.approx(0.1 * design.numerics.tolerance)
    for name, scenario in made.items():
        same = {"layers": {"pond": design.pond}, "step": {"numerics": design.numerics}}.get(name)
        if same:
            assert replace(scenario, **same) == design
    most = replace(design, pond=replace(design.pond, layers=40))
    assert [one.name for one in finer(most)] == ["step", "tolerance", "zone"]


def test_a_zone_is_cut_into_halves_of_the_same_depths(design):
    """By hand: 20,000 ft2 at 10 ft, a square of 43.1 m, so halves 21.6 m apart; the cove lies to the east."""
    side = np.sqrt(20000.0) * 0.3048
    name = largest_zone(design)
    assert name == "deep pool"
    cut, halves = cut_in_two(design, name)
    assert halves == ("deep pool", "deep pool_2")
    by_name = {zone.name: zone for zone in cut.zone}
    whole = design.zone[0]
    for half in halves:
        assert by_name[half].stage == whole.stage
        assert by_name[half].area == pytest.approx([0.5 * area for area in whole.area])
        assert by_name[half].bed_oxygen_demand == whole.bed_oxygen_demand
    east, west = (by_name[half].centre for half in halves)
    assert (east[0], west[0]) == pytest.approx((0.25 * side, -0.25 * side))
    assert (east[1], west[1]) == pytest.approx((0.0, 0.0), abs=1e-9)
    passages = {connection.between: connection for connection in cut.connection}
    assert set(passages) == {("deep pool", "cove"), halves}
    assert passages[halves].width == pytest.approx(side)
    assert passages[halves].distance == pytest.approx(0.5 * side)
    assert passages[halves].sill == whole.stage[0]
    assert (cut.intake, cut.inflow) == (design.intake, design.inflow)


def test_a_cut_zone_starts_from_the_profile_of_the_whole():
    campus = read_scenario("scenarios/campus/existing.toml")
    cut, (_, other) = cut_in_two(campus, "deep_pool")
    started = {one.zone: one for one in cut.start.profile}
    assert started[other].dissolved_oxygen == started["deep_pool"].dissolved_oxygen
    ends = [set(one.between) for one in cut.connection]
    assert len(ends) == len(campus.connection) + 1
    again, names = cut_in_two(cut, other)
    assert names == (other, f"{other}_2")
    area = [sum(np.interp(campus.pond.normal_pool, z.stage, z.area) for z in p.zone) for p in (campus, again)]
    assert area[1] == pytest.approx(area[0])


@pytest.mark.parametrize("name", ["air_all_day", "waterfall_night_air"])
def test_halves_of_a_zone_share_its_diffusers_and_air(name):
    """Four diffusers of 1.5 scfm: two in each half get the same air each, for half of the power."""
    campus = read_scenario(f"scenarios/campus/{name}.toml")
    whole = next(unit for unit in campus.aeration if unit.zone == "deep_pool")
    stop = Outage(start=campus.period.start, duration=DAY, systems=(whole.name,))
    cut, halves = cut_in_two(replace(campus, outage=(stop,)), "deep_pool")
    units = [unit for unit in cut.aeration if unit.zone in halves]
    assert [unit.diffusers for unit in units] == [2, 2]
    assert cut.outage[0].systems == tuple(unit.name for unit in units)
    before = air_point(whole, campus, 3.0)
    for unit in units:
        after = air_point(unit, cut, 3.0)
        assert after.pressure == pytest.approx(before.pressure, rel=1e-9)
        assert after.air_flow == pytest.approx(0.5 * before.air_flow, rel=1e-9)
        assert after.power == pytest.approx(0.5 * before.power, rel=1e-9)
    rest = [unit for unit in campus.aeration if unit.zone != "deep_pool"]
    assert [unit for unit in cut.aeration if unit.zone not in halves] == rest


def test_what_reaches_a_zone_reaches_both_halves(design):
    begin = design.period.start
    pond = replace(
        design,
        bloom_crash=(BloomCrash(start=begin, zones=("deep pool",)), BloomCrash(start=begin, zones=("cove",))),
        dredging=(
            Dredging(date=begin, zone="deep pool", depth=0.2),
            Dredging(date=begin, zone="cove", depth=0.1),
        ),
    )
    cut, halves = cut_in_two(pond, "deep pool")
    assert [event.zones for event in cut.bloom_crash] == [halves, ("cove",)]
    assert sorted((work.zone, work.depth) for work in cut.dredging) == [
        ("cove", 0.1), ("deep pool", 0.2), ("deep pool_2", 0.2),
    ]  # fmt: skip


def moves(values, **finer_values):
    return Moves(key="dawn_lowest_top.arm", section="", tie=0.15, good=1, decimals=1, values=values,
                 finer=finer_values)  # fmt: skip


def test_moves_of_values_and_of_differences_by_hand():
    """3.0, 4.0, 3.1 become 3.4, 4.3, 3.7: values move by at most 0.6, differences by 0.3 (third, second)."""
    one = moves((3.0, 4.0, 3.1), layers=(3.4, 4.3, 3.7), step=(3.0, 4.0, 3.1))
    assert one.move("layers") == pytest.approx(0.6) and one.move("step") == 0.0
    assert one.largest_move == pytest.approx(0.6)
    assert one.paired_move == pytest.approx(0.3)
    assert one.differences(one.values) == pytest.approx((0.0, 1.0, 0.1))
    assert one.survives == (None, True, False)  # 0.1 is less than 0.3
    assert one.assumed == pytest.approx(0.15)


def test_the_bottom_of_a_dredged_zone_is_no_difference_that_survives():
    """The second design's bed is dug, so its number is of another elevation; the third's is compared."""
    one = replace(moves((3.0, 4.0, 5.0), layers=(3.0, 4.0, 5.0)), elsewhere=(False, True, False))
    assert one.differences(one.values) == (0.0, None, 2.0)
    assert one.survives == (None, None, True)


def test_a_difference_that_changes_its_sign_does_not_survive():
    one = moves((3.0, 3.5), layers=(3.0, 2.9))
    assert one.paired_move == pytest.approx(0.6)
    assert one.survives == (None, False)


def test_of_one_design_the_band_is_the_move_of_its_value():
    assert moves((3.0,), layers=(3.2,)).paired_move == pytest.approx(0.2)


def test_numbers_that_a_design_lacks_are_left_out():
    one = moves((None, 3.0), layers=(None, 3.1))
    assert one.largest_move == pytest.approx(0.1)
    assert one.paired_move == 0.0 and one.survives == (None, None)


def test_cutting_a_pond_of_one_zone_with_nothing_in_it_moves_nothing(still_pond):
    """Its halves are alike, so each number of the whole must stay, to the tolerance of the time loop."""
    check = grid_check([still_pond], "serial")
    assert check.zones == ("deep pool",)
    for row in check.moves:
        if row.move("zone"):
            assert row.move("zone") <= 2e-3 * max(abs(value) for value in row.values), row.key
    assert check.dawns["zone"][2] < 2e-3
    assert check.dawns["layers"][2] > check.dawns["zone"][2]  # four layers are few


def test_designs_that_are_not_computed_alike_are_refused(design):
    other = replace(design, title="finer", pond=replace(design.pond, layers=20))
    with pytest.raises(ScenarioError, match=r"differ in pond\.layers"):
        grid_check([design, other])
