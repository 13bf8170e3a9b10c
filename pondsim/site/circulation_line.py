"""The circulation line from grate to lip as a value, its losses, and what it delivers at a level."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from pondsim.physics.lip import head_over_sharp_lip
from pondsim.physics.pipes import (
    grate_loss,
    pipe_velocity,
    size_change_coefficient,
    velocity_head_loss,
)
from pondsim.physics.pumps import water_power
from pondsim.roots import root_between
from pondsim.scenario.dredging import bed_at, begun
from pondsim.scenario.fittings_table import entrance_table
from pondsim.scenario.settings import (
    Discharge,
    Dredging,
    GravityLine,
    Intake,
    Pond,
    Pump,
    Scenario,
    Waterfall,
    WetWell,
)
from pondsim.site.equipment import loop_head, pump_power
from pondsim.site.pipe_run import PipeRun, bore, pipe_run
from pondsim.site.pump_curve import PumpCurve, pump_curve

EXIT = 1.0  # loss coefficient where a pipe ends in still water: its velocity head


@dataclass(frozen=True)
class Line:
    """The line as built.

    Attributes
    ----------
    intake, pump, waterfall, well : settings, SI
    opening : inside diameter of the pipe at the intake; None where no pipe is described [m]
    gravity : pipe from the intake to the well or the pump, or None
    discharge : pressure pipe, or None
    curve : of the pumps, or None where their flow is stated
    normal_pool : [m]
    bed : under the intake, as stated or the lowest of its zone at the start of the period [m]
    dug : dredging of that zone begun before the period, where the bed is not stated
    """

    intake: Intake
    pump: Pump
    waterfall: Waterfall
    well: WetWell | None
    opening: float | None
    gravity: PipeRun | None
    discharge: PipeRun | None
    curve: PumpCurve | None
    normal_pool: float
    bed: float
    dug: tuple[Dredging, ...] = ()

    @property
    def pump_off(self) -> float:
        """Elevation in the well at which the pump is stopped; -inf where nothing stops it. [m]"""
        return -np.inf if self.well is None else self.well.pump_off

    @property
    def head_is_computed(self) -> bool:
        """Whether the head at a stated flow follows from the line, and is not stated or an allowance."""
        return self.discharge is not None and self.pump.total_head is None


class LoopParts(NamedTuple):
    """All of a scenario that the line and its table depend on; `bed` as of `Line`."""

    bed: float
    pond: Pond
    intake: Intake | None
    gravity_line: GravityLine | None
    wet_well: WetWell | None
    pump: Pump | None
    discharge: Discharge | None
    waterfall: Waterfall | None


def circulation_line(scenario: Scenario | LoopParts) -> Line | None:
    """The line of a scenario; None where there is no loop."""
    intake, pump, waterfall = scenario.intake, scenario.pump, scenario.waterfall
    if intake is None or pump is None or waterfall is None:
        return None
    stated = stated_bed(scenario)
    intake = replace(intake, bed=stated)
    bed, dug = (stated, ()) if stated is not None else _lowest_bed(scenario, intake.zone)
    gravity = None if scenario.gravity_line is None else pipe_run(scenario.gravity_line)
    opening = bore(intake)
    return Line(
        intake,
        pump,
        waterfall,
        scenario.wet_well,
        gravity.diameter if opening is None and gravity else opening,
        gravity,
        None if scenario.discharge is None else pipe_run(scenario.discharge),
        pump_curve(pump),
        scenario.pond.normal_pool,
        bed,
        dug,
    )


def _lowest_bed(scenario: Scenario | LoopParts, zone: str) -> tuple[float, tuple[Dredging, ...]]:
    """The lowest bed of a zone as the period begins, and the dredging that left it so [m]."""
    if not isinstance(scenario, Scenario):
        return scenario.bed, ()
    return bed_at(scenario, zone, 0.0), tuple(work for work in begun(scenario) if work.zone == zone)


def stated_bed(scenario: Scenario | LoopParts) -> float | None:
    """Bed under the intake: as stated, or as sounded along the trench; None where neither says it. [m]"""
    if scenario.intake is not None and scenario.intake.bed is not None:
        return scenario.intake.bed
    trench = scenario.trench if isinstance(scenario, Scenario) else None
    return trench.bed[0] if trench is not None and trench.bed else None


def pipe_bottom(line: Line) -> float:
    """Bottom of the opening at the intake, inside; its centre where no pipe is described. [m]"""
    return line.intake.elevation - 0.5 * (line.opening or 0.0)


def grate_velocity(line: Line, flow: float, blocked: float) -> float | None:
    """Velocity through the gaps of the grate with a share of them blocked; None with no grate [m/s]."""
    if line.intake.grate_area is None:
        return None
    return flow / (line.intake.grate_area * line.intake.grate_open_share * (1.0 - blocked))


def intake_losses(line: Line, flow: float) -> tuple[float, float]:
    """Head lost in the grate, at the stated share blocked, and at the way into the pipe [m]."""
    grate = grate_velocity(line, flow, line.intake.grate_blocked)
    open_share = line.intake.grate_open_share * (1.0 - line.intake.grate_blocked)
    in_grate = 0.0 if grate is None else float(grate_loss(grate, open_share))
    if line.opening is None:
        return in_grate, 0.0
    loss = entrance_table()[line.intake.entrance].loss
    entrance = float(velocity_head_loss(pipe_velocity(flow, line.opening), loss))
    if line.gravity is not None and line.gravity.diameter != line.opening:
        narrow = min(line.opening, line.gravity.diameter)
        change = size_change_coefficient(line.opening, line.gravity.diameter)
        entrance += float(velocity_head_loss(pipe_velocity(flow, narrow), change))
    return in_grate, entrance


def suction_loss(line: Line, flow: float) -> float:
    """Head lost from the pond to the well, or to the pump where there is no well [m]."""
    lost = sum(intake_losses(line, flow))
    if line.gravity is None:
        return lost
    return lost + line.gravity.loss(flow, EXIT if line.well is not None else 0.0)


def discharge_loss(line: Line, flow: float) -> float:
    """Head lost from the pump to the lip [m]."""
    return 0.0 if line.discharge is None else line.discharge.loss(flow, EXIT)


def lip_level(line: Line, flow: float, pond_level: float) -> float:
    """Water at the lip: its crest and the head over it, or normal pool and the drop; never below the pond."""
    waterfall = line.waterfall
    if waterfall.lip is None:
        level = line.normal_pool + waterfall.drop
    else:
        level = waterfall.lip + float(head_over_sharp_lip(flow, waterfall.width))
    return max(level, pond_level)


def system_head(line: Line, flow: float, pond_level: float) -> float:
    """Head the pump must give so that `flow` runs from the pond to the lip [m]."""
    lift = lip_level(line, flow, pond_level) - pond_level
    return lift + suction_loss(line, flow) + discharge_loss(line, flow)


def delivered(line: Line, pond_level: float) -> float:
    """Flow at which pump and line agree; 0 where the pump cannot lift to the lip [m3/s]."""
    if line.curve is None:
        assert line.pump.flow is not None
        return line.pump.flow
    return flow_against(line.curve, lambda flow: system_head(line, flow, pond_level))


def flow_at_normal_pool(scenario: Scenario) -> float | None:
    """What the loop of a scenario delivers with the water at normal pool; None where there is none [m3/s]."""
    line = circulation_line(scenario)
    return None if line is None else delivered(line, scenario.pond.normal_pool)


def flow_against(curve: PumpCurve, asked: Callable[[float], float]) -> float:
    """Flow at which the pumps give the head that is asked at it; 0 where they do not reach it [m3/s].

    `asked` [m] must not fall with the flow [m3/s].
    """

    def excess(flow: float) -> float:
        return float(curve.head_at(flow)) - asked(flow)

    if excess(0.0) <= 0.0:
        return 0.0
    most = curve.most_flow
    while excess(most) > 0.0:
        most *= 1.5
    return root_between(excess, 0.0, most, within=1e-12, share=1e-12)


def pump_head(line: Line, flow: float, pond_level: float) -> float:
    """Head of the pump at a flow: by its curve, from the line, as stated, or drop and allowance [m]."""
    if line.curve is not None:
        return float(line.curve.head_at(flow))
    if line.head_is_computed:
        return system_head(line, flow, pond_level)
    return loop_head(line.pump, line.waterfall)


def electric_power(line: Line, flow: float, pond_level: float) -> float:
    """Power at the meter: as metered, from the curve, or from head and efficiency [W]."""
    if line.pump.power is not None:
        return line.pump.power
    if line.curve is not None:
        return line.curve.electric_power_at(flow)
    if not line.head_is_computed and line.pump.efficiency is None:
        return pump_power(line.pump, line.waterfall)
    efficiency = line.pump.wire_to_water
    if line.pump.efficiency is not None:
        efficiency = line.pump.efficiency * line.pump.motor_efficiency
    return float(water_power(flow, max(pump_head(line, flow, pond_level), 0.0), efficiency))


def well_level(line: Line, flow: float, pond_level: float) -> float:
    """Water in the well while `flow` runs: the pond's less what is lost on the way; else the pond's."""
    return pond_level if line.well is None else pond_level - suction_loss(line, flow)
