"""A concentration that is the same everywhere, and in all that comes in, stays so whatever the water does."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from pondsim.processes import constituents as s
from pondsim.scenario.settings import (
    Aeration,
    BaseFlow,
    Ground,
    Inflow,
    Intake,
    Mixing,
    Numerics,
    Outlet,
    Profile,
    Pump,
    Start,
    Waterfall,
    Weir,
)
from tests.engine.ponds import (
    BEGIN,
    CELSIUS_0,
    DAY,
    LEVEL,
    WARM,
    bowl,
    inert_pond,
    integrate_pond,
    passage,
    set_concentration,
    steady_weather,
)

CHLORIDE = 0.05  # kg/m3, everywhere
SALT = 1.80655 * 1000.0 * CHLORIDE / 998.2  # kg/m3; S = 1.80655 Cl, Standard Methods
EXACT = 1e-9

# Moist, still air warmer than the water: nothing evaporates, and the sky stratifies the pond.
STILL = steady_weather(air=38.0, dew=38.0)
PROFILE = Profile(
    zone="pool", depth=(0.0, 1.0, 2.5), temperature=(299.0, 295.0, 288.0), dissolved_oxygen=(8e-3, 6e-3, 2e-3)
)


def busy_pond(**sections):
    """Storms, a pump, a plume; a shelf that falls dry and a cove behind its sill."""
    storm = Inflow(
        zone="shelf",
        start=BEGIN + timedelta(days=11),
        duration=6 * 3600.0,
        volume=2200.0,
        temperature=WARM,
        chloride=CHLORIDE,
    )
    settings = {
        "days": 14.0,
        "layers": 6,
        "weather": STILL,
        "connection": (
            passage("pool", "shelf", depth=0.2, distance=20.0),
            passage("pool", "cove", depth=0.5, distance=25.0),
        ),
        "inflow": (storm, replace(storm, start=BEGIN + timedelta(days=12.2), volume=600.0, zone="cove")),
        "base_flow": (BaseFlow(zone="cove", flow=2e-4, temperature=285.0, chloride=CHLORIDE),),
        "outlet": Outlet(zone="pool", weir=(Weir(crest=LEVEL + 0.1, width=1.5),)),
        "ground": Ground(seepage=0.06 / DAY, temperature=WARM, chloride=CHLORIDE),
        "mixing": Mixing(),
        "intake": Intake(zone="pool", elevation=LEVEL - 1.5),
        "pump": Pump(flow=0.02, hours=((20 * 3600.0, 32 * 3600.0),)),
        "waterfall": Waterfall(zone="cove", drop=1.2, width=1.5),
        "aeration": (
            Aeration(
                name="air",
                zone="pool",
                elevation=LEVEL - 2.3,
                diffusers=2,
                air_flow=7e-4,
                hours=((6 * 3600.0, 15 * 3600.0),),
            ),
        ),
        "start": Start(profile=(PROFILE,), chloride=CHLORIDE),
        "numerics": Numerics(tolerance=1.0),
    }
    zones = (
        bowl("pool", 1500.0, 2.5),
        bowl("shelf", 800.0, 0.4, centre=(20.0, 0.0)),
        bowl("cove", 600.0, 1.2, centre=(0.0, 25.0)),
    )
    return inert_pond(*zones, **(settings | sections))


@pytest.fixture(scope="module")
def emptied():
    """The busy pond, losing water through its bed."""
    return integrate_pond(busy_pond())


def test_the_busy_pond_rises_falls_dries_and_wets_again(emptied):
    """That the tests below meet what they name."""
    surface = emptied.season.surface
    shelf_bottom = emptied.model.grid.zone_bottom[1]
    shelf = surface[:, 1] - shelf_bottom
    assert shelf.min() < 1e-3 and shelf[0] == pytest.approx(0.4) and shelf[-1] > 0.3  # m
    assert surface[:, 0].min() < surface[:, 2].min() - 0.05  # the cove was cut off
    assert emptied.line(s.WATER_PUMPED)[-1] > 1000.0
    assert emptied.line(s.WATER_OUTLET)[-1] > 50.0
    assert abs(emptied.line(s.WATER_EVAPORATION)[-1]) < 1e-20
    density = emptied.model.work.density[: emptied.model.grid.first_box[1]]
    assert density[0] - density[-1] > 0.2  # stratified, kg/m3


def test_uniform_salt_stays_uniform_while_water_is_lost_to_the_ground(emptied):
    """Exact: every concentration is that of the inflow at all times."""
    assert emptied.concentration(s.SALT) == pytest.approx(SALT, rel=EXACT)


def test_uniform_salt_stays_uniform_while_ground_water_comes_in():
    """Exact, with cold ground water of the same salt."""
    ground = Ground(seepage=-0.02 / DAY, temperature=284.0, chloride=CHLORIDE)
    marched = integrate_pond(busy_pond(ground=ground))
    assert marched.concentration(s.SALT) == pytest.approx(SALT, rel=EXACT)


def test_a_loose_tolerance_leaves_a_uniform_tracer_uniform():
    """It is a property of the scheme, not of small errors."""
    marched = integrate_pond(busy_pond(numerics=Numerics(tolerance=10.0)))
    assert marched.concentration(s.SALT) == pytest.approx(SALT, rel=EXACT)


def test_age_grows_alike_everywhere_under_sun_wind_and_evaporation():
    """Exact: with nothing coming in, water of one age grows older by one second a second in every box.

    Evaporation takes water of the age it has; pump, plume, seepage, outlet and drying only move it. The
    growth itself is computed to the accuracy of the steps, so it is added to a great age.
    """
    dry = steady_weather(air=28.0, dew=8.0, wind=4.0, sun=220.0, cloud=30.0)

    def old(model, state):
        set_concentration(state, s.AGE_INFLOW, 1e9)

    marched = integrate_pond(busy_pond(inflow=(), base_flow=(), weather=dry), old)
    age = marched.concentration(s.AGE_INFLOW)
    assert age == pytest.approx(np.broadcast_to(1e9 + marched.time[:, None], age.shape), abs=0.5)
    assert marched.line(s.WATER_EVAPORATION)[-1] > 70.0  # m3


def test_uniform_temperature_stays_uniform_in_rain_and_storms():
    """Exact: air, rain, ground and inflow of 20 degC under a closed sky leave water of 20 degC as it is."""
    rain = steady_weather(rain=1.0)
    base = BaseFlow(zone="cove", flow=2e-4, temperature=WARM, chloride=CHLORIDE)
    even = Profile(zone="pool", depth=(0.0,), temperature=(WARM,), dissolved_oxygen=(8e-3,))
    marched = integrate_pond(
        busy_pond(weather=rain, base_flow=(base,), start=Start(profile=(even,), chloride=CHLORIDE))
    )
    assert marched.concentration(s.HEAT) == pytest.approx(CELSIUS_0 + 20.0, rel=1e-11)


def test_saturated_water_stays_saturated():
    """Exact: water in balance with the air takes nothing at the surface, in rain or over the waterfall."""

    def saturate(model, state):
        set_concentration(state, s.OXYGEN, 9.0924e-3)  # kg/m3, any box far from it would show

    even = Profile(zone="pool", depth=(0.0,), temperature=(WARM,), dissolved_oxygen=(9.0924e-3,))
    fresh = busy_pond(
        weather=steady_weather(rain=1.0),
        aeration=(),
        inflow=(),
        base_flow=(
            BaseFlow(zone="cove", flow=2e-4, temperature=WARM, chloride=0.0, oxygen_saturation=1.0, bod5=0.0),
        ),
        ground=Ground(seepage=0.06 / DAY, temperature=WARM),
        start=Start(profile=(even,), chloride=0.0, bod5=0.0, ammonium=0.0),
    )
    marched = integrate_pond(fresh, saturate)
    # 9.092 mg/L: fresh water of 20 degC at 1 atm, Standard Methods 4500-O
    assert marched.concentration(s.OXYGEN) == pytest.approx(9.092e-3, abs=1.5e-6)
