"""The efficiency of a design where it runs, to be kept by the same equipment of another size.

A size is a stated flow or air. What curves tell of efficiency is kept as one number, that of the operating
point at normal pool: so the size that the design delivers takes the power that the design takes.
"""

from __future__ import annotations

from dataclasses import replace

from pondsim.scenario.settings import Aeration, Scenario
from pondsim.site.air_line import air_point
from pondsim.site.circulation_line import circulation_line, delivered, electric_power


def pump_efficiency(scenario: Scenario) -> float | None:
    """Wire to water at normal pool of a pump on a curve; None where its flow is stated, or nothing flows."""
    line = circulation_line(scenario)
    if line is None or line.curve is None:
        return None
    pool = scenario.pond.normal_pool
    flow = delivered(line, pool)
    taken = electric_power(line, flow, pool)
    if not (flow > 0.0 and taken > 0.0):
        return None
    stated = replace(line.pump, flow=flow, power=None, efficiency=None, wire_to_water=1.0)
    ideal = electric_power(replace(line, pump=stated, curve=None), flow, pool)
    return ideal / taken


def source_efficiency(unit: Aeration, scenario: Scenario) -> float | None:
    """Efficiency at normal pool of an air source; None where the air is stated, or nothing flows."""
    if unit.air_flow is not None:
        return None
    depth = max(scenario.pond.normal_pool - unit.elevation, 0.0)
    runs = air_point(unit, scenario, depth)
    if not (runs.air_flow > 0.0 and runs.power > 0.0):
        return None
    stated = replace(
        unit,
        air_flow=runs.air_flow / unit.diffusers,
        source_flow=None,
        source_free_flow=None,
        source_pressure=None,
        source_power=None,
        rated_flow=None,
        rated_free_flow=None,
        rated_pressure=None,
        source_efficiency=1.0,
        power=None,
    )
    return air_point(stated, scenario, depth).power / runs.power
