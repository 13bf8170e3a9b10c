"""Checks of the circulation line: pipes one can buy, a pump that is known, floats and lip in their order."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from pondsim.scenario.check_pond import Fault, length
from pondsim.scenario.pipe_tables import KINDS, inside_diameters, nearest_inches
from pondsim.scenario.settings import Discharge, GravityLine, Intake, Pump, Scenario
from pondsim.units import show
from pondsim.words import counted

LEAST_POINTS = 3  # of a pump curve


def intake_pipe(scenario: Scenario) -> Iterator[Fault]:
    """The pipe at the intake, where one is named, is one that can be bought."""
    if scenario.intake is not None:
        yield from _pipe("intake", scenario.intake, needed=False)


def gravity_pipe(scenario: Scenario) -> Iterator[Fault]:
    """The gravity line has a bore: stated, or a size that its standard knows."""
    if scenario.gravity_line is not None:
        yield from _pipe("gravity_line", scenario.gravity_line, needed=True)


def discharge_pipe(scenario: Scenario) -> Iterator[Fault]:
    """The discharge has a bore: stated, or a size that its standard knows."""
    if scenario.discharge is not None:
        yield from _pipe("discharge", scenario.discharge, needed=True)


def _pipe(key: str, section: Intake | GravityLine | Discharge, *, needed: bool) -> Iterator[Fault]:
    bore, nominal, kind = section.inside_diameter, section.nominal, section.pipe
    if bore is not None:
        given = [name for name, value in (("nominal", nominal), ("pipe", kind)) if value is not None]
        if given:
            yield f"{key}.inside_diameter", f"stands beside {' and '.join(given)}; write one or the other."
    elif nominal is None and kind is None:
        if needed:
            yield key, 'has no pipe; write such as nominal = "12 in" and pipe = "pvc_40", or inside_diameter.'
    elif kind is None:
        words = ", ".join(f'"{name}"' for name in KINDS)
        yield f"{key}.nominal", f"says no kind of pipe; write also pipe, one of {words}."
    elif nominal is None:
        yield f"{key}.pipe", 'says no size; write also nominal, such as "12 in".'
    elif nearest_inches(nominal) not in inside_diameters(kind):
        sizes = ", ".join(f"{size:g}" for size in inside_diameters(kind))
        yield (
            f"{key}.nominal",
            f'= {show(nominal, "in", 4)} is not made as "{kind}" ({KINDS[kind][1]}); made are {sizes} in.',
        )


def pump(scenario: Scenario) -> Iterator[Fault]:
    """The pump is known in one way only, and a curve is one."""
    given = scenario.pump
    if given is None:
        return
    ways = {
        "flow": given.flow is not None,
        "curve_flow": bool(given.curve_flow or given.curve_head),
        "rated_flow": given.rated_flow is not None or given.rated_head is not None,
    }
    named = [name for name, there in ways.items() if there]
    if not named:
        yield (
            "pump",
            "has no flow; write flow, or curve_flow and curve_head, or rated_flow and rated_head.",
        )
    for name in named[1:]:
        yield f"pump.{name}", f"stands beside {named[0]}; write one of them."
    if named == ["flow"]:
        yield from _stated(given)
    elif ways["curve_flow"]:
        yield from _curve(given)
    elif (given.rated_flow is None) != (given.rated_head is None) and named:
        there, lacking = ("flow", "head") if given.rated_head is None else ("head", "flow")
        yield f"pump.rated_{there}", f"stands without rated_{lacking}; one point needs both."
    if named and named != ["flow"]:
        if given.total_head is not None:
            yield "pump.total_head", "stands beside a curve, from which the head follows; take it out."
        if scenario.discharge is None:
            yield f"pump.{named[-1]}", "needs the pipe it pumps through; write [discharge]."


def _stated(given: Pump) -> Iterator[Fault]:
    if given.speed != 1.0:
        yield "pump.speed", "acts on a curve; with a stated flow write the flow at that speed."
    for name in ("curve_efficiency", "curve_power"):
        if getattr(given, name):
            yield f"pump.{name}", "belongs to a curve; write curve_flow and curve_head, or take it out."


def _curve(given: Pump) -> Iterator[Fault]:
    flow, head = given.curve_flow, given.curve_head
    if not flow or not head:
        there, lacking = ("flow", "head") if flow else ("head", "flow")
        yield f"pump.curve_{there}", f"stands without curve_{lacking}; a curve needs both."
        return
    for name in ("curve_head", "curve_efficiency", "curve_power"):
        values = getattr(given, name)
        if values and len(values) != len(flow):
            yield (
                f"pump.{name}",
                f"has {counted(len(values), 'value')}, curve_flow {len(flow)}; write one for each.",
            )
    if len(flow) < LEAST_POINTS:
        count = f"{len(flow)} point{'' if len(flow) == 1 else 's'}"
        yield "pump.curve_flow", f"has {count}; read at least {LEAST_POINTS} from the curve."
    if any(after <= before for before, after in pairwise(flow)):
        yield "pump.curve_flow", "does not rise from value to value; write the points from the least flow on."
    if any(after >= before for before, after in pairwise(head)):
        yield (
            "pump.curve_head",
            "does not fall from value to value; write the points in order of flow, and leave out those "
            "left of the top of a curve that droops.",
        )
    if given.curve_efficiency and given.curve_power:
        yield "pump.curve_power", "stands beside curve_efficiency; write one or the other."
    pairs = zip(flow, given.curve_efficiency, strict=False)
    if given.curve_efficiency and not any(q > 0.0 and eta > 0.0 for q, eta in pairs):
        yield "pump.curve_efficiency", 'is nothing at every flow; write such as ["0 %", "45 %", "62 %"].'


def well(scenario: Scenario) -> Iterator[Fault]:
    """Floor, pump-off float, alarm and pond lie in that order, and something fills the well."""
    wet, line, pool = scenario.wet_well, scenario.gravity_line, scenario.pond.normal_pool
    if wet is None:
        return
    surface = f"pond.normal_pool = {length(pool)}"
    if line is None:
        yield "wet_well", "has no pipe that fills it; write [gravity_line]."
    if wet.pump_off <= wet.bottom:
        yield "wet_well.pump_off", f"= {length(wet.pump_off)} is not above the bottom, {length(wet.bottom)}."
    if wet.pump_off >= pool:
        yield "wet_well.pump_off", f"= {length(wet.pump_off)} is not below {surface}: the pump never starts."
    elif wet.alarm is not None and not wet.pump_off < wet.alarm < pool:
        yield (
            "wet_well.alarm",
            f"= {length(wet.alarm)} is not between pump_off, {length(wet.pump_off)}, and {surface}.",
        )
    if line is not None and line.outlet is not None and not wet.bottom <= line.outlet < pool:
        yield (
            "gravity_line.outlet",
            f"= {length(line.outlet)} is not between wet_well.bottom, {length(wet.bottom)}, and {surface}.",
        )
    suction = None if scenario.pump is None else scenario.pump.elevation
    if suction is not None and not wet.bottom <= suction < wet.pump_off:
        yield (
            "pump.elevation",
            f"= {length(suction)} is not between wet_well.bottom, {length(wet.bottom)}, and "
            f"wet_well.pump_off, {length(wet.pump_off)}: it would draw air.",
        )


def lip(scenario: Scenario) -> Iterator[Fault]:
    """The lip stands above the pond, and the pump can lift to it."""
    waterfall, given, pool = scenario.waterfall, scenario.pump, scenario.pond.normal_pool
    if waterfall is None:
        return
    crest = pool + waterfall.drop if waterfall.lip is None else waterfall.lip
    if crest <= pool and waterfall.lip is not None:
        yield "waterfall.lip", f"= {length(crest)} is not above pond.normal_pool = {length(pool)}."
    elif given is not None and (most := _shutoff_head(given)) is not None and most <= crest - pool:
        key = "pump.curve_head" if given.curve_head else "pump.rated_head"
        yield (
            key,
            f"gives {length(most)} at no flow{_at_speed(given)}, and the lip is {length(crest - pool)} above "
            "pond.normal_pool: no water comes. Take a pump of more head, or lower the lip.",
        )


def _at_speed(given: Pump) -> str:
    return f" and {given.speed:g} of the speed" if given.speed != 1.0 else ""


def _shutoff_head(given: Pump) -> float | None:
    """Head at no flow, where straight on from the first two points it is not read [m]; None if unknown."""
    flow, head = given.curve_flow, given.curve_head
    if len(flow) >= LEAST_POINTS and len(head) == len(flow) and flow[1] > flow[0]:
        start = head[0] + (head[0] - head[1]) / (flow[1] - flow[0]) * flow[0]
    elif given.rated_flow is not None and given.rated_head is not None and not flow:
        start = given.shutoff_share * given.rated_head
    else:
        return None
    return start * given.speed**2
