"""What floats fills the basin upward from its underside: level of water in a hole, and drawdown under ice."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pondsim.processes import constituents as s
from pondsim.scenario.settings import Ice, Numerics, Orifice, Outlet
from tests.engine.ponds import CELSIUS_0, LEVEL, Zone, filled_with, inert_pond, integrate_pond, steady_weather

FROST = {"air": -10.0, "dew": -15.0, "wind": 2.0, "cloud": 50.0}


def valley(wide: float) -> Zone:
    """2 m deep with a straight bank: 100 m2 on its bed, `wide` at normal pool."""
    slope = (wide - 100.0) / 2.0
    stage = (LEVEL - 2.0, LEVEL + 2.0)
    return Zone(name="pool", centre=(0.0, 0.0), stage=stage, area=(100.0, 100.0 + 4.0 * slope))


def frozen(zone: Zone, thick: float, **sections):
    start = replace(filled_with("pool", CELSIUS_0, 10e-3), ice_thickness=thick)
    settings = {"ice": Ice(), "start": start, "weather": steady_weather(**FROST), "numerics": Numerics()}
    return inert_pond(zone, **(settings | sections))


def volume_below(zone: Zone, level: np.ndarray) -> np.ndarray:
    """Of a basin with one straight bank [m3]."""
    depth = level - zone.stage[0]
    rise = (zone.area[1] - zone.area[0]) / (zone.stage[1] - zone.stage[0])
    return zone.area[0] * depth + 0.5 * rise * depth**2


@pytest.mark.parametrize("wide", [100.0, 900.0])
def test_freezing_leaves_the_level_in_a_hole_where_it_was(wide):
    """Archimedes: ice displaces its own weight, so a closed pond stands where it stood; banks or none."""
    zone = valley(wide)
    marched = integrate_pond(frozen(zone, 0.02, days=20.0, layers=4))
    level = marched.season.surface[:, 0] + marched.season.floating[:, 0]
    ice = marched.state_part("zones")[:, s.ICE, 0]
    assert ice[-1] - ice[0] > 0.1 * zone.area[0]
    assert level[1:] == pytest.approx(level[1], abs=1e-4)  # none floats yet in the first row here
    whole = marched.amounts(s.WATER).sum(axis=1) + ice
    assert volume_below(zone, level[1:]) == pytest.approx(whole[1:], rel=5e-5)


def test_drawdown_under_ice_ends_at_the_outlet():
    """A pond that narrows to a tenth is drained under 0.25 m of ice through a hole 1 m down.

    Taken as a sheet on what is left of the surface, the ice would stand meters high and press the pond out
    through the hole until nothing was left. It lies on the banks instead: water and what floats on it fill
    the basin to the lower edge of the hole, or hardly more.
    """
    zone = valley(1900.0)
    hole = Outlet(zone="pool", orifice=(Orifice(elevation=LEVEL - 1.0, diameter=0.15),))
    marched = integrate_pond(frozen(zone, 0.25, days=6.0, layers=6, outlet=hole))
    level = marched.season.surface[-1, 0] + marched.season.floating[-1, 0]
    assert level == pytest.approx(LEVEL - 1.075, abs=0.03)
    ice = marched.state_part("zones")[-1, s.ICE, 0]
    whole = marched.amounts(s.WATER)[-1].sum() + ice
    assert volume_below(zone, level) == pytest.approx(whole, rel=0.01)
