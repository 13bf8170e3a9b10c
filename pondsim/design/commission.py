"""Start-up day: what flows by each reading, whether the readings agree, what was promised."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from pondsim.constants import GRAVITY
from pondsim.design.commission_values import Flow, Promise, Readings
from pondsim.physics.hydraulics import broad_crested_weir, weir_francis
from pondsim.physics.site_readings import SPECIFIC_WEIGHT, gauge_head, supply_power, well_inflow
from pondsim.roots import root_between
from pondsim.scenario.settings import Scenario
from pondsim.site.circulation_line import (
    Line,
    circulation_line,
    delivered,
    discharge_loss,
    electric_power,
    lip_level,
    pump_head,
    well_level,
)

# Errors of readings, taken as their half width; all by judgement but the weir's 1/16 in, common practice.
LIP_READ = 0.0254 / 16.0  # m
SHARP_ERROR, BROAD_ERROR = 0.05, 0.10  # share of the flow, of the coefficient of a crest
BROAD = 3.087 * 0.3048**0.5 * 0.93  # m^0.5/s, middle of 2.6 to 3.1 ft^0.5/s, natural stone, from memory
RISE_READ, TIME_READ = 0.25 * 0.0254, 1.0  # m, s
GAUGE_SHARE, GAUGE_LEAST = 0.02, 0.25 * 6894.757  # of the reading, and at least [Pa]
POWER_ERROR = 0.05  # share: meter, power factor, volts
CURVE_ERROR = 0.05  # share of the head or power that a pump may be off its curve
PIPE_ERROR = 0.10  # share of the computed loss of a line
WELL_READ = 0.02  # m


def promise_of(line: Line, readings: Readings) -> Promise:
    """What the line promises at the level of the day."""
    flow = delivered(line, readings.pond)
    width = line.waterfall.width
    lip = (
        root_between(lambda head: _weir(width, head, broad=readings.broad) - flow, 0.0, 5.0)
        if flow > 0.0
        else 0.0
    )
    gauge = None
    if readings.gauge_elevation is not None:
        gauge = SPECIFIC_WEIGHT * downstream(line, flow, readings)
    return Promise(
        flow,
        pump_head(line, flow, readings.pond),
        float(lip),
        None if line.well is None else well_level(line, flow, readings.pond),
        electric_power(line, flow, readings.pond),
        gauge,
    )


def downstream(line: Line, flow: float, readings: Readings) -> float:
    """Pressure head at the gauge that the line beyond it asks, velocity head taken off. [m]"""
    assert readings.gauge_elevation is not None
    lift = lip_level(line, flow, readings.pond) - readings.gauge_elevation
    return lift + discharge_loss(line, flow) - velocity_head(line, flow)


def velocity_head(line: Line, flow: float) -> float:
    """In the discharge. [m]"""
    return 0.0 if line.discharge is None else line.discharge.velocity(flow) ** 2 / (2.0 * GRAVITY)


def _weir(width: float, head: float, *, broad: bool) -> float:
    if broad:
        return float(broad_crested_weir(width, head, BROAD))
    return float(weir_francis(width, head, 0))


def flows_of(scenario: Scenario, readings: Readings) -> tuple[Flow, ...]:
    """The flow by each reading that was given; the scenario must have a loop. Raises: nothing."""
    line = circulation_line(scenario)
    assert line is not None
    found = []
    if readings.lip is not None:
        found.append(_by_lip(line, readings))
    if readings.rise is not None and readings.time is not None and line.well is not None:
        found.append(_by_rise(line, readings.rise, readings.time))
    if readings.gauge is not None and readings.gauge_elevation is not None and line.discharge is not None:
        found.append(_by_gauge_and_line(line, readings))
        if line.curve is not None:
            found.append(_by_gauge_and_curve(line, readings))
    if power_of(readings) is not None and line.curve is not None:
        found.append(_by_power(line, readings))
    return tuple(_held_against_curve(line, one) for one in found)


def _held_against_curve(line: Line, one: Flow) -> Flow:
    """A reading with a note where the pump's curve ends below it."""
    if line.curve is None or one.flow is None or not one.direct or one.flow <= line.curve.most_flow:
        return one
    ends = "the pump curve ends below this flow: check the reading, its unit and the crest or well first"
    return replace(one, note="; ".join(filter(None, (one.note, ends))))


def _by_lip(line: Line, readings: Readings) -> Flow:
    assert readings.lip is not None
    head = readings.lip
    flow = _weir(line.waterfall.width, head, broad=readings.broad)
    coefficient = BROAD_ERROR if readings.broad else SHARP_ERROR
    read = (1.0 + LIP_READ / head) ** 1.5 - 1.0 if head > 0.0 else 1.0
    thin = "the sheet is under an inch: it clings and passes more than the weir formula gives"
    return Flow("lip", flow, flow * math.hypot(coefficient, read), True, thin if head < 0.0254 else "")


def _by_rise(line: Line, rise: float, time: float) -> Flow:
    assert line.well is not None
    flow = float(well_inflow(line.well.area, rise, time))
    share = math.hypot(RISE_READ / rise, TIME_READ / time)
    late = "more than 20 s: the line has slowed down, the flow was more" if time > 20.0 else ""
    return Flow("well rise", flow, flow * share, True, late)


def _gauge_error(pressure: float) -> float:
    """Of a gauge. [m of water]"""
    return max(GAUGE_SHARE * pressure, GAUGE_LEAST) / SPECIFIC_WEIGHT


def _most(line: Line) -> float:
    promised = line.curve.most_flow if line.curve is not None else (line.pump.flow or 0.0)
    return 2.0 * max(promised, 1e-4)


def _root(excess: Callable[[float], float], most: float) -> float | None:
    """Flow at which something that falls with it is nothing; None where it is at no flow. [m3/s]"""
    if excess(0.0) < 0.0 or excess(most) > 0.0:
        return None
    return root_between(excess, 0.0, most, within=1e-9)


def _with_error(name: str, solve: Callable[[float], float | None], off: float, *, direct: bool) -> Flow:
    """The flow of a reading, and how far it moves when the head is off by `off` either way."""
    flow = solve(0.0)
    if flow is None:
        return Flow(name, None, 0.0, direct, "the reading fits no flow of this line")
    ends = [end for end in (solve(off), solve(-off)) if end is not None]
    error = max((abs(end - flow) for end in ends), default=0.0)
    if len(ends) < 2:
        error = max(error, flow)  # one end is off the line: it says little
    return Flow(name, flow, error, direct)


def _by_gauge_and_line(line: Line, readings: Readings) -> Flow:
    """Flow that the line beyond the gauge takes at this pressure."""
    assert readings.gauge is not None
    head = readings.gauge / SPECIFIC_WEIGHT

    def solve(off: float) -> float | None:
        return _root(lambda flow: head + off - downstream(line, flow, readings), _most(line))

    flow = solve(0.0)
    lost = 0.0 if flow is None else discharge_loss(line, flow)
    off = math.hypot(_gauge_error(readings.gauge), PIPE_ERROR * lost)
    return _with_error("gauge and line", solve, off, direct=False)


def well_of(line: Line, flow: float, readings: Readings) -> float:
    """Water the pump draws from: as read, else computed. [m]"""
    return well_level(line, flow, readings.pond) if readings.well is None else readings.well


def head_by_gauge(line: Line, flow: float, readings: Readings) -> float:
    """Head of the pump by the gauge while `flow` runs. [m]"""
    assert readings.gauge is not None and readings.gauge_elevation is not None
    above = readings.gauge_elevation - well_of(line, flow, readings)
    velocity = 0.0 if line.discharge is None else line.discharge.velocity(flow)
    return float(gauge_head(readings.gauge, above, velocity))


def gauge_off(readings: Readings, curve_head: float) -> float:
    """Half width of the pump's head by gauge against its curve. [m]"""
    read = _gauge_error(readings.gauge or 0.0)
    return math.hypot(read, CURVE_ERROR * curve_head, WELL_READ if readings.well is not None else 0.0)


def _by_gauge_and_curve(line: Line, readings: Readings) -> Flow:
    """Flow at which the pump's curve gives the head of the gauge."""
    curve = line.curve
    assert curve is not None

    def solve(off: float) -> float | None:
        return _root(
            lambda flow: float(curve.head_at(flow)) - head_by_gauge(line, flow, readings) - off, _most(line)
        )

    flow = solve(0.0) or 0.0
    off = gauge_off(readings, float(curve.head_at(flow)))
    return _with_error("gauge and pump curve", solve, off, direct=False)


def power_of(readings: Readings) -> float | None:
    """Electric power by the clamp meter; None where something is missing. [W]"""
    parts = (readings.amps, readings.volts, readings.power_factor, readings.phases)
    if any(part is None for part in parts):
        return None
    assert readings.amps is not None and readings.volts is not None
    assert readings.power_factor is not None and readings.phases is not None
    return supply_power(readings.volts, readings.amps, readings.power_factor, readings.phases)


def _by_power(line: Line, readings: Readings) -> Flow:
    """Flow at which the curve takes the power read: of several, that nearest the promise."""
    curve, power, name = line.curve, power_of(readings), "amps and pump curve"
    assert curve is not None and power is not None
    grid = np.linspace(0.0, 1.2 * curve.most_flow, 241)
    taken = np.array([curve.electric_power_at(flow) for flow in grid.tolist()])
    crossings = np.flatnonzero((taken[:-1] - power) * (taken[1:] - power) <= 0.0)
    if not crossings.size:
        return Flow(name, None, 0.0, False, "the curve takes this power at no flow")
    roots = [
        float(np.interp(power, *sorted_pair(taken[k : k + 2], grid[k : k + 2]))) for k in crossings.tolist()
    ]
    promised = delivered(line, readings.pond)
    flow = min(roots, key=lambda root: abs(root - promised))
    near = np.abs(taken - power) <= math.hypot(POWER_ERROR, CURVE_ERROR) * power
    span = grid[near]
    error = float(max(flow - span.min(), span.max() - flow)) if span.size else 0.0
    note = "power changes little with flow: a weak check" if error > 0.25 * flow else ""
    return Flow(name, flow, error, False, note)


def sorted_pair(values: np.ndarray, places: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Two values with their places, the lower first, as interpolation wants them."""
    order = np.argsort(values)
    return values[order], places[order]


def chosen_of(flows: tuple[Flow, ...]) -> list[Flow]:
    """The readings that the flow is taken from: those that know the water itself, else all."""
    known = [one for one in flows if one.flow is not None and one.error > 0.0]
    return [one for one in known if one.direct] or known


def best_flow(flows: tuple[Flow, ...]) -> Flow | None:
    """Mean of the readings that know the water itself, each by its error; else of all.

    Where they lie further apart than their errors allow, the error grows with that (Birge's ratio, Physical
    Review 40, 207, 1932, from memory).
    """
    chosen = chosen_of(flows)
    if not chosen:
        return None
    weights = np.array([one.error**-2.0 for one in chosen])
    values = np.array([one.flow for one in chosen])
    flow = float(np.sum(weights * values) / weights.sum())
    apart = float(np.sum(weights * (values - flow) ** 2)) / max(len(chosen) - 1, 1)
    return Flow("together", flow, math.sqrt(max(apart, 1.0) / weights.sum()), chosen[0].direct)
