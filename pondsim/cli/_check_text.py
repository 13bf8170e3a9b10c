"""The hardware on the design sheet as text of 80 columns: loop, waterfall, aeration, limits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pondsim.units import display, display_unit, from_si, number_text
from pondsim.words import counted

if TYPE_CHECKING:
    from pondsim.design.air_sheet import AirSheet, AirUnit
    from pondsim.design.given import Given
    from pondsim.design.limits import Limit
    from pondsim.design.line_values import LineSheet
    from pondsim.design.sheet import LoopSheet, Sheet
    from pondsim.records import Record
    from pondsim.scenario.settings import Scenario

WIDTH = 80
COLUMN = 13  # of the table of operating points
ELEVATION_DIGITS = 5


def hanging(text: str, indent: str = "  ", deeper: str = "    ") -> str:
    """A paragraph whose further lines stand deeper."""
    from textwrap import fill  # noqa: PLC0415

    return fill(
        text,
        WIDTH,
        initial_indent=indent,
        subsequent_indent=deeper,
        break_long_words=False,
        break_on_hyphens=False,
    )


def criterion_words(scenario: Scenario) -> str:
    """By what the run will be judged: the criteria chosen, and limits of the user's own by their names."""
    from pondsim.measures.criteria import criteria  # noqa: PLC0415

    chosen = criteria().get(scenario.judging.criterion)
    own = [limit.name for limit in scenario.judging.limit]
    named = [f"own limits {', '.join(own)}"] if own else []
    return "; ".join([*([chosen.name] if chosen else []), *named])


def inputs_text(rows: tuple[Given, ...], criterion: str, system: str) -> str:
    """What the design states."""
    lines = [f"  {row.what}: {display(row.value, row.kind, system)}" for row in rows if row.value is not None]
    return "\n".join(["Design inputs", *lines, hanging(f"oxygen criteria: {criterion}")])


def loop_text(sheet: Sheet, line: LineSheet | None, system: str, *, described: bool) -> str:
    """The circulation in a few lines; the cover of the intake where no pipe says it better."""
    loop = sheet.loop
    if loop is None or line is None:
        return "Circulation: none"
    if loop.stops:
        return _loop_head(loop, system)
    fall = line.waterfall
    steps = f"{fall.steps} falls" if fall.steps > 1 else "one fall"
    lines = [
        f"{display(loop.flow_per_width, 'flow_per_width', system)} over the lip, {steps} of "
        f"{display(fall.drop_per_step, 'length', system)}; the sheet is "
        f"{display(fall.brink_depth, 'short_length', system)} deep on a broad lip, "
        f"{display(fall.lip_head, 'short_length', system)} of water stand over a sharp one",
    ]
    lines.append(
        f"waterfall reduces the oxygen deficit by {100 * loop.efficiency:.0f} % "
        f"({_range(loop)} by the published methods{_at_top(loop)})"
    )
    if loop.mean_flow > 0.0:
        least = ", at least" if loop.at_most else ""
        lines.insert(
            0,
            f"nominal turnover time (volume / pumped flow{_by_the_day(loop)}){least}: "
            f"{display(loop.turnover, 'days', system)}; optimistic where there are dead zones",
        )
    if timed := timer_words(loop, system):
        lines.insert(0, timed)
    lines.append(_splash(loop, sheet.area, system))
    if not described:
        lines.append(
            f"water over the intake's center at low pool: {display(loop.cover, 'length', system)}; the flow "
            "is stated, no pipe, well or pump curve is described"
        )
    return "\n".join([_loop_head(loop, system), *(hanging(text) for text in lines)])


def _loop_head(loop: LoopSheet, system: str) -> str:
    if loop.stops:
        return hanging(
            f"Circulation: does not run: the intake delivers {display(loop.most, 'flow', system)} at most at "
            f"normal pool, the pump would take {display(loop.flow, 'flow', system)}; the well falls to "
            "pump-off",
            "",
        )
    return (
        f"Circulation: {display(loop.flow, 'flow', system)} against {display(loop.head, 'length', system)}, "
        f"{display(loop.power, 'power', system)}, {_hours(loop.hours, at_most=loop.at_most)} in the period"
    )


def _by_the_day(loop: LoopSheet) -> str:
    return ", daily mean" if loop.share_of_day < 1.0 else ""


def timer_words(loop: LoopSheet, system: str) -> str:
    """What the timer makes of the pump's flow; "" where it runs all day."""
    if loop.stops or loop.share_of_day >= 1.0:
        return ""
    flow, mean = (display(one, "flow", system) for one in (loop.flow, loop.mean_flow))
    most = "at most " if loop.at_most else ""
    return f"{flow} for {most}{number_text(24.0 * loop.share_of_day)} h a day, daily mean {most}{mean}"


def _hours(hours: float, *, at_most: bool) -> str:
    return f"at most {hours:.0f} h" if at_most else f"{hours:.0f} h"


def _at_top(loop: LoopSheet) -> str:
    """That the method chosen gives the most, where it does."""
    return (
        "; the one chosen gives the most, so expect less" if loop.efficiency >= max(loop.efficiencies) else ""
    )


def _range(loop: LoopSheet) -> str:
    return f"{100 * min(loop.efficiencies):.0f} to {100 * max(loop.efficiencies):.0f} %"


def _splash(loop: LoopSheet, area: float, system: str) -> str:
    volume, level = ("gal/d", "in/d") if system == "us" else ("m3/d", "mm/d")
    lost, most = loop.splash * loop.share_of_day, "at most " if loop.at_most else ""
    running = (
        "while it runs all day"
        if loop.share_of_day == 1.0
        else f"in its {most}{24.0 * loop.share_of_day:.3g} h"
    )
    return (
        f"splash and wind loss: {number_text(from_si(lost, volume))} {volume} {running}, "
        f"{number_text(from_si(lost / area, level))} {level} over the pond at normal pool"
    )


def points_text(rows: tuple[Given, ...], line: LineSheet, system: str) -> str:
    """The operating points as a table, one column for each level of the pond."""
    from pondsim.design.given import pools_of  # noqa: PLC0415

    pools = list(dict.fromkeys(row.part for row in rows))
    wide = WIDTH - COLUMN * len(pools) if len(pools) < 3 else 41
    lines = ["The line at each level of the pond, pump running"]
    lines.append(" " * wide + "".join(pool.rjust(COLUMN) for pool in pools))
    for what in dict.fromkeys(row.what for row in rows):
        chosen = [row for row in rows if row.what == what]
        label = f"  {what} [{display_unit(chosen[0].kind, system)}]"
        lines.append(label.ljust(wide) + "".join(_cell(row, system).rjust(COLUMN) for row in chosen))
    if stopped := [pool.name for pool in pools_of(line) if pool.stops]:
        levels = "every level" if len(stopped) == len(pools) else " and ".join(stopped)
        lines.append(hanging(f"At {levels} it does not run: the pump would draw the well down to pump-off."))
    for name, pipe, bore in zip(
        ("gravity line", "discharge"), (line.gravity_pipe, line.discharge_pipe), line.bores[1:], strict=True
    ):
        if bore is not None:
            inside = f"{display(bore, 'short_length', system)} inside"
            lines.append(hanging(f"{name}: {f'{pipe}, ' if pipe else ''}{inside}"))
    return "\n".join(lines)


def _cell(row: Given, system: str) -> str:
    if row.value is None:
        return "-"
    if row.value == float("inf"):
        return "any"
    return number_text(
        from_si(row.value, display_unit(row.kind, system)), ELEVATION_DIGITS if row.elevation else 3
    )


def air_text(sheet: Sheet, air: AirSheet | None, system: str) -> str:
    """The aeration, unit by unit."""
    if air is None:
        return "Aeration: none"
    lines = ["Aeration (SOTR: oxygen into oxygen-free clean water at 20 degC)"]
    for unit, run in zip(air.units, sheet.units, strict=True):
        lines.append(
            hanging(
                f"{unit.name} in {unit.zone}: {counted(unit.diffusers, 'diffuser')} "
                f"{display(unit.normal.depth, 'length', system)} down, "
                f"{display(unit.normal.air_flow, 'air_flow', system)} standard air, "
                f"{display(unit.air_per_diffuser, 'air_flow', system)} each"
            )
        )
        hours = _hours(run.hours, at_most=run.at_most)
        lines += [hanging(text, "    ") for text in _unit_lines(unit, hours, system)]
    return "\n".join(lines)


def _unit_lines(unit: AirUnit, hours: str, system: str) -> list[str]:
    power = unit.normal.power
    yields = "" if unit.per_energy is None else f" ({display(unit.per_energy, 'mass_per_energy', system)})"
    lines = [
        f"SOTR {display(unit.transfer, 'mass_rate', system)}{yields}, {display(power, 'power', system)}, "
        f"{hours} in the period"
    ]
    point = unit.normal
    if unit.curve is not None:
        pipes = point.tubing + point.main_line
        in_line = f", tubing and main line {display(pipes, 'pressure', system)}" if pipes > 0.0 else ""
        lines.append(
            f"{unit.source or 'air source'} at {display(point.pressure, 'pressure', system)}: water "
            f"{display(point.water, 'pressure', system)}, diffusers "
            f"{display(point.diffuser, 'pressure', system)}{in_line}; draws "
            f"{display(unit.free_air, 'free_air', system)} of free air"
        )
    return lines


def pond_work_text(work: tuple[Record, ...], system: str) -> str:
    """Dredging, doses, dye, covers and loads, each with its date and amount."""
    from pondsim.comparison.pond_work_words import work_head, work_text  # noqa: PLC0415

    lines = [hanging(f"{work_head(one)}: {work_text(one, system)}") for one in work]
    return "\n".join(["Done to the water and the bed", *lines])


def limits_text(limits: tuple[Limit, ...], system: str, *, full: bool) -> str:
    """Each limit with its verdict, value, bounds and source, part by part, a box before it to tick."""
    from pondsim.design.held import by_part  # noqa: PLC0415

    shown = tuple(limit for limit in limits if full or limit.verdict != "reported")
    if not shown:
        return "Design limits: nothing in the file can be checked"
    lines = ["Design limits (FAIL: it will not work as drawn; WARN: outside good practice)"]
    for part, found in by_part(shown).items():
        lines.append(f"{part}")
        for limit in found:
            lines += _limit_lines(limit, system, full=full)
    return "\n".join(lines)


def _limit_lines(limit: Limit, system: str, *, full: bool) -> list[str]:
    value = "-" if limit.value is None else display(limit.value, limit.kind, system)
    wanted = _wanted(limit, system)
    source = "" if limit.verdict == "reported" and "no source" in limit.source else f" ({limit.source})"
    deep = " " * 12
    lines = [
        hanging(f"[ ] {limit.verdict.upper()}  {limit.what}", "  ", deep),
        hanging(f"{value}{wanted}{source}", deep, deep),
    ]
    if limit.note and (full or limit.verdict in ("fail", "warn")):
        lines.append(hanging(limit.note, deep, deep))
    return lines


def _wanted(limit: Limit, system: str) -> str:
    least, most = limit.least, limit.most
    if least is not None and most is not None:
        unit = display_unit(limit.kind, system)
        low = _bound(least, limit.kind, system).removesuffix(f" {unit}")
        return f", allowed {low} to {_bound(most, limit.kind, system)}"
    sides = [("at least", least), ("at most", most)]
    return "".join(f", {word} {_bound(side, limit.kind, system)}" for word, side in sides if side is not None)


def _bound(value: float, kind: str, system: str) -> str:
    """A bound; what is nothing in SI is nothing in every unit."""
    return display(value, kind, system) if abs(value) > 1e-12 else f"0 {display_unit(kind, system)}"
