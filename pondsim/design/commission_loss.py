"""Where the flow is lost: pump, discharge or suction, by inverting the line at what was read."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from pondsim.design.commission import (
    PIPE_ERROR,
    WELL_READ,
    downstream,
    gauge_off,
    head_by_gauge,
    velocity_head,
)
from pondsim.design.commission_values import Flow, Readings
from pondsim.physics.site_readings import SPECIFIC_WEIGHT
from pondsim.roots import root_between
from pondsim.site.circulation_line import Line, delivered, suction_loss

LOCATED, POSSIBLE, SOUND = "located", "possible", "sound"
SLOWEST, MOST_BLOCKED, MOST_EXTRA = 0.3, 0.995, 1e5


@dataclass(frozen=True)
class Cause:
    """One place where flow may be lost.

    Attributes
    ----------
    place : "pump", "discharge" or "suction"
    verdict : "located" (measured apart), "possible" (it alone would explain the flow), "sound"
    value : share of its speed, extra loss coefficient, share of the grate blocked; None if unknown
    low, high : the same at the ends of the error
    also : of the discharge, the extra loss as a length of the same pipe [m]; of the pump, share of its head;
        of the suction, head lost beside a clean grate [m]
    """

    place: str
    verdict: str
    value: float | None
    low: float | None = None
    high: float | None = None
    also: float | None = None


def causes_of(line: Line, readings: Readings, best: Flow) -> tuple[Cause, ...]:
    """Causes in the order of the water: measured apart where the readings allow it, else each alone.

    Parameters
    ----------
    line : Line
        As designed.
    readings : Readings
    best : Flow
        What flows, from `best_flow`, known apart from the pump's curve.

    Returns
    -------
    tuple of Cause
        Empty where the flow is not known.
    """
    if best.flow is None or best.flow <= 0.0:
        return ()
    found = [_suction(line, readings, best)]
    if readings.gauge is not None and readings.gauge_elevation is not None:
        found += [_pump(line, readings, best), _discharge(line, readings, best)]
    else:
        short = best.high < delivered(line, readings.pond)
        found += _alone(line, readings, best.flow) if short else []
    return tuple(cause for cause in found if cause is not None)


def _pump(line: Line, readings: Readings, best: Flow) -> Cause | None:
    """Head by the gauge against the curve at what flows."""
    curve = line.curve
    if curve is None or best.flow is None:
        return None
    head, own = head_by_gauge(line, best.flow, readings), float(curve.head_at(best.flow))
    slope = abs(float(curve.head_at(best.high)) - float(curve.head_at(max(best.low, 0.0)))) / 2.0
    off = math.hypot(gauge_off(readings, own), slope)
    speeds = [_speed(line, best.flow, value) for value in (head, head - off, head + off)]
    verdict = LOCATED if abs(head - own) > off else SOUND
    return Cause("pump", verdict, speeds[0], speeds[1], speeds[2], head / own if own > 0.0 else None)


def _speed(line: Line, flow: float, head: float) -> float | None:
    """Share of its speed at which the pump would give this flow at this head, by the affinity laws."""
    assert line.curve is not None

    def excess(share: float) -> float:
        assert line.curve is not None
        return float(replace(line.curve, speed=line.curve.speed * share).head_at(flow)) - head

    return _between(excess, SLOWEST, 1.5)


def _between(excess: Callable[[float], float], low: float, high: float) -> float | None:
    if excess(low) * excess(high) > 0.0:
        return None
    return root_between(excess, low, high, within=1e-9)


def _discharge(line: Line, readings: Readings, best: Flow) -> Cause | None:
    """Head lost beyond the gauge against the line as drawn, at what flows by lip or well."""
    if line.discharge is None or best.flow is None or readings.gauge is None:
        return None
    flow = best.flow
    extra = readings.gauge / SPECIFIC_WEIGHT - downstream(line, flow, readings)
    step = abs(downstream(line, best.high, readings) - downstream(line, max(best.low, 0.0), readings)) / 2.0
    from_gauge = gauge_off(replace(readings, well=None), 0.0)
    off = math.hypot(from_gauge, step, PIPE_ERROR * line.discharge.loss(flow))
    head = velocity_head(line, flow)
    friction = line.discharge.friction(flow) / line.discharge.length if line.discharge.length else 0.0
    return Cause(
        "discharge",
        LOCATED if extra > off else SOUND,
        extra / head if head > 0.0 else None,
        (extra - off) / head if head > 0.0 else None,
        (extra + off) / head if head > 0.0 else None,
        extra / friction if friction > 0.0 else None,
    )


def _suction(line: Line, readings: Readings, best: Flow) -> Cause | None:
    """Fall from the pond to the well against that with the grate as drawn, at what flows."""
    if readings.well is None or best.flow is None:
        return None
    fall = readings.pond - readings.well
    clean = suction_loss(_with_grate(line, 0.0), best.flow)
    step = abs(suction_loss(line, best.high) - suction_loss(line, max(best.low, 0.0))) / 2.0
    off = math.hypot(WELL_READ, step, PIPE_ERROR * clean)
    drawn = suction_loss(line, best.flow)
    value, low, high = (_blocked(line, best.flow, one) for one in (fall, fall - off, fall + off))
    return Cause("suction", LOCATED if fall - drawn > off else SOUND, value, low, high, fall - clean)


def _with_grate(line: Line, blocked: float) -> Line:
    return replace(line, intake=replace(line.intake, grate_blocked=blocked))


def _blocked(line: Line, flow: float, fall: float) -> float | None:
    """Share of the grate that is blocked when the well stands so far below the pond."""
    if line.intake.grate_area is None:
        return None
    return _between(lambda share: suction_loss(_with_grate(line, share), flow) - fall, 0.0, MOST_BLOCKED)


def _alone(line: Line, readings: Readings, flow: float) -> list[Cause | None]:
    """What each cause would have to be if it alone explained the flow."""
    found: list[Cause | None] = []
    if line.curve is not None:
        curve = line.curve

        def slower(share: float) -> float:
            return (
                delivered(replace(line, curve=replace(curve, speed=curve.speed * share)), readings.pond)
                - flow
            )

        speed = _between(slower, SLOWEST, 1.0)
        found.append(Cause("pump", POSSIBLE, speed, also=None if speed is None else speed**2))
        if line.discharge is not None:
            pipe = line.discharge

            def throttled(extra: float) -> float:
                more = replace(line, discharge=replace(pipe, fittings=pipe.fittings + extra))
                return delivered(more, readings.pond) - flow

            extra = _between(throttled, 0.0, MOST_EXTRA)
            friction = pipe.friction(flow) / pipe.length if pipe.length else 0.0
            length = None
            if extra is not None and friction > 0.0:
                length = extra * velocity_head(line, flow) / friction
            found.append(Cause("discharge", POSSIBLE, extra, also=length))
        if line.intake.grate_area is not None and readings.well is None:

            def clogged(share: float) -> float:
                return delivered(_with_grate(line, share), readings.pond) - flow

            found.append(
                Cause("suction", POSSIBLE, _between(clogged, line.intake.grate_blocked, MOST_BLOCKED))
            )
    return found
