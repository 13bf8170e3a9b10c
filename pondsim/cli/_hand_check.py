"""The hand check of the design sheet: what equipment adds beside what the bed takes, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pondsim.units import display, display_unit

if TYPE_CHECKING:
    from pondsim.design.sheet import LoopSheet, Sheet


def hand_check(sheet: Sheet, system: str) -> list[str]:
    """Plain sentences; what has a timer counts by the mean of its day."""
    demand = display(sheet.bed_takes, "mass_rate", system)
    lines = [f"Sediment oxygen demand at 28 degC (82 degF), all of it met: {demand}."]
    if sheet.loop and sheet.loop.stops:
        lines.append(
            "The circulation does not run as described: it adds no oxygen, moves no water, and its "
            "electricity is left out below."
        )
    elif sheet.loop:
        lines += _loop(sheet.loop, sheet.bed_takes, system)
    if sheet.units:
        lines.append(_air(sheet, system))
    most = "at most " if _less_than_timer(sheet) else ""
    lines.append(f"Electricity over the period: {most}{display(sheet.energy, 'energy', system)}.")
    return lines


def _less_than_timer(sheet: Sheet) -> bool:
    return (sheet.loop is not None and sheet.loop.at_most) or any(unit.at_most for unit in sheet.units)


def _loop(loop: LoopSheet, bed_takes: float, system: str) -> list[str]:
    from pondsim.cli._check_text import timer_words  # noqa: PLC0415

    share = 100.0 * loop.oxygen / bed_takes if bed_takes else 0.0
    most, mean = ("at most " if loop.at_most else ""), (", daily mean" if loop.share_of_day < 1.0 else "")
    unit = display_unit("mass_rate", system)
    least, highest = (display(one, "mass_rate", system) for one in loop.oxygen_range)
    added = f"{most}{display(loop.oxygen, 'mass_rate', system)}{mean}"
    gives = timer_words(loop, system) or f"{most}{display(loop.flow, 'flow', system)}"
    return [
        f"The waterfall adds {added}, {share:.0f} % of that. "
        "It adds less as the water it draws approaches saturation, and removes oxygen above saturation. A "
        "loop is justified by the water it moves, not by the oxygen it dissolves.",
        f"The three published methods give {least.removesuffix(f' {unit}')} to {highest}, which shows how "
        f"well it is known.",
        f"To renew the pond within {display(loop.renewed_within, 'days', system)} by the "
        f"waterfall alone takes {display(loop.renewal_flow, 'flow', system)}; the pump delivers {gives}.",
    ]


def _air(sheet: Sheet, system: str) -> str:
    transfer = display(sheet.transfer, "mass_rate", system)
    air = display(sheet.air_at_once, "air_flow", system)
    timed = any(unit.share_of_day < 1.0 for unit in sheet.units)
    apart = sheet.air_at_once < (1.0 - 1e-9) * sum(unit.air_flow for unit in sheet.units)
    most = "at most " if any(unit.at_most for unit in sheet.units) else ""
    mean = ", daily mean by its hours" if timed or apart else ""
    running = ", the most that runs at one time" if apart else ", while all of it runs" if timed else ""
    return (
        f"All aeration together: SOTR {most}{transfer}{mean}; in the pond "
        f"about half or less. Air {air}{running}, the areal rule for mixing (1.3 scfm/acre, "
        f"for lakes deeper than 3 m (10 ft)) requires {display(sheet.air_by_rule, 'air_flow', system)}."
    )
