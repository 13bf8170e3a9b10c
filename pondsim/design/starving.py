"""The most an intake and its gravity line can give."""

from __future__ import annotations

import math

from pondsim.physics.hydraulics import orifice_flow
from pondsim.roots import root_between
from pondsim.scenario.settings import Scenario
from pondsim.site.circulation_line import Line, suction_loss

OPENING = 0.6  # discharge coefficient of a partly dry opening, sharp edge
ENOUGH = 20.0  # m3/s, more than any loop: where nothing starves the intake


def most_of_intake(line: Line, scenario: Scenario, level: float) -> tuple[float, str]:
    """Most flow the intake can give at a level of the pond, and what limits it [m3/s], in words."""
    flow, why = math.inf, ""
    if line.opening is not None and level < line.intake.elevation + 0.5 * line.opening:
        over = level - line.intake.elevation
        flow, why = float(orifice_flow(OPENING, line.opening, over)), "the opening falls dry"
    if line.well is None:
        return flow, why
    floor, reason = line.pump_off, "the well falls to pump-off"
    outlet = None if scenario.gravity_line is None else scenario.gravity_line.outlet
    if outlet is not None and outlet > floor:
        floor, reason = outlet, "the gravity line runs dry at the well"
    by_well = _flow_of_loss(line, level - floor)
    return (by_well, reason) if by_well < flow else (flow, why)


def _flow_of_loss(line: Line, head: float) -> float:
    """Flow that loses so much head on its way to the well. [m3/s]"""
    if head <= 0.0:
        return 0.0
    if suction_loss(line, ENOUGH) <= head:
        return math.inf
    return root_between(lambda flow: suction_loss(line, flow) - head, 0.0, ENOUGH, within=1e-10)
