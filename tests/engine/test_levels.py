"""Water levels: stage and volume, storms against an ODE solver, sills, drying and draining."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from pondsim.cli._tables import comparison_text
from pondsim.comparison import compare
from pondsim.engine.initial import start_state
from pondsim.engine.model import build_model
from pondsim.output.mass_balance import closures
from pondsim.processes import constituents as s
from pondsim.processes.geometry import update_levels
from pondsim.processes.work import PUMP_SYSTEM
from pondsim.scenario.settings import (
    Ground,
    Inflow,
    Intake,
    Numerics,
    Orifice,
    Outlet,
    Pump,
    Waterfall,
    Weir,
    Zone,
)
from pondsim.site.pond import surface_of_volume
from tests.engine.ponds import BEGIN, DAY, LEVEL, WARM, basin, bowl, inert_pond, integrate_pond, passage
from tests.runs import run

HOUR = 3600.0
TWO_MM = 2e-3  # m


def storm(zone, volume, hours, day=0.5):
    return Inflow(
        zone=zone, start=BEGIN + timedelta(days=day), duration=hours * HOUR, volume=volume, temperature=WARM
    )


def volume_below(zone, elevation):
    """By the trapezoidal rule on a fine table of straight-line areas [m3]."""
    z = np.linspace(zone.stage[0], max(elevation, zone.stage[0]), 20001)
    return np.trapezoid(np.interp(z, zone.stage, zone.area), z)


@pytest.mark.parametrize("level", [7.75, 8.3, 9.2, 9.999, 10.0, 11.4, 12.0])
def test_level_is_the_inverse_of_volume(level):
    """Exact for two zones that share one water surface; nearly dry, to the film of 1 cm that boxes keep."""
    zones = bowl("pool", 900.0, 2.5), bowl("arm", 400.0, 0.7, centre=(20.0, 0.0))
    model = build_model(inert_pond(*zones, layers=6, connection=(passage("pool", "arm", depth=0.5),)))
    volume = sum(volume_below(zone, level) for zone in zones)
    if level < LEVEL - 0.7:
        volume += model.grid.film_volume[1] * (model.grid.first_box[2] - model.grid.first_box[1])
    together = np.zeros(2, dtype=np.int64)
    for guess in (7.6, level + 0.3, 14.0):
        found = surface_of_volume(model.grid, together, 0, volume, guess)
        assert found == pytest.approx(level, abs=1e-6 if level > 8.2 else 0.01)


def test_storm_routed_through_an_orifice_peaks_as_published():
    """Upright walls, 2000 m2, orifice 0.3 m, Cd 0.6, triangle of 0.3 m3/s at 30 of 90 min: 0.09338 m3/s."""
    event = Inflow(
        zone="pool",
        start=BEGIN,
        hydrograph_time=(0.0, 1800.0, 5400.0),
        hydrograph_flow=(0.0, 0.3, 0.0),
        temperature=WARM,
    )
    pond = inert_pond(
        basin("pool", 2000.0, 2.0),
        days=0.25,
        layers=4,
        inflow=(event,),
        outlet=Outlet(zone="pool", orifice=(Orifice(elevation=LEVEL, diameter=0.3, coefficient=0.6),)),
    )
    pond = replace(pond, period=replace(pond.period, output_step=300.0))
    marched = integrate_pond(pond)
    outflow = np.diff(marched.line(s.WATER_OUTLET)) / 300.0
    assert outflow.max() == pytest.approx(0.09338, rel=0.01)


@pytest.mark.parametrize(("volume", "width"), [(300.0, 1.0), (1500.0, 3.0)])
def test_storm_level_follows_the_ode(volume, width):
    """dV/dt = I - C b H^1.5, C 1.705 m^0.5/s, by scipy on the same table: within 2 mm at every output."""
    zone = bowl("pool", 1500.0, 2.5)
    pond = inert_pond(
        zone,
        days=2.0,
        layers=6,
        inflow=(storm("pool", volume, 5.0),),
        outlet=Outlet(zone="pool", weir=(Weir(crest=LEVEL, width=width, coefficient=1.705),)),
        numerics=Numerics(),
    )
    marched = integrate_pond(pond)
    table_z = np.linspace(zone.stage[0], zone.stage[-1], 2001)
    table_v = np.concatenate(
        [
            [0.0],
            np.cumsum(
                np.diff(table_z)
                * 0.5
                * sum(np.interp(z, zone.stage, zone.area) for z in (table_z[1:], table_z[:-1]))
            ),
        ]
    )

    def slope(t, y):
        peak = 2.0 * volume / (5.0 * HOUR)
        inflow = np.interp(t - 0.5 * DAY, [0.0, 5.0 * HOUR / 3.0, 5.0 * HOUR], [0.0, peak, 0.0])
        head = max(float(np.interp(y[0], table_v, table_z)) - LEVEL, 0.0)
        return [inflow - 1.705 * width * head**1.5]

    start = float(np.interp(LEVEL, table_z, table_v))
    apart = solve_ivp(slope, (0.0, 2.0 * DAY), [start], t_eval=marched.time, max_step=120.0, rtol=1e-8)
    level = np.interp(apart.y[0], table_v, table_z)
    assert marched.season.surface[:, 0] == pytest.approx(level, abs=TWO_MM)
    assert level.max() > LEVEL + 0.05


def test_a_zone_behind_its_sill_keeps_its_water_and_joins_again():
    """The cove is cut off at its sill; the pool falls on, a storm brings both to one level again."""
    pond = inert_pond(
        bowl("pool", 1000.0, 2.5),
        bowl("cove", 400.0, 1.5, centre=(25.0, 0.0)),
        layers=6,
        days=8.0,
        connection=(passage("pool", "cove", depth=0.4),),
        outlet=Outlet(zone="pool", orifice=(Orifice(elevation=LEVEL - 1.5, diameter=0.05),)),
        inflow=(storm("pool", 1200.0, 8.0, day=5.0),),
        numerics=Numerics(),
    )
    marched = integrate_pond(pond)
    pool, cove = marched.season.surface.T
    day = marched.time / DAY
    apart = (day > 4.0) & (day < 5.0)
    sill = LEVEL - 0.4
    assert pool[apart].max() < sill - 0.3
    assert cove[apart] == pytest.approx(cove[apart][0], abs=1e-7)  # the last of the spill fades as h^1.5
    assert (
        sill - 0.005 < cove[apart][0] < sill + 0.011
    )  # it closes 1 cm over the sill, at the next whole hour
    joined = (day > 5.5) & (pool > sill + 0.05)
    assert joined.sum() > 5
    assert cove[joined] == pytest.approx(pool[joined], abs=1e-9)
    assert pool[joined].max() > LEVEL - 0.25


def test_water_spills_over_a_dry_sill():
    """A storm behind the sill flows over it into the pool below: volume moves, none is lost."""
    pond = inert_pond(
        basin("pool", 1000.0, 2.5),
        basin("cove", 200.0, 1.5, centre=(25.0, 0.0)),
        layers=6,
        days=3.0,
        connection=(passage("pool", "cove", depth=0.8),),
        inflow=(storm("cove", 300.0, 6.0),),
        numerics=Numerics(),
    )
    pond = replace(pond, start=replace(pond.start, water_surface=LEVEL - 1.4))
    marched = integrate_pond(pond)
    pool, cove = marched.season.surface[-1]
    # the cove fills by 0.6 x 200 m3 and keeps the water over its sill that has not run off yet
    assert cove == pytest.approx(LEVEL - 0.8, abs=0.02)
    water = marched.amounts(s.WATER)
    in_cove = water[-1, marched.model.grid.box_zone == 1].sum()
    before = water[0, marched.model.grid.box_zone == 1].sum()
    assert pool == pytest.approx(LEVEL - 1.4 + (300.0 - in_cove + before) / 1000.0, abs=1e-6)


@pytest.mark.parametrize("hole", [0.05, 0.1, 0.3])
def test_a_pond_may_be_drained_to_its_outlet_within_hours(hole):
    """Eight layers are squeezed into what is left; the balances close and the level ends at the invert."""
    pond = inert_pond(
        bowl("pool", 400.0, 2.4),
        layers=8,
        days=10.0,
        outlet=Outlet(zone="pool", orifice=(Orifice(elevation=LEVEL - 2.0, diameter=hole),)),
        numerics=Numerics(),
    )
    marched = integrate_pond(pond)
    assert marched.season.surface[-1, 0] == pytest.approx(LEVEL - 2.0 - hole / 2.0, abs=0.005)
    assert max(float(np.max(gap)) for gap in closures(marched.states[0], marched.states[-1]).values()) < 1e-9


def test_a_drained_pond_can_be_reported():
    """Layers squeezed to their films share one elevation; the measures read them all the same."""
    pond = inert_pond(
        bowl("pool", 400.0, 2.4),
        layers=8,
        days=9.0,
        outlet=Outlet(zone="pool", orifice=(Orifice(elevation=LEVEL - 2.0, diameter=0.3),)),
        numerics=Numerics(),
    )
    results = run(pond)
    text = comparison_text(compare([results, results]), "si", full=True)
    assert "nan" not in text


@pytest.mark.parametrize("above", [0.05, 0.3])
@pytest.mark.parametrize("hole", [0.1, 0.3])
def test_a_bench_above_normal_pool_is_wetted_and_dries_within_a_storm(above, hole):
    """It is joined while the storm stands over it and is left dry, with its film, when it falls."""
    bench = Zone(
        name="bench",
        centre=(20.0, 0.0),
        stage=(LEVEL + above, LEVEL + above + 0.1, LEVEL + 2.0),
        area=(200.0, 400.0, 600.0),
    )
    pond = inert_pond(
        bowl("pool", 1000.0, 2.4),
        bench,
        layers=8,
        days=5.0,
        connection=(passage("pool", "bench", depth=-above, width=20.0, distance=20.0),),
        inflow=(storm("pool", 1500.0, 4.0, day=1.0),),
        outlet=Outlet(zone="pool", orifice=(Orifice(elevation=LEVEL, diameter=hole),)),
        numerics=Numerics(),
    )
    marched = integrate_pond(pond)
    pool, shelf = marched.season.surface.T
    assert shelf.max() > LEVEL + above + 0.05
    assert shelf.max() == pytest.approx(pool.max(), abs=0.005)
    assert shelf[-1] < LEVEL + above + 0.025
    assert marched.states[-1].amounts[:, s.WATER].min() > 0.0
    assert max(float(np.max(gap)) for gap in closures(marched.states[0], marched.states[-1]).values()) < 1e-9


def test_seepage_stops_at_the_film():
    """A pond that seeps away ends dry with its film, not below."""
    pond = inert_pond(
        bowl("pool", 400.0, 1.0), layers=6, days=30.0, ground=Ground(seepage=0.12 / DAY), numerics=Numerics()
    )
    marched = integrate_pond(pond)
    left = marched.amounts(s.WATER).sum(axis=1)
    assert marched.season.surface[-1, 0] == pytest.approx(LEVEL - 1.0, abs=0.02)
    assert 0.0 < left[-1] < 0.02 * 100.0
    assert left[-1] == pytest.approx(left[-100], rel=0.05)


def test_pump_stops_as_the_water_falls_to_the_intake():
    """Full flow with 0.1 m over the intake, none at it: the level stays there; drawing air it uses power."""
    pond = inert_pond(
        basin("pool", 400.0, 2.0),
        basin("high", 200.0, 2.0, centre=(20.0, 0.0)),
        layers=4,
        days=6.0,
        intake=Intake(zone="pool", elevation=LEVEL - 0.8),
        pump=Pump(flow=0.01, power=900.0),
        waterfall=Waterfall(zone="high", drop=1.0, width=1.0, splash_loss=0.0),
        numerics=Numerics(),
    )
    marched = integrate_pond(pond)
    pumped = marched.line(s.WATER_PUMPED)
    level = marched.season.surface[:, 0]
    full = level[1:] > LEVEL - 0.7
    assert np.diff(pumped)[full] == pytest.approx(0.01 * HOUR, rel=1e-9)
    assert level[-1] == pytest.approx(LEVEL - 0.8, abs=0.001)
    assert pumped[-1] == pytest.approx(0.8 * 400.0, rel=0.002)
    assert marched.energy(PUMP_SYSTEM)[-1] == pytest.approx(900.0 * 6.0 * DAY, rel=1e-9)


@pytest.mark.parametrize(("layers", "hole", "diameter"), [(1, -0.2, 0.3), (6, -0.05, 0.3), (12, 0.3, 1.2)])
def test_a_pond_that_drains_through_its_outlet_runs_on(layers, hole, diameter):
    """Emptied within hours through a hole at or under its bed; what left is what was there."""
    pond = inert_pond(
        bowl("pool", 1500.0, 2.5),
        bowl("shelf", 500.0, 0.6, centre=(30.0, 0.0)),
        layers=layers,
        days=3.0,
        connection=(passage("pool", "shelf", depth=0.5),),
        outlet=Outlet(zone="pool", orifice=(Orifice(elevation=LEVEL - 2.5 + hole, diameter=diameter),)),
        numerics=Numerics(),
    )
    marched = integrate_pond(pond)
    water = marched.amounts(s.WATER)
    assert water.min() > 0.0
    assert water[-1].sum() < 0.1 * water[0].sum()
    gone = marched.line(s.WATER_OUTLET)
    assert water[-1].sum() == pytest.approx(water[0].sum() - (gone[-1] - gone[0]), rel=1e-6)
    assert marched.concentration(s.HEAT)[-1] == pytest.approx(WARM, abs=0.01)


def test_a_passage_left_over_the_common_level_closes_again():
    """A storm stands in the cove, the pool is full, the arm 20 cm lower: both passages open at once.

    Joined, the three stand at 9.89 m, under the cove's sill of 9.94 m: the cove keeps its storm and spills.
    Left open with no water in it, that passage made the flow pattern not a number. Volumes are what levels
    of 10.10, 9.97 and 9.82 m hold over upright walls; pool and arm then share 200 x 9.97 + 300 x 9.82 m3.
    """
    zones = (
        basin("cove", 20.0, 0.8),
        basin("pool", 200.0, 1.0, centre=(30.0, 0.0)),
        basin("arm", 300.0, 0.6, centre=(60.0, 0.0)),
    )
    links = (passage("cove", "pool", depth=0.06), passage("pool", "arm", depth=0.3))
    stood = {"cove": LEVEL + 0.10, "pool": LEVEL - 0.03, "arm": LEVEL - 0.18}
    for layers in (1, 3):
        pond = inert_pond(*zones, layers=layers, connection=links)
        model = build_model(pond)
        state = start_state(pond, model)
        for k, zone in enumerate(zones):
            boxes = slice(model.grid.first_box[k], model.grid.first_box[k + 1])
            held = zone.area[0] * (stood[zone.name] - zone.stage[0])
            state.rows[s.WATER, boxes] *= held / state.rows[s.WATER, boxes].sum()
        model.work.passage_open[:] = 0
        update_levels(model.grid, model.work, state)
        assert list(model.work.passage_open) == [0, 1]
        common = (200.0 * stood["pool"] + 300.0 * stood["arm"]) / 500.0
        assert model.work.surface == pytest.approx([stood["cove"], common, common], abs=1e-9)
