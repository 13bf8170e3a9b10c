"""`pondsim storm`: storms at a glance."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import (
    CAUTIONS,
    existing_file,
    json_text,
    new_file,
    progress,
    say_when_compiling,
    units_option,
    wrapped,
    write_text,
)
from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    import xarray as xr

    from pondsim.scenario.read import Reading


@click.command("storm")
@click.argument("designs", nargs=-1, required=True, type=existing_file)
@click.option("--existing", type=existing_file, help="Design file of the existing pond, shown beside.")
@click.option("--storms", "chosen", help='Names of [[storm]] sections, such as "2yr,10yr,100yr", or "all".')
@click.option(
    "--pool",
    default="normal",
    show_default=True,
    help='With --storms: water surface every design starts each storm with, such as "101.5 ft".',
)
@click.option("--figure", type=new_file, help="Picture to write: PNG, SVG or PDF by its ending.")
@click.option("--json", "json_file", type=new_file, help="Write every measure as JSON, for `pondsim report`.")
@units_option
def command(
    designs: tuple[Path, ...],
    existing: Path | None,
    chosen: str | None,
    pool: str,
    figure: Path | None,
    json_file: Path | None,
    system: str,
) -> None:
    """Show what storms do to the pond of DESIGNS.

    Without --storms: the design storm of the site file, else the largest storm of the period, each design at
    the level its season has brought it to. With --storms: each named storm, from one stated pool.
    """
    from pondsim.cli._places import check_places  # noqa: PLC0415
    from pondsim.cli._storms import (  # noqa: PLC0415
        LEGEND,
        names_of,
        run_named,
        storm_table,
        storm_text,
        storms_data,
    )
    from pondsim.scenario.read import read  # noqa: PLC0415

    if figure and figure.suffix.lower() not in (".png", ".svg", ".pdf"):
        raise ScenarioError(f"{figure}: a picture ends in .png, .svg or .pdf")
    if pool != "normal" and chosen is None:
        raise ScenarioError("--pool: goes with --storms; without it each design has the level of its season")
    paths = [path for path in (existing, *designs) if path]
    check_places([figure, json_file], paths)
    readings = [read(path) for path in paths]
    by_storm = (
        run_named(readings, names_of(chosen, readings), pool) if chosen is not None else [_largest(readings)]
    )
    tables = [storm_table(results, compared=existing is not None) for results in by_storm]
    for one in tables:
        click.echo(storm_text(one, system) + "\n")
    for line in (LEGEND, *_remarks([one for results in by_storm for one in results])):
        click.echo(wrapped(line) + "\n")
    click.echo(wrapped(CAUTIONS))
    if json_file:
        write_text(json_file, json_text(storms_data(tables, system)))
        click.echo(f"Written to {json_file}.", err=True)
    if figure:
        _draw(by_storm[-1], figure, system)


def _largest(readings: list[Reading]) -> list[xr.Dataset]:
    """The storm of the last design, run for each from the start of its period."""
    from pondsim.storm import event_of, run_storm  # noqa: PLC0415

    event = event_of(readings[-1].scenario)
    say_when_compiling()
    results = []
    for reading in readings:
        with progress("Simulating ") as report:
            results.append(run_storm(reading.scenario, reading.text, event, report))
    return results


def _draw(results: list[xr.Dataset], figure: Path, system: str) -> None:
    from pondsim.figures.storm import storm_figure  # noqa: PLC0415
    from pondsim.figures.style import write_figure  # noqa: PLC0415

    write_figure(storm_figure(results, system=system), figure)
    click.echo(f"Written to {figure}.", err=True)


def _remarks(results: list[xr.Dataset]) -> list[str]:
    from pondsim.comparison.notes import remarks_by_design  # noqa: PLC0415

    titles = [str(one.attrs["title"]) for one in results]
    return [f"Note: {text}" for text in remarks_by_design(results, titles)]
