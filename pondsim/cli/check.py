"""`pondsim check`: what a design file describes, without a run."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import CAUTIONS, check_weather, existing_file, units_option, wrapped

if TYPE_CHECKING:
    from pondsim.design.sheet import LoopSheet, Sheet
    from pondsim.scenario.settings import Scenario


@click.command("check")
@click.argument("design", type=existing_file)
@units_option
def command(design: Path, system: str) -> None:
    """Read DESIGN and show what it describes: volumes, depths, circulation, air, power and a hand check.

    Every fault of the file, and of its weather file, is told at its line.
    """
    from pondsim.design.remarks import remarks  # noqa: PLC0415
    from pondsim.design.sheet import design_sheet  # noqa: PLC0415
    from pondsim.scenario.read import read  # noqa: PLC0415

    reading = read(design)
    scenario = reading.scenario
    check_weather(scenario)
    sheet = design_sheet(scenario)
    for part in (
        _period(scenario, sheet, system),
        *([_crashes(scenario)] if scenario.bloom_crash else []),
        *([_areas(sheet, system)] if sheet.areas else []),
        _zones(sheet, system),
        _loop(sheet, system),
        _air(sheet, system),
    ):
        click.echo(part + "\n")
    click.echo("Hand check, a hot night: 28 degC (82 degF), oxygen 4 mg/L below saturation")
    for line in hand_check(sheet, system):
        click.echo(wrapped(line, indent="  "))
    click.echo()
    for note in reading.notes:
        click.echo(wrapped(f"Note: {note}."))
    for remark in remarks(scenario, sheet, system):
        click.echo(wrapped(f"Remark: {remark}"))
    click.echo(f"\n{wrapped(CAUTIONS)}")


def _period(scenario: Scenario, sheet: Sheet, system: str) -> str:
    from pondsim.units import display  # noqa: PLC0415

    return (
        f"{sheet.title}\n"
        f"  {scenario.period.start:%Y-%m-%d %H:%M} to {scenario.period.end:%Y-%m-%d %H:%M}, "
        f"{sheet.days:.0f} days; weather: "
        f"{'invented, by seed' if scenario.weather.synthetic else scenario.weather.file}\n"
        f"  {sheet.storms} {'storm brings' if sheet.storms == 1 else 'storms bring'} "
        f"{display(sheet.storm_water, 'volume', system)}"
    )


def _crashes(scenario: Scenario) -> str:
    lines = ["Bloom crashes and treatments"]
    for crash in scenario.bloom_crash:
        share = f"kills {100.0 * crash.killed_share:.0f} % of the algae"
        where = ", ".join(crash.zones) or "the pond"
        lines.append(
            f"  {crash.start:%Y-%m-%d %H:%M}: {share} in {100.0 * crash.pond_share:.0f} % of {where}"
        )
    return "\n".join(lines)


def _areas(sheet: Sheet, system: str) -> str:
    from pondsim.units import display  # noqa: PLC0415

    lines = ["Drainage areas over the period"]
    for area in sheet.areas:
        share = 100.0 * area.runoff / area.rain if area.rain else 0.0
        lines.append(
            f"  {area.name}: {display(area.area, 'area', system)}, time of concentration "
            f"{area.time_of_concentration / 60.0:.0f} min;\n"
            f"    sheds {display(area.runoff, 'volume', system)}, {share:.0f} % of its rain, "
            f"at most {display(area.peak, 'storm_flow', system)}"
        )
    return "\n".join(lines)


def _zones(sheet: Sheet, system: str) -> str:
    from pondsim.units import display_unit, from_si, number_text  # noqa: PLC0415

    units = [display_unit(kind, system) for kind in ("area", "volume", "length", "length", "mass_rate")]
    heads = ("area", "volume", "deepest", "mean", "bed takes")
    rows = [(z.name, (z.area, z.volume, z.depth, z.volume / z.area, z.bed_takes)) for z in sheet.zones]
    deepest = max(zone.depth for zone in sheet.zones)
    whole = (sheet.area, sheet.volume, deepest, sheet.volume / sheet.area, sheet.bed_takes)
    wide = max(10, *(len(name) for name, _ in rows)) + 2
    lines = ["At normal pool (what the bed takes: at 28 degC, 82 degF)"]
    lines.append(" " * wide + "".join(head.rjust(11) for head in heads))
    lines.append(" " * wide + "".join(f"[{unit}]".rjust(11) for unit in units))
    for name, values in [*rows, ("whole pond", whole)]:
        cells = (number_text(from_si(v, u)).rjust(11) for v, u in zip(values, units, strict=True))
        lines.append(f"  {name}".ljust(wide) + "".join(cells))
    return "\n".join(lines)


def _loop(sheet: Sheet, system: str) -> str:
    from pondsim.units import display  # noqa: PLC0415

    loop = sheet.loop
    if loop is None:
        return "Circulation: none"
    turnover = (
        [
            f"  nominal turnover time (volume / pumped flow): {display(loop.turnover, 'days', system)}; "
            "it flatters a pond with dead corners",
        ]
        if loop.flow > 0.0
        else []
    )
    return "\n".join(
        [
            f"Circulation: {display(loop.flow, 'flow', system)} against "
            f"{display(loop.head, 'length', system)}, {display(loop.power, 'power', system)}, "
            f"{loop.hours:.0f} h in the period",
            *turnover,
            _splash(loop, sheet.area, system),
            f"  water over the intake's centre at low pool: {display(loop.cover, 'length', system)}",
            f"  waterfall makes up {100 * loop.efficiency:.0f} % of the deficit "
            f"({_range(loop)} by the published methods)",
        ]
    )


def _splash(loop: LoopSheet, area: float, system: str) -> str:
    from pondsim.units import from_si, number_text  # noqa: PLC0415

    volume, level = ("gal/d", "in/d") if system == "us" else ("m3/d", "mm/d")
    return (
        f"  splash and wind take {number_text(from_si(loop.splash, volume))} {volume} while it runs all day, "
        f"{number_text(from_si(loop.splash / area, level))} {level} over the pond at normal pool"
    )


def _range(loop: LoopSheet) -> str:
    return f"{100 * min(loop.efficiencies):.0f} to {100 * max(loop.efficiencies):.0f} %"


def _air(sheet: Sheet, system: str) -> str:
    from pondsim.units import display  # noqa: PLC0415

    if not sheet.units:
        return "Aeration: none"
    lines = ["Aeration (SOTR: oxygen into oxygen-free clean water at 20 degC)"]
    for unit in sheet.units:
        lines.append(
            f"  {unit.name} in {unit.zone}: {unit.diffusers} diffusers "
            f"{display(unit.depth, 'length', system)} down, {display(unit.air_flow, 'air_flow', system)} "
            "standard air,\n"
            f"    SOTR {display(unit.transfer, 'mass_rate', system)}, "
            f"{display(unit.power, 'power', system)}, {unit.hours:.0f} h in the period"
        )
    return "\n".join(lines)


def hand_check(sheet: Sheet, system: str) -> list[str]:
    """Plain sentences: what equipment can add beside what the bed takes."""
    from pondsim.units import display  # noqa: PLC0415

    bed = display(sheet.bed_takes, "mass_rate", system)
    lines = [f"The bed takes {bed}."]
    if sheet.loop:
        share = 100.0 * sheet.loop.oxygen / sheet.bed_takes if sheet.bed_takes else 0.0
        lines.append(
            f"The waterfall adds {display(sheet.loop.oxygen, 'mass_rate', system)}, {share:.0f} % of that. "
            "It adds less while the water it draws is nearer saturation, and takes oxygen out above it. A "
            "loop is justified by the water it moves, not by the oxygen it dissolves."
        )
        lines.append(
            f"To renew the pond within {display(sheet.loop.renewed_within, 'days', system)} by the "
            f"waterfall alone takes {display(sheet.loop.renewal_flow, 'flow', system)}; the pump gives "
            f"{display(sheet.loop.flow, 'flow', system)}."
        )
    if sheet.units:
        transfer = sum(unit.transfer for unit in sheet.units)
        air = sum(unit.air_flow for unit in sheet.units)
        lines.append(
            f"All aeration together: SOTR {display(transfer, 'mass_rate', system)}; in the pond about half "
            f"or less. Air {display(air, 'air_flow', system)}, the areal rule for mixing (1.3 scfm/acre, "
            f"for lakes deeper than 3 m (10 ft)) asks {display(sheet.air_by_rule, 'air_flow', system)}."
        )
    lines.append(f"Electricity over the period: {display(sheet.energy, 'energy', system)}.")
    return lines
