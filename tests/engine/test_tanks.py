"""Mixed zones against the exact solutions of mixed tanks: wash-out, residence times, settling, age."""

from dataclasses import replace

import numpy as np
import pytest

from pondsim.processes import constituents as s
from pondsim.scenario.settings import Intake, Numerics, Pump, Solids, Waterfall
from tests.engine.ponds import (
    DAY,
    LEVEL,
    basin,
    chain,
    clean_flow,
    filled_with,
    inert_pond,
    integrate_pond,
    passage,
    set_concentration,
)
from tests.runs import run

HOUR = 3600.0
FT_PER_HOUR = 0.3048 / 3600.0
ACRE = 4046.8564
CFS = 0.028316847


def loop(intake: str, waterfall: str, flow: float) -> dict:
    """A pumped loop that loses nothing."""
    return {
        "intake": Intake(zone=intake, elevation=LEVEL - 0.5),
        "pump": Pump(flow=flow),
        "waterfall": Waterfall(zone=waterfall, drop=1.0, width=2.0, splash_loss=0.0),
    }


def test_one_zone_is_washed_out_exponentially():
    """Exact: exp(-t/tau), tau = V/Q = 1000 m3 / 0.005 m3/s."""
    marched = integrate_pond(chain((500.0,), 2.0, 0.005, start=filled_with("z1", chloride=0.1), days=10.0))
    salt = marched.concentration(s.SALT)[:, 0]
    assert salt / salt[0] == pytest.approx(np.exp(-marched.time * 0.005 / 1000.0), rel=2e-4)


@pytest.mark.parametrize(
    ("tanks", "theta", "share"), [(3, 0.5, 0.19115), (2, 1.0, 0.59399), (5, 0.8, 0.37116)]
)
def test_zones_in_a_row_pass_a_step_as_tanks_in_series(tanks, theta, share):
    """Share of a step of salt at the exit, F of n tanks: Levenspiel, Chemical Reaction Engineering."""
    volume, flow = 1000.0, 0.01
    days = theta * volume / flow / DAY
    salty = (clean_flow("z1", flow, chloride=0.1),)
    marched = integrate_pond(chain((volume / tanks / 2.0,) * tanks, 2.0, flow, base_flow=salty, days=days))
    carried_in = marched.model.inflow.concentration[0, s.SALT]
    assert marched.concentration(s.SALT)[-1, -1] / carried_in == pytest.approx(share, rel=1e-3)


def test_a_pulse_leaves_a_row_of_zones_as_tanks_in_series():
    """Exact: E of 3 tanks at relative time 0.5 is 0.75306 (Levenspiel), for a pulse put into the first."""
    volume, flow = 900.0, 0.01

    def pulse(model, state):
        set_concentration(state, s.SALT, [0.3, 0.0, 0.0])

    marched = integrate_pond(chain((150.0,) * 3, 2.0, flow, days=0.5 * volume / flow / DAY), pulse)
    # 0.3 kg/m3 x 300 m3 over 900 m3 is 0.1 kg/m3
    assert marched.concentration(s.SALT)[-1, -1] / 0.1 == pytest.approx(0.75306, rel=1e-3)


@pytest.mark.parametrize(
    ("tanks", "acres", "flow_cfs", "mean"), [(3, 1.0, 3.0, 0.7425), (5, 2.0, 5.0, 0.7685)]
)
def test_a_row_of_zones_removes_solids_as_the_formula_of_n_tanks(tanks, acres, flow_cfs, mean):
    """Five settling classes: US EPA 1986, EPA 440/5-87-001 (class velocities and equation from memory)."""
    flow = flow_cfs * CFS
    dirty = (clean_flow("z1", flow, suspended_solids=0.1),)
    areas = (acres * ACRE / tanks,) * tanks
    marched = integrate_pond(
        chain(areas, 1.0, flow, base_flow=dirty, days=12.0, numerics=Numerics(tolerance=0.1))
    )
    leaving = marched.concentration(s.FIRST_CLASS)[-1, -1]
    slowest = 1.0 - leaving / 0.02
    rate = 0.03 * FT_PER_HOUR * acres * ACRE / flow
    assert slowest == pytest.approx(1.0 - (1.0 + rate / tanks) ** -tanks, abs=1e-4)
    classes = [marched.concentration(s.FIRST_CLASS + k)[-1, -1] for k in range(5)]
    assert 1.0 - sum(classes) / 0.1 == pytest.approx(mean, abs=0.002)


def test_what_settles_lies_on_the_bed():
    """Exact: a still basin 1.2 m deep keeps exp(-w t/h) of its solids, well mixed; the rest is on the bed."""
    velocity = 1e-5
    still = inert_pond(
        basin("pool", 400.0, 1.2),
        days=1.0,
        solids=Solids(settling_velocity=(velocity,), share=(1.0,), by_temperature=False),
    )
    marched = integrate_pond(still, lambda _, state: set_concentration(state, s.FIRST_CLASS, 0.05))
    left = marched.amounts(s.FIRST_CLASS)[:, 0]
    assert left == pytest.approx(0.05 * 480.0 * np.exp(-velocity * marched.time / 1.2), rel=1e-4)
    on_bed = np.array([state.bed_mass[0, 0] for state in marched.states])
    assert on_bed + left == pytest.approx(24.0, rel=1e-12)


def test_age_in_one_flushed_zone_tends_to_volume_over_flow():
    """Exact, in time too: a = (V/Q)(1 - exp(-t Q/V)) from water of age 0."""
    marched = integrate_pond(chain((500.0,), 2.0, 0.01, days=20.0))
    tau = 1000.0 / 0.01
    age = marched.concentration(s.AGE_INFLOW)[:, 0]
    assert age == pytest.approx(tau * -np.expm1(-marched.time / tau), rel=3e-4, abs=1.0)
    assert age[-1] == pytest.approx(tau, rel=1e-4)


def test_days_since_the_waterfall_in_one_zone_tend_to_volume_over_pumped_flow():
    """Exact: V/Qp, while the water's own age grows on as time does."""
    flow = 0.01
    marched = integrate_pond(inert_pond(basin("pool", 500.0, 2.0), days=15.0, **loop("pool", "pool", flow)))
    assert marched.concentration(s.AGE_WATERFALL)[-1, 0] == pytest.approx(1000.0 / flow, rel=1e-4)
    assert marched.concentration(s.AGE_INFLOW)[:, 0] == pytest.approx(marched.time, rel=1e-9)


def test_ages_in_a_loop_of_three_zones():
    """Worked by hand: 300, 900, 300 m3, 10 m3/h in and out, 50 m3/h pumped: 130, 145, 150 and 5, 20, 25 h."""
    flow = 10.0 / HOUR
    pond = chain(
        (150.0, 450.0, 150.0),
        2.0,
        flow,
        days=60.0,
        **loop("z3", "z1", 50.0 / HOUR),
        numerics=Numerics(tolerance=0.1),
    )
    results = run(pond)
    steady_inflow = results["steady_age_since_inflow"].values[:, 0] * 24.0
    steady_waterfall = results["steady_age_since_waterfall"].values[:, 0] * 24.0
    assert steady_inflow == pytest.approx([130.0, 145.0, 150.0], rel=2e-5)
    assert steady_waterfall == pytest.approx([5.0, 20.0, 25.0], rel=2e-5)
    assert results["age_since_inflow"].values[-1, :, 0] * 24.0 == pytest.approx(
        [130.0, 145.0, 150.0], rel=2e-4
    )
    assert results["age_since_waterfall"].values[-1, :, 0] * 24.0 == pytest.approx(
        [5.0, 20.0, 25.0], rel=2e-4
    )


def test_ages_in_a_dead_arm():
    """Worked by hand: main 1000 m3 looped by 50 m3/h, arm 300 m3 exchanging 5 m3/h: 26 and 86 h, not 26.

    Dispersion makes the exchange: 0.5 K W h / L with the multiplier chosen so that it is 5 m3/h.
    """
    okubo = 2.055e-4 * 100.0**1.15  # m2/s at the pond's length of 100 m; Okubo 1971
    multiplier = (5.0 / HOUR) / (0.5 * okubo * 10.0 * 1.9 / 30.0)
    pond = inert_pond(basin("main", 500.0, 2.0), basin("arm", 150.0, 2.0, centre=(30.0, 0.0)), days=30.0)
    pond = replace(
        pond,
        connection=(passage("main", "arm", depth=1.9),),
        mixing=replace(pond.mixing, dispersion_multiplier=multiplier),
        **loop("main", "main", 50.0 / HOUR),
    )
    results = run(pond)
    assert results["steady_age_since_waterfall"].values[:, 0] * 24.0 == pytest.approx([26.0, 86.0], rel=1e-4)
    assert results["age_since_waterfall"].values[-1, :, 0] * 24.0 == pytest.approx([26.0, 86.0], rel=1e-3)
