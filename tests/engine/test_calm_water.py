"""Gas transfer by cooling, what is left of mixing, and what cold water slows, as selected by key."""

import pytest

from pondsim.processes import constituents as s
from pondsim.scenario.settings import Algae, GasTransfer, Mixing, OrganicMatter, Solids
from tests.engine.ponds import (
    CELSIUS_0,
    DAY,
    basin,
    filled_with,
    inert_pond,
    rates_of,
    set_concentration,
    steady_weather,
)

CM_PER_H = 0.01 / 3600.0
AREA, DEPTH = 400.0, 2.0
SHED = 25.0  # degC of the water


def through_surface(celsius, weather, **law):
    """Oxygen that a pond without oxygen takes up, as a velocity [cm/h] times its saturation [kg/m3]."""
    pond = inert_pond(
        basin("pool", AREA, DEPTH),
        start=filled_with("pool", CELSIUS_0 + celsius, 0.0),
        weather=weather,
        mixing=Mixing(wind_reduction=1.0),
        gas_transfer=GasTransfer(**law),
    )
    _, _, rates = rates_of(pond)
    return rates.pathways[0, s.SURFACE_EXCHANGE] / AREA / CM_PER_H


COLD_NIGHT = steady_weather(air=10.0, dew=5.0, wind=1.0, cloud=0.0)
SUNNY = steady_weather(air=30.0, dew=25.0, wind=1.0, sun=900.0)


def test_cooling_water_takes_the_larger_of_both_laws_and_warming_water_that_of_the_wind():
    """2.04 U + 2.0 against 2.07 + 0.215 U^1.7 cm/h at 1 m/s: 4.04 against 2.285 (checks 19.4 and 3.5)."""
    wind, both = ({"law": law} for law in ("wind", "wind and cooling"))
    night = through_surface(SHED, COLD_NIGHT, **both) / through_surface(SHED, COLD_NIGHT, **wind)
    assert night == pytest.approx(4.04 / 2.285, rel=1e-3)
    assert through_surface(SHED, SUNNY, **both) == through_surface(SHED, SUNNY, **wind)


def test_cooling_below_4_degrees_renews_nothing():
    """Colder water then floats: the surface is not renewed, whatever it loses."""
    frost = steady_weather(air=-10.0, dew=-15.0, wind=1.0, cloud=0.0)
    wind, both = ({"law": law} for law in ("wind", "wind and cooling"))
    assert through_surface(2.0, frost, **both) == through_surface(2.0, frost, **wind)


def test_schmidt_number_of_the_year_asked_for():
    """Wanninkhof 2014 against 1992 at 20 degC: 510.25 and 530.46 (checks 3.2 and 3.4), exponent 1/2."""
    old, new = (through_surface(20.0, COLD_NIGHT, schmidt_number=year) for year in ("1992", "2014"))
    assert new / old == pytest.approx((530.46 / 510.25) ** 0.5, rel=1e-4)


@pytest.mark.parametrize(
    ("keys", "diffusivity"),
    [
        ({"diffusivity_floor": 1.4e-7, "dissipation": 0.0}, 1.4e-7),
        ({"diffusivity_floor": 1.4e-7, "dissipation": 1e-8}, 0.2e-8 / 7.5e-5),  # weak: N2 counts as 7.5e-5
        ({"diffusivity_floor": 1e-4, "dissipation": 1e-8}, 1e-4),
    ],
)
def test_still_water_mixes_by_the_largest_of_its_laws(keys, diffusivity):
    """Molecular, lake law times its multiplier (here 0), 0.2 eps/N2 (Osborn 1980): exact at no wind."""
    pond = inert_pond(basin("pool", AREA, DEPTH), layers=4, mixing=Mixing(background_multiplier=0.0, **keys))
    model, _, _ = rates_of(pond)
    distance = 0.5 * (model.work.thickness[1:] + model.work.thickness[:-1])
    assert model.work.exchange[:3] == pytest.approx(diffusivity * AREA / distance[:3], rel=1e-9)


def test_solids_sink_as_fast_as_the_water_is_thin():
    """Stokes: velocity goes with 1/viscosity: 0.8900 mPa s at 25 degC, 1.5182 at 5 degC (IAPWS tables)."""

    def settling(**keys):
        pond = inert_pond(
            basin("pool", AREA, DEPTH),
            start=filled_with("pool", CELSIUS_0 + 5.0),
            solids=Solids(settling_velocity=(1e-5,), share=(1.0,), **keys),
        )
        _, _, rates = rates_of(pond, lambda _, state: set_concentration(state, s.FIRST_CLASS, 0.02))
        return rates.bed_mass[0, 0]

    alike = settling(by_temperature=False)
    assert alike == pytest.approx(1e-5 * AREA * 0.02, rel=1e-9)
    assert settling(velocities_at=CELSIUS_0 + 25.0) / alike == pytest.approx(0.8900 / 1.5182, rel=1e-3)


def test_respiration_has_a_temperature_factor_of_its_own():
    """60 ug/L at 0.8 mg/mg/h and 10 degC: 1.08^-10 of it, oxygen far above what halves it."""
    pond = inert_pond(
        basin("pool", AREA, DEPTH),
        start=filled_with("pool", CELSIUS_0 + 10.0),
        algae=Algae(mode="given", chlorophyll=(60e-6,) * 12, respiration_theta=1.08),
        organic_matter=OrganicMatter(bod_decay=0.0, detritus_settling=0.0),
    )
    _, _, rates = rates_of(pond)
    wanted = 60e-6 * 0.8 / 3600.0 * 1.08**-10 * 8.0 / 8.2 * AREA * DEPTH
    assert -rates.pathways[0, s.RESPIRATION] * DAY == pytest.approx(wanted * DAY, rel=1e-6)
