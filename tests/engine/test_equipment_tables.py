"""Loop and air that follow the water level, against exact solutions; tables made by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pondsim.design.waterfall import waterfall_sheet
from pondsim.processes import aeration, circulation
from pondsim.processes import constituents as s
from pondsim.processes.work import PUMP_SYSTEM
from pondsim.scenario.settings import Aeration, Ground, Intake, Numerics, Pump, Scenario, Start, Waterfall
from pondsim.site.air_line import AirTable
from pondsim.site.loop_table import LoopTable
from tests.engine.ponds import DAY, LEVEL, WARM, basin, inert_pond, integrate_pond, rates_of
from tests.runs import run

HOUR = 3600.0
AREA = 400.0  # m2


def lifted(days: float = 1.0, surface: float = LEVEL) -> Scenario:
    """A pool pumped into a high basin that no water comes back from."""
    return inert_pond(
        basin("pool", AREA, 3.0),
        basin("high", 20000.0, 3.0, centre=(20.0, 0.0)),
        days=days,
        intake=Intake(zone="pool", elevation=LEVEL - 2.9),
        pump=Pump(flow=0.01, power=900.0),
        waterfall=Waterfall(zone="high", drop=1.0, width=1.0, splash_loss=0.0),
        start=Start(water_surface=surface, suspended_solids=0.0, bod5=0.0, ammonium=0.0, chloride=0.0),
        numerics=Numerics(tolerance=1e-3),
    )


def sloping(flow: float, slope: float) -> LoopTable:
    """Flow and power that rise with the pond in a straight line: `flow` at normal pool, `slope` per meter."""
    level = np.array([LEVEL - 3.0, LEVEL - 1.0, LEVEL + 2.0])
    delivered = flow + slope * (level - LEVEL)
    return LoopTable(level, delivered, 5e4 * delivered + 100.0, level - 0.5, -np.inf)


def test_flow_and_energy_follow_the_level(monkeypatch):
    """Exact: A dh/dt = -(q + k h) gives h = q/k (exp(-k t/A) - 1); energy is 5e4 of the water and 100 W."""
    flow, slope = 0.006, 0.004
    monkeypatch.setattr(circulation, "loop_table", lambda scenario: sloping(flow, slope))
    marched = integrate_pond(lifted())
    fallen = flow / slope * (np.exp(-slope * marched.time / AREA) - 1.0)
    pumped = marched.line(s.WATER_PUMPED)
    assert fallen[-1] < -0.8
    assert marched.season.surface[:, 0] - LEVEL == pytest.approx(fallen, abs=2e-6)
    assert pumped == pytest.approx(-AREA * fallen, rel=1e-6, abs=1e-3)
    assert marched.energy(PUMP_SYSTEM) == pytest.approx(5e4 * pumped + 100.0 * marched.time, rel=1e-9)


def test_power_written_is_the_integral_of_what_ran(monkeypatch):
    """Means over output steps times their length add up to energy, air and hours of the run."""
    monkeypatch.setattr(circulation, "loop_table", lambda scenario: sloping(0.006, 0.004))
    pond = replace(
        lifted(),
        zone=(basin("pool", AREA, 3.0),),
        waterfall=Waterfall(zone="pool", drop=1.0, width=1.0),
        ground=Ground(seepage=0.2 / DAY, temperature=WARM),
    )
    results, marched = run(pond), integrate_pond(pond)
    assert np.ptp(results["power"].values) > 20.0
    used = results["power"].values[1:].sum() * HOUR
    assert used == pytest.approx(marched.energy(PUMP_SYSTEM)[-1], rel=1e-9)
    assert results["running_share"].values == pytest.approx(1.0, rel=1e-12)


def test_a_pump_that_stops_delivering_at_a_level_keeps_the_balance(monkeypatch):
    """Flow falls to nothing at 1 m under normal pool: the level creeps there, no water is made or lost."""
    level = np.array([LEVEL - 3.0, LEVEL - 1.0, LEVEL])
    table = LoopTable(level, np.array([0.0, 0.0, 0.01]), np.full(3, 300.0), level, -np.inf)
    monkeypatch.setattr(circulation, "loop_table", lambda scenario: table)
    marched = integrate_pond(lifted(days=4.0))
    exact = np.exp(-0.01 * marched.time / AREA) - 1.0
    assert marched.season.surface[:, 0] - LEVEL == pytest.approx(exact, abs=2e-6)
    water = marched.amounts(s.WATER).sum(axis=1)
    assert water == pytest.approx(water[0], rel=1e-12)
    assert marched.energy(PUMP_SYSTEM)[-1] == pytest.approx(300.0 * marched.time[-1], rel=1e-9)


@pytest.mark.parametrize("below", [-0.4, 0.0, 0.7])
def test_the_drop_grows_as_the_water_falls(below):
    """Gameson's form as Butts (1983) prints it: 1 + 0.38 a b h (1 - 0.11 h)(1 + 0.046 T), h = 1 m + below."""
    fall = Waterfall(
        zone="pool", drop=1.0, width=1.0, method="gameson", crest=0.8, water_quality=1.2, splash_loss=0.0
    )
    pond = replace(
        inert_pond(basin("pool", AREA, 3.0), intake=Intake(zone="pool", elevation=LEVEL - 2.0)),
        pump=Pump(flow=0.02, power=900.0),
        waterfall=fall,
        start=Start(water_surface=LEVEL - below, suspended_solids=0.0, bod5=0.0, ammonium=0.0, chloride=0.0),
    )

    def halved(model, state):
        state.amounts[:, s.HEAT] = WARM * state.amounts[:, s.WATER]
        state.amounts[:, s.OXYGEN] = 4e-3 * state.amounts[:, s.WATER]

    model, _, rates = rates_of(pond, halved)
    height = 1.0 + below
    ratio = 1.0 + 0.38 * 1.2 * 0.8 * height * (1.0 - 0.11 * height) * (1.0 + 0.046 * 20.0)
    saturation = 9.092e-3  # kg/m3 at 20 degC, Standard Methods 4500-O
    gained = 0.02 * (saturation - 4e-3) * (1.0 - 1.0 / ratio)
    assert model.work.drop[0] == pytest.approx(height, abs=1e-9)
    assert rates.pathways[0, s.WATERFALL] == pytest.approx(gained, rel=2e-4)


def test_a_run_takes_no_deeper_pool_than_the_water_there():
    """Nakasone 1987, from memory: ln r goes with the pool's depth to 0.310; the basin holds 3 m."""

    def logarithm(pool):
        fall = Waterfall(zone="pool", drop=1.0, width=1.0, method="nakasone", plunge_pool_depth=pool)
        model, _, _ = rates_of(replace(lifted(), waterfall=replace(fall, water_quality=1.8)))
        return np.log(model.work.waterfall_ratio[0])

    assert logarithm(10.0) == pytest.approx(logarithm(3.0), rel=1e-9)
    assert logarithm(3.0) / logarithm(1.5) == pytest.approx(2.0**0.310, rel=1e-9)


@pytest.mark.parametrize("method", ["avery_novak", "gameson", "nakasone"])
def test_the_sheet_shows_the_number_of_the_run(method):
    """Water of 28 degC at normal pool: the run makes up the share of the deficit that the sheet shows."""
    fall = Waterfall(zone="high", drop=1.0, width=1.0, method=method, steps=2, splash_loss=0.0)
    pond = replace(lifted(), waterfall=fall)

    def warmed(model, state):
        state.amounts[:, s.HEAT] = 301.15 * state.amounts[:, s.WATER]

    model, _, _ = rates_of(pond, warmed)
    sheet = waterfall_sheet(pond, 0.01)
    assert 1.0 - 1.0 / model.work.waterfall_ratio[0] == pytest.approx(sheet.efficiency, rel=1e-9)


def test_a_waterfall_under_water_gives_nothing():
    """The pond stands above the lip: no drop, no oxygen, and the water still goes round."""
    pond = replace(
        lifted(surface=LEVEL + 1.5), waterfall=Waterfall(zone="pool", drop=1.0, width=1.0, splash_loss=0.0)
    )
    model, _, rates = rates_of(pond)
    assert model.work.drop[0] == 0.0
    assert rates.pathways[0, s.WATERFALL] == 0.0
    assert rates.lines[s.WATER_PUMPED] == pytest.approx(0.01)


AIR_TABLES = {
    "shallow": AirTable(
        np.array([0.0, 1.0, 2.0, 4.0]),
        np.array([9e-4, 8e-4, 6e-4, 1e-4]),
        np.array([200.0, 250.0, 300.0, 350.0]),
    ),
    "deep": AirTable(np.array([1.0, 3.0]), np.array([5e-4, 3e-4]), np.array([400.0, 500.0])),
}


@pytest.mark.parametrize(
    ("surface", "shallow", "deep"),
    [(LEVEL, (7e-4, 275.0), (3.5e-4, 475.0)), (LEVEL - 2.0, (9e-4, 200.0), (5e-4, 400.0))],
)
def test_air_and_power_follow_the_depth_of_each_unit(monkeypatch, surface, shallow, deep):
    """By hand from tables of unlike lengths: 1.5 and 2.5 m of water, then out of the water and 0.5 m."""
    monkeypatch.setattr(aeration, "air_table", lambda unit, scenario: AIR_TABLES[unit.name])
    units = tuple(
        Aeration(name=name, zone="pool", elevation=LEVEL - depth, diffusers=2, air_flow=1.0)
        for name, depth in (("shallow", 1.5), ("deep", 2.5))
    )
    pond = replace(lifted(surface=surface), intake=None, pump=None, waterfall=None, aeration=units)
    results = run(pond)
    for place, (air, power) in enumerate((shallow, deep)):
        assert results["air_flow"].values[:, place] == pytest.approx(2 * air, rel=1e-9)
        assert results["power_by_unit"].values[:, place] == pytest.approx(power, rel=1e-9)
