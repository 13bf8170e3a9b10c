"""Sensors that switch air: a closed box loses or gains oxygen at a constant rate, so moments are computed."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from datetime import datetime
from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import brentq

from pondsim.engine.control import STARTED, STOPPED
from pondsim.processes import constituents as s
from pondsim.scenario.settings import Aeration, Bed, Mixing, Numerics, Scenario, SetPoint
from pondsim.site.control import control_settings
from tests.engine.ponds import BEGIN, DAY, LEVEL, basin, filled_with, inert_pond, integrate_pond
from tests.records_for_tests import records_of
from tests.runs import run

HOUR, MINUTE, MG = 3600.0, 60.0, 1e-3
DEPTH, POWER = 2.0, 500.0
LENGTH = 15 * HOUR  # oxygen is left at the end
AIR = 1  # place of the only unit among the systems


def sensor(on: float, off: float, **more: object) -> SetPoint:
    where = {} if "elevation" in more else {"depth": 0.5}
    return SetPoint(zone="pool", on_below=on * MG, off_above=off * MG, **(where | more))


def closed_box(rate: float, start: float, set_point: SetPoint, **unit: object) -> Scenario:
    """Oxygen goes by `rate` mg/L/h from `start` mg/L whatever the unit does, whose diffuser is dry."""
    air = {"minimum_rest": 0.0, "set_point": set_point} | unit
    return inert_pond(
        basin("pool", 400.0, DEPTH, floating_cover=1.0),
        days=LENGTH / DAY,
        bed=Bed(
            oxygen_demand=-rate * MG / HOUR * DEPTH,
            half_saturation=1e-15,
            organic_decay=0.0,
            ammonium_release=0.0,
            heat_conductivity=0.0,
        ),
        start=filled_with("pool", oxygen=start * MG),
        aeration=(
            Aeration(
                name="air",
                zone="pool",
                elevation=LEVEL - 0.04,
                diffusers=1,
                air_flow=1e-3,
                power=POWER,
                **air,
            ),
        ),
        numerics=Numerics(),
    )


def moments(scenario: Scenario) -> list[tuple[float, int]]:
    control = integrate_pond(scenario).season.control
    return [(float(at), int(what)) for at, _, what in control.log[: int(control.logged[0])]]


def crossing(rate: float, start: float, limit: float, lag: float) -> float:
    """When a sensor that begins in step with the water reaches a limit: exact response to a ramp."""

    def off(time: float) -> float:
        behind = lag * (1.0 - math.exp(-time / lag)) if lag else 0.0
        return start + rate / HOUR * (time - behind) - limit

    return float(brentq(off, 1.0, 2.0 * DAY))


def next_look(time: float, every: float) -> float:
    return math.ceil(time / every) * every


@pytest.mark.parametrize("lag", [0.0, 2.0, 37.0])
@pytest.mark.parametrize("every", [5.0, 13.0])
def test_it_starts_at_the_first_look_after_the_reading_has_fallen(lag, every):
    rate, lag, every = -0.47, lag * MINUTE, every * MINUTE
    reached = crossing(rate, 8.0, 5.0, lag)
    scenario = closed_box(rate, 8.0, sensor(5.0, 6.0, lag=lag, every=every))
    assert moments(scenario) == [(next_look(reached, every), STARTED)]
    marched = integrate_pond(scenario)
    first = marched.concentration(s.OXYGEN)[10, 0]
    assert first == pytest.approx((8.0 + 10 * rate) * MG, abs=2e-6)
    used = POWER * (LENGTH - next_look(reached, every))
    assert marched.energy(AIR)[-1] == pytest.approx(used, rel=1e-9)


@pytest.mark.parametrize(("run", "stops_at"), [(0.0, None), (11.1 * HOUR, 11.1 * HOUR)])
def test_it_stops_above_the_upper_reading_but_not_before_its_least_run(run, stops_at):
    """From 3 mg/L it starts at once; at 0.43 mg/L/h it passes 6 mg/L after 7 h and what the lag takes."""
    reached = crossing(0.43, 3.0, 6.0, 120.0)
    stop = next_look(max(reached, stops_at or 0.0), 300.0)
    scenario = closed_box(0.43, 3.0, sensor(4.0, 6.0), minimum_run=run)
    assert moments(scenario) == [(0.0, STARTED), (stop, STOPPED)]
    marched = integrate_pond(scenario)
    assert marched.energy(AIR)[-1] == pytest.approx(POWER * stop, rel=1e-9)
    assert marched.state_part("running")[-1, AIR] == pytest.approx(stop, rel=1e-9)


@pytest.mark.parametrize("error", [-0.6, 0.8])
def test_a_sensor_that_reads_wrong_switches_so_much_earlier_or_later(error):
    """It reads `error` too high, so it starts when the water is at 5 mg/L less that."""
    reached = crossing(-0.47, 8.0, 5.0 - error, 120.0)
    scenario = closed_box(-0.47, 8.0, sensor(5.0, 6.0, bias=error * MG))
    assert moments(scenario) == [(next_look(reached, 300.0), STARTED)]


def test_a_reading_ends_where_the_sensors_range_ends():
    """A sensor that reads 3 mg/L too low and not below 4: 8 shows as 5, 6.5 and less as 4, above 3.9."""
    low = sensor(3.9, 6.0, bias=-3.0 * MG, range=(4.0 * MG, 20.0 * MG))
    assert moments(closed_box(-0.47, 8.0, low)) == []
    assert len(moments(closed_box(-0.47, 8.0, replace(low, range=(0.0, 20.0 * MG))))) == 1


def test_timer_and_set_point_must_both_say_yes():
    """The reading is low from 6:40 on, the timer on from 9:07 to 13:33: it runs between, to the second."""
    hours = ((9 * HOUR + 7 * MINUTE, 13 * HOUR + 33 * MINUTE),)
    scenario = closed_box(-0.47, 8.0, sensor(5.0, 6.0), hours=hours)
    assert moments(scenario) == [(hours[0][0], STARTED), (hours[0][1], STOPPED)]


def test_scatter_is_drawn_alike_in_every_run_and_as_wide_as_stated():
    scenario = closed_box(-0.47, 8.0, sensor(5.0, 5.5, noise=0.3 * MG))
    first = moments(scenario)
    assert first == moments(scenario)
    assert first != moments(closed_box(-0.47, 8.0, sensor(5.0, 5.5)))
    long = replace(scenario, period=replace(scenario.period, end=datetime(2025, 9, 1)))
    noise = control_settings(long, {"pool": 0}).noise
    assert noise.shape[1] >= 62 * 288
    assert noise.std() == pytest.approx(0.3 * MG, rel=0.02)
    assert abs(noise.mean()) < 4 * 0.3 * MG / noise.size**0.5


def test_the_sensor_hangs_where_it_is_said_to():
    """Layers of 2, 4, 6 and 8 mg/L that nothing mixes: straight lines between their middles, by hand."""
    middle = [LEVEL - 2.0 + 0.25 + 0.5 * k for k in range(4)]
    for place, reads in [(LEVEL - 2.0, 2.0), (middle[1], 4.0), (middle[1] + 0.2, 4.8), (LEVEL, 8.0)]:
        for where in ({"elevation": place}, {"depth": LEVEL - place}):
            pond = closed_box(0.0, 8.0, sensor(5.0, 6.0, **where))
            pond = replace(
                pond,
                pond=replace(pond.pond, layers=4, top_layer=0.5),
                mixing=Mixing(
                    dispersion_multiplier=0.0,
                    background_multiplier=0.0,
                    diffusivity_floor=0.0,
                    wind_reduction=0.0,
                ),
            )

            def layered(model, state):
                volume = state.amounts[:, s.WATER]
                state.amounts[:, s.OXYGEN] = np.array([2.0, 4.0, 6.0, 8.0]) * MG * volume

            marched = integrate_pond(pond, layered)
            assert marched.amounts(s.WATER)[0] == pytest.approx(200.0)
            assert marched.season.control.starts[AIR] == (1 if reads < 5.0 else 0)


def bubbling(**unit: object) -> Scenario:
    """A closed box that loses 0.3 mg/L an hour, and air that gives it more."""
    pond = closed_box(-0.3, 6.0, sensor(4.0, 4.3), **unit)
    deep = replace(pond.aeration[0], elevation=LEVEL - 1.8, diffusers=40)
    return replace(pond, aeration=(deep,), period=replace(pond.period, end=datetime(2025, 7, 4)))


def test_least_run_and_least_rest_hold_where_they_bind():
    """Runs and rests between switches, from the list in the results; without them some are shorter."""
    spans = {}
    for name, unit in {
        "free": {},
        "held": {"minimum_run": 50 * MINUTE, "minimum_rest": 90 * MINUTE},
    }.items():
        results = run(bubbling(**unit))
        events = json.loads(results.attrs["events"])
        at = [(datetime.fromisoformat(e["time"]) - BEGIN).total_seconds() for e in events]
        assert all(moment % 300.0 == 0.0 for moment in at)
        what = [e["what"] for e in events]
        assert what[::2] == ["started"] * len(what[::2])
        assert what[1::2] == ["stopped"] * len(what[1::2])
        runs = [b - a for (a, w), (b, _) in pairwise(zip(at, what, strict=True)) if w == "started"]
        rests = [b - a for (a, w), (b, _) in pairwise(zip(at, what, strict=True)) if w == "stopped"]
        spans[name] = (min(runs), min(rests))
        assert float(results["starts"][0]) == what.count("started")
    assert spans["free"][0] < 50 * MINUTE
    assert spans["free"][1] < 90 * MINUTE
    assert spans["held"][0] >= 50 * MINUTE
    assert spans["held"][1] >= 90 * MINUTE


def test_output_times_move_no_switch():
    """Hourly, every 25 min or every 3 h, over days of switching air."""
    found = []
    for step in (HOUR, 25 * MINUTE, 3 * HOUR):
        pond = bubbling()
        found.append(moments(replace(pond, period=replace(pond.period, output_step=step))))
    assert len(found[0]) > 20
    assert found[0] == found[1] == found[2]


def test_a_sensor_in_the_air_calls_for_nothing_and_is_told():
    """Water with 2 mg/L, on below 5: under water it starts the air at once, above it never."""
    under = run(closed_box(-0.01, 2.0, sensor(5.0, 6.0, elevation=LEVEL - 0.5)))
    above = run(closed_box(-0.01, 2.0, sensor(5.0, 6.0, elevation=LEVEL + 0.1)))
    assert int(under["starts"].sel(system="air")) == 1
    assert int(above["starts"].sel(system="air")) == 0
    dry = records_of(above)["sensor_dry"]
    assert (dry.where, dry.numbers) == ("air", {"duration": (15 * 3600.0, "s")})
    assert "sensor_dry" not in records_of(under)
