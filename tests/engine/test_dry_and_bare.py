"""A dry shelf under the sun, solids below zero, bubbles that give nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pondsim.processes import constituents as s
from pondsim.processes.settling import lift_to_zero
from pondsim.scenario.settings import Aeration, Algae, Numerics, Orifice, Outlet, Solids, Start
from tests.engine.ponds import (
    CELSIUS_0,
    LEVEL,
    Profile,
    basin,
    inert_pond,
    integrate_pond,
    passage,
    rates_of,
)
from tests.engine.ponds import steady_weather as weather

DRY = LEVEL - 1.0  # m, water surface at the start; the shelf's bed lies half a meter above it


def test_the_film_of_a_dry_shelf_is_not_boiled():
    """Sun of 900 W/m2 and hot dry air for three days.

    Where evaporation fades at the film and the sun does not, water warms until it radiates what it takes:
    0.93 x 900 + 0.97 x 400 W/m2 = 0.97 sigma T^4 at 113 degC.
    """
    pond = inert_pond(
        basin("pool", 800.0, 3.0),
        basin("shelf", 400.0, 0.5, centre=(30.0, 0.0)),
        days=3.0,
        layers=4,
        connection=(passage("pool", "shelf", depth=0.4),),
        weather=weather(air=38.0, dew=5.0, wind=1.0, sun=900.0, cloud=0.0),
        start=Start(water_surface=DRY, profile=(Profile("pool", (0.0,), (CELSIUS_0 + 25.0,), (8e-3,)),)),
        numerics=Numerics(),
    )
    marched = integrate_pond(pond)
    grid = marched.model.grid
    shelf = slice(grid.first_box[1], grid.first_box[2])
    temperature = marched.concentration(s.HEAT)
    water = marched.amounts(s.WATER)[-1]
    assert water[shelf].sum() <= grid.film_volume[1] * (grid.first_box[2] - grid.first_box[1]) * (1.0 + 1e-6)
    assert temperature[:, shelf].max() < CELSIUS_0 + 50.0
    assert temperature[:, shelf].min() > CELSIUS_0
    # the scheme's effort is that of the pool alone, within a factor
    alone = integrate_pond(replace(pond, zone=pond.zone[:1], connection=()))
    assert marched.season.count[0] < 3 * alone.season.count[0]


def settled(**sections):
    """Model and state of a pond of two zones with layers and solids on the bed."""
    pond = inert_pond(
        basin("a", 100.0, 2.0),
        basin("b", 100.0, 2.0, centre=(30.0, 0.0)),
        layers=4,
        connection=(passage("a", "b", depth=2.0),),
        solids=Solids(share=(1.0,), settling_velocity=(1e-5,), by_temperature=False),
        **sections,
    )
    model, state, _ = rates_of(pond)
    return model.grid, state


def test_a_zone_with_less_than_nothing_gets_it_back_from_its_bed():
    grid, state = settled()
    boxes = slice(grid.first_box[0], grid.first_box[1])
    row, bed = state.rows[s.FIRST_CLASS], state.zones[s.FIRST_BED_CLASS]
    row[:] = 1.0
    row[boxes] = [-3e-6, -2e-6, 1e-6, -1e-6]
    bed[:] = 2.0
    whole = row[boxes].sum() + bed[0]
    lift_to_zero(grid, state)
    assert np.array_equal(row[boxes], np.zeros(4))
    assert row[boxes].sum() + bed[0] == pytest.approx(whole, rel=1e-15)
    assert np.all(row[grid.first_box[1] :] == 1.0) and bed[1] == 2.0


def test_a_bed_that_holds_too_little_gives_nothing():
    grid, state = settled()
    row = state.rows[s.FIRST_CLASS]
    row[:] = -1e-6
    state.zones[:] = 0.0
    lift_to_zero(grid, state)
    assert np.all(row == -1e-6)


def test_what_has_no_class_on_the_bed_takes_nothing_from_the_books():
    """Phosphorus and algae come after the classes: a zone with less than nothing of them is left as it is."""
    _, state = settled(algae=Algae(mode="grown"))
    grid, _ = settled()
    state.vector[:] = 5.0
    state.rows[s.FIRST_CLASS + 1 :] = -1e-6
    before = state.vector.copy()
    lift_to_zero(grid, state)
    assert np.array_equal(state.vector, before)


def test_a_hole_wider_than_its_puddle_is_deep_empties_it_without_a_failure():
    """1.2 m of hole under 0.12 m of water take 0.4 m3/s out of 2 m3; the puddle is gone in seconds, and what
    is left and has left is what was there."""
    pond = inert_pond(
        basin("pool", 40.0, 1.4),
        basin("puddle", 12.0, 0.22, centre=(30.0, 0.0)),
        days=0.1,
        layers=7,
        connection=(passage("pool", "puddle", width=1.2, depth=0.16),),
        outlet=Outlet(zone="puddle", orifice=(Orifice(elevation=LEVEL - 0.12, diameter=1.2),)),
        numerics=Numerics(),
    )
    marched = integrate_pond(pond)
    water = marched.amounts(s.WATER)
    grid = marched.model.grid
    puddle = slice(grid.first_box[1], grid.first_box[2])
    assert water[-1, puddle].sum() < 0.1 * water[0, puddle].sum()
    out = marched.line(s.WATER_OUTLET)[-1]
    assert out > 1.0
    assert water[-1].sum() + out == pytest.approx(water[0].sum(), rel=1e-12)


def test_bubbles_that_give_no_oxygen_still_lift_water():
    """A transfer efficiency of 0 divided nothing by nothing in the first step."""
    unit = Aeration("air", "pool", LEVEL - 2.5, diffusers=2, air_flow=1e-3, transfer_efficiency=0.0)
    pond = inert_pond(basin("pool", 400.0, 3.0), days=0.2, layers=4, aeration=(unit,))
    marched = integrate_pond(pond)
    assert np.isfinite(marched.season.kept).all()
    assert marched.state_part("pathways")[-1][0][s.BUBBLES] == 0.0
    assert marched.model.work.plume_flow[0] > 0.0
