"""Heat against the written-out surface balance, and mixing against what density allows."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.linalg import expm
from scipy.optimize import brentq

from pondsim.physics.heat import longwave_from_sky
from pondsim.physics.water import vapour_pressure
from pondsim.processes import constituents as s
from pondsim.scenario.settings import Bed, Ground, Light, Mixing, Numerics, Profile, Start
from tests.engine.ponds import (
    CELSIUS_0,
    DAY,
    LEVEL,
    basin,
    bowl,
    filled_with,
    inert_pond,
    integrate_pond,
    passage,
    rates_of,
    steady_weather,
)

FLOOR = 1.4e-7  # m2/s
STILL = {
    "background_multiplier": 0.0,
    "diffusivity_floor": FLOOR,
    "dissipation": 0.0,
    "cooling_entrainment": 0.0,
    "gravity_exchange": 0.0,
}


def layered(temperatures, depth=2.4, layers=8, **sections):
    """A closed basin of equal layers with the given temperatures, in steps from the surface down [degC]."""
    depths = tuple(depth * (i + 0.5) / layers for i in range(layers))
    warm = tuple(CELSIUS_0 + t for t in np.repeat(temperatures, layers // len(temperatures)))
    profile = Profile(zone="pool", depth=depths, temperature=warm, dissolved_oxygen=(8e-3,) * len(warm))
    start = Start(profile=(profile,), suspended_solids=0.0, bod5=0.0, ammonium=0.0, chloride=0.0)
    settings = {"layers": layers, "start": start, "mixing": Mixing(**STILL)}
    return inert_pond(basin("pool", 400.0, depth), **(settings | sections))


def air_in_balance_with(celsius):
    """Temperature of moist air whose closed sky sends still water of `celsius` what it takes [degC]."""

    def gain(air):
        sky = longwave_from_sky(CELSIUS_0 + air, vapour_pressure(CELSIUS_0 + air), 1.0)
        return sky - 0.97 * 5.670374e-8 * (CELSIUS_0 + celsius) ** 4

    return round(brentq(gain, celsius, celsius + 20.0), 9)


@pytest.mark.parametrize(
    ("sun", "air", "dew", "wind", "cloud"), [(250.0, 25.0, 16.0, 3.0, 30.0), (120.0, 12.0, 9.0, 1.0, 80.0)]
)
def test_constant_weather_brings_the_equilibrium_temperature(sun, air, dew, wind, cloud):
    """Balance written out: Ryan, Harleman and Stolzenbach 1974, Bowen 0.61 mb/K, emissivity 0.97, sky after
    Brutsaert 1975 times 1 + 0.17 cloud^2 (all from memory), vapour pressure of FAO-56."""
    tenth_albedo = Light(albedo=0.1, background_extinction=10.0)
    pond = inert_pond(
        basin("pool", 400.0, 2.0),
        days=40.0,
        weather=steady_weather(air=air, dew=dew, wind=wind, sun=sun, cloud=cloud),
        light=tenth_albedo,
        mixing=Mixing(wind_reduction=1.0),
        numerics=Numerics(),
    )

    def saturated(t):
        return 6.108 * np.exp(17.27 * t / (t + 237.3))  # mb

    def virtual(t, e):
        return (CELSIUS_0 + t) / (1.0 - 0.378 * e / 1013.25)

    def balance(t):
        ea, es = saturated(dew), saturated(t)
        warmer = max(virtual(t, es) - virtual(air, ea), 0.0)
        function = 2.7 * np.cbrt(warmer) + 3.1 * 0.748 * wind  # 4.87/ln(67.8 x 10 - 5.42), FAO-56
        lost = function * (es - ea) + 0.61 * 1.01325 * function * (t - air)
        sky = 1.24 * (ea / (CELSIUS_0 + air)) ** (1.0 / 7.0) * (1.0 + 0.17 * (cloud / 100.0) ** 2)
        longwave = 0.97 * 5.670374e-8 * (sky * (CELSIUS_0 + air) ** 4 - (CELSIUS_0 + t) ** 4)
        return 0.9 * sun + longwave - lost

    marched = integrate_pond(pond)
    wanted = brentq(balance, 0.0, 50.0)
    assert marched.concentration(s.HEAT)[-1, 0] - CELSIUS_0 == pytest.approx(wanted, abs=0.05)


def test_the_bed_and_the_water_come_to_one_temperature():
    """Exact: heat goes from warm water into the bed and no further while nothing else moves it.

    Water 2 m at 20 degC, bed 0.1 and 0.5 m of 3.2 MJ/m3/K at 10 degC: the mean weighted by heat capacity.
    """
    pond = inert_pond(
        basin("pool", 400.0, 2.0, floating_cover=1.0),
        days=3.0,
        bed=Bed(oxygen_demand=0.0, heat_conductivity=1.0, ammonium_release=0.0),
        ground=Ground(temperature=CELSIUS_0 + 10.0),
    )

    def cold_bed(model, state):
        state.bed_heat[:] = CELSIUS_0 + 10.0

    marched = integrate_pond(pond, cold_bed)
    water_heat = marched.line(s.HEAT_BED)[-1] * 998.2 * 4182.0 / 400.0  # J/m2 out of the bed
    end = marched.states[-1].bed_heat[0] - (CELSIUS_0 + 10.0)
    stored = 3.2e6 * (0.1 * end[0] + 0.5 * end[1])  # J/m2
    assert end[0] > end[1] > 0.0
    assert -water_heat > stored > 0.5 * -water_heat  # the rest has gone on into the ground


def test_stable_water_and_no_wind_exchange_exactly_the_floor():
    """Exact: exchange through each face is floor x area / distance, with warm water above and uniform."""
    for temperatures in ([26.0, 24.0, 20.0, 16.0], [20.0]):
        model, _, _ = rates_of(layered(temperatures))
        thickness = model.work.thickness
        distance = 0.5 * (thickness[1:] + thickness[:-1])
        assert model.work.exchange[:-1] == pytest.approx(FLOOR * 400.0 / distance, rel=1e-11)
        assert model.work.exchange[-1] == 0.0  # the water surface


def test_stable_heat_spreads_by_the_floor_alone():
    """Against the matrix exponential of diffusion between the layers, five days with no wind."""
    pond = layered(
        [20.0, 18.0, 14.0, 12.0], days=5.0, mixing=Mixing(**STILL), numerics=Numerics(tolerance=0.1)
    )
    marched = integrate_pond(pond)
    thickness = marched.model.work.thickness
    rate = FLOOR / (0.5 * (thickness[1:] + thickness[:-1]))
    matrix = np.zeros((8, 8))
    for i, r in enumerate(rate):
        matrix[i, i] -= r / thickness[i]
        matrix[i, i + 1] += r / thickness[i]
        matrix[i + 1, i + 1] -= r / thickness[i + 1]
        matrix[i + 1, i] += r / thickness[i + 1]
    first = marched.concentration(s.HEAT)[0]
    # the surface keeps 20 degC to 0.01 K only: what it exchanged is left out by looking below it
    wanted = expm(matrix * 5.0 * DAY) @ first
    assert marched.concentration(s.HEAT)[-1][:4] == pytest.approx(wanted[:4], abs=2e-3)


def test_water_of_3_degrees_stays_on_water_of_4_degrees():
    """Fresh water is heaviest at 4 degC: nothing overturns, and only the floor's diffusion moves heat."""
    air = air_in_balance_with(3.0)
    pond = layered([3.0, 3.0, 4.0, 4.0], days=4.0, weather=steady_weather(air=air, dew=air))
    marched = integrate_pond(pond)
    start, end = marched.concentration(s.HEAT)[0], marched.concentration(s.HEAT)[-1]
    assert end[0] == pytest.approx(CELSIUS_0 + 4.0, abs=0.02)
    assert end[-1] == pytest.approx(CELSIUS_0 + 3.0, abs=0.03)
    assert np.all(np.diff(start) <= 0.0) and np.all(np.diff(end) <= 0.0)


def test_water_of_4_degrees_overturns_on_water_of_3_degrees():
    """The reverse mixes within hours, and takes no heat with it: the sum changes only through the surface."""
    air = air_in_balance_with(3.5)
    pond = layered([4.0, 4.0, 3.0, 3.0], days=1.0, weather=steady_weather(air=air, dew=air))
    marched = integrate_pond(pond)
    heat = marched.amounts(s.HEAT)
    assert np.ptp(marched.concentration(s.HEAT)[12]) < 0.1
    through_surface = marched.line(s.HEAT_SURFACE) + marched.line(s.HEAT_CARRIED)
    assert heat.sum(axis=1) - heat[0].sum() == pytest.approx(through_surface, abs=1e-9 * heat[0].sum())


def test_a_cooled_surface_mixes_the_pond_from_above():
    """A night that cools the surface leaves no water lying on lighter water by more than 0.1 K."""
    pond = layered([24.0, 24.0, 22.0, 20.0], days=2.0, weather=steady_weather(air=10.0, dew=5.0, wind=2.0))
    marched = integrate_pond(pond)
    temperature = marched.concentration(s.HEAT)
    assert np.diff(temperature, axis=1).min() > -0.15  # K, from one layer to the next above
    assert temperature[-1].max() < temperature[0].max() - 1.0


def test_salt_keeps_cold_water_above_warm():
    """3 g/kg of salt weigh 2.3 kg/m3, more than 8 K of warmth lift: a bottom of warm brine stays."""
    pond = layered([16.0, 16.0, 24.0, 24.0], days=2.0)

    def salt(model, state):
        state.amounts[:4, s.SALT] = 3.0 * state.amounts[:4, s.WATER]

    marched = integrate_pond(pond, salt)
    assert marched.concentration(s.HEAT)[-1][0] == pytest.approx(CELSIUS_0 + 24.0, abs=0.05)
    fresh = integrate_pond(pond)
    assert np.ptp(fresh.concentration(s.HEAT)[-1]) < 1.0


def test_equal_waters_do_not_exchange_by_gravity_and_unequal_ones_do():
    """Exact: q = c W h sqrt(g h drho/rho) between 25 and 20 degC, 997.048 and 998.207 kg/m3 (IAPWS)."""
    zones = basin("pool", 400.0, 1.0), basin("arm", 200.0, 1.0, centre=(30.0, 0.0))
    pond = inert_pond(
        *zones,
        connection=(passage("pool", "arm", width=8.0, depth=0.8),),
        mixing=Mixing(dispersion_multiplier=0.0, gravity_exchange=0.1),
    )
    assert rates_of(pond)[0].work.exchange[2] == 0.0  # the first two lie on top of the boxes
    profiles = tuple(filled_with(z, CELSIUS_0 + t).profile[0] for z, t in (("pool", 25.0), ("arm", 20.0)))
    model, _, _ = rates_of(replace(pond, start=replace(pond.start, profile=profiles)))
    wanted = 0.1 * 8.0 * 0.8 * np.sqrt(9.80665 * 0.8 * (998.207 - 997.048) / 998.2)
    assert model.work.exchange[2] == pytest.approx(wanted, rel=0.01)


def test_no_interface_moves_the_heat_of_a_drying_bowl():
    """A falling surface carries interfaces down with it; uniform heat is left as it was."""
    pond = inert_pond(
        bowl("pool", 400.0, 2.4),
        layers=8,
        days=12.0,
        ground=Ground(seepage=0.15 / DAY, temperature=CELSIUS_0 + 20.0),
    )
    marched = integrate_pond(pond)
    assert marched.season.surface[-1, 0] < LEVEL - 1.7
    assert marched.concentration(s.HEAT) == pytest.approx(CELSIUS_0 + 20.0, rel=1e-11)
