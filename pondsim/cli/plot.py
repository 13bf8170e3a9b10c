"""`pondsim plot`: one picture of results."""

from __future__ import annotations

from pathlib import Path

import click

from pondsim.cli._common import existing_file, new_file, units_option
from pondsim.errors import ScenarioError

PICTURES = {  # name: what it shows
    "plan": "zones from above, days since the waterfall, equipment",
    "dawn": "oxygen at dawn by zone through the season",
    "lines": "top, mid and bottom of a zone through time",
    "depth": "a zone from bed to surface through time, in color",
    "budget": "where the oxygen came from and went",
    "ages": "nominal turnover time beside days since the waterfall",
    "bed": "growth of the bed",
    "electricity": "kWh by system and month, and the bill where there is a tariff",
    "water": "water surface and outflow",
    "ice": "ice, and oxygen through the winter",
    "comparison": "one page: dawns, hours below 3 mg/L, oxygen budget",
}


@click.command(
    "plot",
    epilog="WHAT is one of: " + "; ".join(f"{name} ({words})" for name, words in PICTURES.items()) + ".",
)
@click.argument("results", nargs=-1, required=True, type=existing_file, metavar="FILE.nc...")
@click.argument("what", metavar="WHAT")
@click.option("-o", "--output", required=True, type=new_file, help="Picture: .png, .svg or .pdf.")
@click.option("--existing", type=existing_file, metavar="FILE.nc", help="Results of the existing pond.")
@click.option("--zone", help="Zone of lines and depth.  [default: that with the lowest oxygen at the top]")
@click.option("--variable", help="Variable of lines and depth.  [default: dissolved_oxygen]")
@click.option("--from", "start", help='First moment of lines, depth, water and ice, such as "2025-08-01".')
@click.option("--to", "end", help='Last moment, such as "2025-08-08 12:00"; a day alone is shown whole.')
@units_option
def command(
    results: tuple[Path, ...],
    what: str,
    output: Path,
    existing: Path | None,
    zone: str | None,
    variable: str | None,
    start: str | None,
    end: str | None,
    system: str,
) -> None:
    """Draw WHAT of results files.

    Of several files the first is the existing pond, or that of --existing.
    """
    from pondsim.cli._pictures import Wish, draw  # noqa: PLC0415
    from pondsim.cli._places import check_places  # noqa: PLC0415
    from pondsim.figures.files import ENDINGS, write_figure  # noqa: PLC0415

    paths = [*([existing] if existing else []), *results]
    for path in paths:
        if path.suffix.lower() == ".toml":
            raise ScenarioError(
                f"{path}: is not a results file; simulate it first with `pondsim run {path} -o FILE.nc`"
            )
    if output.suffix.lower() not in ENDINGS:
        raise ScenarioError(f"{output}: a picture ends in {', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}")
    wish = Wish(what, zone, variable, start, end, system)
    check_places([output], [path for path in paths if path.suffix == ".nc"])
    write_figure(draw(paths, wish, tuple(PICTURES)), output)
    click.echo(f"Written to {output}.")
