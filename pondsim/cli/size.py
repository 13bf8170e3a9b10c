"""`pondsim size`: the smallest equipment that meets a target, by real runs."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from pondsim.cli._common import (
    existing_file,
    new_file,
    say_when_compiling,
    units_option,
)
from pondsim.cli._size_request import Request
from pondsim.errors import ScenarioError


@click.command("size")
@click.argument("what")
@click.argument("design", type=existing_file)
@click.option("--until", help='Target: "MEASURE >= VALUE" or "<=", as in "replaced_share >= 80 %".')
@click.option("--from", "start", help="Lower search bound; for two sizes, two values with a comma.")
@click.option("--to", "end", help="Upper search bound.")
@click.option("--unit", help="For air and hours: one aeration unit; for hours also pump or air.")
@click.option("--middle", help='For hours: the clock time around which they lie, such as "02:30".')
@click.option("--precision", help="Relative tolerance of the answer.  [default: 2 %; over members 5 %]")
@click.option(
    "--steps", type=click.IntRange(2, 20), help="Sizes tried first (5); sizes per side of a map (6)."
)
@click.option(
    "--catalogue", type=existing_file, help="List of equipment you can buy (TOML); see docs/sizing.md."
)
@click.option("--every", is_flag=True, help="Run every entry of the catalogue.")
@click.option("--pairs", help='For places: "terrace>cove, deep_pool>far_arm" (intake > return).')
@click.option("--list", "list_file", type=existing_file, help="For places: the pairs from a TOML list.")
@click.option("--by", help="For places: the measure to rank by.  [default: replaced_share]")
@click.option(
    "--weights", type=existing_file, help="Weights of `pondsim calibrate`: run each size in members."
)
@click.option(
    "--members",
    type=click.IntRange(2),
    help="Members that each size runs in; with --weights 16 unless given.",
)
@click.option("--confidence", type=float, help="Share of members that must meet it.  [default: 0.8]")
@click.option("--workers", type=click.IntRange(1, 512), help="For members: processes of this machine.")
@click.option("--cluster", help="For members: address of a Dask scheduler, such as tcp://10.0.0.5:8786.")
@click.option(
    "--keep",
    type=click.Path(file_okay=False, path_type=Path),
    help="For members: folder of finished runs, so that a broken search goes on.",
)
@click.option("--csv", "csv_file", type=new_file, help="Write the table as CSV.")
@click.option("--json", "json_file", type=new_file, help="Write the answer as JSON.")
@click.option("--figure", type=new_file, help="Picture to write: PNG, SVG or PDF by its ending.")
@units_option
def command(**typed: Any) -> None:
    """Find the smallest equipment with which DESIGN meets a target.

    WHAT is flow, air, drop or hours; any number of a design, such as
    waterfall.width; two of these with a comma, for a map; places, to rank
    pairs of intake and return; or measures, to list what a target may name.

    \b
    pondsim size flow waterfall.toml --until "replaced_share >= 80 %"
    pondsim size air air_all_day.toml --until "dawn_lowest_top >= 3 mg/L"
    """
    asked = Request(**typed)
    _check_options(asked)
    say_when_compiling()
    if asked.what == "measures":
        from pondsim.cli._size_places import show_measures  # noqa: PLC0415

        show_measures(asked)
        return
    if asked.what == "places":
        from pondsim.cli._size_places import places  # noqa: PLC0415

        places(asked)
    elif "," in asked.what:
        from pondsim.cli._size_map import two_sizes  # noqa: PLC0415

        two_sizes(asked)
    elif asked.over_members:
        from pondsim.cli._size_members import size_over_members  # noqa: PLC0415

        size_over_members(asked)
    else:
        from pondsim.cli._size_one import one_size  # noqa: PLC0415

        one_size(asked)
    for path in (asked.figure, asked.json_file, asked.csv_file):
        if path:
            click.echo(f"Written to {path}.", err=True)


def _check_options(asked: Request) -> None:
    """Refuse what does not fit together, or cannot be written, before anything is run."""
    from pondsim.cli._places import check_places  # noqa: PLC0415

    if asked.design.suffix == ".nc":
        raise ScenarioError(f"{asked.design}: is a results file; give the design file it came from")
    if asked.figure and asked.figure.suffix.lower() not in (".png", ".svg", ".pdf"):
        raise ScenarioError(f"{asked.figure}: a picture ends in .png, .svg or .pdf")
    one = asked.what not in ("places", "measures") and "," not in asked.what
    for given, name, fits in (
        (asked.catalogue, "--catalogue", one),
        (asked.every, "--every", asked.catalogue is not None),
        (asked.pairs, "--pairs", asked.what == "places"),
        (asked.list_file, "--list", asked.what == "places"),
        (asked.by, "--by", asked.what == "places"),
        (asked.start, "--from", asked.what not in ("places", "measures")),
        (asked.end, "--to", asked.what not in ("places", "measures")),
        (asked.figure, "--figure", asked.what not in ("places", "measures")),
        (asked.until, "--until", asked.what != "measures"),
        (asked.weights, "--weights", one),
        (asked.members, "--members", one),
    ):
        if given and not fits:
            raise ScenarioError(f"{name}: does not go with {asked.what}; see pondsim size --help")
    _check_members(asked)
    outputs = [path for path in (asked.figure, asked.json_file, asked.csv_file) if path]
    for path in outputs:
        inputs = (asked.catalogue, asked.list_file, asked.weights)
        if any(given and path.resolve() == given.resolve() for given in inputs):
            raise ScenarioError(f"{path}: is an input of this command; choose another file to write")
    check_places(outputs, [asked.design])


def _check_members(asked: Request) -> None:
    """Refuse what members cannot be combined with, and options of members where there are none."""
    for given, name in (
        (asked.confidence, "--confidence"),
        (asked.workers, "--workers"),
        (asked.cluster, "--cluster"),
        (asked.keep, "--keep"),
    ):
        if given and not asked.over_members:
            raise ScenarioError(f"{name}: goes with --weights or --members")
    if asked.over_members and asked.catalogue:
        raise ScenarioError("--catalogue: does not go with --weights or --members; size first, then choose")
