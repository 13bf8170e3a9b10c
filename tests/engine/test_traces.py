"""Traces of solids fall at the end of each part of a hydraulic step, not within its stages."""

from __future__ import annotations

import numpy as np
import pytest

from pondsim.constants import DAY
from pondsim.engine.step import settle_traces
from pondsim.processes import constituents as s
from pondsim.processes.settling import TRACE, set_traces
from pondsim.scenario.settings import Solids
from tests.engine.ponds import (
    basin,
    chain,
    clean_flow,
    inert_pond,
    integrate_pond,
    rates_of,
    set_concentration,
)

VELOCITY = 4e-4  # m/s
SAND = Solids(settling_velocity=(VELOCITY,), share=(1.0,), by_temperature=False, organic_share=0.25)


def column(held: float, brought: float = 0.0):
    """A still column of four layers that holds and gets some of one class [kg/m3]: its model and state."""
    pond = inert_pond(
        basin("pool", 400.0, 2.0),
        layers=4,
        solids=SAND,
        base_flow=(clean_flow("pool", 0.01, suspended_solids=brought),),
    )
    model, state, _ = rates_of(pond)
    set_concentration(state, s.FIRST_CLASS, held)
    model.work.concentration[s.FIRST_CLASS, :4] = held
    set_traces(model.solids, model.work, model.forcing.inflow[0], 900.0)
    return model, state


def test_the_upper_layer_empties_as_the_exponential_law_and_nothing_is_lost():
    """Exact for a mixed layer h thick: exp(-w t/h); what leaves lies on the bed, a quarter of it organic."""
    model, state = column(TRACE / 2.0)
    before = state.rows[s.FIRST_CLASS].copy()
    thick = float(model.work.thickness[3])
    settle_traces(model, state, 900.0)
    after = state.rows[s.FIRST_CLASS]
    assert after[3] == pytest.approx(before[3] * np.exp(-VELOCITY * 900.0 / thick), rel=1e-12)
    assert np.all(after > 0.0)
    on_bed = state.zones[s.FIRST_BED_CLASS, 0]
    assert on_bed > 0.0
    assert after.sum() + on_bed == pytest.approx(before.sum(), rel=1e-14)
    organic = 0.25 * 1.42 * on_bed  # C5H7NO2
    assert state.bed[s.BED_ORGANICS].sum() == pytest.approx(organic, rel=1e-14)
    assert state.lines[s.REDUCING_SOLIDS] == pytest.approx(organic, rel=1e-14)


@pytest.mark.parametrize(("held", "brought"), [(2.0 * TRACE, 0.0), (0.0, 1.0)])
def test_what_is_more_than_a_trace_or_soon_will_be_settles_with_the_rates(held, brought):
    model, state = column(held, brought)
    before = state.vector.copy()
    settle_traces(model, state, 900.0)
    assert np.array_equal(state.vector, before)


def test_a_trickle_of_sand_ends_on_the_bed():
    """By continuity: an inflow of 1 L/s with 1 mg/L leaves 0.0864 kg a day, but for what still hangs."""
    flow = 1e-3
    pond = chain(
        (400.0, 400.0),
        2.0,
        flow,
        layers=4,
        days=4.0,
        solids=SAND,
        base_flow=(clean_flow("z1", flow, suspended_solids=1e-3),),
    )
    marched = integrate_pond(pond)
    last = marched.states[-1]
    brought = flow * 1e-3 * 4.0 * DAY
    assert last.rows[s.FIRST_CLASS].max() / last.rows[s.WATER].min() < TRACE
    assert last.bed_mass[0, 0] == pytest.approx(brought, rel=0.02)
    held = last.rows[s.FIRST_CLASS].sum() + last.solids_out[0]
    assert last.bed_mass.sum() + held == pytest.approx(last.solids_in[0], rel=1e-9)
