"""Power failures: what stands still, when exactly, and how control begins anew after it."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from pondsim.engine.forcing import build_forcing
from pondsim.processes import constituents as s
from pondsim.processes.work import PUMP_SYSTEM
from pondsim.scenario.settings import Aeration, Intake, Numerics, Outage, Pump, Scenario, Waterfall
from tests.engine.ponds import BEGIN, DAY, LEVEL, basin, inert_pond, integrate_pond
from tests.engine.test_set_points import closed_box, crossing, moments, next_look, sensor
from tests.runs import run

HOUR, MINUTE = 3600.0, 60.0
FLOW, POWER, AIR_POWER = 0.01, 900.0, 300.0
BEGINS, LASTS = 3 * HOUR + 7.5 * MINUTE, 45 * MINUTE + 13.0


def equipped(*outages: Outage, **pump: object) -> Scenario:
    return inert_pond(
        basin("pool", 400.0, 2.0),
        days=1.0,
        intake=Intake(zone="pool", elevation=LEVEL - 1.5),
        pump=Pump(flow=FLOW, power=POWER, **pump),
        waterfall=Waterfall(zone="pool", drop=1.0, width=1.0),
        aeration=(
            Aeration(
                name="pool_air",
                zone="pool",
                elevation=LEVEL - 1.9,
                diffusers=2,
                air_flow=5e-4,
                power=AIR_POWER,
                minimum_rest=0.0,
            ),
        ),
        outage=outages,
        numerics=Numerics(),
    )


def failure(*systems: str, start: float = BEGINS, lasts: float | None = LASTS) -> Outage:
    return Outage(start=BEGIN + timedelta(seconds=start), duration=lasts, systems=systems)


@pytest.mark.parametrize(
    ("systems", "pump_rests", "air_rests"),
    [
        ((), LASTS + 10 * MINUTE, LASTS),
        (("pump", "pool_air"), LASTS + 10 * MINUTE, LASTS),
        (("pump",), LASTS + 10 * MINUTE, 0.0),
        (("pool_air",), 0.0, LASTS),
    ],
)
def test_what_fails_stands_still_to_the_second(systems, pump_rests, air_rests):
    """Exact: the pump rests its 10 minutes after the power's return, the air source none."""
    marched = integrate_pond(equipped(failure(*systems)))
    assert marched.line(s.WATER_PUMPED)[-1] == pytest.approx(FLOW * (DAY - pump_rests), rel=1e-9)
    assert marched.energy(PUMP_SYSTEM)[-1] == pytest.approx(POWER * (DAY - pump_rests), rel=1e-9)
    assert marched.energy(1)[-1] == pytest.approx(AIR_POWER * (DAY - air_rests), rel=1e-9)
    assert marched.state_part("air")[-1, 0] == pytest.approx(2 * 5e-4 * (DAY - air_rests), rel=1e-9)


def test_steps_end_at_the_edges_of_an_outage():
    time = build_forcing(equipped(failure()))[0].time
    for moment in (BEGINS, BEGINS + LASTS, BEGINS + LASTS + 10 * MINUTE):
        assert np.abs(time - moment).min() < 1e-6


def test_a_failed_unit_stands_still_to_the_end_and_one_may_fail_before_the_end_of_another():
    """A unit that fails at 10:00 for good; the power is off from 9:30 to 10:30."""
    power = Outage(start=BEGIN + timedelta(hours=9.5), end=BEGIN + timedelta(hours=10.5))
    pond = equipped(power, failure("pool_air", start=10 * HOUR, lasts=None), minimum_rest=0.0)
    results = run(pond)
    used = results["power_by_unit"].values[1:].sum(axis=0) * HOUR
    assert used == pytest.approx([POWER * 23 * HOUR, AIR_POWER * 9.5 * HOUR], rel=1e-9)
    assert results["starts"].values.tolist() == [2, 1]
    told = [(e["time"][11:16], e["system"], e["what"]) for e in json.loads(results.attrs["events"])]
    assert told == [
        ("09:30", "circulation pump", "outage begins"),
        ("09:30", "pool_air", "outage begins"),
        ("10:00", "pool_air", "outage begins"),
        ("10:30", "circulation pump", "outage ends"),
        ("10:30", "pool_air", "outage ends"),
    ]


def test_timers_keep_their_hours_through_an_outage():
    """On from 2:00 to 3:30 each day: of the outage only what the timer had on is lost, and no rest after."""
    marched = integrate_pond(equipped(failure(), hours=((2 * HOUR, 3.5 * HOUR),)))
    assert marched.energy(PUMP_SYSTEM)[-1] == pytest.approx(POWER * (BEGINS - 2 * HOUR), rel=1e-9)


def test_after_a_power_failure_a_set_point_begins_anew():
    """Reading low from 6:40 on; power off 9:07 to 9:52, then 25 min of rest: the next look starts it."""
    pond = closed_box(-0.47, 8.0, sensor(5.0, 6.0), minimum_rest=25 * MINUTE)
    begins, lasts = 9 * HOUR + 7 * MINUTE, 45 * MINUTE
    pond = replace(pond, outage=(failure(start=begins, lasts=lasts),))
    starts = next_look(crossing(-0.47, 8.0, 5.0, 120.0), 300.0)
    again = next_look(begins + lasts + 25 * MINUTE, 300.0)
    assert [at for at, _ in moments(pond)] == [starts, begins, again]


def test_an_outage_between_the_two_readings_is_not_made_up_for():
    """At 5.5 mg/L, between 5 and 6, it ran; after the failure it waits until the reading is low again."""
    pond = closed_box(0.43, 3.0, sensor(4.0, 6.0))
    begins = crossing(0.43, 3.0, 5.5, 120.0)
    pond = replace(pond, outage=(failure(start=begins, lasts=30 * MINUTE),))
    assert [at for at, _ in moments(pond)] == pytest.approx([0.0, begins], abs=1e-3)
