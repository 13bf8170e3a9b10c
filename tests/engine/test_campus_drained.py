"""The demo pond drained by its outlet, low at the start under a running waterfall, flooded over its bank."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import numpy as np
import pytest

from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Inflow, Orifice, Scenario
from pondsim.simulate import run
from tests.engine.ponds import CAMPUS

FOOT, INCH = 0.3048, 0.0254
FROM = datetime(2025, 7, 6)

pytestmark = pytest.mark.slow


def week(design: str, **sections: Any) -> Scenario:
    """A week of July of a design of the demo pond."""
    scenario = read_scenario(CAMPUS / f"{design}.toml")
    period = replace(scenario.period, start=FROM, end=FROM + timedelta(days=7))
    return replace(scenario, period=period, **sections)


def drained(design: str, elevation: float, diameter: float, zone: str = "terrace") -> Scenario:
    """Through a hole at an elevation [ft] of a diameter [in]."""
    pond = week(design)
    hole = Orifice(elevation=elevation * FOOT, diameter=diameter * INCH)
    return replace(pond, outlet=replace(pond.outlet, zone=zone, orifice=(hole,)))


def low(elevation: float) -> Scenario:
    """Water at an elevation [ft] from the start; the waterfall falls into the cove, its bed at 634.5 ft."""
    pond = week("waterfall_night_air")
    return replace(pond, start=replace(pond.start, water_surface=elevation * FOOT, profile=()))


def flooded() -> Scenario:
    """20,000 m3 within three hours on a pond of 6100 m2, 3 ft under its bank."""
    pond = week("waterfall_night_air")
    flood = Inflow(zone="forebay", start=FROM + timedelta(days=1), duration=3 * 3600.0, volume=2e4)
    return replace(pond, inflow=(*pond.inflow, flood))


PONDS = {
    "12 in at 635.3 ft": lambda: drained("existing", 635.3, 12.0),
    "12 in at 635.3 ft, waterfall": lambda: drained("waterfall_night_air", 635.3, 12.0),
    "24 in at 636 ft": lambda: drained("existing", 636.0, 24.0),
    "48 in at 635.2 ft": lambda: drained("existing", 635.2, 48.0),
    "the whole pond": lambda: drained("waterfall_night_air", 629.2, 24.0, "deep_pool"),
    "the waterfall over a dry zone": lambda: low(634.0),
    "the waterfall over a nearly dry zone": lambda: low(634.7),
    "a flood over the bank": flooded,
}


@pytest.mark.parametrize("name", PONDS)
def test_no_run_fails_because_water_leaves_or_comes(name: str) -> None:
    """It runs to its end, all closes to 1e-12, and no solids are below zero beyond rounding."""
    pond = PONDS[name]()
    results = run(pond, how_long_start_matters=False)
    here = np.isfinite(results["box_volume"].values)
    for variable in ("water_temperature", "dissolved_oxygen", "suspended_solids", "chlorophyll"):
        assert np.isfinite(results[variable].values[here]).all()
    solids = results["suspended_solids"].values[here]
    assert solids.min() > -1e-9 * solids.max()
    gaps = {k: float(np.max(gap)) for k, gap in results.attrs.items() if k.startswith("balance_")}
    assert len(gaps) == 8
    assert max(gaps.values()) < 1e-12, gaps
    level = results["water_surface_elevation"].values / FOOT
    assert level.max() > 643.0 if "flood" in name else level.min() < 635.1
