"""Hydrographs: exact volumes and times."""

from datetime import datetime
from types import SimpleNamespace

import numpy as np
import pytest

from pondsim.errors import ScenarioError
from pondsim.site.inflow import event_volume, flow_at, hydrograph

PERIOD = SimpleNamespace(start=datetime(2025, 6, 1), end=datetime(2025, 7, 1))


def event(**given):
    blank = {"duration": None, "volume": None, "hydrograph_time": (), "hydrograph_flow": ()}
    return SimpleNamespace(start=datetime(2025, 6, 2, 6), **(blank | given))


def test_volume_and_duration_give_a_triangle():
    """Exact: peak twice the mean flow of 0.1 m3/s, after a third of 3 h, 30 h after the start of the run."""
    time, flow = hydrograph(event(volume=1080.0, duration=10800.0), PERIOD)
    assert time == pytest.approx([108000.0, 111600.0, 118800.0], abs=1e-9)
    assert flow == pytest.approx([0.0, 0.2, 0.0], abs=1e-15)


@pytest.mark.parametrize(("volume", "duration"), [(370.0, 4 * 3600.0), (4934.0, 14 * 3600.0), (0.0, 600.0)])
def test_volume_is_exact(volume, duration):
    assert event_volume(*hydrograph(event(volume=volume, duration=duration), PERIOD)) == pytest.approx(
        volume, rel=1e-12, abs=0.0
    )


def test_given_hydrograph_is_kept():
    time, flow = hydrograph(
        event(hydrograph_time=(0.0, 600.0, 1800.0), hydrograph_flow=(0.1, 0.4, 0.0)), PERIOD
    )
    assert time.tolist() == [108000.0, 108600.0, 109800.0]
    assert flow.tolist() == [0.1, 0.4, 0.0]
    assert event_volume(time, flow) == pytest.approx(150.0 + 240.0, rel=1e-12)


def test_flow_is_zero_outside_the_event():
    time, flow = hydrograph(event(volume=1080.0, duration=10800.0), PERIOD)
    moments = np.array([107999.0, 109800.0, 115200.0, 118801.0])
    assert flow_at(moments, time, flow) == pytest.approx([0.0, 0.1, 0.1, 0.0], abs=1e-12)


def test_half_an_event_is_refused():
    with pytest.raises(ScenarioError, match="volume and duration"):
        hydrograph(event(volume=100.0), PERIOD)
