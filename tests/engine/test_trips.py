"""The float of the wet well: a falling pond reaches its level at a computed time. Tables made by hand."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest

from pondsim.comparison import compare
from pondsim.comparison.findings import findings
from pondsim.engine import control as engine_control
from pondsim.engine.control import STARTED, TRIPPED
from pondsim.measures import nominal_turnover_days
from pondsim.output import warnings as run_warnings
from pondsim.processes import circulation
from pondsim.processes import constituents as s
from pondsim.processes.work import PUMP_SYSTEM
from pondsim.scenario.settings import Ground, Intake, Numerics, Outage, Pump, Scenario, Waterfall
from pondsim.site import control
from pondsim.site.loop_table import LoopTable
from tests.engine.ponds import BEGIN, DAY, LEVEL, WARM, basin, clean_flow, inert_pond, integrate_pond
from tests.records_for_tests import records_of
from tests.runs import run

HOUR, MINUTE = 3600.0, 60.0
AREA, FLOW, POWER = 400.0, 0.01, 900.0
DRAWN = 0.5  # m by which the running pump draws its well below the pond


@pytest.fixture
def with_float(monkeypatch):
    """A wet well whose float stops the pump at 0.5 m under normal pool in the pond."""
    level = np.array([LEVEL - 3.0, LEVEL + 2.0])
    table = LoopTable(level, np.full(2, FLOW), np.full(2, POWER), level - DRAWN, LEVEL - 0.5 - DRAWN)
    for module in (circulation, control):
        monkeypatch.setattr(module, "loop_table", lambda scenario: table if scenario.pump else None)


def lifted(inflow: float = 0.0, **pump: object) -> Scenario:
    """A pool pumped into a high basin that no water comes back from, over a day."""
    return inert_pond(
        basin("pool", AREA, 3.0),
        basin("high", 20000.0, 3.0, centre=(20.0, 0.0)),
        days=1.0,
        intake=Intake(zone="pool", elevation=LEVEL - 2.9),
        pump=Pump(flow=FLOW, power=POWER, **pump),
        waterfall=Waterfall(zone="high", drop=1.0, width=1.0, splash_loss=0.0),
        base_flow=(clean_flow("pool", inflow),) if inflow else (),
        numerics=Numerics(tolerance=1e-3),
    )


def by_hand(inflow: float, rest: float) -> tuple[list[tuple[float, int]], float]:
    """Moments at which it starts and trips, and the seconds it runs: a float looked at every 5 minutes."""
    pond, running, stopped, ran = LEVEL, True, -np.inf, 0.0
    told = [(0.0, STARTED)]
    for look in range(1, int(DAY / 300.0)):
        time = 300.0 * look
        pond += 300.0 * (inflow - (FLOW if running else 0.0)) / AREA
        ran += 300.0 if running else 0.0
        low = pond < LEVEL - 0.5
        if running and low:
            running, stopped = False, time
            told.append((time, TRIPPED))
        elif not running and time - stopped >= rest:
            if low:
                stopped = time
            running = not low
            told.append((time, TRIPPED if low else STARTED))
    return told, ran + (300.0 if running else 0.0)


def test_the_pump_trips_at_the_first_look_after_the_level_is_reached(with_float):
    """0.5 m of 400 m2 at 0.01 m3/s: reached after 20000 s, seen at 20100 s; tries come to nothing."""
    marched = integrate_pond(lifted())
    control_ = marched.season.control
    assert marched.line(s.WATER_PUMPED)[-1] == pytest.approx(FLOW * 20100.0, rel=1e-9)
    assert marched.energy(PUMP_SYSTEM)[-1] == pytest.approx(POWER * 20100.0, rel=1e-9)
    assert control_.log[:2].tolist() == [[0.0, PUMP_SYSTEM, STARTED], [20100.0, PUMP_SYSTEM, TRIPPED]]
    tries = np.arange(20700.0, DAY, 600.0)
    assert control_.log[2 : 2 + tries.size, 0] == pytest.approx(tries)
    assert set(control_.log[2 : 2 + tries.size, 2]) == {TRIPPED}
    assert control_.trips[PUMP_SYSTEM] == 1 + tries.size
    assert control_.starts[PUMP_SYSTEM] == 1 + tries.size


@pytest.mark.parametrize(("inflow", "rest"), [(0.004, 10), (0.0041, 17), (0.0061, 0), (0.0023, 95)])
def test_it_trips_and_starts_again_as_the_pond_refills(with_float, inflow, rest):
    """Against levels followed by hand from look to look."""
    told, ran = by_hand(inflow, rest * MINUTE)
    marched = integrate_pond(lifted(inflow, minimum_rest=rest * MINUTE))
    rows = int(marched.season.control.logged[0])
    log = marched.season.control.log[:rows]
    assert rows == len(told) > 5
    assert log[:, 0] == pytest.approx([time for time, _ in told])
    assert log[:, 2].tolist() == [what for _, what in told]
    assert marched.state_part("running")[-1, PUMP_SYSTEM] == pytest.approx(ran, rel=1e-9)
    assert marched.line(s.WATER_PUMPED)[-1] == pytest.approx(FLOW * ran, rel=1e-9)
    water = marched.amounts(s.WATER).sum(axis=1)
    assert water[-1] - water[0] == pytest.approx(inflow * DAY, rel=1e-9)


def test_a_timer_that_starts_a_pump_over_a_low_well_makes_it_trip_at_once(with_float):
    """The pond is down at 8:00, when the timer starts it a second time: no water, no energy, a trip."""
    pond = lifted(hours=((0.0, 6 * HOUR), (8 * HOUR + 100.0, 9 * HOUR)), minimum_rest=2 * HOUR)
    marched = integrate_pond(pond)
    assert marched.line(s.WATER_PUMPED)[-1] == pytest.approx(FLOW * 20100.0, rel=1e-9)
    log = marched.season.control.log[: int(marched.season.control.logged[0])]
    # tripped in the first run; rested at 27300 s, so that the relay is ready when the timer comes on
    assert log[:, [0, 2]].tolist() == [[0.0, STARTED], [20100.0, TRIPPED], [8 * HOUR + 100.0, TRIPPED]]


def seeping():
    """One basin whose water goes away through the bed, and a loop that gives all back."""
    return replace(
        lifted(),
        zone=(basin("pool", AREA, 3.0),),
        waterfall=Waterfall(zone="pool", drop=1.0, width=1.0, splash_loss=0.0),
        ground=Ground(seepage=0.97 / DAY, temperature=WARM),
    )


def test_a_tripped_run_says_so(with_float):
    """In records, findings and the list of moments; the well stands drawn while the pump runs."""
    pond = seeping()
    results = run(pond)
    tripped = records_of(results)["pump_tripped"]
    assert (tripped.number("trips"), tripped.times["first"]) == (70, "2025-07-01T12:25")
    assert tripped.severity == "warning"
    events = json.loads(results.attrs["events"])
    assert events[0] == {"time": "2025-07-01 00:00:00", "system": "circulation pump", "what": "started"}
    first = next(event for event in events if event["what"] == "tripped")
    # 0.97 m/d through the bed: 0.5 m down at 12:22, seen at the look after it
    assert datetime.fromisoformat(first["time"]) - BEGIN == timedelta(hours=12, minutes=25)
    surface = results["water_surface_elevation"].values
    assert results["well_level"].values[10] == pytest.approx(surface[10] - DRAWN, abs=1e-9)
    assert results["well_level"].values[20] == pytest.approx(surface[20], abs=1e-9)
    told = findings(compare([results, results]))
    assert "The pump tripped 70 times" in told[1]
    assert "trips.circulation pump" in {row.key for row in compare([results]).rows if row.main}


def test_output_times_move_no_trip(with_float):
    """Hourly, every 7 min or every 3 h: the same moments, and the same again when run again."""
    logs = []
    for step in (HOUR, HOUR, 420.0, 3 * HOUR):
        pond = lifted(0.004)
        marched = integrate_pond(replace(pond, period=replace(pond.period, output_step=step)))
        logs.append(marched.season.control.log.tolist())
    assert logs[0] == logs[1] == logs[2] == logs[3]


def test_a_full_list_of_moments_says_so(with_float, monkeypatch):
    """Five moments kept of the many there were; the counts still hold all."""
    for module in (engine_control, run_warnings):
        monkeypatch.setattr(module, "LOG_ROWS", 5)
    pond = seeping()
    results = run(pond)
    assert len(json.loads(results.attrs["events"])) == 5
    assert int(results["trips"][0]) == 70
    cut = records_of(results)["switchings_cut"]
    assert (cut.number("switchings"), cut.number("listed")) == (71, 5)


def test_a_pump_that_draws_air_goes_on_using_power():
    """No float: the pool is pumped down to the intake; flow fades to nothing, power and hours do not."""
    pond = replace(lifted(), intake=Intake(zone="pool", elevation=LEVEL - 0.6))
    results = run(pond)
    assert float(results["circulation_flow"].values[-1]) < 0.01 * FLOW
    power = results["power_by_unit"].sel(system="circulation pump").values
    assert power == pytest.approx(np.full(power.size, POWER), rel=1e-9)
    assert records_of(results)["intake_short"].where == "pump"


def test_a_long_standstill_is_told_and_is_exactly_no_flow():
    """A power failure of four of five days."""
    pond = replace(
        inert_pond(basin("pool", AREA, 3.0), days=5.0),
        intake=Intake(zone="pool", elevation=LEVEL - 2.0),
        pump=Pump(flow=FLOW, power=POWER, minimum_rest=0.0),
        waterfall=Waterfall(zone="pool", drop=1.0, width=1.0, splash_loss=0.0),
        outage=(Outage(start=BEGIN + timedelta(hours=6), duration=4 * DAY),),
    )
    results = run(pond)
    stood = records_of(results)["pump_stood"].times
    assert stood == {"first": "2025-07-01T06:00", "last": "2025-07-05T06:00"}
    still = slice(7, 6 + 96)
    for name in ("circulation_flow", "power", "running_share"):
        assert np.all(results[name].values[still] == 0.0), name
    # volume over the mean flow of the run: a fifth of what the pump gives
    volume = float(results["box_volume"].sum(["zone", "layer"]).mean())
    assert nominal_turnover_days(results) == pytest.approx(volume / (0.2 * FLOW) / DAY, rel=1e-4)
