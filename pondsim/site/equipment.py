"""Electric power of pumps and air sources, as given or from default efficiencies."""

from __future__ import annotations

from pondsim.constants import GRAVITY, WATER_DENSITY, ZERO_CELSIUS
from pondsim.physics.bubbles import STANDARD_AIR_DENSITY, adiabatic_power
from pondsim.physics.oxygen import standard_pressure
from pondsim.physics.pumps import water_power
from pondsim.scenario.settings import Aeration, Pump, Scenario, Waterfall

FITTINGS_HEAD = 2.0  # m added to the drop where no total head is given (common practice, no source)
INLET_AIR = ZERO_CELSIUS + 25.0  # K, air drawn in by an air source in summer


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
    """Electric power of an aeration unit: adiabatic compression to its depth and line losses [W]."""
    if unit.power is not None:
        return unit.power
    inlet = float(standard_pressure(scenario.place.elevation))
    depth = max(scenario.pond.normal_pool - unit.elevation, 0.0)
    outlet = inlet + WATER_DENSITY * GRAVITY * depth + unit.line_loss
    air = unit.air_flow * unit.diffusers * STANDARD_AIR_DENSITY
    return float(adiabatic_power(air, INLET_AIR, inlet, outlet, unit.source_efficiency))
