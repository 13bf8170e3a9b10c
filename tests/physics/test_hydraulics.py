"""Weirs and orifices."""

import numpy as np
import pytest

from pondsim.physics import hydraulics as h
from tests.physics.tolerance import close_to
from tests.published.hydraulics import weir_rehbock

G = 9.80665
FOOT = 0.3048
GPM = 3.785411784e-3 / 60.0


def test_rehbock():
    """Rehbock 1929; agrees with a general library: check 9.1."""
    assert weir_rehbock(1.0, 0.1, 0.5) == close_to(0.0588, "0.3 %", "m3/s")


def test_broad_crest():
    """Critical flow without loss, exact: check 9.2."""
    assert h.broad_crested_weir(2.0, 0.15, 1.705) == close_to(0.19806, "0.1 %", "m3/s")


@pytest.mark.parametrize(
    ("coefficient", "diameter", "head", "flow"),
    [pytest.param(0.6, 0.1, 1.2, 0.022862, id="9.3"), pytest.param(0.61, 0.0762, 0.8, 0.011019, id="9.4")],
)
def test_orifice(coefficient, diameter, head, flow):
    """Cd A sqrt(2 g h), h to the centre, exact."""
    assert h.orifice_flow(coefficient, diameter, head) == close_to(flow, "0.1 %", "m3/s")


def test_francis():
    """Francis 1868, two end contractions, 4 ft and 0.35 ft: check 9.5."""
    assert h.weir_francis(4 * FOOT, 0.35 * FOOT, 2) / FOOT**3 == close_to(2.7098, "0.1 %", "ft3/s")


@pytest.mark.parametrize("head", [0.0, -0.3])
def test_no_head_no_flow(head):
    assert h.broad_crested_weir(2.0, head, 1.705) == 0.0
    assert h.weir_francis(2.0, head) == 0.0
    assert weir_rehbock(2.0, head, 0.5) == 0.0
    assert h.orifice_flow(0.6, 0.2, head - 0.1) == 0.0


def strips(diameter, wet):
    """Flow through the wet part of a round hole, each strip at its own head, over Cd."""
    below = (np.arange(4000) + 0.5) / 4000 * wet  # under the water surface
    up = wet - below
    width = 2.0 * np.sqrt(up * (diameter - up))
    return np.sum(width * np.sqrt(2.0 * G * below)) * wet / 4000


@pytest.mark.parametrize("share", [0.1, 0.25, 0.5, 0.75, 0.9, 1.0])
def test_partly_filled_orifice_is_near_the_sum_of_its_strips(share):
    diameter = 0.3
    crown = h.orifice_flow(1.0, diameter, 0.5 * diameter)
    flow = h.orifice_flow(1.0, diameter, (share - 0.5) * diameter)
    assert flow == pytest.approx(strips(diameter, share * diameter), abs=0.06 * crown)


def test_orifice_rises_without_jump_or_kink():
    diameter = 0.3
    heads = np.linspace(-0.2, 0.4, 6001)
    flow = np.array([h.orifice_flow(0.6, diameter, head) for head in heads])
    slope = np.diff(flow) / np.diff(heads)
    assert np.all(slope >= 0.0)
    assert np.max(np.abs(np.diff(slope))) < 2e-3 * np.max(slope)
