"""Water of drainage areas over steps of time: volumes, loads and warmth are kept."""

from dataclasses import replace

import numpy as np
import pytest

from pondsim.scenario.settings import BufferStrip, Solids
from pondsim.site.drained import (
    AMMONIUM,
    BOD5,
    FIRST_SOLIDS,
    LOSSES,
    RAIN,
    RUNOFF,
    TEMPERATURE,
    carried_over,
    flow_over,
    mean_over,
    rain_over,
    storm_edges,
    totals_of,
    water_of,
)
from pondsim.site.rain import rain_series
from pondsim.site.rain_series import RainSeries
from tests.site.test_watershed import LOT, SEASON, STORM, SUMMER, weather

END = 153 * 86400.0
EDGES = np.unique(np.concatenate([np.arange(0.0, END + 1.0, 3600.0), np.arange(0.0, 2 * 86400.0, 900.0)]))
STRIP = replace(LOT, first_flush=0.6, buffer_strip=BufferStrip(width=5.0, length=120.0, slope=0.03))


def water(rain, area=STRIP):
    (found,) = water_of([area], rain_series(rain, SUMMER), weather(days=153), Solids())
    return found


def test_means_of_straight_lines_are_exact():
    """Areas under a triangle of height 2 and base 4, by hand."""
    means = mean_over(np.array([-1.0, 0.0, 1.0, 3.0, 9.0]), 0.0, 2.0, np.array([0.0, 2.0, 0.0]))
    assert means == pytest.approx([0.0, 0.5, 1.5, 0.5 / 6.0])


@pytest.mark.parametrize("rain", [STORM, SEASON])
def test_volumes_and_loads_are_kept(rain):
    found = water(rain)
    length = np.diff(EDGES)
    flow, carried = flow_over(EDGES, found), carried_over(EDGES, found)
    assert np.sum(flow * length) == pytest.approx(found.runoff.volume, rel=1e-9)
    for column, mass in ((BOD5, found.carried.bod5), (AMMONIUM, found.carried.ammonium)):
        load = np.sum(flow * carried[:, column] * length)
        assert load == pytest.approx(mass.sum() * found.runoff.step, rel=1e-9)
    solids = np.sum((flow * length)[:, None] * carried[:, FIRST_SOLIDS:], axis=0)
    assert solids == pytest.approx(found.carried.solids.sum(axis=0) * found.runoff.step, rel=1e-9)
    runs = flow > 0.0
    assert np.all(np.isnan(carried[~runs, TEMPERATURE]))
    assert np.all(np.abs(carried[runs, TEMPERATURE] - 300.0) < 6.0)
    totals = totals_of(found)
    assert totals[RUNOFF] + totals[LOSSES] == pytest.approx(totals[RAIN], rel=1e-9)


def test_rain_over_steps_keeps_its_depth():
    rain = RainSeries(-600.0, 1200.0, np.array([0.001, 0.0, 0.004]))
    fallen = rain_over(np.array([-1000.0, 0.0, 50.0, 4000.0]), rain) * np.array([1000.0, 50.0, 3950.0])
    assert fallen.sum() == pytest.approx(0.005, rel=1e-12)
    assert fallen[1] == pytest.approx(0.001 * 50.0 / 1200.0)


def test_steps_are_short_while_an_area_sheds_a_notable_flow():
    found = water(STORM, LOT)
    edges = storm_edges(found, END, 900.0)
    wet = found.runoff.time[found.runoff.flow > 0.02 * found.runoff.peak]
    assert edges[0] <= wet[0]
    assert edges[-1] >= wet[-1]
    assert set(np.diff(edges)) == {300.0, 900.0}
    assert edges.size < 24 * 4
