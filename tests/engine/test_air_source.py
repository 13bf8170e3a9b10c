"""A run with an air source: what it reports is what source and line give at the levels the pond had."""

import pytest

from pondsim.scenario.settings import Aeration
from pondsim.site.air_line import air_point
from tests.engine.ponds import LEVEL, basin, inert_pond
from tests.runs import run

PSI = 6894.757293168
SCFM = 0.3048**3 / 60.0


def test_run_reports_the_operating_point():
    """Piston compressor on 200 ft of half-inch tubing; depth from the reported water surface."""
    unit = Aeration(
        name="air",
        zone="pool",
        elevation=LEVEL - 1.9,
        diffusers=2,
        source="compressor",
        source_flow=(4.0 * SCFM, 3.0 * SCFM),
        source_pressure=(0.0, 15 * PSI),
        source_power=(250.0, 400.0),
        tubing_diameter=0.0127,
        tubing_length=60.96,
    )
    scenario = inert_pond(basin("pool", 400.0, 2.0), layers=4, days=2.0, aeration=(unit,))
    results = run(scenario)
    depth = results["water_surface_elevation"].values - unit.elevation
    shallow, deep = (air_point(unit, scenario, float(d)) for d in (depth.min(), depth.max()))
    air, power = results["air_flow"].values[1:, 0], results["power"].values[1:]
    slack = 2e-3  # the table's straight lines, and the mean over a step of a moving surface
    assert deep.air_flow * (1 - slack) <= air.min() <= air.max() <= shallow.air_flow * (1 + slack)
    assert shallow.power * (1 - slack) <= power.min() <= power.max() <= deep.power * (1 + slack)
    by_hand = 1.9 * 998.2 * 9.80665 / PSI + 0.5  # psi before any loss in the tubing
    assert air.mean() / SCFM == pytest.approx(4.0 - by_hand / 15.0, rel=0.02)
