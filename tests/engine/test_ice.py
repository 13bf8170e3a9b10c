"""Ice on the pond: exact growth, closed balances, and what it keeps from the water."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from pondsim.physics.heat import longwave_from_sky
from pondsim.physics.ice import frozen_surface
from pondsim.physics.water import vapour_pressure
from pondsim.processes import constituents as s
from pondsim.scenario.settings import (
    Aeration,
    Algae,
    Bed,
    Ice,
    Intake,
    Light,
    Mixing,
    Numerics,
    Pump,
    Start,
    Waterfall,
    Weather,
)
from pondsim.simulate import run
from tests.engine.ponds import (
    BEGIN,
    CELSIUS_0,
    DAY,
    LEVEL,
    MG_PER_L,
    basin,
    bowl,
    filled_with,
    inert_pond,
    integrate_pond,
    passage,
    rates_of,
    steady_weather,
)
from tests.physics.tolerance import close_to

AREA, DEPTH = 400.0, 2.0
FROST = {"air": -10.0, "dew": -15.0, "wind": 2.0, "cloud": 50.0}
ICE_OVER_WATER = 917.0 / 998.2


def frozen(celsius=0.0, *, thick=0.02, snow=0.0, weather=None, layers=1, oxygen=10.0, **sections):
    """A basin of 2 m under ice and snow [m]."""
    start = filled_with("pool", CELSIUS_0 + celsius, oxygen * MG_PER_L, chloride=0.1)
    settings = {
        "ice": Ice(),
        "start": replace(start, ice_thickness=thick, snow_depth=snow),
        "weather": weather or steady_weather(**FROST),
        "numerics": Numerics(),
    }
    return inert_pond(basin("pool", AREA, DEPTH), layers=layers, **(settings | sections))


def thickness(marched):
    return marched.state_part("zones")[:, s.ICE, 0] / AREA / ICE_OVER_WATER


def weather_over(tmp_path, hours, air, rain):
    """Weather file of air temperature [degC] and rain [mm/h] by functions of the day."""
    rows = [
        "time,air_temperature [degC],dew_point [degC],wind_speed [m/s],solar_radiation [W/m2],"
        "cloud_cover [%],rain [mm/h]"
    ]
    for hour in range(hours + 1):
        day, time = hour / 24.0, BEGIN + timedelta(hours=hour)
        rows.append(f"{time:%Y-%m-%d %H:%M},{air(day):.3f},{air(day) - 3.0:.3f},2,60,60,{rain(day)}")
    file = tmp_path / "weather.csv"
    file.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return Weather(file=file)


def test_ice_grows_under_steady_frost_by_the_exact_law():
    """rho L dh/dt = F/(1 + h Ha/k): (h + k/Ha)^2 grows by 2 k F/(Ha rho L) t; see checks 18.4 to 18.6.

    F and Ha are those of the air film; k 2.2 W/m/K, 917 kg/m3, 333550 J/kg; the water is at 0 degC.
    """
    marched = integrate_pond(frozen(days=20.0))
    air, vapour = CELSIUS_0 - 10.0, vapour_pressure(CELSIUS_0 - 15.0)
    sky = longwave_from_sky(air, vapour, 0.5)
    gain, exchange = frozen_surface(sky, 0.0, air, vapour, 0.748 * 0.6 * 2.0, 101325.0)
    r = 2.2 / exchange
    wanted = np.sqrt((0.02 + r) ** 2 - 2.0 * r * gain / (917.0 * 333550.0) * marched.time) - r
    assert wanted[-1] > 0.15
    assert thickness(marched) == pytest.approx(wanted, rel=2e-3)


def test_what_stays_unfrozen_is_richer_in_salt_and_oxygen():
    """18.15: H/(H - 0.917 h), all rejected, by the ice that the run itself grew."""
    marched = integrate_pond(frozen(days=20.0, thick=0.02))
    first, last = (0.917 * thickness(marched)[end] * 1000.0 / 998.2 for end in (0, -1))
    for constituent in (s.SALT, s.OXYGEN):
        richer = marched.concentration(constituent)[-1, 0] / marched.concentration(constituent)[0, 0]
        assert richer == pytest.approx((DEPTH - first) / (DEPTH - last), rel=1e-6)
    # the water in a hole of the ice stands where it stood: what floats displaces its weight
    assert marched.season.surface[-1, 0] + marched.season.floating[-1, 0] == pytest.approx(LEVEL, abs=1e-9)


def test_frost_and_thaw_close_all_balances(tmp_path):
    """Two zones freeze, are snowed on, flooded and thaw; latent heat counted, and all balances close."""
    weather = weather_over(
        tmp_path,
        24 * 24,
        lambda day: 4.0 - 16.0 * np.sin(np.pi * day / 16.0) if day < 16.0 else 16.0,
        lambda day: 0.3 if 5.0 < day < 7.0 or day > 17.0 else 0.0,
    )
    pond = inert_pond(
        bowl("pool", 600.0, 2.0),
        basin("arm", 200.0, 1.2, centre=(30.0, 0.0)),
        connection=(passage("pool", "arm"),),
        layers=6,
        days=24.0,
        weather=weather,
        start=filled_with("pool", CELSIUS_0 + 5.0, 10.0 * MG_PER_L, chloride=0.05),
        mixing=Mixing(),
        bed=Bed(),
        ice=Ice(),
        numerics=Numerics(),
    )
    results = run(pond, how_long_start_matters=False)
    thick, snow = results["ice_thickness"].values, results["snow_depth"].values
    assert thick.max() > 0.08 and snow.max() > 0.03
    assert (thick[-1] == 0.0).all() and (snow[-1] == 0.0).all()  # melted to exactly nothing
    assert thick.min() >= 0.0 and snow.min() >= -1e-12
    assert float(results["water_temperature"].min()) > -0.1
    for book in ("water", "heat", "salt", "oxygen", "redox"):
        assert results.attrs[f"balance_{book}"] < 1e-12, book
    level = results["water_surface_elevation"].values
    fallen = float((results["rain"] - results["evaporation"]).sum()) * 3600.0 / 800.0
    assert level[-1] - level[0] == pytest.approx(fallen, rel=0.1)


def test_nothing_passes_between_the_air_and_water_under_ice():
    """No gas exchange, evaporation, sunlight of the near infrared or stir by wind; light by check 18.10."""
    windy = steady_weather(air=-2.0, dew=-8.0, wind=8.0, sun=300.0)
    light = Light(background_extinction=0.5, albedo=0.07)
    keys = {
        "weather": windy,
        "layers": 8,
        "mixing": Mixing(background_multiplier=0.0, dissipation=0.0),
        "light": light,
    }
    pond = frozen(2.0, thick=0.3, snow=0.1, ice=Ice(albedo=0.3, snow_albedo=0.85), **keys)
    model, _, rates = rates_of(pond)
    assert rates.pathways[0, s.SURFACE_EXCHANGE] == 0.0
    assert rates.lines[s.WATER_EVAPORATION] == 0.0
    distance = 0.5 * (model.work.thickness[1:] + model.work.thickness[:-1])
    half = 0.5 * np.abs(
        model.work.flow[:7]
    )  # what upwind flow exchanges is taken off, see transport.add_rates
    exchange = np.sqrt((model.work.exchange[:7] + half) ** 2 - half**2)
    assert exchange == pytest.approx(6e-7 * AREA / distance[:7], rel=1e-6)  # the floor alone
    albedo = 0.3 + 0.55 * 0.1 / (0.1 + 0.02)  # snow hides the ice by its depth
    assert model.work.light_top[7] == pytest.approx(
        (1.0 - albedo) * np.exp(-2.0 * 0.3 - 20.0 * 0.1), rel=1e-6
    )


def test_the_bed_under_ice_asks_what_was_measured():
    """18.13 and 18.11: 2 g/m2/d at 20 degC is 0.73 at 4 degC by theta 1.065; 0.23 was measured under ice."""
    bed = Bed(oxygen_demand=2e-3 / DAY, ammonium_release=0.0, heat_conductivity=0.0, half_saturation=1e-9)
    asked = []
    for thick in (0.3, 0.0):
        _, _, rates = rates_of(frozen(4.0, thick=thick, bed=bed))
        asked.append(-rates.pathways[0, s.BED_DEMAND] / AREA * 1e3 * DAY)
    assert asked[1] == pytest.approx(0.73019, rel=1e-3)
    assert asked[0] == pytest.approx(0.23, abs=0.005)


def test_oxygen_under_ice_lasts_as_long_as_published():
    """18.12: 64 days from 12 to 4 mg/L in 2 m, Mathias and Barica 1980 (read in secondary sources).

    0.23 g/m2/d of the bed and 0.01 g/m3/d of the water, here both asked of the bed: 0.25 g/m2/d.
    """
    still = steady_weather(air=-0.01, dew=-0.01, cloud=100.0)
    demand = 0.25e-3 / DAY * 1.065**20 / 0.32  # at 20 degC; the water is at 0 degC, under ice 0.32 is left
    bed = Bed(oxygen_demand=demand, ammonium_release=0.0, heat_conductivity=0.0, half_saturation=1e-9)
    given = Algae(mode="given", chlorophyll=(0.0,) * 12)
    bed = replace(bed, reduced_share=0.0)
    pond = frozen(0.0, thick=0.3, oxygen=12.0, days=66.0, weather=still, bed=bed, algae=given)
    marched = integrate_pond(pond)
    used = (
        1e3 * -np.diff(marched.amounts(s.OXYGEN).sum(axis=1)[[0, -1]])[0] / AREA
    )  # ice grows: count by area
    assert 66.0 * DEPTH * (12.0 - 4.0) / used == close_to(64.0, "0.5 %", "d")


def test_snow_sinks_into_its_flood():
    """18.8: what is more than the ice can float turns to ice until h (1000 - 917)/rho is left."""
    still = steady_weather(air=-0.01, dew=-0.01, cloud=100.0)
    marched = integrate_pond(frozen(days=1.5, thick=0.2, snow=0.3, weather=still))
    zones = marched.state_part("zones")[-1, :, 0] / AREA
    depth, thick = zones[s.SNOW] * 998.2 / 250.0, zones[s.ICE] / ICE_OVER_WATER
    assert depth < 0.2
    assert depth == pytest.approx(thick * 83.0 / 250.0, rel=0.02)
    start = 0.2 * ICE_OVER_WATER + 0.3 * 250.0 / 998.2
    assert zones[s.ICE] + zones[s.SNOW] == pytest.approx(start, rel=0.02)


AIR = Aeration(
    name="unit",
    zone="pool",
    elevation=LEVEL - DEPTH + 0.1,
    diffusers=1,
    kind="coarse",
    air_flow=2e-3,
    power=200.0,
)


def test_a_plume_keeps_water_open_as_far_as_it_stirs_or_its_warmth_reaches():
    """A hole of radius 1.0 x 1.9 m; water at 0 degC cannot feed it, and without air there is none."""
    held = {}
    for name, celsius, air in (("warm", 3.0, (AIR,)), ("cold", 0.0, (AIR,)), ("off", 3.0, ())):
        model, _, _ = rates_of(frozen(celsius, thick=0.3, layers=8, aeration=air))
        held[name] = model.work.hole[0]
    assert held["warm"] == pytest.approx(np.pi * 1.9**2, rel=1e-6)
    assert held["cold"] == held["off"] == 0.0


def test_a_waterfall_keeps_water_open_and_its_sheet_loses_heat():
    """1.2 m wide, 3 depths out; both faces of the sheet lose heat, which cools what comes back."""
    loop = {
        "intake": Intake(zone="pool", elevation=LEVEL - 1.5),
        "pump": Pump(flow=0.03, power=800.0),
        "waterfall": Waterfall(zone="pool", width=1.2, drop=1.0),
    }
    model, _, rates = rates_of(frozen(3.0, thick=0.3, layers=8, **loop))
    assert model.work.hole[0] == pytest.approx(1.2 * 3.0 * (DEPTH - 0.3 * ICE_OVER_WATER), rel=1e-6)
    sheet = 2.0 * 1.2 * 1.0
    per_area = model.work.fall_loss[0] * 998.2 * 4182.0 / sheet
    # evaporation 3.1 W/m2/mb/(m/s) at 2.2 m/s (Ryan et al. 1974) with 7.58 mb over 1.91 mb; Bowen 0.61 mb/K
    forced = 3.1 * 0.5 * (2.0 * 9.80665) ** 0.5
    assert per_area > forced * (7.58 - 1.91 + 0.61 * 13.0)
    assert rates.lines[s.HEAT_SURFACE] < -model.work.fall_loss[0]


def test_a_shelf_of_water_freezes_no_deeper_than_it_is():
    """A terrace of 15 cm beside a pool: its ice draws on the pool's water, and stops at its bed."""
    hard = steady_weather(air=-25.0, dew=-28.0, wind=3.0, cloud=0.0)
    pond = inert_pond(
        basin("pool", 300.0, 2.0),
        basin("shelf", 100.0, 0.15, centre=(20.0, 0.0)),
        connection=(passage("pool", "shelf", depth=0.15),),
        layers=6,
        days=15.0,
        weather=hard,
        start=filled_with("pool", CELSIUS_0 + 1.0, 10.0 * MG_PER_L),
        ice=Ice(),
        numerics=Numerics(),
    )
    results = run(pond, how_long_start_matters=False)
    pool, shelf = results["ice_thickness"].values[-1]
    assert pool > 0.25
    assert 0.08 < shelf < 0.2
    assert float(results["water_temperature"].min()) > -0.5


def test_a_start_under_ice_stands_at_its_level():
    """40 cm of ice and 10 cm of snow of 250 kg/m3 float; water in a hole stands at normal pool."""
    pond = frozen(1.0, thick=0.4, snow=0.1, layers=6, days=0.5)
    results = run(pond, how_long_start_matters=False)
    assert results["water_surface_elevation"].values[0] == pytest.approx(LEVEL, abs=1e-9)
    assert results["ice_thickness"].values[0, 0] == pytest.approx(0.4, rel=1e-9)
    assert results["snow_depth"].values[0, 0] == pytest.approx(0.1, rel=1e-9)
    liquid = DEPTH - 0.4 * ICE_OVER_WATER - 0.1 * 250.0 / 998.2
    assert results["box_volume"].values[0].sum() == pytest.approx(AREA * liquid, rel=1e-9)
    assert Start().ice_thickness == 0.0
