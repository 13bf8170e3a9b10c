"""The hardware on the design sheet as text of 80 columns: loop, waterfall, aeration, limits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pondsim.units import display, display_unit, from_si, number_text

if TYPE_CHECKING:
    from pondsim.design.air_sheet import AirSheet, AirUnit
    from pondsim.design.given import Given
    from pondsim.design.limits import Limit
    from pondsim.design.line_values import LineSheet
    from pondsim.design.sheet import LoopSheet, Sheet

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


def asked_text(rows: tuple[Given, ...], criterion: str, system: str) -> str:
    """What is asked."""
    lines = [f"  {row.what}: {display(row.value, row.kind, system)}" for row in rows if row.value is not None]
    return "\n".join(["What is asked", *lines, hanging(f"dissolved oxygen to be judged: {criterion}")])


def loop_text(
    sheet: Sheet, line: LineSheet | None, system: str, *, described: bool, at_most: bool = False
) -> str:
    """The circulation in a few lines; the cover of the intake where no pipe says it better."""
    loop = sheet.loop
    if loop is None or line is None:
        return "Circulation: none"
    fall = line.waterfall
    steps = f"{fall.steps} falls" if fall.steps > 1 else "one fall"
    lines = [
        f"{display(loop.flow_per_width, 'flow_per_width', system)} over the lip, {steps} of "
        f"{display(fall.drop_per_step, 'length', system)}; the sheet is "
        f"{display(fall.brink_depth, 'short_length', system)} deep on a broad lip, "
        f"{display(fall.lip_head, 'short_length', system)} of water stand over a sharp one",
    ]
    lines.append(
        f"waterfall makes up {100 * loop.efficiency:.0f} % of the deficit ({_range(loop)} by the published "
        "methods)"
    )
    if loop.flow > 0.0:
        lines.insert(
            0,
            f"nominal turnover time (volume / pumped flow): {display(loop.turnover, 'days', system)}; it "
            "flatters a pond with dead corners",
        )
    lines.append(_splash(loop, sheet.area, system))
    if not described:
        lines.append(
            f"water over the intake's centre at low pool: {display(loop.cover, 'length', system)}; the flow "
            "is stated, no pipe, well or pump curve is described"
        )
    head = (
        f"Circulation: {display(loop.flow, 'flow', system)} against {display(loop.head, 'length', system)}, "
        f"{display(loop.power, 'power', system)}, {_hours(loop.hours, at_most=at_most)} in the period"
    )
    return "\n".join([head, *(hanging(text) for text in lines)])


def _hours(hours: float, *, at_most: bool) -> str:
    return f"at most {hours:.0f} h" if at_most else f"{hours:.0f} h"


def _range(loop: LoopSheet) -> str:
    return f"{100 * min(loop.efficiencies):.0f} to {100 * max(loop.efficiencies):.0f} %"


def _splash(loop: LoopSheet, area: float, system: str) -> str:
    volume, level = ("gal/d", "in/d") if system == "us" else ("m3/d", "mm/d")
    return (
        f"splash and wind take {number_text(from_si(loop.splash, volume))} {volume} while it runs all day, "
        f"{number_text(from_si(loop.splash / area, level))} {level} over the pond at normal pool"
    )


def points_text(rows: tuple[Given, ...], line: LineSheet, system: str) -> str:
    """The operating points as a table, one column for each level of the pond."""
    pools = list(dict.fromkeys(row.part for row in rows))
    wide = WIDTH - COLUMN * len(pools) if len(pools) < 3 else 41
    lines = ["The line at each level of the pond, pump running; high pool is the bank top"]
    lines.append(" " * wide + "".join(pool.rjust(COLUMN) for pool in pools))
    for what in dict.fromkeys(row.what for row in rows):
        chosen = [row for row in rows if row.what == what]
        label = f"  {what} [{display_unit(chosen[0].kind, system)}]"
        lines.append(label.ljust(wide) + "".join(_cell(row, system).rjust(COLUMN) for row in chosen))
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


def air_text(sheet: Sheet, air: AirSheet | None, system: str, at_most: list[bool]) -> str:
    """The aeration, unit by unit; `at_most` says of each whether a set point rules it."""
    if air is None:
        return "Aeration: none"
    lines = ["Aeration (SOTR: oxygen into oxygen-free clean water at 20 degC)"]
    for unit, run, most in zip(air.units, sheet.units, at_most, strict=True):
        lines.append(
            hanging(
                f"{unit.name} in {unit.zone}: {unit.diffusers} diffusers "
                f"{display(unit.normal.depth, 'length', system)} down, "
                f"{display(unit.normal.air_flow, 'air_flow', system)} standard air, "
                f"{display(unit.air_per_diffuser, 'air_flow', system)} each"
            )
        )
        lines += [
            hanging(text, "    ") for text in _unit_lines(unit, _hours(run.hours, at_most=most), system)
        ]
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


def limits_text(limits: tuple[Limit, ...], system: str, *, full: bool) -> str:
    """Each limit with its verdict, value, bounds and source, part by part, a box before it to tick."""
    from pondsim.design.held import by_part  # noqa: PLC0415

    shown = tuple(limit for limit in limits if full or limit.verdict != "told")
    if not shown:
        return "What it is held against: nothing in the file can be judged"
    lines = ["What it is held against (FAIL stops it or draws air, WARN leaves good practice)"]
    for part, found in by_part(shown).items():
        lines.append(f"{part}")
        for limit in found:
            lines += _limit_lines(limit, system, full=full)
    return "\n".join(lines)


def _limit_lines(limit: Limit, system: str, *, full: bool) -> list[str]:
    value = "-" if limit.value is None else display(limit.value, limit.kind, system)
    wanted = _wanted(limit, system)
    source = "" if limit.verdict == "told" and "no source" in limit.source else f" ({limit.source})"
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
        return f", wanted {low} to {_bound(most, limit.kind, system)}"
    sides = [("at least", least), ("at most", most)]
    return "".join(f", {word} {_bound(side, limit.kind, system)}" for word, side in sides if side is not None)


def _bound(value: float, kind: str, system: str) -> str:
    """A bound; what is nothing in SI is nothing in every unit."""
    return display(value, kind, system) if abs(value) > 1e-12 else f"0 {display_unit(kind, system)}"
