"""`pondsim promise`: how sure a difference is, what decides it, and what may be promised."""

from __future__ import annotations

from pathlib import Path

import click

from pondsim.cli._common import json_text, new_file, units_option, write_text
from pondsim.cli._promise_run import studied, way_of
from pondsim.errors import ScenarioError

given_path = click.Path(exists=True, path_type=Path)


@click.command("promise")
@click.argument("existing", type=given_path)
@click.argument("designs", nargs=-1, type=given_path)
@click.option(
    "--members", default=64, show_default=True, help="Draws, a power of two; each runs every design."
)
@click.option(
    "--seed",
    type=click.IntRange(0),
    default=1,
    show_default=True,
    help="Another seed is another set of draws.",
)
@click.option("--confidence", default=0.9, show_default=True, help="Share of members that keep a promise.")
@click.option(
    "--measure", "key", default="", help="Measure to promise, by its key; else the strongest of dawns."
)
@click.option("--weights", type=given_path, help="Weights and draws from `pondsim calibrate`.")
@click.option("--workers", type=click.IntRange(1, 512), help="Processes of this machine; else threads.")
@click.option("--cluster", help="Address of a Dask scheduler, such as tcp://10.0.0.5:8786.")
@click.option("-o", "--output", type=new_file, help="Members as netCDF, to print or report them again.")
@click.option(
    "--keep",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder of finished runs, so that a broken study goes on; with -o a folder beside it.",
)
@click.option("--figure", type=new_file, help="Picture to write: PNG, SVG or PDF by its ending.")
@click.option(
    "--json", "json_file", type=new_file, help="Everything as JSON; `pondsim report --promise` takes it."
)
@click.option("--csv", "csv_file", type=new_file, help="Every measure as CSV.")
@click.option("--prices", type=given_path, help="Your unit prices, where ponds are ranked: one file for all.")
@click.option("--full", is_flag=True, help="Show every measure, not only the main ones.")
@units_option
def command(
    existing: Path,
    designs: tuple[Path, ...],
    members: int,
    seed: int,
    confidence: float,
    key: str,
    weights: Path | None,
    workers: int | None,
    cluster: str | None,
    output: Path | None,
    keep: Path | None,
    figure: Path | None,
    json_file: Path | None,
    csv_file: Path | None,
    prices: Path | None,
    system: str,
    *,
    full: bool,
) -> None:
    """Say how sure it is that DESIGNS are better than EXISTING, and what may be promised.

    Every design runs in every member: one draw of all that is not known, and one weather year. EXISTING may
    be
    a file of members (.nc) that was written by -o. Given folders of ponds, each with existing.toml and its
    designs, it ranks them by what is gained for the money.
    """
    from pondsim.cli._places import check_places  # noqa: PLC0415
    from pondsim.ensemble.promise import check_confidence  # noqa: PLC0415

    how = way_of(workers, cluster)
    check_confidence(confidence)
    if figure and figure.suffix.lower() not in (".png", ".svg", ".pdf"):
        raise ScenarioError(f"{figure}: a picture ends in .png, .svg or .pdf")
    if existing.is_dir():
        from pondsim.cli._promise_park import rank_ponds  # noqa: PLC0415

        _refuse_of_one(
            {"--output": output, "--figure": figure, "--json": json_file, "--weights": weights}
            | {"--measure": key, "--full": full}
        )
        check_places([csv_file], [])
        rank_ponds([existing, *designs], members, seed, how, keep, prices, csv_file, confidence)
        return
    if any(one.is_dir() for one in designs):
        raise ScenarioError("a folder among design files; give folders of ponds only, or files only")
    outputs = [output, figure, json_file, csv_file]
    check_places(outputs, [existing, *designs] if existing.suffix == ".toml" else [existing])
    if existing.suffix == ".nc":
        from pondsim.ensemble.study_file import load_study  # noqa: PLC0415

        if designs:
            raise ScenarioError(f"{existing}: a file of members stands alone, with no designs beside it")
        study = load_study(existing)
    else:
        study = studied([existing, *designs], members, seed, how, keep, output, weights, key)

    from pondsim.cli._promise_data import answer_csv, answer_data  # noqa: PLC0415
    from pondsim.cli._promise_text import answer_text  # noqa: PLC0415
    from pondsim.ensemble.answer import answer_of  # noqa: PLC0415

    answer = answer_of(study, confidence, key, system)
    click.echo(answer_text(study, answer, system, full=full), nl=False)
    if json_file:
        write_text(json_file, json_text(answer_data(study, answer, system)))
    if csv_file:
        write_text(csv_file, answer_csv(answer, system))
    if figure:
        from pondsim.cli._promise_figure import draw  # noqa: PLC0415

        draw(study, answer, figure, system)
    for path in outputs:
        if path:
            click.echo(f"Written to {path}.", err=True)


def _refuse_of_one(given: dict[str, object]) -> None:
    """Refuse options that go with one pond, where many are ranked."""
    for option, value in given.items():
        if value:
            raise ScenarioError(f"{option}: goes with one pond, not with folders of ponds; see --csv")
