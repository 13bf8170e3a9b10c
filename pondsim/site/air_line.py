"""What an aeration unit delivers at each depth of its diffusers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.scenario.settings import Aeration, Scenario
from pondsim.site.equipment import unit_power
from pondsim.site.pond import FloatArray


@dataclass(frozen=True)
class AirTable:
    """A unit at rising depths of water over its diffusers; straight lines between, the last value beyond.

    Attributes
    ----------
    depth : (n,) water over the diffusers, rising, n at least 2 [m]
    air_flow : (n,) standard air through each diffuser [standard m3/s]
    power : (n,) electric, of the whole unit [W]
    """

    depth: FloatArray
    air_flow: FloatArray
    power: FloatArray


def air_table(unit: Aeration, scenario: Scenario) -> AirTable:
    """The table of a unit."""
    power = unit_power(unit, scenario)
    return AirTable(np.array([0.0, 30.0]), np.full(2, unit.air_flow), np.full(2, power))
