"""`pondsim compare`: what designs change against the existing pond."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import all_results, existing_file, json_text, new_file, units_option, write_text
from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    import xarray as xr


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
@click.option("--full", is_flag=True, help="Show every measure, not only the main ones.")
@units_option
def command(
    existing: Path,
    designs: tuple[Path, ...],
    folder: Path | None,
    figure: Path | None,
    json_file: Path | None,
    csv_file: Path | None,
    full: bool,
    system: str,
) -> None:
    """Show what each of DESIGNS changes against EXISTING.

    Each is a design file, which is simulated, or a results file (.nc) of `pondsim run`.
    """
    _check_places(folder, figure, json_file, csv_file)
    paths = [existing, *designs]
    results = all_results(paths)

    from pondsim.cli._tables import comparison_csv, comparison_data, comparison_text  # noqa: PLC0415
    from pondsim.compare import compare  # noqa: PLC0415

    comparison = compare(results)
    click.echo(comparison_text(comparison, system, full=full), nl=False)
    if folder:
        _save(results, paths, folder)
    if json_file:
        write_text(json_file, json_text(comparison_data(comparison, system)))
    if csv_file:
        write_text(csv_file, comparison_csv(comparison, system))
    if figure:
        _draw(results, figure, system)
    for path in (figure, json_file, csv_file):
        if path:
            click.echo(f"Written to {path}.", err=True)


def _check_places(folder: Path | None, figure: Path | None, *files: Path | None) -> None:
    """Refuse what cannot be written before anything is simulated."""
    from pondsim.results import check_writable  # noqa: PLC0415

    if figure and figure.suffix.lower() not in (".png", ".svg", ".pdf"):
        raise ScenarioError(f"{figure}: a picture ends in .png, .svg or .pdf")
    if folder:
        try:
            folder.mkdir(exist_ok=True)
        except OSError as error:
            raise ScenarioError(f"{folder}: this folder cannot be made ({error.strerror})") from error
        check_writable(folder / "results.nc")
    for path in (figure, *files):
        if path:
            check_writable(path)


def _save(results: list[xr.Dataset], paths: list[Path], folder: Path) -> None:
    from pondsim.results import save  # noqa: PLC0415

    used: set[str] = set()
    for dataset, path in zip(results, paths, strict=True):
        if path.suffix == ".nc":
            continue  # it is a results file already
        name = path.stem
        while name in used:
            name += "_2"
        used.add(name)
        save(dataset, folder / f"{name}.nc")
    click.echo(f"{len(used)} results files written to {folder}.", err=True)


def _draw(results: list[xr.Dataset], path: Path, system: str) -> None:
    from pondsim.figures.comparison import comparison_figure  # noqa: PLC0415
    from pondsim.figures.style import write_figure  # noqa: PLC0415

    write_figure(comparison_figure(results, system=system), path)
