"""Timers and meters: switched at the exact second, energy is power times hours."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from pondsim.engine.forcing import build_forcing
from pondsim.processes import constituents as s
from pondsim.processes.work import PUMP_SYSTEM
from pondsim.scenario.settings import Aeration, BloomCrash, Inflow, Intake, Numerics, Pump, Waterfall
from tests.engine.ponds import BEGIN, DAY, LEVEL, basin, inert_pond, integrate_pond
from tests.runs import run

HOUR = 3600.0
ODD = (20 * HOUR + 17.0, 32 * HOUR - 29.0)  # 20:00:17 to 07:59:31, odd on purpose


def equipped(**sections):
    settings = {
        "layers": 4,
        "days": 5.0,
        "intake": Intake(zone="pool", elevation=LEVEL - 1.2),
        "pump": Pump(flow=0.01, power=1234.0, hours=(ODD,)),
        "waterfall": Waterfall(zone="pool", drop=1.0, width=1.0, splash_loss=0.0),
        "aeration": (
            Aeration(
                name="air",
                zone="pool",
                elevation=LEVEL - 1.9,
                diffusers=3,
                air_flow=5e-4,
                power=567.0,
                hours=((2 * HOUR + 1.5, 5 * HOUR + 0.25), (13 * HOUR, 13 * HOUR + 600.0)),
            ),
        ),
        "numerics": Numerics(),
    }
    return inert_pond(basin("pool", 400.0, 2.0), **(settings | sections))


NIGHT = ODD[1] - ODD[0]
# five days from midnight: the rest of the night before, four whole nights, and the fifth to midnight
PUMPED = (ODD[1] - DAY) + 4 * NIGHT + (DAY - ODD[0])
AIR = 5 * (3 * HOUR - 1.25 + 600.0)


def test_pump_energy_and_water_are_those_of_its_hours():
    """Exact: 1234 W and 0.01 m3/s over the seconds the timer is on."""
    marched = integrate_pond(equipped())
    assert marched.energy(PUMP_SYSTEM)[-1] == pytest.approx(1234.0 * PUMPED, rel=1e-9)
    assert marched.line(s.WATER_PUMPED)[-1] == pytest.approx(0.01 * PUMPED, rel=1e-9)


def test_reported_power_adds_up_to_power_times_hours():
    """Means over the output steps times their length, for pump and air."""
    results = run(equipped())
    used = results["power_by_unit"].values[1:].sum(axis=0) * HOUR
    assert used == pytest.approx([1234.0 * PUMPED, 567.0 * AIR], rel=1e-9)
    blown = results["air_flow"].values[1:, 0].sum() * HOUR
    assert blown == pytest.approx(3 * 5e-4 * AIR, rel=1e-9)


def test_steps_end_at_every_switch_storm_edge_and_event():
    """Each moment is in the list of steps to the millisecond."""
    storm = Inflow(zone="pool", start=BEGIN + timedelta(hours=30.01), duration=4.1 * HOUR, volume=50.0)
    crash = BloomCrash(start=BEGIN + timedelta(hours=50.7), duration=20.3 * HOUR, recovery=1.0 * DAY)
    scenario = equipped(inflow=(storm,), bloom_crash=(crash,))
    time = build_forcing(scenario)[0].time
    moments = [ODD[0], ODD[1] - DAY, ODD[1], 2 * HOUR + 1.5, 5 * HOUR + 0.25, 13 * HOUR + 600.0 + 3 * DAY]
    moments += [
        30.01 * HOUR,
        34.11 * HOUR,
        30.01 * HOUR + 4.1 * HOUR / 3.0,
        50.7 * HOUR,
        71.0 * HOUR,
        95.0 * HOUR,
    ]
    for moment in moments:
        assert np.abs(time - moment).min() < 1e-3


def test_season_of_a_timer_leaves_the_pump_off():
    """A pump whose season ends in June does not run in July but for the night that began in June."""
    pump = Pump(flow=0.01, power=1000.0, hours=(ODD,), season=((5, 1, 6, 30),))
    marched = integrate_pond(equipped(pump=pump))
    assert marched.energy(PUMP_SYSTEM)[-1] == pytest.approx(1000.0 * (ODD[1] - DAY), rel=1e-9)


def test_output_step_does_not_change_the_run():
    """Hourly or every 3 h, the state at the end is the same to the error of the steps."""
    hourly = integrate_pond(equipped())
    coarse = equipped()
    coarse = replace(coarse, period=replace(coarse.period, output_step=3 * HOUR))
    seldom = integrate_pond(coarse)
    assert seldom.time[-1] == hourly.time[-1]
    assert seldom.concentration(s.OXYGEN)[-1] == pytest.approx(hourly.concentration(s.OXYGEN)[-1], abs=2e-6)


def test_splash_is_lost_to_the_pond():
    """Exact: 2 % of what is pumped."""
    pond = equipped(waterfall=Waterfall(zone="pool", drop=1.0, width=1.0, splash_loss=0.02), aeration=())
    marched = integrate_pond(pond)
    water = marched.amounts(s.WATER).sum(axis=1)
    assert water[0] - water[-1] == pytest.approx(0.02 * marched.line(s.WATER_PUMPED)[-1], rel=1e-9)
