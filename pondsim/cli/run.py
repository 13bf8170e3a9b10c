"""`pondsim run`: one design, one results file."""

from __future__ import annotations

from pathlib import Path

import click

from pondsim.cli._common import (
    existing_file,
    new_file,
    progress,
    reading_of,
    results_of,
    units_option,
    wrapped,
)
from pondsim.errors import ScenarioError


@click.command("run")
@click.argument("design", type=existing_file)
@click.option("-o", "--output", required=True, type=new_file, help="Results file to write, such as july.nc.")
@units_option
def command(design: Path, output: Path, system: str) -> None:
    """Simulate DESIGN and write its results as netCDF.

    DESIGN is a design file (which names its site file) or a site file alone.
    """
    from pondsim.cli._cautions import cautions_of  # noqa: PLC0415
    from pondsim.cli._places import check_places  # noqa: PLC0415
    from pondsim.comparison import compare  # noqa: PLC0415
    from pondsim.comparison.findings import findings  # noqa: PLC0415
    from pondsim.results import save  # noqa: PLC0415

    if design.suffix == ".nc":
        raise ScenarioError(f"{design}: is a results file; give the design file it came from")
    if output.suffix != ".nc":
        raise ScenarioError(f"{output}: a results file ends in .nc, as in {output.stem or 'july'}.nc")
    check_places([output], [design])
    with progress("Simulating ") as report:
        results = results_of(design, report)
    save(results, output)
    comparison = compare([results])
    for paragraph in findings(comparison, system):
        click.echo(wrapped(paragraph))
    for note in comparison.notes:
        click.echo(wrapped(f"Note: {note}"))
    click.echo(f"Written to {output}.")
    click.echo(wrapped(f"Cautions: {' '.join(cautions_of(reading_of(design).scenario))}"), err=True)
