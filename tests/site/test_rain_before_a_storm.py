"""Rain of the season before a design storm, by adding up depths."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import numpy as np
import pytest

from pondsim.scenario.settings import DesignStorm, Period, Rain, SyntheticRain
from pondsim.site.rain import design_storm_rain, rain_series
from pondsim.site.rain_series import RainSeries, followed_by

PERIOD = Period(start=datetime(2025, 7, 1), end=datetime(2025, 7, 21))
STORM = DesignStorm(start=datetime(2025, 7, 15, 6), depth=0.08, before="rain")
SEASON = SyntheticRain(total=(0.1,) * 12, storms=(8.0,) * 12, seed=3)


def test_the_season_falls_until_the_storm_and_the_storm_alone_from_then_on():
    both = rain_series(Rain(design_storm=STORM, synthetic=SEASON), PERIOD)
    season = rain_series(Rain(synthetic=SEASON), PERIOD)
    begins = season.first + season.step * np.arange(season.depth.size)
    start = (STORM.start - PERIOD.start).total_seconds()
    earlier = float(season.depth[(begins >= 0.0) & (begins < start)].sum())
    assert earlier > 0.01
    own = both.first + both.step * np.arange(both.depth.size)
    assert both.step == 360.0  # what divides an hour and six minutes
    assert both.depth[(own >= 0.0) & (own < start)].sum() == pytest.approx(earlier)
    assert both.depth[own >= start].sum() == pytest.approx(0.08)
    alone = design_storm_rain(replace(STORM, before="dry"), PERIOD)
    at = int((start - both.first) / both.step)
    assert both.depth[at : at + alone.depth.size] == pytest.approx(alone.depth, abs=1e-15)


def test_a_step_that_the_storm_cuts_counts_by_its_share():
    """1 mm in each of two hours, cut after 90 minutes: 1.5 mm; then 4 mm."""
    joined = followed_by(
        RainSeries(0.0, 3600.0, np.array([0.001, 0.001])),
        RainSeries(5400.0, 600.0, np.array([0.004])),
        5400.0,
    )
    assert joined.step == 600.0
    assert joined.depth.sum() == pytest.approx(0.0055)
    assert joined.depth[9] == pytest.approx(0.004)
