"""Dredging makes the pond deeper: volumes, levels, books by hand; a pond built deeper as another route."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from pondsim.engine.digging import _move_bed, bed_edges
from pondsim.engine.found import starting_state
from pondsim.engine.model import build_model
from pondsim.measures import bed_growth
from pondsim.output.mass_balance import closures
from pondsim.processes import constituents as s
from pondsim.processes.state import new_state
from pondsim.scenario.settings import Dredging, GasTransfer, Profile, Start
from pondsim.simulate import run
from pondsim.site.boxes import build_grid, dig
from pondsim.site.dredged import taken_out, zones_at
from pondsim.site.pond import zone_volume
from pondsim.years import run_years
from tests.engine.ponds import (
    BEGIN,
    CELSIUS_0,
    DAY,
    LEVEL,
    MG_PER_L,
    basin,
    bowl,
    inert_pond,
    integrate_pond,
    passage,
    steady_weather,
)
from tests.engine.test_living import NO_LOSS, grown, live_pond

DONE = 100.0 * DAY
NO_GAS = GasTransfer(k600_at_no_wind=0.0, law="wind")
WORK = Dredging(date=BEGIN + timedelta(days=1), zone="pool", depth=0.6, left=1.0, duration=2.0 * DAY)
SUMMER = steady_weather(air=26.0, dew=14.0, wind=2.0, sun=200.0, cloud=40.0)


def volume(scenario, moment):
    """Of the pool, under normal pool, at a moment [m3]."""
    grid = build_grid(scenario)
    dig(grid, scenario, moment)
    return zone_volume(grid, 0, LEVEL)


@pytest.mark.parametrize(
    ("zone", "full_from", "cut"),
    [
        (basin("pool", 4000.0, 3.0), 1.5, 0.6 * 4000.0),
        (bowl("pool", 4000.0, 3.0), 0.0, 0.6 * 4000.0),
        # 2,200 m2 lie under 1.5 m and more; the other 1,800 m2 slope evenly, so that half is taken there
        (bowl("pool", 4000.0, 3.0), 1.5, 0.6 * 2200.0 + 0.3 * 1800.0),
        # bed of 1,000 to 2,200 m2 within 1.5 m, then 1,800 m2; cut 0.6 m at 3 m, in proportion above
        (bowl("pool", 4000.0, 3.0), 3.0, 0.6 * 1000.0 + 0.45 * 1200.0 + 0.15 * 1800.0),
    ],
)
def test_the_volume_grows_by_depth_times_area(zone, full_from, cut):
    """By hand; nothing is taken out above normal pool, and half of it when half of the time is over."""
    pond = inert_pond(zone, dredging=(replace(WORK, full_from=full_from),))
    before = volume(pond, 0.0)
    assert volume(pond, DONE) - before == pytest.approx(cut, rel=1e-12)
    assert taken_out(pond, DONE)[0] == pytest.approx(cut, rel=1e-12)
    assert volume(pond, 2.0 * DAY) - before == pytest.approx(cut / 2.0, rel=1e-12)
    assert before == pytest.approx(volume(replace(pond, dredging=()), 0.0), rel=1e-14)
    above = [zones_at(pond, moment)[0] for moment in (0.0, DONE)]
    assert np.interp(LEVEL + 1.0, above[1].stage, above[1].area) == pytest.approx(
        np.interp(LEVEL + 1.0, zone.stage, zone.area)
    )


def two_basins(**sections):
    """A pool of 2,000 m2 and 3 m, open to a shelf of 1,000 m2 and 1 m; warm and rich over cold and poor."""
    depths, warmth, oxygen = (0.0, 1.0, 3.0), (20.0, 20.0, 12.0), (9.0, 9.0, 1.0)
    profile = Profile(
        zone="pool",
        depth=depths,
        temperature=tuple(CELSIUS_0 + one for one in warmth),
        dissolved_oxygen=tuple(one * MG_PER_L for one in oxygen),
    )
    start = Start(profile=(profile,), suspended_solids=0.02, bod5=0.0, ammonium=1e-3, chloride=0.1)
    zones = basin("pool", 2000.0, 3.0), basin("shelf", 1000.0, 1.0, centre=(40.0, 0.0))
    link = passage("pool", "shelf", depth=0.8)
    work = replace(WORK, depth=0.3, full_from=0.0)
    given = {"connection": (link,), "start": start, "dredging": (work,), "gas_transfer": NO_GAS}
    return inert_pond(*zones, layers=6, days=5.0, **(given | sections))


def test_the_water_fills_the_room_and_every_amount_stays():
    """0.3 m out of 2,000 m2 lower 3,000 m2 of water by 0.2 m; the amounts are those of the start."""
    marched = integrate_pond(two_basins())
    assert marched.season.surface[-1] == pytest.approx([LEVEL - 0.2, LEVEL - 0.2], abs=1e-6)
    geometric = np.array([2000.0 * 3.1, 1000.0 * 0.8])
    zone = marched.model.grid.box_zone
    held = np.bincount(zone, marched.amounts(s.WATER)[-1])
    assert held == pytest.approx(geometric, rel=1e-4)
    for row in (s.WATER, s.OXYGEN, s.AMMONIUM, s.SALT):
        total = marched.amounts(row).sum(axis=1)
        assert total[-1] == pytest.approx(total[0], rel=1e-13)
    assert closures(marched.states[0], marched.states[-1])["balance_heat"] < 1e-13


def test_no_water_gets_warmer_or_richer_than_it_was():
    """What fills the room comes from above; the bottom keeps most of its water, beside a pond not dug."""
    marched, left = integrate_pond(two_basins()), integrate_pond(replace(two_basins(), dredging=()))
    oxygen, warmth = marched.concentration(s.OXYGEN), marched.concentration(s.HEAT)
    for found in (oxygen, warmth):
        assert found[-1].min() >= found[0].min() - 1e-9
        assert found[-1].max() <= found[0].max() + 1e-9
    # the lowest of six layers held 0.54 m of water and has 0.6 m now: a tenth of it came from above
    lowest = marched.model.grid.first_box[0]
    still = left.concentration(s.OXYGEN)[-1]
    above = still[lowest + 1] - still[lowest]
    assert 0.0 < oxygen[-1, lowest] - still[lowest] < 0.3 * above


def test_a_pond_dredged_before_is_a_pond_with_the_deeper_table():
    """Two routes: work dated before the period, and the deeper stage table written into the zone."""
    pond = grown(bowl("pool", 4000.0, 3.0), layers=5, days=4.0, weather=SUMMER, bed={"passes": 0})
    dredged = replace(pond, dredging=(replace(WORK, date=BEGIN - timedelta(days=30)),))
    deeper = replace(pond, zone=zones_at(dredged, 0.0))
    assert deeper.zone[0].stage[0] == pytest.approx(LEVEL - 3.6)
    one, other = (run(given, how_long_start_matters=False) for given in (dredged, deeper))
    for name in ("dissolved_oxygen", "water_temperature", "layer_bottom_elevation", "bed_demand_at_20"):
        assert one[name].values == pytest.approx(other[name].values, rel=1e-6, abs=1e-6)


def test_the_bed_goes_down_with_what_lies_on_it():
    """Stores of the lower half of the bed are under the lower half of it afterwards, with none lost."""
    pond = grown(bowl("pool", 4000.0, 3.0), layers=8, days=4.0, bed=NO_LOSS, dredging=(WORK,))
    half, edges = 2000.0, []

    def load(model, state):
        edges.append(np.concatenate([[0.0], bed_edges(model.grid, model.work.surface)]))
        low = np.minimum(edges[0], half)
        state.bed[s.FAST] = np.diff(low)
        state.bed[s.BOUND_P] = np.diff(low)

    marched = integrate_pond(pond, load)
    after = np.concatenate([[0.0], bed_edges(marched.model.grid, marched.season.surface[-1])])
    assert np.abs(after - edges[0]).max() > 50.0
    for row in (s.FAST, s.BOUND_P):
        held = marched.states[-1].bed[row]
        assert held.sum() == pytest.approx(half, rel=1e-12)
        assert np.cumsum(held) == pytest.approx(np.minimum(after[1:], half), abs=0.03 * half)


def test_every_book_closes_while_a_live_pond_is_dredged():
    """Of three zones one is dug by 0.6 m among storms, pump and air: every balance to 1e-12."""
    pond = live_pond()
    work = replace(WORK, zone=pond.zone[0].name, date=BEGIN + timedelta(days=3), left=0.1)
    marched = integrate_pond(replace(pond, dredging=(work,)))
    worth = marched.model.work.worth[:, : marched.model.layout.constituents]
    gaps = closures(marched.states[0], marched.states[-1], worth)
    assert marched.model.grid.zone_bottom[0] == pytest.approx(pond.zone[0].stage[0] - 0.6)
    assert all(np.max(gap) < 1e-12 for gap in gaps.values()), gaps


def test_the_years_after_run_on_deeper_water():
    """Dug in the second year by 0.4 m: the bed lies there in the third, and the pool is filled to it."""
    pond = grown(basin("pool", 4000.0, 3.0), layers=4, days=3.0, weather=SUMMER, bed={"passes": 0})
    work = replace(WORK, date=(BEGIN + timedelta(days=1)).replace(year=2026), depth=0.4, duration=DAY)
    found = run_years(replace(pond, dredging=(work,)), 3)
    beds = [one["layer_bottom_elevation"].min(("zone", "layer")).values for one in found]
    assert beds[0] == pytest.approx(LEVEL - 3.0)
    assert beds[1][[0, -1]] == pytest.approx([LEVEL - 3.0, LEVEL - 3.4])
    assert np.all(np.diff(beds[1]) <= 0.0)
    assert beds[2] == pytest.approx(LEVEL - 3.4)
    thickness = found[1]["bed_thickness"].values[[0, -1], 0]
    assert np.diff(thickness)[0] == pytest.approx(-0.4, abs=0.005)
    assert bed_growth(found[1])[0] == pytest.approx(0.0, abs=1e-5)  # nothing settles in this pond
    held = [float(one["box_volume"].isel(time=0).sum()) for one in found]
    assert held == pytest.approx([12000.0, 12000.0, 13600.0], rel=1e-9)


def test_a_bed_that_comes_under_water_keeps_its_temperature():
    """As it is dug the same surface covers more bed: temperatures stay means, stores keep their sum."""
    model = build_model(inert_pond(basin("pool", 100.0, 2.0), layers=3))
    state = new_state(model.layout)
    state.bed[s.UPPER_BED] = 281.0
    state.bed[s.BED_ORGANICS] = 1.0
    boxes = state.bed.shape[1]
    old = 60.0 * np.arange(1, boxes + 1) / boxes
    _move_bed(model.grid, old, old * 1.2, state)
    assert state.bed[s.UPPER_BED] == pytest.approx(281.0, abs=1e-9)
    assert state.bed[s.BED_ORGANICS].sum() == pytest.approx(boxes, rel=1e-12)


MUCK = {"passes": 1, "oxygen_demand": 2e-3 / DAY, "fast_decay": 0.1 / DAY, "slow_decay": 0.01 / DAY}
MUCK |= {"old_decay": 0.002 / DAY}


def mucky(**work):
    """A basin of 2 m whose bed holds what a pass filled and the old store, dredged of nine tenths."""
    pond = grown(basin("pool", 4000.0, 2.0), layers=4, days=4.0, weather=SUMMER, bed=MUCK)
    pond = replace(pond, phosphorus=replace(pond.phosphorus, bound_start=1e-3))
    done = {"date": BEGIN, "depth": 0.5, "left": 0.1, "duration": 3600.0} | work
    return replace(pond, dredging=(replace(WORK, **done),)) if work else pond


def found(scenario):
    """Bed stores as a run finds them, and where the bed lies [kg, m]."""
    model = build_model(scenario)
    state, _ = starting_state(scenario, model)
    return state.bed[s.FAST :].sum(axis=1), model.grid.zone_bottom[0]


def test_work_before_the_period_takes_out_what_the_bed_held():
    """A tenth is left of every store of the pond that was never dredged, whose passes filled the bed."""
    before, bottom = found(mucky())
    after, dug = found(mucky(date=BEGIN - timedelta(days=30)))
    assert before[0] > 0.0 and before[s.OLD - s.FAST] > 0.0 and before[s.BOUND_P - s.FAST] > 0.0
    assert after == pytest.approx(0.1 * before, rel=1e-12)
    assert dug == pytest.approx(bottom - 0.5)


def test_work_that_straddles_the_start_begins_with_its_share_done():
    """Half done: half the depth, and stores of 0.1 to the power of a half; the rest is done in the run."""
    guessed = replace(mucky().start, spin_up=DAY, profile=())
    half = mucky(date=BEGIN - timedelta(days=1), duration=2.0 * DAY)
    before, bottom = found(replace(mucky(), start=guessed))
    stores, dug = found(replace(half, start=guessed))
    assert dug == pytest.approx(bottom - 0.25)
    assert stores == pytest.approx(0.1**0.5 * before, rel=1e-12)
    still = replace(half, bed=replace(half.bed, fast_decay=0.0, slow_decay=0.0, old_decay=0.0))
    marched = integrate_pond(still, lambda model, state: state.bed.__setitem__(s.OLD, 1.0))
    assert marched.states[-1].bed[s.OLD].sum() == pytest.approx(4.0 * 0.1**0.5, rel=1e-4)
    assert marched.model.grid.zone_bottom[0] == pytest.approx(bottom - 0.5)


def test_the_day_before_the_start_is_the_day_of_the_start():
    """Two routes to a bed dredged by the second day: before the run, and within its first hour.

    Little is dug, since the water sinks into what is dug in the run, and stands at its level over the other.
    """
    early, late = (
        run(mucky(date=moment, depth=0.05), how_long_start_matters=False)
        for moment in (BEGIN - timedelta(days=1), BEGIN)
    )
    for name, least in (("bed_demand_at_20", 0.02), ("dissolved_oxygen", 0.05), ("water_temperature", 0.05)):
        one, other = (data[name].isel(time=slice(24, None)).mean("time").values for data in (early, late))
        assert one == pytest.approx(other, rel=0.02, abs=least), name
    undredged = run(mucky(), how_long_start_matters=False)["bed_demand_at_20"]
    assert undredged.values[-1, 0] > 5.0 * early["bed_demand_at_20"].values[-1, 0]


def test_work_between_two_years_is_done_when_the_second_begins():
    """Dug in the winter between two runs: the second begins with a tenth of what the first left."""
    pond = grown(basin("pool", 4000.0, 2.0), layers=4, days=2.0, weather=SUMMER, bed=MUCK | {"passes": 0})
    work = replace(WORK, date=BEGIN + timedelta(days=100), depth=0.5, left=0.1)
    first, second = run_years(replace(pond, dredging=(work,)), 2)
    left = float(first["bed_demand_at_20"].values[-1, 0])
    assert second["bed_demand_at_20"].values[0, 0] == pytest.approx(0.1 * left, rel=1e-6)
    assert second["layer_bottom_elevation"].min() == pytest.approx(LEVEL - 2.5)
