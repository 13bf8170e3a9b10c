"""A run that cannot be finished truthfully says where, when and why."""

import re
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from pondsim.errors import RunError
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import BaseFlow, Inflow, Intake, Mixing, Numerics, Pump, Waterfall
from tests.engine.ponds import (
    BEGIN,
    CELSIUS_0,
    WARM,
    basin,
    clean_flow,
    filled_with,
    inert_pond,
    passage,
    steady_weather,
)
from tests.records_for_tests import records_of
from tests.runs import run

CAMPUS = Path(__file__).parents[2] / "scenarios" / "campus"


def two_zones(**sections):
    zones = basin("pool", 400.0, 2.0), basin("north arm", 200.0, 1.5, centre=(30.0, 0.0))
    settings = {
        "layers": 4,
        "connection": (passage("pool", "north arm"),),
        "days": 3.0,
        "numerics": Numerics(),
    }
    return inert_pond(*zones, **(settings | sections))


def test_freezing_stops_the_run():
    """Water of 2 degC under a clear, cold, windy night: the zone, a date, and what to do."""
    cold = steady_weather(air=-15.0, dew=-20.0, wind=6.0, cloud=0.0)
    pond = two_zones(weather=cold, start=filled_with("pool", CELSIUS_0 + 2.0), mixing=Mixing(), days=20.0)
    with pytest.raises(RunError) as failure:
        run(pond)
    said = str(failure.value)
    assert re.search(r"the water in (pool|north arm) freezes at 2025-07-\d\d \d\d:\d\d", said)
    assert "write a section [ice] to let it freeze" in said


def test_frost_of_one_night_stops_the_run_in_its_hour():
    """The campus pond in late autumn freezes in the night to 1 December and would thaw by day.

    Cut off at the full hour before the moment named the run is done and its water is still above 0 degC, by
    less than it loses in an hour; an hour later it fails.
    """
    campus = read_scenario(CAMPUS / "existing.toml")
    assert campus.weather.synthetic
    begin = datetime(2025, 11, 15)
    pond = replace(
        campus,
        weather=replace(campus.weather, synthetic=replace(campus.weather.synthetic, seed=15)),
        **{"rain": None, "drainage": (), "inflow": (), "bloom_crash": ()},
        start=replace(campus.start, profile=()),
    )

    def until(end):
        cut = replace(pond, period=replace(pond.period, start=begin, end=end))
        return run(cut, how_long_start_matters=False)

    with pytest.raises(RunError, match=r"freezes at 2025-1\d-\d\d \d\d:\d\d") as failure:
        until(datetime(2025, 12, 5))
    moment = datetime.fromisoformat(re.findall(r"2025-\d\d-\d\d \d\d:\d\d", str(failure.value))[0])
    hour = (moment - timedelta(minutes=1)).replace(minute=0)
    coldest = until(hour).water_temperature.min(("zone", "layer"))
    assert float(coldest.min()) >= 0.0
    assert float(coldest[-1]) < 0.5
    with pytest.raises(RunError, match="freezes at"):
        until(hour + timedelta(hours=1))


@pytest.mark.parametrize(
    ("what", "words"),
    [
        ({"bod5": float("nan")}, ("oxygen", "carbonaceous demand")),
        ({"ammonium": float("nan")}, ("oxygen", "ammonium")),
        ({"suspended_solids": float("nan")}, ("solids of settling class", "water", "heat", "oxygen")),
        ({"oxygen_saturation": float("nan")}, ("oxygen",)),
    ],
)
def test_a_failing_step_names_time_place_and_constituent(what, words):
    """A number that is none, carried in by a base flow, is not carried on into results.

    Within one step it spreads to the neighbours: the first of the boxes reached is named.
    """
    spoiled = replace(clean_flow("north arm", 1e-3), **what)
    with pytest.raises(RunError) as failure:
        run(two_zones(base_flow=(spoiled,)))
    said = str(failure.value)
    assert "the computation failed at 2025-07-01 00:00 in " in said
    assert re.search(r" in (pool|north arm), layer \d: ", said)
    assert any(f": {word}" in said for word in words)
    assert "no results were made" in said


def test_a_storm_that_carries_nonsense_fails_when_it_comes():
    """The time named is that of the storm, not of the start."""
    storm = Inflow(
        zone="pool",
        start=BEGIN + timedelta(hours=30),
        duration=3600.0 * 5,
        volume=100.0,
        temperature=WARM,
        oxygen_saturation=float("nan"),
    )
    with pytest.raises(RunError, match=r"failed at 2025-07-02 06:\d\d in pool, layer \d: oxygen"):
        run(two_zones(inflow=(storm,)))


def test_water_over_the_bank_top_is_said():
    """A storm with no way out: the level is computed on, and a remark says that the banks were passed."""
    pond = two_zones(base_flow=(BaseFlow(zone="pool", flow=0.02, temperature=WARM),))
    assert "above_bank_top" in records_of(run(pond))


def test_a_pump_that_lost_its_water_is_said():
    """With the day on which it first happened."""
    zones = basin("pool", 400.0, 2.0), basin("high", 400.0, 2.0, centre=(30.0, 0.0))
    pond = inert_pond(
        *zones,
        layers=4,
        days=4.0,
        intake=Intake(zone="pool", elevation=9.2),
        pump=Pump(flow=0.002),
        waterfall=Waterfall(zone="high", drop=1.0, width=1.0),
        numerics=Numerics(),
    )
    # 0.7 m of 400 m2 at 0.002 m3/s last 39 h
    assert records_of(run(pond))["intake_short"].time("first").date() == date(2025, 7, 2)
