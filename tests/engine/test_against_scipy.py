"""The time loop against SciPy's LSODA on the same rates, held a hundred times tighter than the loop.

Both renew levels and flows at the same moments, so this judges the scheme, its error control and its
bookkeeping, and nothing else.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

from pondsim.scenario.read import read_scenario
from tests.engine.scipy_integrate import lsoda, marched, prepared

CAMPUS = Path(__file__).parents[2] / "scenarios" / "campus"
TIGHT = 0.01  # times the errors that the loop allows itself by default
FROM = datetime(2025, 5, 20)  # with the first storm on the fourth day, and five nights of air
DAYS = 5.0
LAYERS = 8  # the scheme is judged here, not the grid; LSODA needs minutes for more


def differences(design: str, start: datetime | None, days: float | None, tolerance: float) -> tuple:
    """Oxygen [mg/L] and temperature [K] by which our loop is off LSODA, at every output in every box."""
    scenario = read_scenario(CAMPUS / f"{design}.toml")
    scenario = replace(scenario, pond=replace(scenario.pond, layers=LAYERS))
    if start:
        scenario = replace(scenario, period=replace(scenario.period, start=start))
    case = prepared(scenario, days)
    ours, theirs = marched(*case, tolerance), lsoda(*case, TIGHT)
    assert not ours.stuck
    return np.abs(ours.oxygen - theirs.oxygen), np.abs(ours.temperature - theirs.temperature)


@pytest.mark.slow
def test_days_around_a_storm_agree_with_lsoda() -> None:
    oxygen, temperature = differences("waterfall_night_air", FROM, DAYS, 1.0)
    assert oxygen.max() < 0.01
    assert temperature.max() < 0.01


@pytest.mark.long
@pytest.mark.parametrize("design", ["waterfall_night_air", "existing"])
def test_a_whole_season_agrees_with_lsoda(design: str) -> None:
    """Held tight: the minute of an overturn moves with the last digits, and one hour's oxygen with it."""
    oxygen, temperature = differences(design, None, None, TIGHT)
    assert np.quantile(oxygen, 0.9999) < 0.01
    assert oxygen.max() < 0.05
    assert temperature.max() < 0.01
