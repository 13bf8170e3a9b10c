"""What the circulation loop delivers at each level of the pond."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.scenario.settings import Scenario
from pondsim.site.equipment import pump_power
from pondsim.site.pond import FloatArray


@dataclass(frozen=True)
class LoopTable:
    """The loop at rising levels of the pond; straight lines between, the last value beyond.

    Attributes
    ----------
    pond_level : (n,) water surface elevation at the intake, rising, n at least 2 [m]
    flow : (n,) what the pump delivers while it runs [m3/s]
    power : (n,) electric [W]
    well_level : (n,) water surface in the wet well while the pump runs; the pond's where there is none [m]
    pump_off : elevation in the well at which the pump is stopped; -inf where nothing stops it [m]
    """

    pond_level: FloatArray
    flow: FloatArray
    power: FloatArray
    well_level: FloatArray
    pump_off: float


def loop_table(scenario: Scenario) -> LoopTable | None:
    """The loop of a scenario; None where there is none."""
    intake, pump, waterfall = scenario.intake, scenario.pump, scenario.waterfall
    if intake is None or pump is None or waterfall is None:
        return None
    level = np.array([intake.elevation, intake.elevation + 30.0])
    power = pump_power(pump, waterfall)
    return LoopTable(level, np.full(2, pump.flow), np.full(2, power), level.copy(), -np.inf)
