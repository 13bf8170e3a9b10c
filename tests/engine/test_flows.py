"""Flows between boxes: continuity, superposition, a loop against a dense solution; intake, plume, return."""

import math
from dataclasses import replace

import numpy as np
import pytest

from pondsim.engine.initial import start_state
from pondsim.engine.model import build_model, compute_rates
from pondsim.engine.patterns import PUMP
from pondsim.engine.step import update_step
from pondsim.processes import constituents as s
from pondsim.processes.flows import solve_flows
from pondsim.processes.state import new_state
from pondsim.processes.work import INTAKE_DRAW
from pondsim.scenario.settings import (
    Aeration,
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
from pondsim.site.pond import box_volume
from tests.engine.ponds import (
    CELSIUS_0,
    LEVEL,
    MG_PER_L,
    basin,
    bowl,
    clean_flow,
    inert_pond,
    integrate_pond,
    passage,
    rates_of,
)

GRAVITY = 9.80665
WARM_ABOVE = (27.0, 26.0, 22.0, 17.0, 14.0)  # degC, evenly down from the surface


def stratified(zone, depth, temperatures=WARM_ABOVE):
    """A start with a straight-line profile."""
    depths = tuple(np.linspace(0.0, depth, len(temperatures)))
    profile = Profile(
        zone=zone,
        depth=depths,
        temperature=tuple(CELSIUS_0 + t for t in temperatures),
        dissolved_oxygen=(8.0 * MG_PER_L,) * len(depths),
    )
    return Start(profile=(profile,), suspended_solids=0.0, bod5=0.0, ammonium=0.0, chloride=0.0)


def ring(**sections):
    """Three bowls joined in a ring, with an island between them; flow in, out and pumped round."""
    zones = (
        bowl("a", 900.0, 2.4),
        bowl("b", 500.0, 1.5, centre=(40.0, 0.0)),
        bowl("c", 700.0, 2.0, centre=(20.0, 30.0)),
    )
    links = (
        passage("a", "b", width=12.0, depth=1.2, distance=40.0),
        passage("b", "c", width=8.0, depth=0.9, distance=36.0),
        passage("c", "a", width=15.0, depth=1.6, distance=36.0),
    )
    settings = {
        "layers": 6,
        "connection": links,
        "start": stratified("a", 2.4),
        "base_flow": (clean_flow("b", 0.004),),
        "outlet": Outlet(zone="c", weir=(Weir(crest=LEVEL - 0.05, width=1.0),)),
        "intake": Intake(zone="a", elevation=LEVEL - 1.6),
        "pump": Pump(flow=0.03),
        "waterfall": Waterfall(zone="b", drop=1.0, width=2.0),
    }
    return inert_pond(*zones, **(settings | sections))


@pytest.fixture(scope="module")
def ringed():
    return rates_of(ring())


def conductances(model):
    """Area over distance; across an interface also over 1 + N2/1e-8 s-2, from the boxes' own shape."""
    grid, work = model.grid, model.work
    found = np.zeros(grid.face_lower.size)
    for face, (a, b, link) in enumerate(
        zip(grid.face_lower, grid.face_upper, grid.face_connection, strict=True)
    ):
        if a == b:  # the water surface
            continue
        if link < 0:
            distance = 0.5 * (work.top[b] + work.bottom[b] - work.top[a] - work.bottom[a])
            n2 = max(GRAVITY / 998.2 * (work.density[a] - work.density[b]) / distance, 0.0)
            found[face] = work.area_top[a] / distance / (1.0 + n2 / 1e-8)
        else:
            bottom = max(work.bottom[a], work.bottom[b], grid.connection_sill[link])
            height = max(min(work.top[a], work.top[b]) - bottom, 0.0)
            found[face] = grid.connection_width[link] * height / grid.connection_distance[link]
    return found


def test_flows_in_a_ring_are_those_of_a_dense_least_squares_solution(ringed):
    """Least dissipation on the graph: phi = pinv(L) gain, q = G (phi_a - phi_b), by numpy."""
    model, _, _ = ringed
    grid, work = model.grid, model.work
    g = conductances(model)
    incidence = np.zeros((g.size, grid.box_zone.size))
    incidence[np.arange(g.size), grid.face_lower] += 1.0
    incidence[np.arange(g.size), grid.face_upper] -= 1.0
    gain = np.random.default_rng(3).normal(size=grid.box_zone.size)
    gain -= gain.mean()
    scaled = np.sqrt(g)[:, None] * incidence  # of this the dense solution is better conditioned
    wanted = np.sqrt(g) * (np.linalg.pinv(scaled.T, rcond=1e-13) @ gain)
    flow = np.zeros(g.size)
    solve_flows(grid, model.envelope, work, gain.copy(), flow)
    assert incidence.T @ flow == pytest.approx(gain, abs=1e-9)
    assert flow == pytest.approx(wanted, rel=1e-6, abs=1e-7)


def test_flows_superpose(ringed):
    """Exact: the flows of two sources together are the sum of the flows of each."""
    model, _, _ = ringed
    rng = np.random.default_rng(4)
    gains = rng.normal(size=(2, model.grid.box_zone.size))
    gains -= gains.mean(axis=1, keepdims=True)

    def flows_of(gain):
        flow = np.zeros(model.grid.face_lower.size)
        solve_flows(model.grid, model.envelope, model.work, np.ascontiguousarray(gain), flow)
        return flow

    apart = 2.0 * flows_of(gains[0]) - 0.3 * flows_of(gains[1])
    assert flows_of(2.0 * gains[0] - 0.3 * gains[1]) == pytest.approx(apart, abs=1e-9)


def test_every_box_grows_as_its_shape_does(ringed):
    """Exact: the rate of a box's water is the change of its geometric volume as the one level rises."""
    model, _, rates = ringed
    grid = model.grid
    net = rates.amounts[:, s.WATER].sum()
    lines = rates.lines
    assert net == pytest.approx(
        lines[s.WATER_INFLOW] - lines[s.WATER_OUTLET] - lines[s.WATER_SPLASH] - lines[s.WATER_EVAPORATION],
        rel=1e-9,
    )
    level = float(model.work.surface[0])
    step = 1e-4
    higher = [box_volume(grid, box, level + step) for box in range(grid.box_zone.size)]
    lower = [box_volume(grid, box, level) for box in range(grid.box_zone.size)]
    growth = (np.array(higher) - lower) / step
    assert rates.amounts[:, s.WATER] == pytest.approx(net * growth / growth.sum(), abs=1e-9)


def test_a_loop_at_the_surface_leaves_the_stratified_bottom_alone():
    """Less than a hundredth of a flow drawn and returned at the surface crosses the thermocline."""
    pond = ring(
        base_flow=(),
        intake=Intake(zone="c", elevation=LEVEL - 0.1),
        waterfall=Waterfall(zone="b", drop=0.1, width=5.0),
    )
    model, _, _ = rates_of(pond)
    grid = model.grid
    pattern = model.work.pattern[PUMP]
    deep = [
        face
        for face in range(grid.face_lower.size)
        if grid.face_connection[face] < 0 and grid.box_layer[grid.face_lower[face]] == 0
    ]
    assert np.abs(pattern[deep]).max() < 0.01


def test_box_volumes_stay_with_their_shapes(ringed):
    """After a day of flow the water in each box is its geometric volume to a hundredth of a percent."""
    marched = integrate_pond(ring(days=1.0, numerics=Numerics()))
    level = marched.season.surface[-1, 0]
    shape = [box_volume(marched.model.grid, box, level) for box in range(marched.model.layout.boxes)]
    assert marched.amounts(s.WATER)[-1] == pytest.approx(shape, rel=1e-4)


@pytest.mark.parametrize("flow", [0.002, 0.02])
def test_an_intake_draws_from_within_its_withdrawal_depth(flow):
    """Thickness 0.8727 (Q/N)^(1/3) each way, the exact integral of the law; N from 5 K/m at 20 degC."""
    pond = inert_pond(
        basin("pool", 900.0, 4.0),
        layers=40,
        pond=replace(inert_pond(basin("pool", 1.0, 1.0)).pond, layers=40, top_layer=0.1),
        start=stratified("pool", 4.0, (30.0, 10.0)),
        intake=Intake(zone="pool", elevation=LEVEL - 2.0),
        pump=Pump(flow=flow),
        waterfall=Waterfall(zone="pool", drop=1.0, width=2.0),
    )
    model, _, _ = rates_of(pond)
    # 19.5 and 20.5 degC: 998.3079 and 998.1019 kg/m3 (IAPWS), so 0.206 kg/m3 per K
    frequency = math.sqrt(GRAVITY * 0.206 * 5.0 / 998.2)
    drawn, work = model.work.draw[INTAKE_DRAW], model.work
    thickness = 0.1 * drawn.sum() / drawn.max()
    assert thickness == pytest.approx(2.0 * 0.8727 * (flow / frequency) ** (1.0 / 3.0), rel=0.03)
    assert drawn @ (work.bottom + work.top) / 2.0 == pytest.approx(LEVEL - 2.0, abs=0.02)
    assert drawn.sum() == pytest.approx(1.0, rel=1e-12)


def give_of(temperature, layers=8, start=None, flow=0.01, salt=0.0):
    """Where an inflow comes to rest in a pool 2.4 m deep: tops of the layers, and its share below each."""
    pond = inert_pond(
        basin("pool", 900.0, 2.4),
        layers=layers,
        start=start or stratified("pool", 2.4),
        base_flow=(replace(clean_flow("pool", flow), temperature=CELSIUS_0 + temperature, chloride=salt),),
        mixing=Mixing(inflow_entrainment=0.0),
    )
    model, _, _ = rates_of(pond)
    assert model.work.give[0].sum() == pytest.approx(1.0, rel=1e-12)
    return model.work.top, np.cumsum(model.work.give[0])


def test_warm_water_returns_at_the_surface_and_cold_water_at_the_bottom():
    """The nearer half of the pool gets nearly all of it."""
    tops, below = give_of(30.0)
    assert np.interp(LEVEL - 1.2, tops, below) < 0.02
    tops, below = give_of(11.0)
    assert np.interp(LEVEL - 1.2, tops, below) > 0.98


def test_cold_or_salt_water_sinks_also_in_a_mixed_column():
    mixed = stratified("pool", 2.4, (20.0, 20.0))
    for water in ({"temperature": 15.0}, {"temperature": 20.0, "salt": 1.0}):
        tops, below = give_of(**water, start=mixed, flow=0.002)
        assert np.interp(LEVEL - 1.6, tops, below) > 0.95
    tops, below = give_of(24.0, start=mixed, flow=0.002)
    assert np.interp(LEVEL - 0.8, tops, below) < 0.05
    tops, below = give_of(20.0, start=mixed, flow=0.002)
    assert below == pytest.approx((tops - tops[0]) / 2.4 + below[0], abs=0.02)


@pytest.mark.parametrize("temperature", [26.5, 22.0, 15.0])
def test_where_water_comes_to_rest_does_not_depend_on_the_layers(temperature):
    """The share that rests below any elevation, 12 layers against 40."""
    tops, below = give_of(temperature, layers=40)
    coarse_tops, coarse = give_of(temperature, layers=12)
    assert coarse == pytest.approx(np.interp(coarse_tops, tops, below), abs=0.05)


def test_a_diffuser_an_inch_over_a_layer_also_draws_from_it():
    """A plume's water comes from around the diffuser, not from the layers above its edge alone."""
    shares = []
    for lift in (-0.0254, 0.0254):
        pond = inert_pond(
            basin("pool", 900.0, 3.6),
            layers=9,
            start=stratified("pool", 3.6),
            aeration=(replace(air(4e-4), elevation=LEVEL - 3.2 + lift),),
        )
        model, _, _ = rates_of(pond)
        shares.append(model.work.take[model.work.source.size])
    assert shares[1][0] > 0.0
    assert shares[0] == pytest.approx(shares[1], abs=0.1)


def air(flow, diffusers=2):
    return Aeration(name="air", zone="pool", elevation=LEVEL - 3.3, diffusers=diffusers, air_flow=flow)


@pytest.mark.parametrize("flow", [5e-5, 4e-4, 3e-3])
@pytest.mark.parametrize(
    "temperatures", [(28.0, 28.0, 12.0, 12.0), WARM_ABOVE, (20.0, 19.9, 19.8), (25.0, 12.0, 11.0, 10.0)]
)
def test_a_plume_never_lifts_more_than_its_gas_can(flow, temperatures):
    """The column gains potential energy at most 0.15 of the isothermal gas power p Q ln(1 + rho g d/p)."""
    pond = inert_pond(
        basin("pool", 900.0, 3.6),
        layers=9,
        start=stratified("pool", 3.6, temperatures),
        aeration=(air(flow),),
    )
    model = build_model(pond)
    state = start_state(pond, model)
    update_step(model, 0, state)
    work, row = model.work, model.work.source.size
    density, middle = work.density, 0.5 * (work.top + work.bottom)
    moved = work.plume_flow[0]
    mass = moved * (work.give[row] * np.dot(work.take[row], density) - work.take[row] * density)
    for face, (a, b) in enumerate(zip(model.grid.face_lower, model.grid.face_upper, strict=True)):
        flux = work.steady[face] * (density[a] if work.steady[face] > 0.0 else density[b])
        mass[a] -= flux
        mass[b] += flux
    gain = GRAVITY * np.dot(mass, middle)
    pressure = 101325.0 * flow * 2
    power = pressure * math.log(1.0 + 998.2 * GRAVITY * 3.3 / 101325.0)
    assert 0.0 <= gain <= 0.15 * power * 1.02  # standard air is that of 20 degC and 1 atm to 1 %
    assert moved > 0.0
    assert work.take[row].sum() == pytest.approx(1.0) and work.give[row].sum() == pytest.approx(1.0)


def test_a_plume_keeps_every_box_full():
    """Exact: what it lifts flows back down in its own column; volumes stand still and heat is only moved."""
    pond = inert_pond(
        basin("pool", 900.0, 3.6),
        basin("arm", 400.0, 2.0, centre=(30.0, 0.0)),
        layers=9,
        connection=(passage("pool", "arm", depth=1.5),),
        start=stratified("pool", 3.6),
        aeration=(air(7e-4),),
    )
    model = build_model(pond)
    state = start_state(pond, model)
    update_step(model, 0, state)
    with_air, without = new_state(model.layout), new_state(model.layout)
    compute_rates(model, 0, 0.0, state, with_air)
    still = build_model(replace(pond, aeration=()))
    update_step(still, 0, state)
    compute_rates(still, 0, 0.0, state, without)
    change = with_air.amounts - without.amounts
    assert change[:, s.WATER] == pytest.approx(0.0, abs=1e-12)
    assert np.abs(change[:, s.HEAT]).max() > 0.01
    assert change[:, s.HEAT].sum() == pytest.approx(0.0, abs=1e-9)


def test_a_plume_destratifies():
    """Two days of air bring top and bottom of a pond stratified by 13 K to within 2 K."""
    pond = inert_pond(
        basin("pool", 900.0, 3.6),
        layers=9,
        days=2.0,
        start=stratified("pool", 3.6),
        aeration=(air(2e-3, 4),),
        numerics=Numerics(),
    )
    temperature = integrate_pond(pond).concentration(s.HEAT)
    assert np.ptp(temperature[0]) > 10.0
    assert np.ptp(temperature[-1]) < 2.0
