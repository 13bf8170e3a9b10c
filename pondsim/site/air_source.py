"""What an air source gives at each pressure: its curve in standard air, as stated or from a rated point."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from pondsim.physics.air_pipes import air_mass, standard_from_free
from pondsim.physics.bubbles import adiabatic_power
from pondsim.physics.oxygen import standard_pressure
from pondsim.scenario.defaults import parameter_value
from pondsim.scenario.settings import Aeration, Place, Pond, Scenario
from pondsim.site.pond import FloatArray


class AirPlace(NamedTuple):
    """All of a scenario that an air line depends on beside its unit."""

    place: Place
    pond: Pond


@dataclass(frozen=True)
class SourceCurve:
    """A whole air source; straight lines between its points.

    Below the lowest pressure the flow stays that of the first point. At the highest a relief valve opens: the
    line gets what that pressure drives through it and the rest blows off; where it drives nothing, nothing.

    Attributes
    ----------
    pressure : (n,) gauge, at the outlet, rising [Pa]
    flow : (n,) falling [standard m3/s]
    power : (n,) electric, or None where it is computed [W]
    generic : whether its shape is a stated guess round a rated point
    """

    pressure: FloatArray
    flow: FloatArray
    power: FloatArray | None
    generic: bool = False


def inlet_pressure(scenario: Scenario | AirPlace) -> float:
    """Air pressure of the place, where the source draws [Pa]."""
    return float(standard_pressure(scenario.place.elevation))


def source_curve(unit: Aeration, scenario: Scenario | AirPlace) -> SourceCurve | None:
    """The curve of a unit's air source in standard air; None where the air flow is stated.

    Notes
    -----
    The checks of the scenario see to it that the points are complete and in order.
    """
    if unit.source_pressure is not None:
        flow = _standard(unit.source_flow, unit.source_free_flow, unit, scenario)
        order = np.argsort(unit.source_pressure)  # a sheet may begin at either end
        power = None if unit.source_power is None else np.array(unit.source_power)[order]
        return SourceCurve(np.array(unit.source_pressure)[order], flow[order], power)
    if unit.rated_pressure is not None:
        rated = _standard(unit.rated_flow, unit.rated_free_flow, unit, scenario)
        open_flow = parameter_value(f"aeration.open_flow_{unit.source}")
        most = parameter_value(f"aeration.max_pressure_{unit.source}")
        at_most = max(open_flow - (open_flow - 1.0) * most, 0.0)
        pressure = unit.rated_pressure * np.array([0.0, 1.0, most])
        return SourceCurve(pressure, rated * np.array([open_flow, 1.0, at_most]), None, generic=True)
    return None


def _standard(
    standard: float | tuple[float, ...] | None,
    free: float | tuple[float, ...] | None,
    unit: Aeration,
    scenario: Scenario | AirPlace,
) -> FloatArray:
    if standard is not None:
        return np.array(standard)
    volume = np.array(free, dtype=float)
    return np.array(standard_from_free(volume, inlet_pressure(scenario), unit.inlet_temperature))


def source_power(unit: Aeration, scenario: Scenario | AirPlace, air: float, pressure: float) -> float:
    """Electric power at a flow of the whole unit [standard m3/s] and a gauge pressure at its source [Pa]."""
    if unit.power is not None:
        return unit.power
    curve = source_curve(unit, scenario)
    if curve is not None:
        air = max(air, float(curve.flow[-1]))  # with what blows off
        if curve.power is not None:
            return float(np.interp(pressure, curve.pressure, curve.power))
    inlet = inlet_pressure(scenario)
    return float(
        adiabatic_power(
            air_mass(air), unit.inlet_temperature, inlet, inlet + pressure, unit.source_efficiency
        )
    )


def stalled_power(unit: Aeration, scenario: Scenario | AirPlace, curve: SourceCurve) -> float:
    """Electric power of a source that cannot overcome the water: the most on its curve [W]."""
    points = zip(curve.flow, curve.pressure, strict=True)
    return max(source_power(unit, scenario, float(flow), float(pressure)) for flow, pressure in points)
