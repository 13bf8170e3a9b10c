"""Grown algae, phosphorus, the ageing bed and what people do to them, against exact solutions."""

import math
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from pondsim.errors import RunError
from pondsim.output.mass_balance import closures
from pondsim.processes import constituents as s
from pondsim.processes.state import new_state
from pondsim.scenario.settings import (
    Algae,
    AlgaeKind,
    Bed,
    BloomCrash,
    Cover,
    Dredging,
    Dye,
    GasTransfer,
    Ground,
    Ice,
    Light,
    Load,
    Nitrogen,
    OrganicMatter,
    Phosphorus,
    Profile,
    Solids,
    Start,
    Treatment,
)
from pondsim.simulate import run
from tests.engine.ponds import (
    BEGIN,
    DAY,
    MG_PER_L,
    basin,
    bowl,
    clean_flow,
    filled_with,
    inert_pond,
    integrate_pond,
    set_concentration,
    shortened,
    steady_weather,
    weir_at_normal_pool,
)
from tests.engine.test_uniform_tracers import PROFILE, busy_pond
from tests.physics.tolerance import close_to

AREA, DEPTH = 1000.0, 2.0
UG_PER_L = 1e-6
ONE_CLASS = Solids(settling_velocity=(1e-5,), share=(1.0,), by_temperature=False)
STILL = {"growth_theta": 1.0, "loss_theta": 1.0, "maintenance": 0.0, "mortality": 0.0}
STILL |= {"anoxic_mortality": 0.0, "growth_respiration": 0.0, "excretion": 0.0, "sinking": 0.0, "seed": 0.0}
NO_DECAY = OrganicMatter(bod_decay=0.0, detritus_settling=0.0, grown_decay=0.0, grown_settling=0.0)
NO_LOSS = {"fast_decay": 0.0, "slow_decay": 0.0, "old_decay": 0.0}
QUIET = Phosphorus(bound_start=0.0, bound_release=0.0, burial=0.0, solids_settling=0.0, detritus_speed=0.0)


def grown(zone=None, *, algae=None, bed=None, **sections):
    """A pond of one basin with grown algae of which every rate is off but those given."""
    rates = {"mode": "grown", "growth": 0.0, **STILL, **(algae or {})}
    still = {"oxygen_demand": 0.0, "heat_conductivity": 0.0, "ammonium_release": 0.0, "passes": 0}
    settings = {
        "algae": Algae(**rates),
        "bed": Bed(**(still | (bed or {}))),
        "organic_matter": NO_DECAY,
        "phosphorus": QUIET,
        "solids": ONE_CLASS,
        "start": replace(filled_with("z"), chlorophyll=0.0, dissolved_phosphorus=0.0),
    }
    return inert_pond(zone or basin("z", AREA, DEPTH), **(settings | sections))


def rows(marched):
    return marched.model.layout.living


def carbon(marched, kind=0):
    """(times,) algal carbon of all boxes. [kg]"""
    return marched.amounts(rows(marched).algae + kind).sum(axis=1)


SUN = 100.0  # W/m2
LIGHT = SUN * 0.45 * 4.57e-6 * 0.93  # mol/m2/s under the surface: albedo 7 %


def test_growth_without_any_limit_is_exponential():
    """Light 38 times Ik, phosphorus 1e5 half-saturations: C = C0 exp((1 - 0.2 - 0.05) 1.8/d t - losses)."""
    algae = {"growth": 1.8 / DAY, "growth_light": 5e-6, "half_saturation": 0.1 * UG_PER_L}
    algae |= {"growth_respiration": 0.2, "excretion": 0.05, "mortality": 0.2 / DAY}
    pond = grown(
        algae=algae,
        days=3.0,
        light=Light(background_extinction=0.02, algae_extinction=0.0, detritus_extinction=0.0),
        weather=steady_weather(sun=SUN),
    )
    marched = integrate_pond(pond, lambda m, state: _fill(m, state, carbon=0.01, phosphorus=10.0))
    exact = 0.01 * MG_PER_L * AREA * DEPTH * np.exp((0.75 * 1.8 - 0.2) * marched.time / DAY)
    assert carbon(marched) == pytest.approx(exact, rel=3e-3)


def test_growth_in_fading_light_is_that_of_the_integral_over_the_layer():
    """Constant sun, extinction 1.3 per metre: the rate is 1.8/d (asinh x0 - asinh x1)/(k H), Smith 1936."""
    ik, k = 180e-6, 1.3
    pond = grown(
        algae={"growth": 1.8 / DAY, "growth_light": ik, "half_saturation": 0.1 * UG_PER_L},
        days=2.0,
        light=Light(background_extinction=k, algae_extinction=0.0, detritus_extinction=0.0),
        weather=steady_weather(sun=SUN),
    )
    marched = integrate_pond(pond, lambda m, state: _fill(m, state, carbon=0.01, phosphorus=10.0))
    x0 = LIGHT / ik
    mean = (math.asinh(x0) - math.asinh(x0 * math.exp(-k * DEPTH))) / (k * DEPTH)
    exact = 0.01 * MG_PER_L * AREA * DEPTH * np.exp(1.8 * mean * marched.time / DAY)
    assert carbon(marched) == pytest.approx(exact, rel=1e-4)


def test_growth_stops_when_the_phosphorus_is_used_up():
    """Redfield: 41 g of carbon per g of phosphorus, no more can grow, whatever the light."""
    algae = {"growth": 1.8 / DAY, "growth_light": 5e-6, "carbon_to_phosphorus": 41.0}
    pond = grown(algae=algae, days=10.0, weather=steady_weather(sun=SUN))
    marched = integrate_pond(pond, lambda m, state: _fill(m, state, carbon=0.1, phosphorus=0.05))
    most = (0.1 + 41.0 * 0.05) * MG_PER_L * AREA * DEPTH
    assert carbon(marched)[-1] == pytest.approx(most, rel=0.005)
    assert carbon(marched).max() <= most * (1.0 + 1e-9)
    assert marched.concentration(rows(marched).dissolved).min() > -0.1 * UG_PER_L


def _fill(model, state, *, carbon=0.0, phosphorus=0.0):
    set_concentration(state, model.layout.living.algae, carbon * MG_PER_L)
    set_concentration(state, model.layout.living.dissolved, phosphorus * MG_PER_L)


def test_two_stores_burn_off():
    """17.5: Westrich and Berner 1984; 30 d after the supply ends 0.32145 of the steady demand is left."""
    pond = grown(days=30.0, bed={"half_saturation": 0.01 * MG_PER_L}, weather=steady_weather(wind=4.0))

    def load(model, state):
        for store, share in ((s.FAST, 0.50), (s.SLOW, 0.16)):
            state.bed[store] = 0.2e-3 / DAY * AREA * share / model.living.stores.decay[store - s.FAST]

    marched = integrate_pond(pond, load)
    decay = marched.model.living.stores.decay
    demand = [decay[0] * x.bed[s.FAST].sum() + decay[1] * x.bed[s.SLOW].sum() for x in marched.states]
    assert demand[-1] / demand[0] == close_to(0.32145, "0.2 %", "1")
    for store, rate in ((s.FAST, decay[0]), (s.SLOW, decay[1])):
        held = np.array([x.bed[store].sum() for x in marched.states])
        assert held == pytest.approx(held[0] * np.exp(-rate * marched.time), rel=2e-3)


def _demand_of_a_steady_rain(days, daily, **decay):
    """Demand of a clean bed on which algae rain `daily` [gC/m2/d] out of plenty in the water. [g/m2/d]"""
    held = 6e4  # g/m3: 90 days take less than a thousandth of it
    pond = grown(
        days=days,
        algae={"sinking": daily / held / DAY},
        bed={"half_saturation": 0.01 * MG_PER_L, **decay},
        solids=replace(ONE_CLASS, by_temperature=False),
        weather=steady_weather(wind=4.0, days=91),
    )
    marched = integrate_pond(pond, lambda m, state: _fill(m, state, carbon=held))
    rates, bed = marched.model.living.stores.decay, marched.states[-1].bed
    return sum(rates[k] * bed[s.FAST + k].sum() for k in range(3)) / AREA * 1e3 * DAY


@pytest.mark.parametrize(("check", "days", "value"), [("17.3", 15.0, 0.51595), ("17.4", 90.0, 0.87258)])
def test_a_clean_bed_under_a_steady_rain_of_algae(check, days, value):
    """Westrich and Berner 1984 (rates from memory): 2.667 J sum of f (1 - exp(-k t)), J 0.6 gC/m2/d."""
    assert _demand_of_a_steady_rain(days, 0.6) == close_to(value, "0.2 %", "g/m2/d", check)


def test_the_demand_of_a_steady_rain_is_that_of_all_but_its_inert_part():
    """17.9: 2.667 J (1 - 0.34) of 0.5 gC/m2/d, whatever the rates, here so fast that 40 days settle it."""
    found = _demand_of_a_steady_rain(40.0, 0.5, fast_decay=2.0 / DAY, slow_decay=0.5 / DAY)
    assert found == close_to(0.88, "0.1 %", "g/m2/d")


def test_bound_phosphorus_leaves_a_bed_without_oxygen_until_it_is_gone():
    """First order: B0 exp(-(release + burial) t), and what is released is in the water."""
    release, burial = 0.05 / DAY, 0.01 / DAY
    pond = grown(
        days=40.0,
        phosphorus=replace(QUIET, bound_start=1e-3, bound_release=release, burial=burial),
        start=replace(filled_with("z", oxygen=0.0), chlorophyll=0.0, dissolved_phosphorus=0.0),
        gas_transfer=GasTransfer(k600_at_no_wind=0.0, law="wind"),
    )
    marched = integrate_pond(pond)
    both = release + burial
    bound = np.array([x.bed[s.BOUND_P].sum() for x in marched.states])
    assert bound == pytest.approx(AREA * 1e-3 * np.exp(-both * marched.time), rel=1e-4)
    freed = AREA * 1e-3 * release / both * (1.0 - np.exp(-both * marched.time))
    assert marched.amounts(rows(marched).dissolved).sum(axis=1) == pytest.approx(freed, rel=1e-4, abs=1e-6)


def test_what_a_bed_releases_raises_the_water_over_it():
    """16.3: 10 mg/m2/d for 20 d into 1.5 m of water without oxygen are 133.33 ug/L, by hand."""
    pond = grown(
        basin("z", AREA, 1.5),
        days=20.0,
        phosphorus=replace(QUIET, bound_start=10.0, bound_release=1e-6 / DAY),
        start=replace(filled_with("z", oxygen=0.0), chlorophyll=0.0, dissolved_phosphorus=0.0),
        gas_transfer=GasTransfer(k600_at_no_wind=0.0, law="wind"),
    )
    marched = integrate_pond(pond)
    found = marched.concentration(rows(marched).dissolved)[-1, 0] / UG_PER_L
    assert found == close_to(133.33, "0.1 %", "ug/L")


def test_the_bed_grows_by_mass_over_dry_density():
    """17.12: 2 kg/m2 of 500 kg/m3 are 0.15748 in, by hand: all of 1 g/L in 2 m of water, within a day."""
    pond = grown(
        algae={"mode": "given", "chlorophyll": (0.0,) * 12},
        bed={"dry_density": 500.0},
        days=1.0,
        solids=replace(ONE_CLASS, settling_velocity=(1e-3,), organic_share=0.0),
        start=replace(filled_with("z"), suspended_solids=1.0),
    )
    grown_by = np.diff(run(pond, how_long_start_matters=False)["bed_thickness"].values[[0, -1], 0])[0]
    assert grown_by / 0.0254 == close_to(0.15748, "0.1 %", "in")


def test_phosphorus_of_a_mixed_lake_is_that_of_the_loading_formula():
    """P = L (1 - R)/(z rho), R = v/(v + qs): Vollenweider's model with the settling velocity of the model."""
    flow, inflow, settling = 2e-3, 300.0 * UG_PER_L, 0.1 / DAY
    pond = grown(
        days=69.0,
        base_flow=(clean_flow("z", flow, phosphorus=inflow, phosphorus_dissolved=0.0),),
        outlet=weir_at_normal_pool("z", flow),
        phosphorus=replace(QUIET, solids_settling=settling),
    )
    marched = integrate_pond(pond)
    load, qs = flow * inflow / AREA, flow / AREA
    flushing, retained = flow / (AREA * DEPTH), settling / (settling + flow / AREA)
    steady = load * (1.0 - retained) / (DEPTH * flushing)
    assert steady == pytest.approx(inflow * qs / (qs + settling))
    assert marched.concentration(rows(marched).on_solids)[-1, 0] == pytest.approx(steady, rel=1e-3)


@pytest.mark.slow  # rows of the binder take a second compiling of the loop
def test_a_dose_binds_what_its_maker_states():
    """100 kg that bind 0.2 g/kg take 20 g of phosphorus out of water that holds more; none comes back."""
    dose = Treatment(start=BEGIN + timedelta(days=1), dose=100.0, binds=0.2e-3, settling=0.0)
    marched = integrate_pond(
        grown(days=14.0, treatment=(dose,)), lambda m, state: _fill(m, state, phosphorus=0.1)
    )
    dissolved = marched.amounts(rows(marched).dissolved).sum(axis=1)
    assert dissolved[0] - dissolved[-1] == pytest.approx(0.02, rel=1e-6)
    assert marched.amounts(rows(marched).binder + 1).sum(axis=1)[-1] == pytest.approx(0.02, rel=1e-6)


def test_dye_is_mixed_in_and_fades():
    """dE/dt = E0/6 h - k E while it is poured, then exp(-k t)."""
    fading, poured = 0.05 / DAY, 6 * 3600.0
    marched = integrate_pond(grown(days=10.0, dye=(Dye(start=BEGIN, extinction=1.5, fading=fading),)))
    full = 1.5 / poured * (1.0 - math.exp(-fading * poured)) / fading
    exact = full * math.exp(-fading * (10.0 * DAY - poured))
    assert marched.concentration(rows(marched).dye)[-1, 0] == pytest.approx(exact, rel=1e-5)


def test_a_whole_cover_leaves_no_light_and_half_a_cover_half():
    """Over the days it stands, and not before."""
    pond = grown(days=4.0, weather=steady_weather(sun=SUN))
    half = Cover(share=0.5, start=BEGIN + timedelta(days=2), end=BEGIN + timedelta(days=3))
    full = replace(half, share=1.0, start=half.end, end=BEGIN + timedelta(days=4))
    marched = integrate_pond(replace(pond, cover=(half, full)))
    sun = np.diff(marched.line(s.HEAT_SURFACE))
    open_water = integrate_pond(pond)
    lost = np.diff(open_water.line(s.HEAT_SURFACE))
    assert sun[:47] == pytest.approx(lost[:47], rel=1e-6)
    assert marched.model.work.light_top.max() == 0.0
    assert marched.model.work.open_share[0] == pytest.approx(0.0)


def test_dredging_leaves_the_stated_share():
    """10 % of every store and of its phosphorus, exactly, over the days of the work."""
    work = Dredging(date=BEGIN + timedelta(days=1), zone="z", depth=0.5, left=0.1, duration=3.0 * DAY)
    pond = grown(days=6.0, bed=NO_LOSS, dredging=(work,))

    def load(_, state):
        state.bed[s.FAST :] = 1.0

    marched = integrate_pond(pond, load)
    assert marched.states[-1].bed[s.FAST :].sum(axis=1) == pytest.approx(np.full(9, 0.1), rel=1e-4)
    assert marched.line(s.ORGANIC_DREDGED)[-1] == pytest.approx(4 * 0.9, rel=1e-4)


def test_a_crash_kills_the_stated_share_and_leaves_its_demand():
    """80 % of half the pond: 60 % is left alive, and what died takes 32/12 of oxygen per carbon."""
    crash = BloomCrash(start=BEGIN + timedelta(days=1), killed_share=0.8, pond_share=0.5, duration=2.0 * DAY)
    marched = integrate_pond(
        grown(days=5.0, bloom_crash=(crash,)), lambda m, state: _fill(m, state, carbon=2.0)
    )
    held = carbon(marched)
    assert held[-1] == pytest.approx(0.6 * held[0], rel=1e-6)
    dead = marched.amounts(s.DETRITUS).sum(axis=1)[-1]
    assert dead == pytest.approx(0.4 * held[0] * 32.0 / 12.0, rel=1e-6)


@pytest.mark.parametrize(("velocity", "ends"), [(0.3 / DAY, "bed"), (-2.0 / DAY, "top")])
def test_a_kind_sinks_to_the_bed_or_rises_to_the_top(velocity, ends):
    """Nothing is lost on the way: what is not in the water is in the stores, as oxygen."""
    pond = grown(bowl("z", AREA, DEPTH), algae={"sinking": velocity}, bed=NO_LOSS, days=5.0, layers=6)
    marched = integrate_pond(pond, lambda m, state: _fill(m, state, carbon=1.0))
    held = marched.amounts(rows(marched).algae)
    settled = sum(marched.states[-1].bed[row].sum() for row in range(s.FAST, s.INERT + 1)) * 12.0 / 32.0
    assert held[-1].sum() + settled == pytest.approx(held[0].sum(), rel=1e-9)
    assert (settled > 0.3 * held[0].sum()) if ends == "bed" else (held[-1, -1] > 2.0 * held[0, -1])


def live_pond(**sections):
    """The busy pond with all of the living pond on, and every event."""
    day = timedelta(days=1)
    pond = busy_pond(
        weather=steady_weather(air=26.0, dew=14.0, wind=6.0, sun=230.0, cloud=40.0, rain=0.1),
        ground=Ground(seepage=0.06 / DAY),
        bed=Bed(passes=0),
        algae=Algae(mode="grown", kind=(AlgaeKind(name="blue-green"),)),
        organic_matter=OrganicMatter(),
        nitrogen=Nitrogen(),
        start=Start(profile=(PROFILE,)),
        bloom_crash=(BloomCrash(start=BEGIN + 2 * day, zones=("pool",)),),
        treatment=(Treatment(start=BEGIN + 3 * day, dose=20.0, binds=0.01),),
        dye=(Dye(start=BEGIN + 4 * day, extinction=1.0),),
        cover=(Cover(share=0.3, start=BEGIN + day, end=BEGIN + 6 * day, zones=("pool",)),),
        dredging=(Dredging(date=BEGIN + 8 * day, zone="pool", depth=0.3),),
        load=(
            Load(
                name="geese",
                zone="pool",
                start=BEGIN,
                end=BEGIN + 9 * day,
                phosphorus=1e-7,
                oxygen_demand=1e-5,
                ammonium=1e-6,
            ),
        ),
    )
    return replace(pond, **sections)


@pytest.fixture(scope="module")
def lived():
    return integrate_pond(live_pond())


def test_phosphorus_organic_matter_and_oxygen_close(lived):
    """Storm, pump, air, seepage, treatment, dredging, loads, two kinds of algae: 1e-12 of all there was."""
    worth = lived.model.work.worth[:, : lived.model.layout.constituents]
    gaps = closures(lived.states[0], lived.states[-1], worth)
    for name in ("phosphorus", "organic_matter", "redox", "oxygen"):
        assert gaps[f"balance_{name}"] < 1e-12
    for line in (
        s.PHOSPHORUS_IN,
        s.PHOSPHORUS_OUT,
        s.PHOSPHORUS_LOADS,
        s.PHOSPHORUS_DREDGED,
        s.ORGANIC_ANOXIC,
    ):
        assert lived.states[-1].lines[line] > 0.0


def test_the_books_close_under_ice_too():
    """Ten days of hard frost: ice holds water and heat only, phosphorus and organic matter stay below."""
    frost = steady_weather(air=-12.0, dew=-14.0, wind=3.0, sun=60.0, cloud=30.0, days=11)
    depths, warmth = (0.0, 2.5), (274.0, 276.0)
    cold = Profile(zone="pool", depth=depths, temperature=warmth, dissolved_oxygen=(12e-3, 9e-3))
    pond = live_pond(weather=frost, ice=Ice(), start=Start(profile=(cold,)), pump=None, intake=None)
    marched = integrate_pond(shortened(replace(pond, waterfall=None, outlet=None, inflow=()), 10.0))
    worth = marched.model.work.worth[:, : marched.model.layout.constituents]
    gaps = closures(marched.states[0], marched.states[-1], worth)
    assert marched.states[-1].zones[: s.FIRST_BED_CLASS].sum() > 1.0
    for name in ("phosphorus", "organic_matter", "redox", "water", "heat"):
        assert gaps[f"balance_{name}"] < 1e-12


def test_nothing_of_the_living_pond_falls_below_zero(lived):
    """Beyond a tenth of what is allowed as an error of one step."""
    table = lived.model.layout.living
    for row in range(table.first, table.end):
        assert lived.concentration(row).min() > -1e-7
    assert lived.concentration(s.OXYGEN).min() > -5e-5
    assert min(state.bed[s.FAST :].min() for state in lived.states) > -1e-9


def test_a_spoiled_balance_of_phosphorus_refuses_the_run(lived):
    """A millionth of the phosphorus missing is an error."""
    worth = lived.model.work.worth[:, : lived.model.layout.constituents]
    spoiled = new_state(lived.model.layout)
    spoiled.vector[:] = lived.states[-1].vector
    spoiled.bed[s.BOUND_P, 0] += 1e-4
    with pytest.raises(RunError, match="balance of phosphorus does not close"):
        closures(lived.states[0], spoiled, worth)


def test_given_chlorophyll_follows_its_profile():
    """Half of it at 1 m and below, straight lines above: the means of layers are read in their middle."""
    pond = inert_pond(
        basin("z", AREA, DEPTH),
        layers=4,
        days=1.0,
        algae=Algae(
            mode="given", chlorophyll=(40e-6,) * 12, profile_depth=(0.0, 1.0), profile_share=(1.0, 0.5)
        ),
    )
    marched = integrate_pond(pond)
    work = marched.model.work
    middle = work.depth[:4] + 0.5 * work.thickness[:4]
    assert work.chlorophyll[:4] == pytest.approx(40e-6 * np.interp(middle, [0.0, 1.0], [1.0, 0.5]))


def test_the_old_store_makes_up_the_stated_demand():
    """1.4 g/m2/d is stated; what two stores feed is subtracted, box by box, and never below nothing."""
    from pondsim.engine.bed_start import bed_areas, hand_on  # noqa: PLC0415
    from pondsim.engine.initial import start_state  # noqa: PLC0415
    from pondsim.engine.model import build_model  # noqa: PLC0415

    stated = 1.4e-3 / DAY
    pond = grown(bowl("z", AREA, DEPTH), layers=4, bed={"oxygen_demand": stated})
    model = build_model(pond)
    state, area = start_state(pond, model), bed_areas(model, 10.0)
    decay = model.living.stores.decay
    assert sum(decay[k] * state.bed[s.FAST + k] for k in range(3)) == pytest.approx(stated * area)
    left = state.bed.copy()
    left[s.FAST] *= np.array([4.0, 1.0, 0.5, 0.0])  # the lowest layer is fed twice what was stated
    supplied = hand_on(model, area, left, state)
    asked = sum(decay[k] * state.bed[s.FAST + k] for k in range(3))
    assert asked.sum() == pytest.approx(max(stated * area.sum(), supplied[0]))
    assert asked[0] > stated * area[0]
    assert state.bed[s.OLD].min() >= 0.0
