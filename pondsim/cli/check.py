"""`pondsim check`: what a design file describes and what it is held against, without a run."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import (
    check_weather,
    existing_file,
    json_text,
    new_file,
    reading_of,
    units_option,
    wrapped,
    write_text,
)
from pondsim.errors import ScenarioError
from pondsim.words import counted

if TYPE_CHECKING:
    from pondsim.design.sheet import Sheet
    from pondsim.design.whole import WholeSheet
    from pondsim.records import Record
    from pondsim.scenario.read import Reading
    from pondsim.scenario.settings import Scenario

FAILED = 1  # exit code of --strict


@click.command("check")
@click.argument("design", type=existing_file)
@click.option("--full", is_flag=True, help="Also show informational values and every note.")
@click.option(
    "--strict",
    is_flag=True,
    help=f"Exit code {FAILED} where a limit fails; with --pumps where every pump has one.",
)
@click.option("--figure", type=new_file, help="Draw the loop in profile with its curves (.png, .svg, .pdf).")
@click.option("--json", "json_file", type=new_file, help="Write the sheet for machines.")
@click.option("--csv", "csv_file", type=new_file, help="Write the sheet for a spreadsheet.")
@click.option("--pumps", type=existing_file, help="Check every pump in a TOML list against the line instead.")
@units_option
def command(
    design: Path,
    system: str,
    pumps: Path | None,
    figure: Path | None,
    json_file: Path | None,
    csv_file: Path | None,
    *,
    full: bool,
    strict: bool,
) -> None:
    """Read DESIGN and show what it describes, what its hardware delivers and which limits it meets.

    Volumes, operating points, waterfall, air, power, limits with their sources and a hand check; nothing is
    simulated. Every error in the file and its weather file is reported with its line number.

    \b
    pondsim check waterfall.toml --pumps pumps.toml
    """
    if pumps is not None:
        _pumps(design, pumps, system, figure, json_file, csv_file, strict=strict)
        return
    from pondsim.design.held import counts  # noqa: PLC0415
    from pondsim.design.remarks import design_records  # noqa: PLC0415
    from pondsim.design.whole import whole_sheet  # noqa: PLC0415

    reading = reading_of(design)
    _check_files(design, reading.scenario, figure, json_file, csv_file)
    records = check_weather(reading.scenario)
    whole = whole_sheet(reading.scenario)
    said = [*design_records(reading.scenario, whole.sheet), *records]
    click.echo(sheet_text(reading, whole, system, said, full=full))
    _write(whole, json_file, csv_file, system, [*reading.notes, *said])
    if figure:
        _draw(reading.scenario, whole, figure, system)
    for path in (figure, json_file, csv_file):
        if path:
            click.echo(f"Written to {path}.", err=True)
    if strict and counts(whole.limits)["fail"]:
        raise click.exceptions.Exit(FAILED)


def _pumps(
    design: Path,
    pumps: Path,
    system: str,
    figure: Path | None,
    json_file: Path | None,
    csv_file: Path | None,
    *,
    strict: bool,
) -> None:
    """Check a list of pumps; entries that cannot be used are told after the others, as faults of the list."""
    from pondsim.cli._check_pumps import check_pumps  # noqa: PLC0415
    from pondsim.cli._places import check_places  # noqa: PLC0415

    if figure:
        raise ScenarioError("--figure: does not go with --pumps; draw the design with one pump")
    for path in (json_file, csv_file):
        if path and path.resolve() == pumps.resolve():
            raise ScenarioError(f"{path}: is an input of this command; choose another file to write")
    check_places([json_file, csv_file], [design])
    good, problems = check_pumps(design, pumps, system, json_file, csv_file)
    for path in (json_file, csv_file):
        if path:
            click.echo(f"Written to {path}.", err=True)
    if problems:
        raise ScenarioError(problems)
    if strict and not good:
        raise click.exceptions.Exit(FAILED)


def _write(
    whole: WholeSheet, json_file: Path | None, csv_file: Path | None, system: str, records: Sequence[Record]
) -> None:
    from pondsim.cli._check_files import check_csv, check_data  # noqa: PLC0415

    if json_file:
        write_text(json_file, json_text(check_data(whole, system, records)))
    if csv_file:
        write_text(csv_file, check_csv(whole, system))


def _check_files(design: Path, scenario: Scenario, figure: Path | None, *files: Path | None) -> None:
    """Refuse what cannot be written, or drawn, before anything is printed."""
    from pondsim.cli._places import check_places  # noqa: PLC0415

    if figure and figure.suffix.lower() not in (".png", ".svg", ".pdf"):
        raise ScenarioError(f"{figure}: a picture ends in .png, .svg or .pdf")
    if figure and scenario.pump is None:
        raise ScenarioError(f"{design}: has no circulation loop to draw; leave out --figure, or add the loop")
    check_places([figure, *files], [design])


def _draw(scenario: Scenario, whole: WholeSheet, path: Path, system: str) -> None:
    from pondsim.design.cut import cut_of  # noqa: PLC0415
    from pondsim.figures.hardware import hardware_figure  # noqa: PLC0415
    from pondsim.figures.style import write_figure  # noqa: PLC0415

    cut = cut_of(scenario)
    assert whole.line is not None and cut is not None
    write_figure(hardware_figure(whole.line, cut, system=system), path)


def sheet_text(
    reading: Reading, whole: WholeSheet, system: str, records: Sequence[Record] = (), *, full: bool = False
) -> str:
    """The whole sheet as text of 80 columns; `records` of design, weather and rain are its remarks."""
    from pondsim.cli._check_running import running_text  # noqa: PLC0415
    from pondsim.cli._check_text import (  # noqa: PLC0415
        air_text,
        criterion_words,
        inputs_text,
        limits_text,
        loop_text,
        points_text,
        pond_work_text,
    )
    from pondsim.design.given import design_inputs, is_described, operating_points  # noqa: PLC0415
    from pondsim.design.held import tally  # noqa: PLC0415

    scenario, sheet, line, limits = reading.scenario, whole.sheet, whole.line, whole.limits
    described = is_described(scenario)
    parts = [
        _period(scenario, sheet, system),
        *([wrapped(tally(limits))] if limits else []),
        *([_crashes(scenario)] if scenario.bloom_crash else []),
        *([pond_work_text(whole.work, system)] if whole.work else []),
        *([_areas(sheet, system)] if sheet.areas else []),
        _zones(sheet, system),
        inputs_text(design_inputs(sheet), criterion_words(scenario), system),
        loop_text(sheet, line, system, described=described),
        *([points_text(operating_points(line), line, system)] if line and described else []),
        air_text(sheet, whole.air, system),
        *running_text(scenario, system),
        *([limits_text(limits, system, full=full)] if limits else []),
        _hand_check_text(sheet, system),
        *_remarks(reading, system, records),
        _cautions(scenario),
    ]
    return "\n\n".join(parts)


def _remarks(reading: Reading, system: str, records: Sequence[Record]) -> list[str]:
    from pondsim.comparison.remarks import sentence  # noqa: PLC0415

    lines = [wrapped(f"Note: {sentence(note)}") for note in reading.notes]
    said = [sentence(record, system) for record in records]
    lines += [wrapped(f"Remark: {remark}") for remark in dict.fromkeys(said)]
    return ["\n".join(lines)] if lines else []


def _hand_check_text(sheet: Sheet, system: str) -> str:
    from pondsim.cli._hand_check import hand_check  # noqa: PLC0415

    head = "Hand check, a hot night: 28 degC (82 degF), oxygen 4 mg/L below saturation"
    lines = hand_check(sheet, system)
    return "\n".join([head, *(wrapped(line, indent="  ") for line in lines)])


def _cautions(scenario: Scenario) -> str:
    from pondsim.cli._cautions import cautions_of  # noqa: PLC0415

    return "\n".join(["Cautions", *(wrapped(text, indent="  ") for text in cautions_of(scenario))])


def _period(scenario: Scenario, sheet: Sheet, system: str) -> str:
    from pondsim.comparison.lengths import length_text  # noqa: PLC0415
    from pondsim.comparison.names import listed  # noqa: PLC0415
    from pondsim.units import display  # noqa: PLC0415

    came = {"storm": sheet.storms, "inflow event": len(scenario.inflow)}  # stated inflow may be snowmelt
    named = listed(counted(number, what) for what, number in came.items() if number)
    brings = "brings" if sum(came.values()) == 1 else "bring"
    water = f"{named} {brings} {display(sheet.storm_water, 'volume', system)}"
    return (
        f"{sheet.title}\n"
        f"  {scenario.period.start:%Y-%m-%d %H:%M} to {scenario.period.end:%Y-%m-%d %H:%M}, "
        f"{length_text(sheet.days)}; weather: "
        f"{'invented, by seed' if scenario.weather.synthetic else scenario.weather.file}\n"
        f"  {water if named else 'no storm and no inflow event in the period'}"
    )


def _crashes(scenario: Scenario) -> str:
    lines = ["Bloom crashes and treatments that kill algae"]
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
    heads = ("area", "volume", "deepest", "mean", "SOD")
    rows = [(z.name, (z.area, z.volume, z.depth, z.volume / z.area, z.bed_takes)) for z in sheet.zones]
    deepest = max(zone.depth for zone in sheet.zones)
    whole = (sheet.area, sheet.volume, deepest, sheet.volume / sheet.area, sheet.bed_takes)
    wide = max(10, *(len(name) for name, _ in rows)) + 2
    lines = ["At normal pool (SOD: sediment oxygen demand at 28 degC, 82 degF)"]
    lines.append(" " * wide + "".join(head.rjust(11) for head in heads))
    lines.append(" " * wide + "".join(f"[{unit}]".rjust(11) for unit in units))
    for name, values in [*rows, ("whole pond", whole)]:
        cells = (number_text(from_si(v, u)).rjust(11) for v, u in zip(values, units, strict=True))
        lines.append(f"  {name}".ljust(wide) + "".join(cells))
    return "\n".join(lines)
