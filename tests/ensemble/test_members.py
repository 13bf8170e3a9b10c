"""Members: what is kept of each run, in any way of running, and after a break."""

from __future__ import annotations

import threading
import time
from dataclasses import replace

import numpy as np
import pytest
import xarray as xr

import pondsim
from pondsim.comparison.entries import entries
from pondsim.engine import season
from pondsim.engine.loop import integrate
from pondsim.ensemble import member as member_module
from pondsim.ensemble.member import run_members
from pondsim.errors import RunError, ScenarioError
from pondsim.measures import at_station
from pondsim.scenario.read import read_scenario
from pondsim.scenario.values import with_value, with_values
from pondsim.simulate import run
from tests.scenarios_for_tests import living_site, write_design

DRAWN = ((1.0, 60.0), (2.0, 60.0), (2.0, 20.0))  # bed oxygen demand [g/m2/d], chlorophyll at the start [ug/L]


@pytest.fixture(scope="module")
def scenarios(tmp_path_factory):
    design = write_design(tmp_path_factory.mktemp("pond"), site=living_site())
    short = with_value(read_scenario(design), "period.end", "2025-07-06")
    return [
        with_values(short, {"bed.oxygen_demand": f"{bed} g/m2/d", "start.chlorophyll": f"{green} ug/L"})
        for bed, green in DRAWN
    ]


@pytest.fixture(scope="module")
def members(scenarios):
    return run_members(scenarios, "serial")


def test_a_member_is_its_run_cut_down(scenarios, members):
    """Against the whole results of the same scenario; days by hand from hourly values of the top."""
    assert dict(members.sizes) | {"key": 0} == {"member": 3, "day": 5, "zone": 2, "key": 0}
    results = run(scenarios[1], how_long_start_matters=False)
    found = entries(results)
    for key, entry in found.items():
        own = float(members["measure"].sel(key=key)[1])
        assert own == entry.value if entry.value is not None else np.isnan(own)
        assert members["unit"].sel(key=key) == entry.unit
    assert set(members["key"].values) == set(found)
    top = at_station(results, "dissolved_oxygen", "top").sel(zone="cove").values
    assert members["oxygen_lowest_top"].sel(zone="cove")[1].values == pytest.approx(
        [top[24 * day : 24 * day + 24].min() for day in range(5)]
    )
    level = results["water_surface_elevation"].values
    assert members["water_surface_elevation"][1].values == pytest.approx(
        [level[24 * day : 24 * day + 24].mean() for day in range(5)]
    )


def test_what_was_drawn_tells_the_members_apart(members):
    """More demand of the bed takes more oxygen; algae that start at a third make less of it."""
    demand = members["measure"].sel(key="oxygen_budget.bed_demand").values
    assert demand[0] > demand[1]  # negative: out of the water
    made = members["measure"].sel(key="oxygen_budget.photosynthesis").values
    assert made[2] < 0.95 * made[1]


@pytest.mark.parametrize("how", ["threads:2", "processes:2"])
def test_every_way_gives_the_same_numbers(scenarios, members, how):
    """To the last digit, but for a process that compiled the loop beside others that load it from disk."""
    found = run_members(scenarios, how)
    if how.startswith("processes") and integrate.stats.cache_misses:
        xr.testing.assert_allclose(found, members, rtol=1e-8, atol=1e-9)
    else:
        assert found.identical(members)


def test_an_ensemble_that_was_broken_off_goes_on(scenarios, members, tmp_path, monkeypatch):
    run_members(scenarios[:2], "serial", keep=tmp_path)
    ran = []
    real = member_module.run_member
    monkeypatch.setattr(member_module, "run_member", lambda one: ran.append(one) or real(one))
    assert run_members(scenarios, "serial", keep=tmp_path).identical(members)
    assert ran == scenarios[2:]
    cut = sorted(tmp_path.glob("*.done"))[0]
    cut.write_bytes(cut.read_bytes()[:100])
    assert run_members(scenarios, "serial", keep=tmp_path).identical(members)
    assert len(ran) == 2


def test_a_member_that_fails_says_why_and_holds_no_number(scenarios, members, monkeypatch):
    real = member_module.run

    def failing(scenario, **options):
        if scenario == scenarios[1]:
            raise RunError("the water freezes")
        return real(scenario, **options)

    monkeypatch.setattr(member_module, "run", failing)
    found = run_members(scenarios, "serial")
    assert list(found["failure"].values) == ["", "the water freezes", ""]
    assert found["measure"][1].isnull().all() and found["oxygen_dawn_top"][1].isnull().all()
    assert (
        found.isel(member=[0, 2])
        .drop_vars("failure")
        .identical(members.isel(member=[0, 2]).drop_vars("failure"))
    )
    with pytest.raises(RunError, match="no run could be finished; the first: the water freezes"):
        run_members(scenarios[1:2], "serial")


def test_members_of_other_ponds_or_periods_are_refused(scenarios):
    other = with_value(scenarios[1], "period.end", "2025-07-07")
    with pytest.raises(ScenarioError, match="member 2 is of another pond or period than the first"):
        pondsim.run_members([scenarios[0], other])
    with pytest.raises(ScenarioError, match="there are no scenarios to run"):
        pondsim.run_members([])


def test_the_time_loop_lets_other_threads_run(scenarios, monkeypatch):
    """One call of the loop for the whole period: a thread beside it goes on; else it would stand still."""
    ticks, inside = [], []
    real = season.integrate

    def watched(*arguments):
        began = time.perf_counter()
        row = real(*arguments)
        inside.append((began, time.perf_counter()))
        return row

    run(scenarios[0], how_long_start_matters=False)  # compiled and loaded
    fine = replace(scenarios[0], numerics=replace(scenarios[0].numerics, hydraulic_step=30.0))
    monkeypatch.setattr(season, "CHUNK", 10**9)
    monkeypatch.setattr(season, "integrate", watched)
    working = threading.Thread(target=run, args=(fine,), kwargs={"how_long_start_matters": False})
    working.start()
    while working.is_alive():
        ticks.append(time.perf_counter())
        time.sleep(0.001)
    began, ended = inside[-1]
    during = [began, *(tick for tick in ticks if began < tick < ended), ended]
    assert np.diff(during).max() < 0.5 * (ended - began)
