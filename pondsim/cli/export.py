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
@click.option(
    "--table",
    "table",
    type=click.Choice(["bill", "switching", "events"]),
    help="In place of series: bill by month; hours run, starts and trips; or every switching and outage.",
)
@click.option(
    "--scenario",
    "scenario",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    help="In place of series: write design, site and every table they name into FOLDER, to run again.",
)
@click.option("-o", "--output", type=new_file, help="CSV file to write; printed when left out.")
@units_option
def command(
    results: Path,
    zones: tuple[str, ...],
    depths: tuple[str, ...],
    names: tuple[str, ...],
    table: str | None,
    scenario: Path | None,
    output: Path | None,
    system: str,
) -> None:
    """Write series of RESULTS at a zone and depth, or a table, as CSV with units in the columns' heads.

    With --scenario: write the files that RESULTS were made from.
    """
    from pondsim.cli._series import series_table  # noqa: PLC0415
    from pondsim.cli._tables_csv import table_text  # noqa: PLC0415
    from pondsim.cli._unpack import unpacked, write_scenario  # noqa: PLC0415
    from pondsim.results import check_writable, load  # noqa: PLC0415

    if scenario is not None:
        if table or zones or depths or names or output:
            raise ScenarioError("--scenario writes the files of the run: give no other option")
        files = unpacked(load(results), results)
        first = write_scenario(files, scenario)
        click.echo(f"{len(files)} files written to {scenario}. To run them: pondsim run {first} -o again.nc")
        return
    if table and (zones or depths or names):
        raise ScenarioError(f"--table {table} is whole: --zone, --depth and --variable do not apply to it")
    if output is not None and output.exists() and results.samefile(output):
        raise ScenarioError(f"{output}: is an input of this command; choose another file to write")
    if output is not None:
        check_writable(output)
    dataset = load(results)
    text = table_text(dataset, table) if table else series_table(dataset, zones, depths, names, system)
    if output is None:
        click.echo(text, nl=False)
    else:
        write_text(output, text)
        click.echo(f"{text.count(chr(10)) - 1} rows written to {output}.")
