"""Water, heat, oxygen, salt and solids: what is there at the end is what was there, came and went."""

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
    Bed,
    BloomCrash,
    Ground,
    Inflow,
    Nitrogen,
    OrganicMatter,
    Resuspension,
    Solids,
    Start,
)
from tests.engine.ponds import BEGIN, DAY, integrate_pond, steady_weather
from tests.engine.test_uniform_tracers import PROFILE, busy_pond
from tests.runs import run

CLOSED = 1e-12
STORM = 2200.0  # m3


def live_pond(seepage, **sections):
    """The busy pond with everything on: algae that crash, a hungry bed, mud, eroding banks, rain."""
    storm = Inflow(zone="shelf", start=BEGIN + timedelta(days=11), duration=6 * 3600.0, volume=STORM)
    crash = BloomCrash(start=BEGIN + timedelta(days=2), zones=("pool",))
    pond = busy_pond(
        weather=steady_weather(air=26.0, dew=14.0, wind=6.0, sun=230.0, cloud=40.0, rain=0.1),
        ground=Ground(seepage=seepage),
        inflow=(storm,),
        bloom_crash=(crash,),
        bed=Bed(),
        algae=Algae(mode="given"),
        organic_matter=OrganicMatter(),
        nitrogen=Nitrogen(),
        solids=Solids(shoreline_erosion=20.0 / (365.0 * DAY)),
        resuspension=Resuspension(waves=True, at_return=True, critical_stress=0.02, erosion_rate=1e-4),
        start=Start(profile=(PROFILE,)),
    )
    zones = tuple(replace(zone, shoreline=40.0) for zone in pond.zone)
    return replace(pond, zone=zones, **sections)


@pytest.fixture(scope="module", params=[0.06, -0.01], ids=["seeping out", "ground water in"])
def marched(request):
    return integrate_pond(live_pond(request.param / DAY))


def test_every_balance_closes(marched):
    """Storm, pump, air, evaporation, seepage, erosion, waves, a crash: 1e-12 of all that came and went."""
    gaps = closures(marched.states[0], marched.states[-1])
    assert {name: float(np.max(gap)) for name, gap in gaps.items()} == pytest.approx(
        dict.fromkeys(gaps, 0.0), abs=CLOSED
    )


def test_every_process_took_part(marched):
    """That the balance above is one of everything."""
    end = marched.states[-1]
    assert np.all(end.pathways.sum(axis=0) != 0.0)
    living = {row for row, line in enumerate(s.LINE_TABLE) if line.book == s.LIVING_BOOK}
    unused = living | {s.ORGANIC_DREDGED, s.ORGANIC_LOADS, s.ORGANIC_ANOXIC}  # of grown algae: test_living.py
    if marched.model.outflow.seepage >= 0.0:
        unused.add(s.SALT_GROUND)
    assert {line for line in range(len(s.LINES)) if end.lines[line] == 0.0} == unused
    assert marched.model.work.erosion.max() > 0.0


def test_no_amount_falls_below_zero(marched):
    """Volumes, and masses to a thousandth of the error allowed in a step."""
    assert marched.amounts(s.WATER).min() > 0.0
    for constituent in (s.OXYGEN, s.BOD, s.AMMONIUM, s.DEBT, s.DETRITUS, s.SALT):
        assert marched.concentration(constituent).min() > -1e-8  # kg/m3


def test_what_the_storm_and_the_base_flow_brought_is_in_the_books(marched):
    """Exact: 2200 m3 of storm and 2e-4 m3/s for 14 days, salt and solids at the concentrations given."""
    storm, base = STORM, 2e-4 * 14 * DAY
    scenario = live_pond(0.0)
    event, drain = scenario.inflow[0], scenario.base_flow[0]
    assert marched.line(s.WATER_INFLOW)[-1] == pytest.approx(storm + base, rel=1e-9)
    banks = 3 * 40.0 * 20.0 / 365.0 * 14
    brought = storm * event.suspended_solids + base * drain.suspended_solids + banks
    assert marched.states[-1].solids_in.sum() == pytest.approx(brought, rel=1e-9)


def test_rain_falls_on_the_whole_surface():
    """0.1 mm/h on the water at each moment: the books of the rain follow the surface's area."""
    marched = integrate_pond(live_pond(0.0, inflow=()))
    area = marched.model.work.surface_area.sum()
    last_hour = marched.line(s.WATER_RAIN)[-1] - marched.line(s.WATER_RAIN)[-2]
    assert last_hour == pytest.approx(1e-4 * area, rel=1e-6)


def test_an_open_balance_is_an_error():
    """A run that loses a millionth of its oxygen is no run."""
    marched = integrate_pond(
        live_pond(0.0, period=replace(live_pond(0.0).period, end=BEGIN + timedelta(days=1)))
    )
    start, end = marched.states[0], marched.states[-1]
    spoiled = new_state(marched.model.layout)
    spoiled.vector[:] = end.vector
    spoiled.amounts[0, s.OXYGEN] += 2e-4 * np.abs(end.pathways).sum()
    with pytest.raises(RunError, match="balance of oxygen does not close"):
        closures(start, spoiled)


def test_results_carry_the_closure():
    """As attributes, one for each balance, below 1e-9."""
    pond = live_pond(0.06 / DAY, period=replace(live_pond(0.0).period, end=BEGIN + timedelta(days=3)))
    results = run(pond)
    for name in ("water", "heat", "oxygen", "salt", "solids", "redox"):
        assert np.max(results.attrs[f"balance_{name}"]) < CLOSED
