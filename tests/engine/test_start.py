"""The starting state: measured profiles, the spin-up, and how long the start shows."""

from dataclasses import replace

import numpy as np
import pytest

from pondsim.engine.initial import start_state
from pondsim.engine.model import build_model
from pondsim.processes import constituents as s
from pondsim.scenario.settings import Bed, Mixing, Numerics, OrganicMatter, Profile, Start
from pondsim.simulate import run
from tests.engine.ponds import (
    CELSIUS_0,
    LEVEL,
    MG_PER_L,
    basin,
    bowl,
    filled_with,
    inert_pond,
    passage,
    steady_weather,
)
from tests.records_for_tests import records_of

DEPTH = (0.2, 1.0, 1.8, 2.6)
WARMTH = tuple(CELSIUS_0 + t for t in (25.0, 24.0, 18.0, 15.0))
OXYGEN = tuple(x * MG_PER_L for x in (9.0, 8.0, 3.0, 0.5))
MEASURED = Profile(zone="pool", depth=DEPTH, temperature=WARMTH, dissolved_oxygen=OXYGEN)


def two_zones(**sections):
    zones = bowl("pool", 900.0, 2.8), bowl("arm", 400.0, 1.6, centre=(30.0, 0.0))
    settings = {"layers": 8, "connection": (passage("pool", "arm", depth=1.0),), "numerics": Numerics()}
    return inert_pond(*zones, **(settings | sections))


def test_the_measured_profile_is_met_at_the_start():
    """Straight lines between the depths measured, at mid-layer; a zone without a profile takes the same."""
    results = run(two_zones(days=1.0, start=Start(profile=(MEASURED,))))
    top, bottom = (results[f"layer_{end}_elevation"].values[0] for end in ("top", "bottom"))
    depth = LEVEL - 0.5 * (top + bottom)
    there = np.isfinite(depth)
    temperature = np.interp(depth[there], DEPTH, WARMTH) - CELSIUS_0
    oxygen = np.interp(depth[there], DEPTH, OXYGEN) * 1e3
    assert results["water_temperature"].values[0][there] == pytest.approx(temperature, abs=1e-9)
    assert results["dissolved_oxygen"].values[0][there] == pytest.approx(oxygen, abs=1e-9)
    assert results["water_surface_elevation"].values[0] == LEVEL


def test_each_zone_takes_its_own_profile():
    """Two profiles of one temperature each."""
    profiles = tuple(
        filled_with(zone, CELSIUS_0 + t, o * MG_PER_L).profile[0]
        for zone, t, o in (("pool", 22.0, 7.0), ("arm", 26.0, 5.0))
    )
    scenario = two_zones(start=Start(profile=profiles))
    model = build_model(scenario)
    amounts = start_state(scenario, model).amounts
    zone = model.grid.box_zone
    temperature = amounts[:, s.HEAT] / amounts[:, s.WATER] - CELSIUS_0
    assert temperature == pytest.approx(np.where(zone == 0, 22.0, 26.0), abs=1e-9)
    assert amounts[:, s.OXYGEN] / amounts[:, s.WATER] == pytest.approx(
        np.where(zone == 0, 7e-3, 5e-3), rel=1e-12
    )


def test_what_is_everywhere_at_the_start():
    """Ammonium, solids as given; BOD5 of 2 mg/L at 0.2 1/d is 3.164 mg/L in all; salt 1.80655 x 50 mg/L."""
    scenario = two_zones(
        organic_matter=OrganicMatter(),
        start=Start(profile=(MEASURED,), suspended_solids=12e-3, bod5=2e-3, ammonium=0.3e-3, chloride=50e-3),
    )
    model = build_model(scenario)
    amounts = start_state(scenario, model).amounts
    held = amounts / amounts[:, :1]
    assert held[:, s.BOD] * 1e3 == pytest.approx(2.0 / (1.0 - np.exp(-1.0)), rel=1e-9)
    assert held[:, s.AMMONIUM] == pytest.approx(0.3e-3, rel=1e-12)
    assert held[:, s.SALT] == pytest.approx(1.80655 * 50e-3, rel=0.003)
    assert held[:, s.FIRST_CLASS :].sum(axis=1) == pytest.approx(12e-3, rel=1e-12)
    assert np.all(held[:, [s.DEBT, s.DETRITUS, s.AGE_INFLOW, s.AGE_WATERFALL]] == 0.0)


def test_with_no_profile_the_first_days_run_twice_over():
    """In weather that never changes, ten days run twice leave what twenty days in one leave."""
    weather = steady_weather(air=24.0, dew=15.0, wind=3.0, sun=220.0, cloud=40.0)
    settings = {"weather": weather, "bed": Bed(), "mixing": Mixing(), "numerics": Numerics(tolerance=0.1)}
    pond = inert_pond(basin("pool", 600.0, 2.5), layers=6, days=20.0, **settings)
    spun = run(replace(pond, start=Start(spin_up=10 * 86400.0)))
    plain = run(replace(pond, start=Start(spin_up=0.0)))
    for name, allowed in (("water_temperature", 0.05), ("dissolved_oxygen", 0.05)):
        first, last = spun[name].values[0], plain[name].values[-1]
        assert np.abs(plain[name].values[0] - last).max() > 0.5  # the guess was not it
        assert first == pytest.approx(last, abs=allowed)
    assert spun["age_since_inflow"].values[0].max() == 0.0
    assert spun["water_surface_elevation"].values[0] == LEVEL


def test_with_neither_the_water_takes_the_air_of_the_first_days():
    """19 degC, at 90 % of 9.276 mg/L (fresh water, 1 atm; Standard Methods 4500-O)."""
    pond = inert_pond(
        basin("pool", 600.0, 2.5), layers=6, weather=steady_weather(air=19.0), start=Start(spin_up=0.0)
    )
    model = build_model(pond)
    amounts = start_state(pond, model).amounts
    assert amounts[:, s.HEAT] / amounts[:, s.WATER] == pytest.approx(CELSIUS_0 + 19.0, abs=1e-9)
    assert amounts[:, s.OXYGEN] / amounts[:, s.WATER] == pytest.approx(0.9 * 9.276e-3, abs=2e-6)


def test_the_result_says_how_long_the_start_shows():
    """A shallow pond flushed twice a day forgets its start in days; a deep closed one does not in a month."""
    weather = steady_weather(air=24.0, dew=15.0, wind=3.0, sun=220.0, cloud=40.0)
    shallow = inert_pond(
        basin("pool", 600.0, 0.6), days=30.0, weather=weather, mixing=Mixing(), bed=Bed(), numerics=Numerics()
    )
    deep = inert_pond(
        basin("pool", 600.0, 8.0), layers=8, days=30.0, weather=weather, bed=Bed(), numerics=Numerics()
    )
    soon, late = (run(pond).attrs["start_dependence_days"] for pond in (shallow, deep))
    assert 0.5 < soon < 15.0
    assert late > 29.0
    assert records_of(run(deep))["start_shows"].numbers["searched"] == (30 * 86400.0, "s")
