"""`pondsim export`: series of a results file for a spreadsheet."""

from __future__ import annotations

from pathlib import Path

import click

from pondsim.cli._common import existing_file, new_file, units_option, write_text
from pondsim.errors import ScenarioError


@click.command("export")
@click.argument("results", type=existing_file)
@click.option("--zone", "zones", multiple=True, help="Zone; may be given again.  [default: all]")
@click.option(
    "--depth",
    "depths",
    multiple=True,
    help='Depth below the surface, such as "3 ft", or top, mid, bottom, column; may be given again.  '
    "[default: top, mid, bottom]",
)
@click.option(
    "--variable",
    "names",
    multiple=True,
    help="Variable of the results file; may be given again.  [default: dissolved_oxygen, water_temperature]",
)
@click.option("-o", "--output", type=new_file, help="CSV file to write; printed when left out.")
@units_option
def command(
    results: Path,
    zones: tuple[str, ...],
    depths: tuple[str, ...],
    names: tuple[str, ...],
    output: Path | None,
    system: str,
) -> None:
    """Write series of RESULTS at a zone and depth as CSV, with the unit in each column's head."""
    from pondsim.cli._series import series_table  # noqa: PLC0415
    from pondsim.results import check_writable, load  # noqa: PLC0415

    if output is not None and output.exists() and results.samefile(output):
        raise ScenarioError(f"{output}: is an input of this command; choose another file to write")
    if output is not None:
        check_writable(output)
    text = series_table(load(results), zones, depths, names, system)
    if output is None:
        click.echo(text, nl=False)
    else:
        write_text(output, text)
        click.echo(f"{text.count(chr(10)) - 1} rows written to {output}.")
