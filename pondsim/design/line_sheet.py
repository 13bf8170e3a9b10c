"""The circulation line on the design sheet: every number of it at low pool, normal pool and bank top."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from pondsim.constants import HOUR
from pondsim.design.line_profile import stations_of
from pondsim.design.line_values import AtPool, Curves, LineSheet
from pondsim.design.starving import most_of_intake
from pondsim.design.waterfall import WARM, waterfall_sheet
from pondsim.design.well_start import Swing, WellStart, time_to_fall, well_start
from pondsim.physics.oxygen import standard_pressure
from pondsim.physics.pipes import minimum_submergence, pipe_velocity
from pondsim.physics.pumps import npsh_available, water_power
from pondsim.physics.water import vapour_pressure, water_density
from pondsim.scenario.settings import Scenario
from pondsim.site.circulation_line import (
    Line,
    circulation_line,
    delivered,
    discharge_loss,
    electric_power,
    flow_against,
    grate_velocity,
    lip_level,
    pump_head,
    suction_loss,
    system_head,
    well_level,
)
from pondsim.site.pipe_run import pipe_name

POINTS = 81  # of the curves for drawing
SHEETS_KEPT = 8  # of the last designs: limits, results and pages of one ask for it one after another
WELL_POINTS = 15  # levels of the well at which the pump's flow is found for its start


@lru_cache(SHEETS_KEPT)
def line_sheet(scenario: Scenario) -> LineSheet | None:
    """Every number of the line that needs no run; None where there is no loop.

    Parameters
    ----------
    scenario : Scenario
        As `read_scenario` returns it.

    Returns
    -------
    LineSheet or None
        SI throughout.

    Notes
    -----
    Grate losses are those with the stated share blocked; water for friction is 20 degC, for suction 28 degC.
    Raises: nothing.
    """
    line = circulation_line(scenario)
    if line is None:
        return None
    pond = scenario.pond
    low = pond.normal_pool if pond.low_pool is None else pond.low_pool
    names = (("low pool", low), ("normal pool", pond.normal_pool), ("bank top", pond.bank_top))
    first, second, third = (_at_pool(name, level, line, scenario) for name, level in names)
    pools = (first, second, third)
    waterfall = waterfall_sheet(scenario, second.flow)
    assert waterfall is not None
    gravity, discharge = scenario.gravity_line, scenario.discharge
    return LineSheet(
        pools,
        _curves(line, pools),
        stations_of(line, scenario, pools),
        waterfall,
        pipe_name(line.intake),
        "" if gravity is None else pipe_name(gravity),
        "" if discharge is None else pipe_name(discharge),
        (
            line.opening,
            line.gravity.diameter if line.gravity else None,
            line.discharge.diameter if line.discharge else None,
        ),
    )


def _at_pool(name: str, level: float, line: Line, scenario: Scenario) -> AtPool:
    flow = delivered(line, level)
    head, lip, lost = pump_head(line, flow, level), lip_level(line, flow, level), suction_loss(line, flow)
    well = None if line.well is None else well_level(line, flow, level)
    shaft = _shaft_power(line, flow, head)
    hydraulic = float(water_power(flow, head))
    opening, grate = line.opening, line.intake.grate_area
    starving, why = most_of_intake(line, scenario, level)
    start, starts = _start(line, level)
    return AtPool(
        name=name,
        pond_level=level,
        lip_level=lip,
        well_level=well,
        flow=flow,
        head=head,
        static_lift=lip - (level if well is None else well),
        suction_loss=lost,
        discharge_loss=None if line.discharge is None else discharge_loss(line, flow),
        over_pump_off=None if well is None else well - line.pump_off,
        efficiency=hydraulic / shaft if shaft else None,
        hydraulic_power=hydraulic,
        shaft_power=shaft,
        electric_power=electric_power(line, flow, level),
        intake_velocity=None if opening is None else float(pipe_velocity(flow, opening)),
        gravity_velocity=None if line.gravity is None else line.gravity.velocity(flow),
        discharge_velocity=None if line.discharge is None else line.discharge.velocity(flow),
        grate_face_velocity=None if grate is None else flow / grate,
        grate_velocity=grate_velocity(line, flow, 0.0),
        grate_velocity_blocked=grate_velocity(line, flow, line.intake.grate_blocked),
        cover_top=None if opening is None else level - line.intake.elevation - 0.5 * opening,
        cover_centre=level - line.intake.elevation,
        submergence=None
        if opening is None
        else float(minimum_submergence(opening, pipe_velocity(flow, opening))),
        starving_flow=starving,
        starved_by=why,
        npsh_available=_npsh(line, scenario, flow, level),
        start=start,
        starts=starts,
    )


def _shaft_power(line: Line, flow: float, head: float) -> float | None:
    if line.curve is not None:
        return line.curve.shaft_power_at(flow)
    if line.pump.efficiency is None:
        return None
    return float(water_power(flow, head, line.pump.efficiency))


def _npsh(line: Line, scenario: Scenario, flow: float, level: float) -> float | None:
    """Suction head the site offers: from the well, or from the pond through the suction line [m]."""
    elevation = line.pump.elevation
    if elevation is None:
        if line.well is None:
            return None
        elevation = line.well.bottom
    lost = suction_loss(line, flow)
    pressure = float(standard_pressure(scenario.place.elevation))
    vapour, density = float(vapour_pressure(WARM)), float(water_density(WARM))
    return float(npsh_available(pressure, vapour, level - elevation, lost, density))


def _start(line: Line, level: float) -> tuple[WellStart, float] | tuple[None, None]:
    """The well's first fall after a start with pond and well at one level; and starts per hour.

    A pump that its float stops starts again after its least rest, with the well full.
    """
    if line.well is None or line.gravity is None:
        return None, None
    falls = np.linspace(-0.2, max(level - line.well.bottom, 0.5), WELL_POINTS)
    flows = [_pumped(line, level, float(fall)) for fall in falls]
    area = 0.25 * math.pi
    swing = Swing(
        lambda flow: suction_loss(line, flow),
        lambda fall: float(np.interp(fall, falls, flows)),
        line.gravity.length,
        area * line.gravity.diameter**2,
        line.well.area,
    )
    start, allowed = well_start(swing), level - line.pump_off
    if allowed <= 0.0 or start.fall < allowed:  # it never starts, or it runs on
        return start, 0.0
    return start, HOUR / max(time_to_fall(swing, allowed) + line.pump.minimum_rest, 1.0)


def _pumped(line: Line, level: float, fall: float) -> float:
    """Flow of the pump while the well stands so much below the pond, whatever the line brings [m3/s]."""
    curve = line.curve
    if curve is None:
        return delivered(line, level)

    def asked(flow: float) -> float:
        return lip_level(line, flow, level) - level + fall + discharge_loss(line, flow)

    return flow_against(curve, asked)


def _curves(line: Line, pools: tuple[AtPool, AtPool, AtPool]) -> Curves:
    most = 1.25 * max(pool.flow for pool in pools)
    curve = line.curve
    if curve is not None:
        most = max(most, curve.most_flow)
    flow = np.linspace(0.0, max(most, 1e-3), POINTS)
    system = np.array([[system_head(line, q, pool.pond_level) for q in flow.tolist()] for pool in pools])
    if curve is None:
        return Curves(flow, system, None, None, None, None)
    head = curve.head_at(flow)
    shaft = [curve.shaft_power_at(q) for q in flow.tolist()]
    hydraulic = np.asarray(water_power(flow, np.maximum(head, 0.0)))
    efficiency = np.array([h / p if p else np.nan for h, p in zip(hydraulic, shaft, strict=True)])
    power = np.array([curve.electric_power_at(q) for q in flow.tolist()])
    points = np.array([curve.count * curve.speed * curve.flow, curve.speed**2 * curve.head])
    return Curves(flow, system, head, efficiency, power, points if curve.stated else None)
