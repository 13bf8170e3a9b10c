"""`pondsim report`: one page on results files, and its tables."""

from __future__ import annotations

from contextlib import nullcontext
from pathlib import Path

import click

from pondsim.cli._common import existing_file, made_folder, new_file, read_bands_file, units_option, write_all
from pondsim.errors import ScenarioError


@click.command("report")
@click.argument("existing", type=existing_file, metavar="EXISTING.nc")
@click.argument("designs", nargs=-1, type=existing_file, metavar="DESIGN.nc...")
@click.option("-o", "--output", required=True, type=new_file, help="Page to write, such as report.html.")
@click.option(
    "--costs", multiple=True, type=existing_file, help="Sums of a design, from `pondsim quantities --json`."
)
@click.option(
    "--storms", "storm_file", type=existing_file, help="Design storms, from `pondsim storm --storms --json`."
)
@click.option("--bands", type=existing_file, help="Bands of ties from `pondsim gridcheck --json`.")
@click.option("--promise", "promise_file", type=existing_file, help="Intervals over members (.json).")
@click.option(
    "--weights", type=existing_file, help="What readings taught, from `pondsim calibrate -o` (.nc)."
)
@click.option("--no-tables", is_flag=True, help="Do not write the tables as CSV files beside the page.")
@click.option(
    "--allow-differences",
    is_flag=True,
    help="Give a verdict though the files differ in more than equipment.",
)
@units_option
def command(
    existing: Path,
    designs: tuple[Path, ...],
    output: Path,
    costs: tuple[Path, ...],
    storm_file: Path | None,
    bands: Path | None,
    promise_file: Path | None,
    weights: Path | None,
    system: str,
    *,
    no_tables: bool,
    allow_differences: bool,
) -> None:
    """Write one page on EXISTING and DESIGNS, and its tables into a folder beside it.

    Takes results files of `pondsim run` or `pondsim compare --save` only. With one file it reports that run
    by itself. The page needs no network and no other file: it can be mailed, and printed from any browser.
    """
    paths = [existing, *designs]
    folder = output.with_name(f"{output.stem}_tables")
    _check(paths, output, None if no_tables else folder)

    from pondsim.reporting import TABLES, UNREAD, report  # noqa: PLC0415
    from pondsim.reporting.costs import read_sums  # noqa: PLC0415
    from pondsim.reporting.harm import read_storms  # noqa: PLC0415
    from pondsim.reporting.promise import read_promise  # noqa: PLC0415
    from pondsim.reporting.weights import read_taught  # noqa: PLC0415
    from pondsim.results import load  # noqa: PLC0415

    taught = None if weights is None else read_taught(weights)
    promise = None if promise_file is None else read_promise(promise_file)
    measured = read_bands_file(bands) if bands else None
    sums = [read_sums(path) for path in costs]
    storms = [read_storms(storm_file)] if storm_file else []
    results = [load(path, without=UNREAD) for path in paths]
    made = report(
        results,
        system,
        sums,
        promise,
        storms,
        allow_differences=allow_differences,
        bands=measured,
        taught=taught,
    )
    tables = {} if no_tables else {folder / f"{name}.csv": text for name, text in made.tables.items()}
    with made_folder(folder) if tables else nullcontext():
        write_all({**tables, output: made.html})
    if tables:
        for name in TABLES - set(made.tables):
            (folder / f"{name}.csv").unlink(missing_ok=True)  # of an earlier page
    click.echo(f"Written to {output} ({len(made.html.encode()) / 1e6:.1f} MB).")
    if tables:
        click.echo(f"{len(tables)} tables written to {folder}.")


def check_page(paths: list[Path], output: Path, what: str) -> None:
    """Refuse inputs that are no results files, and an output that is no page."""
    for path in paths:
        if path.suffix.lower() == ".toml":
            raise ScenarioError(
                f"{path}: {what} is made from results files (.nc), not from design files; simulate it "
                f"first: pondsim run {path} -o {path.stem}.nc"
            )
    if output.suffix.lower() not in (".html", ".htm"):
        raise ScenarioError(f"{output}: a page ends in .html")


def _check(paths: list[Path], output: Path, folder: Path | None) -> None:
    """Refuse what cannot be read or written before long work begins."""
    from pondsim.cli._places import check_places  # noqa: PLC0415

    check_page(paths, output, "a report")
    if folder is not None and folder.exists() and not folder.is_dir():
        raise ScenarioError(f"{folder}: is a file, but the folder of the tables would have this name")
    inside = sorted(folder.glob("*.csv")) if folder is not None and folder.is_dir() else []
    check_places([output, *inside[:1]], paths)
