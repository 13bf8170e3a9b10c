"""`pondsim calibrate`: members weighed by readings."""

from __future__ import annotations

from pathlib import Path

import click

from pondsim.cli._common import (
    check_weather,
    existing_file,
    json_text,
    new_file,
    progress,
    reading_of,
    say_when_compiling,
    write_text,
)
from pondsim.errors import ScenarioError


@click.command("calibrate")
@click.argument("design", type=existing_file)
@click.option("--members", default=64, show_default=True, help="Draws, a power of two.")
@click.option(
    "--seed",
    type=click.IntRange(0),
    default=1,
    show_default=True,
    help="Another seed is another set of draws.",
)
@click.option(
    "--held-out", default=0.3, show_default=True, help="Share of the days, the last, kept for scoring."
)
@click.option(
    "--effective", default=20.0, show_default=True, help="Members that weights must be worth at least."
)
@click.option(
    "--by",
    "quantities",
    multiple=True,
    default=("dissolved_oxygen", "water_temperature"),
    show_default=True,
    help="What weighs members; may be given again.",
)
@click.option(
    "--fit", "fitted", multiple=True, help="Unknown to fit by least squares too; may be given again."
)
@click.option("--workers", type=click.IntRange(1, 512), help="Processes of this machine; else threads.")
@click.option("--cluster", help="Address of a Dask scheduler, such as tcp://10.0.0.5:8786.")
@click.option(
    "-o",
    "--output",
    type=new_file,
    help="Weights and draws (.nc), for --weights of promise, size and report.",
)
@click.option(
    "--keep",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder of finished runs, so that a broken study goes on.",
)
@click.option("--json", "json_file", type=new_file, help="Everything as JSON.")
def command(
    design: Path,
    members: int,
    seed: int,
    held_out: float,
    effective: float,
    quantities: tuple[str, ...],
    fitted: tuple[str, ...],
    workers: int | None,
    cluster: str | None,
    output: Path | None,
    keep: Path | None,
    json_file: Path | None,
) -> None:
    """Weigh draws of what is not known by the readings of DESIGN, the pond as it was when it was read.

    It says what the readings taught and what not, and scores the last days, which weigh nothing. The result
    is
    weights of members, never one set of values.
    """
    from pondsim.cli._calibrate_text import calibration_data, calibration_text, sentences  # noqa: PLC0415
    from pondsim.cli._places import check_places  # noqa: PLC0415
    from pondsim.cli._promise_run import way_of  # noqa: PLC0415
    from pondsim.ensemble.calibrate import calibrate  # noqa: PLC0415
    from pondsim.ensemble.fit import fit_unknowns  # noqa: PLC0415
    from pondsim.ensemble.weights_file import save_weights  # noqa: PLC0415

    how = way_of(workers, cluster)
    check_places([output, json_file], [design])
    scenario = reading_of(design).scenario
    if not scenario.readings:
        raise ScenarioError(
            f"{design}: has no [[readings]] to hold members against; docs/readings.md shows how"
        )
    check_weather(scenario)
    say_when_compiling()
    with progress("Running members ") as report:
        found = calibrate(
            scenario,
            members,
            seed,
            how,
            held_out=held_out,
            effective=effective,
            quantities=quantities,
            keep=keep,
            report=report,
        )
    fits = fit_unknowns(scenario, found, fitted, held_out) if fitted else ()
    click.echo(calibration_text(found, fits), nl=False)
    if output:
        save_weights(found, scenario, output, sentences(found, fits))
    if json_file:
        write_text(json_file, json_text(calibration_data(found, fits)))
    for path in (output, json_file):
        if path:
            click.echo(f"Written to {path}.", err=True)
