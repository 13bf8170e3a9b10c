"""`pondsim compare`: what designs change against the existing pond."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import (
    CAUTIONS,
    all_results,
    existing_file,
    json_text,
    new_file,
    read_bands_file,
    units_option,
    wrapped,
    write_text,
)
from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    import xarray as xr

    from pondsim.cli._batch import Answered
    from pondsim.scenario.vary import Change


@click.command("compare")
@click.argument("existing", type=existing_file)
@click.argument("designs", nargs=-1, required=True, type=existing_file)
@click.option(
    "--save",
    "folder",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder for the results files, made when missing.",
)
@click.option("--figure", type=new_file, help="Picture to write: PNG, SVG or PDF by its ending.")
@click.option("--json", "json_file", type=new_file, help="Write every measure as JSON.")
@click.option("--csv", "csv_file", type=new_file, help="Write every measure as CSV.")
@click.option(
    "--allow-differences",
    is_flag=True,
    help="Give a verdict though the files differ in more than equipment.",
)
@click.option("--full", is_flag=True, help="Show every measure, not only the main ones.")
@click.option("--bands", type=existing_file, help="Bands of ties from `pondsim gridcheck --json`.")
@click.option("--prices", type=existing_file, help="Your unit prices (.toml): cost of each design below.")
@click.option(
    "--set", "settings", multiple=True, metavar="KEY=VALUE", help="Set a value in every design; repeatable."
)
@click.option(
    "--variants", type=existing_file, help="File of named variants (.toml): each is run for every design."
)
@click.option("--storms", help='Run storms too: names of [[storm]] sections, such as "2yr,10yr", or "all".')
@click.option("--pool", default="normal", show_default=True, help="Water surface every storm starts from.")
@click.option(
    "--keep",
    type=click.Path(file_okay=False, path_type=Path),
    help="With --variants: folder of finished runs, so that an interrupted batch resumes.",
)
@click.option(
    "--workers", type=click.IntRange(1, 1024), help="With --variants: number of processes; else threads."
)
@units_option
def command(
    existing: Path,
    designs: tuple[Path, ...],
    folder: Path | None,
    figure: Path | None,
    json_file: Path | None,
    csv_file: Path | None,
    bands: Path | None,
    prices: Path | None,
    settings: tuple[str, ...],
    variants: Path | None,
    storms: str | None,
    pool: str,
    keep: Path | None,
    workers: int | None,
    system: str,
    *,
    allow_differences: bool,
    full: bool,
) -> None:
    """Show what each of DESIGNS changes against EXISTING.

    Each is a design file, which is simulated, or a results file (.nc) of `pondsim run`. What the files differ
    in beside equipment comes first; where the pond, its weather or its parameters differ there is no verdict.
    """
    paths = [existing, *designs]
    _check_places(paths, folder, figure, json_file, csv_file)
    if pool != "normal" and storms is None:
        raise ScenarioError("--pool: goes with --storms")
    if settings or variants or storms is not None:
        if folder or figure or prices or bands or full:
            raise ScenarioError(
                "--set, --variants and --storms go with --json, --csv and --allow-differences alone; to keep "
                "results or to draw them, write the values into design files"
            )
        how = f"processes:{workers}" if workers else "threads"
        done = _batched(paths, settings, variants, storms, pool, how, keep, allow=allow_differences)
        _tell_batch(*done, json_file, csv_file, system)
        return
    if keep or workers:
        raise ScenarioError(
            "--keep and --workers go with --set, --variants and --storms; --save keeps results"
        )
    measured = read_bands_file(bands) if bands else None
    priced = None
    if prices:
        from pondsim.cli._run_costs import costs_beside, priced_designs  # noqa: PLC0415

        priced = priced_designs(paths, prices)
    results = all_results(paths)
    if folder:
        _save(results, paths, folder)

    from pondsim.cli._readings_text import against_data, against_readings  # noqa: PLC0415
    from pondsim.cli._tables import comparison_csv, comparison_data, comparison_text  # noqa: PLC0415
    from pondsim.comparison import compare  # noqa: PLC0415
    from pondsim.measures import misses_of  # noqa: PLC0415

    comparison = compare(results, allow_differences=allow_differences, bands=measured)
    click.echo(comparison_text(comparison, system, full=full), nl=False)
    if priced is not None:
        click.echo(f"\n{costs_beside(priced, results, system)}")
    against = misses_of(results[0])
    click.echo(against_readings(against, system), nl=False)
    if json_file:
        write_text(json_file, json_text(comparison_data(comparison, system) | against_data(against)))
    if csv_file:
        write_text(csv_file, comparison_csv(comparison, system))
    if figure:
        _draw(results, figure, system)
    for path in (figure, json_file, csv_file):
        if path:
            click.echo(f"Written to {path}.", err=True)


def _batched(
    paths: list[Path],
    settings: tuple[str, ...],
    variants: Path | None,
    storms: str | None,
    pool: str,
    how: str,
    keep: Path | None,
    *,
    allow: bool,
) -> tuple[list[Answered], tuple[Change, ...]]:
    """The comparison for every variant, with storms where they are asked for; and what was set in all."""
    from pondsim.cli._batch import run_batch  # noqa: PLC0415
    from pondsim.cli._variants import AS_SET, AS_STATED, Variant, changes_of, read_variants  # noqa: PLC0415

    base = AS_SET if settings else AS_STATED
    named = read_variants(variants, base) if variants else (Variant(base, ()),)
    changes = changes_of(settings)
    return run_batch(paths, named, changes, storms, pool, how, keep, allow_differences=allow), changes


def _tell_batch(
    found: list[Answered],
    changes: tuple[Change, ...],
    json_file: Path | None,
    csv_file: Path | None,
    system: str,
) -> None:
    """Print a batch and write its files."""
    from pondsim.cli._batch import batch_csv, batch_data, batch_text  # noqa: PLC0415

    click.echo(batch_text(found, changes, system), nl=False)
    click.echo("\n" + wrapped(CAUTIONS))
    if json_file:
        write_text(json_file, json_text(batch_data(found, changes, system)))
    if csv_file:
        write_text(csv_file, batch_csv(found, system))
    for path in (json_file, csv_file):
        if path:
            click.echo(f"Written to {path}.", err=True)


def _check_places(paths: list[Path], folder: Path | None, figure: Path | None, *files: Path | None) -> None:
    """Refuse what cannot be written before anything is simulated."""
    from pondsim.cli._places import check_places  # noqa: PLC0415
    from pondsim.results import check_writable  # noqa: PLC0415

    if figure and figure.suffix.lower() not in (".png", ".svg", ".pdf"):
        raise ScenarioError(f"{figure}: a picture ends in .png, .svg or .pdf")
    made = folder is not None and not folder.exists()
    if folder:
        try:
            folder.mkdir(exist_ok=True)
        except OSError as error:
            raise ScenarioError(f"{folder}: this folder cannot be made ({error.strerror})") from error
        if made:
            click.get_current_context().call_on_close(lambda: _leave_no_empty(folder))
        check_writable(folder / "results.nc")
    saved = list(_saved(paths, folder).values()) if folder else []
    check_places([figure, *files, *saved], paths)


def _leave_no_empty(folder: Path) -> None:
    with suppress(OSError):  # results lie in it
        folder.rmdir()


def _saved(paths: list[Path], folder: Path) -> dict[int, Path]:
    """Where the results of each simulated file go, by its place; a results file is kept as it is."""
    used: dict[int, Path] = {}
    for place, path in enumerate(paths):
        if path.suffix == ".nc":
            continue
        name = path.stem
        while folder / f"{name}.nc" in used.values():
            name += "_2"
        used[place] = folder / f"{name}.nc"
    return used


def _save(results: list[xr.Dataset], paths: list[Path], folder: Path) -> None:
    from pondsim.results import save  # noqa: PLC0415

    saved = _saved(paths, folder)
    for place, path in saved.items():
        save(results[place], path)
    for path in saved.values():
        click.echo(f"Written to {path}.", err=True)


def _draw(results: list[xr.Dataset], path: Path, system: str) -> None:
    from pondsim.figures.comparison import comparison_figure  # noqa: PLC0415
    from pondsim.figures.style import write_figure  # noqa: PLC0415

    write_figure(comparison_figure(results, system=system), path)
