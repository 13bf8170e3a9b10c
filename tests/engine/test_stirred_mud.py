"""Waves take organic matter and phosphorus of the bed along with the mud that they lift."""

from dataclasses import replace

import numpy as np
import pytest

from pondsim.output.mass_balance import closures
from pondsim.processes import constituents as s
from pondsim.scenario.settings import Resuspension
from tests.engine.independent_physics import wave_stress
from tests.engine.ponds import basin, integrate_pond, rates_of, steady_weather
from tests.engine.test_living import AREA, NO_LOSS, QUIET, grown, live_pond

STIRRED = Resuspension(waves=True, critical_stress=0.02, erosion_rate=1e-5)
SHALLOW, WIND = 0.6, 8.0  # m, m/s
HELD, FAST, SLOW, BOUND = 30.0, 40.0, 100.0, 2.0  # kg on the whole bed


def windy(**sections):
    """A shallow basin in a steady wind, whose waves reach its bed."""
    calm = grown(
        basin("z", AREA, SHALLOW),
        bed=NO_LOSS,
        days=2.0,
        weather=steady_weather(wind=WIND),
        resuspension=STIRRED,
        phosphorus=replace(QUIET, mobile_share=0.5),
    )
    return replace(calm, mixing=replace(calm.mixing, wind_reduction=1.0), **sections)


def load(_, state):
    """Mud of one class, two stores, phosphorus bound and in the fast store; nothing inert or buried."""
    state.zones[s.FIRST_BED_CLASS] = HELD
    state.bed[s.FAST], state.bed[s.SLOW], state.bed[s.BOUND_P] = FAST, SLOW, BOUND
    state.bed[s.FAST_P] = FAST / 110.0


def test_what_a_wave_lifts_by_hand():
    """8 m/s over 100 m and 0.6 m of water, by the Shore Protection Manual 1984 and Soulsby 1997.

    Mud lifts by its excess of stress and what there is of it; the fast store goes with it as fresh mud does,
    phosphorus as muck of two inches does, slow matter as it settles, 0.16 to 0.50.
    """
    pond = windy()
    stress = wave_stress(WIND, 100.0, SHALLOW / 2.0, STIRRED.grain_size)
    supply, muck = STIRRED.half_supply * AREA, 0.0508 * pond.bed.dry_density * AREA
    lifted = STIRRED.erosion_rate * (stress / STIRRED.critical_stress - 1.0) * AREA * HELD / (HELD + supply)
    model, _, rates = rates_of(pond, load)
    rows = model.layout.living
    assert lifted > 0.0
    fast = FAST * lifted / (HELD + supply)
    assert -rates.zones[s.FIRST_BED_CLASS, 0] == pytest.approx(lifted, rel=1e-3)
    assert -rates.bed[s.FAST].sum() == pytest.approx(fast, rel=1e-3)
    assert -rates.bed[s.SLOW].sum() == pytest.approx(fast * 0.16 / 0.50, rel=1e-3)
    assert rates.rows[s.DETRITUS].sum() == pytest.approx(fast * 0.66 / 0.50, rel=1e-3)
    assert rates.rows[rows.detrital].sum() == pytest.approx(fast / 110.0, rel=1e-3)
    assert rates.rows[rows.on_solids].sum() == pytest.approx(BOUND * lifted / (HELD + muck), rel=1e-3)


def test_nothing_lifts_where_no_wave_reaches_the_bed():
    """Four meters of water: neither mud nor what is in it moves, to the last bit."""
    _, _, rates = rates_of(replace(windy(), zone=(basin("z", AREA, 4.0),)), load)
    assert rates.zones[s.FIRST_BED_CLASS, 0] == 0.0
    assert not rates.bed[s.FAST :].any()
    assert rates.rows[s.DETRITUS].sum() == 0.0


def test_what_is_stirred_up_stays_in_the_books():
    """Two days of it in the pond with everything on: each balance to 1e-12, and phosphorus that was bound."""
    marched = integrate_pond(windy(), load)
    worth = marched.model.work.worth[:, : marched.model.layout.constituents]
    gaps = closures(marched.states[0], marched.states[-1], worth)
    assert all(np.max(gap) < 1e-12 for gap in gaps.values()), gaps
    water = marched.amounts(marched.model.layout.living.on_solids).sum(axis=1)
    assert water[-1] > 0.0
    assert water[-1] == pytest.approx(BOUND - marched.states[-1].bed[s.BOUND_P].sum(), rel=1e-9)
    busy = integrate_pond(live_pond(resuspension=replace(STIRRED, at_return=True)))
    worth = busy.model.work.worth[:, : busy.model.layout.constituents]
    gaps = closures(busy.states[0], busy.states[-1], worth)
    assert all(np.max(gap) < 1e-12 for gap in gaps.values()), gaps
