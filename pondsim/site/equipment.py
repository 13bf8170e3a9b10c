"""Electric power of pumps and air sources, as given or from default efficiencies."""

from __future__ import annotations

from pondsim.physics.pumps import water_power
from pondsim.scenario.settings import Aeration, Pump, Scenario, Waterfall
from pondsim.site.air_line import air_point

FITTINGS_HEAD = 2.0  # m added to the drop where no total head is given (common practice, no source)


def loop_head(pump: Pump, waterfall: Waterfall) -> float:
    """Total head of the loop: as given, or the drop and an allowance for pipe and fittings [m]."""
    return waterfall.drop + FITTINGS_HEAD if pump.total_head is None else pump.total_head


def pump_power(pump: Pump, waterfall: Waterfall) -> float:
    """Electric power of a circulation pump of stated flow and of head stated or allowed for [W]."""
    if pump.power is not None:
        return pump.power
    assert pump.flow is not None
    return float(water_power(pump.flow, loop_head(pump, waterfall), pump.wire_to_water))


def unit_power(unit: Aeration, scenario: Scenario) -> float:
    """Electric power of an aeration unit at normal pool: metered, or from its source and line [W]."""
    return air_point(unit, scenario, max(scenario.pond.normal_pool - unit.elevation, 0.0)).power


def unit_air(unit: Aeration, scenario: Scenario) -> float:
    """Standard air through each diffuser of a unit at normal pool [standard m3/s]."""
    depth = max(scenario.pond.normal_pool - unit.elevation, 0.0)
    return air_point(unit, scenario, depth).air_flow / unit.diffusers
