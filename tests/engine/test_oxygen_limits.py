"""Oxygen against what can be written down: the sag, the bed, the waterfall, bubbles, dying algae."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from pondsim.processes import constituents as s
from pondsim.scenario.settings import (
    Aeration,
    Algae,
    Bed,
    BloomCrash,
    BottomOxygenDebt,
    GasTransfer,
    Intake,
    OrganicMatter,
    Pump,
    Waterfall,
)
from tests.engine.ponds import (
    BEGIN,
    CELSIUS_0,
    DAY,
    LEVEL,
    MG_PER_L,
    basin,
    filled_with,
    inert_pond,
    integrate_pond,
    rates_of,
    set_concentration,
    steady_weather,
)

SATURATION_20 = 9.092  # mg/L, fresh water, 1 atm; Standard Methods 4500-O
GRAMS = 1e-3 / DAY  # kg/m2/s per g/m2/d


def schmidt(t):
    """Of oxygen in fresh water: Wanninkhof 2014, Limnol. Oceanogr. Methods 12:351, Table 1."""
    return 1745.1 - 124.34 * t + 4.8055 * t**2 - 0.10115 * t**3 + 0.00086842 * t**4


def k600_for(velocity_m_per_day, t):
    """Transfer velocity at Schmidt number 600 that gives one in water of t degC [m/s]."""
    return velocity_m_per_day / DAY * (schmidt(t) / 600.0) ** 0.5


def still_box(depth=1.0, oxygen=8.0, **sections):
    """A closed box of 100 m2 at 20 degC with no wind."""
    start = filled_with("pool", oxygen=oxygen * MG_PER_L)
    return inert_pond(basin("pool", 100.0, depth), start=start, **sections)


def test_air_returns_oxygen_at_the_published_rate():
    """Exact: the deficit fades as exp(-kL t/h), kL of 2.07 cm/h (Cole and Caraco 1998), Schmidt 510.25."""
    marched = integrate_pond(still_box(oxygen=2.0, days=5.0))
    rate = 2.07e-2 / 3600.0 * (510.25 / 600.0) ** -0.5 / 1.0
    deficit = SATURATION_20 - marched.concentration(s.OXYGEN)[:, 0] * 1e3
    assert deficit == pytest.approx((SATURATION_20 - 2.0) * np.exp(-rate * marched.time), abs=2e-3)


def test_decay_and_surface_exchange_make_the_analytic_sag():
    """Streeter and Phelps 1925, with a demand whose want of oxygen does not slow it (half-saturation 0)."""
    decay, reaeration, ultimate, first = 0.5, 0.6, 6.0, 1.0
    box = still_box(
        oxygen=SATURATION_20 - first,
        days=12.0,
        gas_transfer=GasTransfer(law="wind", k600_at_no_wind=k600_for(reaeration, 20.0)),
        bottom_oxygen_debt=BottomOxygenDebt(oxidation=decay / DAY, half_saturation=1e-12),
    )
    marched = integrate_pond(box, lambda _, state: set_concentration(state, s.DEBT, ultimate * MG_PER_L))
    t = marched.time / DAY
    fading = np.exp(-reaeration * t)
    sag = decay * ultimate / (reaeration - decay) * (np.exp(-decay * t) - fading) + first * fading
    deficit = SATURATION_20 - marched.concentration(s.OXYGEN)[:, 0] * 1e3
    assert deficit == pytest.approx(sag, abs=3e-3)


def test_carbonaceous_demand_slows_as_oxygen_runs_out():
    """Against the same two equations integrated apart; decay is halved at 0.5 mg/L (judgement)."""
    decay, reaeration, ultimate = 0.4, 0.3, 20.0
    box = still_box(
        oxygen=8.0,
        days=10.0,
        gas_transfer=GasTransfer(law="wind", k600_at_no_wind=k600_for(reaeration, 20.0)),
        organic_matter=OrganicMatter(bod_decay=decay / DAY, detritus_settling=0.0),
    )
    marched = integrate_pond(box, lambda _, state: set_concentration(state, s.BOD, ultimate * MG_PER_L))

    def slopes(_, y):
        taken = decay * y[1] * y[0] / (0.5 + y[0])
        return [reaeration * (SATURATION_20 - y[0]) - taken, -taken]

    apart = solve_ivp(slopes, (0.0, 10.0), [8.0, ultimate], t_eval=marched.time / DAY, rtol=1e-9, atol=1e-9)
    assert marched.concentration(s.OXYGEN)[:, 0] * 1e3 == pytest.approx(apart.y[0], abs=3e-3)
    assert marched.concentration(s.BOD)[:, 0] * 1e3 == pytest.approx(apart.y[1], abs=3e-3)


@pytest.mark.parametrize(
    ("demand", "half", "velocity", "celsius", "mg_per_L"),
    [(1.5, 1.4, 0.8, 25.0, 6.7087), (2.5, 0.7, 0.5, 30.0, 3.4113)],
)
def test_bed_demand_against_surface_exchange(demand, half, velocity, celsius, mg_per_L):
    """Root of kL (Cs - C) = SOD C/(K + C) at Cs 8.26 and 7.56 mg/L, fresh water of 25 and 30 degC."""
    box = inert_pond(
        basin("pool", 100.0, 1.0),
        days=25.0,
        start=filled_with("pool", CELSIUS_0 + celsius),
        weather=steady_weather(air=celsius, dew=celsius),
        gas_transfer=GasTransfer(law="wind", k600_at_no_wind=k600_for(velocity, celsius)),
        bed=Bed(
            oxygen_demand=demand * GRAMS,
            oxygen_demand_theta=1.0,
            half_saturation=half * MG_PER_L,
            reduced_share=0.0,
            heat_conductivity=0.0,
            ammonium_release=0.0,
        ),
    )
    marched = integrate_pond(box)
    assert marched.concentration(s.OXYGEN)[-1, 0] * 1e3 == pytest.approx(mg_per_L, rel=1e-3)
    assert np.all(marched.amounts(s.DEBT) == 0.0)


def test_unmet_bed_demand_becomes_bottom_oxygen_debt():
    """Exact: with no oxygen and none coming in, the given share of 2 g/m2/d leaves the bed as debt."""
    box = inert_pond(
        basin("pool", 100.0, 1.0, floating_cover=1.0),
        days=5.0,
        start=filled_with("pool", oxygen=0.0),
        bed=Bed(oxygen_demand=2.0 * GRAMS, reduced_share=0.3, heat_conductivity=0.0, ammonium_release=0.0),
    )
    marched = integrate_pond(box)
    assert marched.amounts(s.DEBT)[-1, 0] == pytest.approx(0.3 * 2.0 * 1e-3 * 5.0 * 100.0, rel=1e-9)
    assert marched.amounts(s.OXYGEN)[-1, 0] == pytest.approx(0.0, abs=1e-12)


def test_debt_mixed_up_takes_the_oxygen_at_once():
    """8 mg/L of oxygen over 20 mg/L of debt at 4 1/d: 1 mg/L is left within hours, the rest stays owed.

    Oxygen ends at 0, to the 1e-4 mg/L that a step may be wrong by at this tolerance.
    """
    box = inert_pond(
        basin("pool", 100.0, 1.0, floating_cover=1.0),
        days=1.0,
        bottom_oxygen_debt=BottomOxygenDebt(oxidation=4.0 / DAY, half_saturation=0.3 * MG_PER_L),
    )
    marched = integrate_pond(box, lambda _, state: set_concentration(state, s.DEBT, 20.0 * MG_PER_L))
    oxygen = marched.concentration(s.OXYGEN)[:, 0] * 1e3
    debt = marched.concentration(s.DEBT)[:, 0] * 1e3
    assert oxygen[4] < 1.0
    assert oxygen - debt == pytest.approx(8.0 - 20.0, abs=1e-9)
    assert abs(oxygen[-1]) < 1e-4
    assert oxygen.min() > -1e-4


def test_waterfall_makes_up_the_deficit_of_a_closed_loop():
    """Exact: deficit fades as exp(-Qp E t/V), E = 1 - 1/r, r 1.8444 by Gameson for 1.2192 m at 20 degC.

    r = 1 + 0.38 a b h (1 - 0.11 h)(1 + 0.046 T), a 1.6, b 0.8: Butts and Evans 1983.
    """
    box = still_box(oxygen=2.0, days=3.0, depth=2.0)
    box = replace(
        box,
        gas_transfer=GasTransfer(law="wind", k600_at_no_wind=0.0),
        intake=Intake(zone="pool", elevation=LEVEL - 1.0),
        pump=Pump(flow=0.001),
        waterfall=Waterfall(
            zone="pool",
            drop=1.2192,
            width=1.0,
            method="gameson",
            crest=0.8,
            water_quality=1.6,
            splash_loss=0.0,
        ),
    )
    h = 1.2192
    ratio = 1.0 + 0.38 * 1.6 * 0.8 * h * (1.0 - 0.11 * h) * (1.0 + 0.046 * 20.0)
    marched = integrate_pond(box)
    rate = 0.001 * (1.0 - 1.0 / ratio) / 200.0
    deficit = SATURATION_20 - marched.concentration(s.OXYGEN)[:, 0] * 1e3
    assert deficit == pytest.approx((SATURATION_20 - 2.0) * np.exp(-rate * marched.time), abs=2e-3)


def test_bubbles_transfer_what_the_standard_says():
    """OTR = SOTR alpha theta^(T-20) (beta C* - C)/C*20 (ASCE/EWRI 2), 1 scfm = 0.47253 kg/h of oxygen.

    C* for an effective depth of 0.35 of 3 m: Cs (Pb - pv + 9.79 de)/(Pb - pv), pressures in kPa.
    """
    scfm = 4.719474e-4  # m3/s
    unit = Aeration(
        name="air",
        zone="pool",
        elevation=LEVEL - 3.0,
        diffusers=3,
        air_flow=2.0 * scfm,
        transfer_efficiency=0.04,
        alpha=0.9,
    )
    _, _, rates = rates_of(still_box(depth=3.0, oxygen=2.0, aeration=(unit,)))
    standard = 0.47253 / 3600.0 * 6.0 * 0.04 * 3.0  # kg/s
    deeper = (101.325 - 2.339 + 9.79 * 0.35 * 3.0) / (101.325 - 2.339)
    wanted = standard * 0.9 * (0.99 * SATURATION_20 * deeper - 2.0) / (SATURATION_20 * deeper)
    assert rates.pathways[0, s.BUBBLES] == pytest.approx(wanted, rel=3e-3)


@pytest.mark.parametrize("reached", [1.0, 0.4])
def test_a_crash_turns_the_killed_algae_into_dead_matter(reached):
    """Exact: 60 ug/L, 80 % killed, 106.67 g of oxygen per g of chlorophyll (40 g/g x 32/12)."""
    crash = BloomCrash(
        start=BEGIN + timedelta(hours=7.3),
        pond_share=reached,
        killed_share=0.8,
        duration=1.5 * DAY,
        zones=("pool",),
    )
    algae = Algae(mode="given", chlorophyll=(60e-6,) * 12, photosynthesis=0.0, respiration=0.0)
    pond = inert_pond(
        basin("pool", 100.0, 1.5), basin("far", 50.0, 1.5), days=3.0, algae=algae, bloom_crash=(crash,)
    )
    marched = integrate_pond(pond)
    killed = 60e-6 * 0.8 * reached * (40.0 * 32.0 / 12.0) * 150.0
    assert marched.amounts(s.DETRITUS)[-1] == pytest.approx([killed, 0.0], rel=1e-9)
    assert marched.line(s.REDUCING_KILLED)[-1] == pytest.approx(killed, rel=1e-9)
