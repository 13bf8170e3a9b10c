"""`pondsim summary`: one page for the owner, to print and sign."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import existing_file, new_file, units_option, wrapped, write_text

if TYPE_CHECKING:
    import xarray as xr


@click.command("summary")
@click.argument("existing", type=existing_file, metavar="EXISTING.nc")
@click.argument("designs", nargs=-1, required=True, type=existing_file, metavar="DESIGN.nc...")
@click.option("-o", "--output", required=True, type=new_file, help="Page to write, such as summary.html.")
@click.option(
    "--costs", multiple=True, type=existing_file, help="Costs of a design, from `pondsim quantities --json`."
)
@click.option("--promise", "promise_file", type=existing_file, help="Intervals over members (.json).")
@click.option("--allow-differences", is_flag=True, help="Compare files that differ in more than equipment.")
@units_option
def command(
    existing: Path,
    designs: tuple[Path, ...],
    output: Path,
    costs: tuple[Path, ...],
    promise_file: Path | None,
    system: str,
    *,
    allow_differences: bool,
) -> None:
    """Write one page for the owner on the first DESIGN, to print on one sheet and sign.

    Question and answer, what is built, what it costs, limits, risks, safety, signature lines. Further DESIGNs
    stand beside it in the table. Takes results files of `pondsim run` or `pondsim compare --save`.
    """
    from pondsim.cli.report import check_page  # noqa: PLC0415

    paths = [existing, *designs]
    check_page(paths, output, "a summary")
    from pondsim.reporting import UNREAD  # noqa: PLC0415
    from pondsim.reporting.costs import read_sums  # noqa: PLC0415
    from pondsim.reporting.promise import read_promise  # noqa: PLC0415
    from pondsim.reporting.summary import summary  # noqa: PLC0415
    from pondsim.results import load  # noqa: PLC0415

    sums = [read_sums(path) for path in costs]
    promise = None if promise_file is None else read_promise(promise_file)
    results = [load(path, without=UNREAD) for path in paths]
    remark_on_today(existing, results[0])
    write_text(output, summary(results, system, sums, promise, allow_differences=allow_differences))
    click.echo(f"Written to {output}. Print it from a browser: one sheet, letter or A4.")


def remark_on_today(path: Path, existing: xr.Dataset) -> None:
    """Say on stderr that the file taken as the pond today holds equipment: the order may be a slip."""
    from pondsim.comparison.names import listed  # noqa: PLC0415
    from pondsim.reporting.equipment import items_to_build  # noqa: PLC0415

    if names := [item.name for item in items_to_build(existing)]:
        words = (
            f"Remark: {path} is taken as the pond today, and holds equipment or work: {listed(names)}. If it "
            "is the design, name the results of the pond as it is first."
        )
        click.echo(wrapped(words), err=True)
