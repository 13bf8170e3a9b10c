"""Where storms come to rest within hours, at any layers, also with grown algae; from where water is drawn."""

from __future__ import annotations

import math
from datetime import timedelta
from functools import cache

import numpy as np
import pytest

from pondsim.processes import constituents as s
from pondsim.processes.work import INTAKE_DRAW, OUTLET_DRAW
from pondsim.scenario.settings import Algae, Inflow, Intake, Orifice, Outlet, Pump, Waterfall
from tests.engine.ponds import (
    BEGIN,
    CELSIUS_0,
    LEVEL,
    basin,
    filled_with,
    inert_pond,
    integrate_pond,
    rates_of,
)
from tests.engine.test_flows import stratified

DEPTH, AREA = 2.4, 900.0
STORMS = {  # degC and kg/m3 of chloride, into a pool of 20 degC without salt
    "salt": (20.0, 1.0),
    "cold": (12.0, 0.0),
    "warm": (28.0, 0.0),
}


@cache
def at_rest(storm: str, layers: int, mode: str) -> tuple[np.ndarray, np.ndarray]:
    """Tops of the layers, and the share of what the storm brought that lies below each, an hour after it.

    60 m3 within three hours into a fully mixed pool of 2160 m3; nothing mixes it but what the storm entrains.
    """
    temperature, chloride = STORMS[storm]
    rain = Inflow(
        zone="pool",
        start=BEGIN + timedelta(hours=1),
        duration=3 * 3600.0,
        volume=60.0,
        temperature=CELSIUS_0 + temperature,
        chloride=chloride,
    )
    pond = inert_pond(
        basin("pool", AREA, DEPTH),
        days=5.0 / 24.0,
        layers=layers,
        inflow=(rain,),
        start=filled_with("pool"),
        algae=Algae(mode=mode, chlorophyll=(0.0,) * 12),
    )
    marched = integrate_pond(pond)
    water = marched.amounts(s.WATER)[-1]
    brought = marched.amounts(s.SALT)[-1]
    if chloride == 0.0:
        brought = marched.amounts(s.HEAT)[-1] - (CELSIUS_0 + 20.0) * water
    return marched.model.work.top.copy(), np.cumsum(brought / brought.sum())


@pytest.mark.parametrize("mode", ["given", "grown"])
@pytest.mark.parametrize("layers", [4, 8, 16, 32])
@pytest.mark.parametrize("storm", STORMS)
def test_heavy_storms_sink_and_warm_ones_stay_on_top(storm: str, layers: int, mode: str) -> None:
    """All but a tenth lies in its half of the pool; the share below mid-depth is that of 32 layers."""
    tops, below = at_rest(storm, layers, mode)
    share = float(np.interp(LEVEL - 0.5 * DEPTH, tops, below))
    assert share > 0.9 if storm != "warm" else share < 0.1
    fine_tops, fine = at_rest(storm, 32, mode)
    assert share == pytest.approx(float(np.interp(LEVEL - 0.5 * DEPTH, fine_tops, fine)), abs=0.05)


@pytest.mark.parametrize("below", [0.6, 1.2, 2.0])
def test_an_intake_and_a_hole_draw_by_one_law(below: float) -> None:
    """The same flow at the same elevation of a stratified pool: the same share of every layer.

    A hole of 0.1 m, coefficient 0.6, passes 0.6 A sqrt(2 g H).
    """
    flow = 0.6 * 0.25 * math.pi * 0.1**2 * math.sqrt(2.0 * 9.80665 * below)
    pond = inert_pond(
        basin("pool", AREA, DEPTH),
        layers=12,
        start=stratified("pool", DEPTH),
        outlet=Outlet(zone="pool", orifice=(Orifice(elevation=LEVEL - below, diameter=0.1),)),
        intake=Intake(zone="pool", elevation=LEVEL - below),
        pump=Pump(flow=flow),
        waterfall=Waterfall(zone="pool", drop=1.0, width=2.0),
    )
    model, _, _ = rates_of(pond)
    draw = model.work.draw
    assert draw[OUTLET_DRAW] == pytest.approx(draw[INTAKE_DRAW], abs=1e-9)
    assert draw[OUTLET_DRAW].sum() == pytest.approx(1.0, rel=1e-12)
