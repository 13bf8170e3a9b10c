"""`pondsim soundings`: the pond from pole readings."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import existing_file, new_file, units_option, write_text
from pondsim.cli._quantity import ELEVATION, Quantity
from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    from pondsim.site.soundings import SoundedPond
    from pondsim.site.trench_line import LineBed


@click.command("soundings")
@click.argument("points", type=existing_file)
@click.option("--water", type=ELEVATION, required=True, help='Water surface on that day, as "99.6 ft".')
@click.option("--pool", type=ELEVATION, help="Normal pool.  [default: --water]")
@click.option("--bank-top", type=ELEVATION, help="Where water leaves the banks.  [default: 3 ft over --pool]")
@click.option(
    "--bank-slope", default=3.0, show_default=True, type=click.FloatRange(0.0, 50.0), help="H to 1 V, above."
)
@click.option("--zones", type=existing_file, help="Outlines: CSV of corners by zone, or GeoJSON.")
@click.option("--line", type=existing_file, help="Trench line, intake first: the bed along it.")
@click.option(
    "--every", type=Quantity("m", "0.1 m"), default="10 ft", show_default=True, help="Between stations of it."
)
@click.option(
    "--step", type=Quantity("m", "0.02 m"), default="1 ft", show_default=True, help="Between stages."
)
@click.option(
    "--shelf", type=Quantity("m", "0 m"), default="1.5 ft", show_default=True, help="Shallower is shelf."
)
@click.option("--figure", type=new_file, help="Draw the contours (.png, .svg, .pdf).")
@click.option("-o", "--output", type=new_file, help="Write the keys for a scenario (.toml).")
@units_option
def command(
    points: Path,
    water: float,
    pool: float | None,
    bank_top: float | None,
    bank_slope: float,
    zones: Path | None,
    line: Path | None,
    every: float,
    step: float,
    shelf: float,
    figure: Path | None,
    output: Path | None,
    system: str,
) -> None:
    """Turn the soundings in POINTS into areas, depths, muck and keys of a scenario.

    POINTS is a CSV file with the columns east, north and depth, each with its unit in brackets:
    depth of the top of the muck under the water. A column hard gives the depth of the hard bottom
    where it was read. Points at the water's edge have depth 0; without --zones write them in order
    round the pond.
    """
    from pondsim.cli._places import check_places  # noqa: PLC0415
    from pondsim.cli._soundings_text import keys_text, pond_text  # noqa: PLC0415
    from pondsim.site.soundings import Levels, sounded_pond  # noqa: PLC0415
    from pondsim.site.trench_line import bed_along  # noqa: PLC0415

    if figure and figure.suffix.lower() not in (".png", ".svg", ".pdf"):
        raise ScenarioError(f"{figure}: a picture ends in .png, .svg or .pdf")
    check_places([figure, output], [])
    if any(
        out and out.resolve() in (points.resolve(), zones and zones.resolve()) for out in (figure, output)
    ):
        raise ScenarioError(f"{output}: is an input of this command; choose another file to write")
    normal = water if pool is None else pool
    top = normal + 3 * 0.3048 if bank_top is None else bank_top
    if top <= max(water, normal):
        raise ScenarioError("--bank-top: is not above the water and normal pool; write a higher elevation")
    found = sounded_pond(points, zones, Levels(water, normal, top, bank_slope, shelf, step))
    along = None if line is None else bed_along(line, found, every)
    click.echo(pond_text(found, system))
    keys = keys_text(found, along, system)
    if output:
        write_text(output, keys)
        click.echo(f"Keys written to {output}.")
    else:
        click.echo("\n" + keys)
    if figure:
        _draw(found, along, figure, system)
        click.echo(f"Contours drawn in {figure}.")


def _draw(pond: SoundedPond, along: LineBed | None, path: Path, system: str) -> None:
    from pondsim.figures.contours import contour_map  # noqa: PLC0415
    from pondsim.figures.style import write_figure  # noqa: PLC0415

    line = None if along is None else (along.corner_x, along.corner_y)
    outlines = [(zone.outline.name, zone.outline.x, zone.outline.y) for zone in pond.zones]
    bed = (pond.bed.x, pond.bed.y, pond.bed.z, pond.bed.triangles)
    write_figure(
        contour_map(bed, outlines, pond.levels.pool, step=pond.levels.step, line=line, system=system), path
    )
