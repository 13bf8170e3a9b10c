"""The demo with grown algae falls into the ranges of measured ponds; clear and very green ones stay so."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "docs" / "studies"))

import living
import plausible

pytestmark = pytest.mark.slow


def test_demo_and_starter_fall_into_every_range():
    """Those of a shallow eutrophic stormwater pond; sources stand in docs/studies/plausible.py."""
    for path in (plausible.DEMO, plausible.STARTER):
        rows = plausible.judged(living.computed(plausible.read_scenario(path)))
        assert {key for key, *_, inside in rows if inside is False} == set()


def test_a_clear_pond_is_clear_and_a_very_green_one_green():
    """Total phosphorus 20 to 30 and above 400 ug/L; by Carlson 1977 Secchi depths of 2 and 0.1 m."""
    clear = plausible.numbers(living.computed(living.with_values(living.grown(), living.CLEAR)))
    green = plausible.numbers(living.computed(living.with_values(living.grown(), living.GREEN)))
    assert 20.0 <= clear["total_p"][1] <= 30.0
    assert clear["secchi"][1] > 1.4
    assert clear["chlorophyll"][1] < 12.0
    assert clear["dawn_5"][1] > 4.0
    assert green["total_p"][1] > 400.0
    assert green["secchi"][1] < 0.5
    assert 80.0 < green["chlorophyll"][1] < 250.0
    assert green["afternoon"][1] < 250.0
