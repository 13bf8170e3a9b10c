"""What `pondsim commission` prints, and its form for paper."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from pondsim.cli._common import wrapped
from pondsim.units import display, display_unit, from_si, number_text

if TYPE_CHECKING:
    from pondsim.design.commission_air import AirFound, OxygenFound
    from pondsim.design.commission_loss import Cause
    from pondsim.design.commission_values import Flow, Promise, Readings
    from pondsim.scenario.settings import Scenario

WIDE = 26
UNJUDGED = (
    "Whether the design flow is met cannot be judged: readings that it would be the mean of disagree beyond "
    "their errors. Repeat them first."
)
GAUGE_MARKS = (0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0)  # in, on the form


def commission_text(
    scenario: Scenario,
    readings: Readings | None,
    air: list[AirFound],
    oxygen: OxygenFound | None,
    system: str,
) -> str:
    """Everything that was read, against what was promised."""
    from pondsim.cli._cautions import start_up_cautions  # noqa: PLC0415

    parts = [scenario.title]
    if readings is not None:
        parts += _loop(scenario, readings, system)
    if oxygen is not None:
        parts.append(_oxygen_text(oxygen, system))
    if air:
        parts.append("\n".join(["Air", *(_air_line(one, system) for one in air)]))
    parts.append("\n".join(["Cautions", *(wrapped(one, indent="  ") for one in start_up_cautions(scenario))]))
    return "\n\n".join(parts)


def _flow(value: float, system: str) -> str:
    return display(value, "flow", system)


def _loop(scenario: Scenario, readings: Readings, system: str) -> list[str]:
    from pondsim.design.commission import best_flow, chosen_of, flows_of, promise_of  # noqa: PLC0415
    from pondsim.design.commission_loss import causes_of  # noqa: PLC0415
    from pondsim.design.commission_values import agree  # noqa: PLC0415
    from pondsim.site.circulation_line import circulation_line  # noqa: PLC0415

    line = circulation_line(scenario)
    assert line is not None
    promise, flows = promise_of(line, readings), flows_of(scenario, readings)
    best = best_flow(flows)
    parts = [_promise_text(promise, readings, system), _flows_text(flows, promise, system)]
    if best is None or best.flow is None:
        return parts
    causes = causes_of(line, readings, best) if best.direct else ()
    if all(agree(a, b) for a, b in combinations(chosen_of(flows), 2)):
        parts.append(_verdict(best, promise, system))
    else:
        guesses = " What is said below on causes is a guess." if causes else ""
        parts.append(wrapped(f"{UNJUDGED}{guesses}"))
    if causes:
        parts.append("\n".join(["Where the flow is lost", *(_cause(one, system) for one in causes)]))
    elif not best.direct:
        parts.append(
            wrapped(
                "Every reading depends on the pump curve or the line as designed, so neither can be "
                "checked: also read the lip or the well rise."
            )
        )
    return parts


def _promise_text(promise: Promise, readings: Readings, system: str) -> str:
    inches = display(promise.lip, "short_length", system)
    rows = [
        ("flow", _flow(promise.flow, system)),
        ("water over the crest", inches),
        ("head of the pump", display(promise.head, "length", system)),
        ("electric power", display(promise.power, "power", system)),
    ]
    if promise.well is not None:
        rows.insert(2, ("water in the well", display(promise.well, "length", system, 5)))
    if promise.gauge is not None:
        rows.append(("gauge there", display(promise.gauge, "pressure", system)))
    head = f"Design values with the pond at {display(readings.pond, 'length', system, 5)}"
    return "\n".join([head, *(f"  {name}".ljust(WIDE) + value for name, value in rows)])


def _flows_text(flows: tuple[Flow, ...], promise: Promise, system: str) -> str:
    lines = ["Flow by each reading"]
    for one in flows:
        if one.flow is None:
            lines.append(f"  {one.name}".ljust(WIDE) + one.note)
            continue
        unit = display_unit("flow", system)
        value = number_text(float(from_si(one.flow, unit)))
        error = number_text(float(from_si(one.error, unit)), 2)
        share = f"{100.0 * one.flow / promise.flow:.0f} % of design" if promise.flow > 0.0 else ""
        lines.append(f"  {one.name}".ljust(WIDE) + f"{value} +- {error} {unit}".ljust(22) + share)
        if one.note:
            lines.append(wrapped(f"({one.note})", indent="    "))
    return "\n".join(lines + _agreement(flows))


def _agreement(flows: tuple[Flow, ...]) -> list[str]:
    from pondsim.design.commission_values import agree  # noqa: PLC0415

    known = [one for one in flows if one.flow is not None]
    if len(known) < 2:
        return []
    apart = [f"{a.name} against {b.name}" for a, b in combinations(known, 2) if not agree(a, b)]
    if not apart:
        return ["  They agree within their errors."]
    return [wrapped(f"They DISAGREE beyond their errors: {'; '.join(apart)}.", indent="  ")]


def _verdict(best: Flow, promise: Promise, system: str) -> str:
    assert best.flow is not None
    unit = display_unit("flow", system)
    flow, error = (float(from_si(one, unit)) for one in (best.flow, best.error))
    value = f"{number_text(flow)} +- {number_text(error, 2)}"
    if best.low <= promise.flow <= best.high:
        word = "the design flow is met within the error of the readings"
    elif best.flow < promise.flow:
        word = f"{_flow(promise.flow - best.flow, system)} less than design"
    else:
        word = f"{_flow(best.flow - promise.flow, system)} more than design"
    return wrapped(f"Together: {value} {unit}; {word}.")


def _cause(cause: Cause, system: str) -> str:
    from pondsim.design.commission_loss import LOCATED, POSSIBLE, SOUND  # noqa: PLC0415

    name = {"pump": "pump", "discharge": "discharge", "suction": "grate and gravity line"}[cause.place]
    mark = {LOCATED: "HERE", POSSIBLE: "maybe", SOUND: "sound"}[cause.verdict]
    if cause.value is None:
        alone = "cannot explain it alone" if cause.verdict == POSSIBLE else _unknown(cause, system)
        return f"  [{mark}] {name}: {alone}"
    words = {
        "pump": _pump_words(cause),
        "discharge": _discharge_words(cause, system),
        "suction": f"grate {100.0 * cause.value:.0f} % blocked{_range(cause, 100.0, ' %')}",
    }[cause.place]
    if cause.verdict == POSSIBLE:
        words += ", if it is the only cause"
    return wrapped(f"[{mark}] {name}: {words}", indent="  ")


def _unknown(cause: Cause, system: str) -> str:
    if cause.place == "suction" and cause.also is not None:
        return f"{display(cause.also, 'length', system)} lost beside a clean grate"
    return "no value of it fits the reading"


def _range(cause: Cause, factor: float, unit: str) -> str:
    low, high = (None if end is None else factor * end for end in (cause.low, cause.high))
    if low is None and high is None:
        return ""
    if low is None:
        return f" (at most {high:.0f}{unit})"
    if high is None:
        return f" (at least {low:.0f}{unit})"
    return f" ({low:.0f} to {high:.0f}{unit})"


def _pump_words(cause: Cause) -> str:
    assert cause.value is not None
    head = "" if cause.also is None else f"{100.0 * cause.also:.0f} % of the head of its curve; "
    ask = "" if cause.value >= 0.98 else ": worn, wrong rotation or speed, air, or debris in the impeller"
    return f"{head}as if it ran at {100.0 * cause.value:.0f} % of its speed{_range(cause, 100.0, ' %')}{ask}"


def _discharge_words(cause: Cause, system: str) -> str:
    assert cause.value is not None
    more = f"extra loss of K = {number_text(cause.value)}{_range(cause, 1.0, '')}"
    if cause.also is None or cause.verdict == "sound":
        return more
    length = display(cause.also, "length", system)
    return f"{more}, as {length} more of the same pipe: valve half shut, longer run, crushed or blocked pipe"


def _oxygen_text(found: OxygenFound, system: str) -> str:
    lines = ["Oxygen at the waterfall", f"  saturation: {display(found.saturation, 'concentration', system)}"]
    low, high = 100.0 * min(found.promised), 100.0 * max(found.promised)
    if found.efficiency is None:
        lines.append("  the water above is too close to saturation to measure a difference; try at dawn")
    else:
        lines.append(
            f"  reduces the oxygen deficit by {100.0 * found.efficiency:.0f} +- {100.0 * found.error:.0f} %; "
            f"design {low:.0f} to {high:.0f} % by the published methods, at 28 degC"
        )
        if found.efficiency + found.error < 0.0 or found.efficiency - found.error > 1.0:
            lines.append(
                "  a waterfall cannot do that: check meter and sampling points; read both within the hour"
            )
    return "\n".join(lines)


def _air_line(found: AirFound, system: str) -> str:
    kind = "pressure" if found.what == "pressure" else "air_flow"
    unit = display_unit(kind, system)
    read, promised, error = (
        number_text(float(from_si(v, unit)), 3) for v in (found.read, found.promised, found.error)
    )
    what = "pressure left for the diffusers" if kind == "pressure" else "standard air of one diffuser"
    return wrapped(
        f"{found.unit}, {what}: {read} +- {error} {unit}, clean and as drawn {promised}: {found.verdict}",
        indent="  ",
    )


def form_text(scenario: Scenario, readings: Readings, system: str) -> str:
    """A page with blanks, the promise at each pool, and the lip's table."""
    from pondsim.physics.oxygen import oxygen_saturation, standard_pressure  # noqa: PLC0415

    lines = [
        f"START-UP DAY: {scenario.title}",
        "Date ____________  Time ________  By ______________________  Weather ______________",
        "",
        "Before power: lock out, ground-fault protection tested, covers and grates on, well not entered.",
        "",
        f"Water surface of the pond [{display_unit('length', system)}] ____________",
    ]
    if scenario.pump is not None and scenario.waterfall is not None:
        lines += _loop_form(scenario, readings, system)
    if scenario.waterfall is not None:
        salt, air = 0.0, float(standard_pressure(scenario.place.elevation))
        table = ", ".join(
            f"{display(t, 'temperature', system)} {1e3 * float(oxygen_saturation(t, salt, air)):.2f}"
            for t in (283.15, 288.15, 293.15, 298.15, 303.15)
        )
        lines += [
            "",
            "OXYGEN  meter in water-saturated air ______ mg/L, after ______ mg/L; it must read:",
            f"  {table} mg/L (standard air pressure at this elevation)",
            "  above the waterfall ______ mg/L   below ______ mg/L   water ______ deg",
        ]
    for unit in scenario.aeration:
        lines += [
            "",
            f"AIR  {unit.name}: gauge at the header ______   bucket ______ filled in ____ s at depth ____",
            "  first start: minutes a day, cool weather, early afternoon, never at dawn",
            "  surface oxygen: at the start ______ mg/L, at the next dawn ______ mg/L",
        ]
    lines += ["", "Remarks _______________________________________________________________________________"]
    return "\n".join(lines) + "\n"


def _loop_form(scenario: Scenario, readings: Readings, system: str) -> list[str]:
    from dataclasses import replace  # noqa: PLC0415

    from pondsim.design.commission import promise_of  # noqa: PLC0415
    from pondsim.physics.hydraulics import weir_francis  # noqa: PLC0415
    from pondsim.site.circulation_line import circulation_line  # noqa: PLC0415

    line = circulation_line(scenario)
    assert line is not None and scenario.waterfall is not None
    pond, unit = scenario.pond, display_unit("flow", system)
    pools = [("low pool", pond.low_pool), ("normal pool", pond.normal_pool), ("bank top", pond.bank_top)]
    lines = ["", "DESIGN              flow        over the crest    well level      power"]
    for name, level in pools:
        if level is None:
            continue
        own = promise_of(line, replace(readings, pond=level))
        well = "-" if own.well is None else display(own.well, "length", system, 5)
        lines.append(
            f"  {name}".ljust(16) + _flow(own.flow, system).rjust(10)
            + display(own.lip, "short_length", system).rjust(18) + well.rjust(15)
            + display(own.power, "power", system).rjust(11)
        )  # fmt: skip
    if line.curve is None:
        lines.append("  flow as stated in the file, not computed: the same at every level")
    marks = []
    for inches in GAUGE_MARKS:
        flow = weir_francis(scenario.waterfall.width, inches * 0.0254, 0)
        head = display(inches * 0.0254, "short_length", system)
        marks.append(f"{head} {number_text(float(from_si(flow, unit)))}")
    return [
        *lines,
        "",
        "LIP  water over the crest, a foot or more back from it, at three places ______ ______ ______",
        f"  sharp crest [{unit}]: {'; '.join(marks)}",
        "WELL  water while it runs ____________   rise just after a stop: ______ in ______ s (first 10 s)",
        "GAUGE  on the discharge ______   its elevation ____________   valves open: yes / no",
        "PANEL  amps ______ ______ ______   volts ______ ______ ______",
    ]
