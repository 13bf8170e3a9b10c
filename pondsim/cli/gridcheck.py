"""`pondsim gridcheck`: how far layers, steps and zones drive the answer, and what survives."""

from __future__ import annotations

from pathlib import Path

import click

from pondsim.cli._common import (
    check_weather,
    existing_file,
    json_text,
    new_file,
    progress,
    read_design,
    say_when_compiling,
    units_option,
    write_text,
)
from pondsim.errors import ScenarioError


@click.command("gridcheck")
@click.argument("existing", type=existing_file)
@click.argument("designs", nargs=-1, type=existing_file)
@click.option("--json", "json_file", type=new_file, help="Write it as JSON, for compare --bands.")
@click.option("--csv", "csv_file", type=new_file, help="Write it as CSV.")
@click.option("--full", is_flag=True, help="Show every measure, not only the main ones.")
@units_option
def command(
    existing: Path,
    designs: tuple[Path, ...],
    json_file: Path | None,
    csv_file: Path | None,
    system: str,
    *,
    full: bool,
) -> None:
    """Run EXISTING and DESIGNS more finely and show what moves.

    Each is run as it is, with twice the layers, with a tenth of the hydraulic step, with a tenth of the
    tolerance, and with its largest zone cut in two: five runs a design. `pondsim compare --bands FILE` and
    `pondsim report --bands FILE` take the bands of ties and the digits from the JSON file.
    """
    from pondsim.cli._places import check_places  # noqa: PLC0415

    paths = [existing, *designs]
    for path in paths:
        if path.suffix == ".nc":
            raise ScenarioError(f"{path}: is a results file; give the design file it came from")
    check_places([json_file, csv_file], paths)
    scenarios = [read_design(path).scenario for path in paths]
    for scenario in scenarios:
        check_weather(scenario)

    from pondsim.cli._gridcheck_text import check_csv, check_data, check_text  # noqa: PLC0415
    from pondsim.ensemble.gridcheck import grid_check  # noqa: PLC0415

    say_when_compiling()
    with progress("Simulating ") as report:
        check = grid_check(scenarios, report=report)
    click.echo(check_text(check, system, full=full), nl=False)
    if json_file:
        write_text(json_file, json_text(check_data(check)))
    if csv_file:
        write_text(csv_file, check_csv(check))
    for file in (json_file, csv_file):
        if file:
            click.echo(f"Written to {file}.", err=True)
