"""`pondsim board`: several ponds on one page, ranked by what a dollar gains."""

from __future__ import annotations

from pathlib import Path

import click

from pondsim.cli._common import existing_file, new_file, units_option, write_text
from pondsim.cli.summary import remark_on_today
from pondsim.errors import ScenarioError


@click.command("board")
@click.argument("ponds", type=existing_file, metavar="PONDS.toml")
@click.option("-o", "--output", required=True, type=new_file, help="Page to write, such as board.html.")
@units_option
def command(ponds: Path, output: Path, system: str) -> None:
    """Write one page on several ponds, ranked by days below the 1-day minimum avoided per dollar a year.

    PONDS.toml lists them, each with its results files and the costs of its design:

    \b
    [[pond]]
    existing = "north/existing.nc"
    design = "north/waterfall.nc"
    costs = "north/costs.json"     # from pondsim quantities --json
    """
    from pondsim.cli._places import check_places  # noqa: PLC0415
    from pondsim.cli.report import check_page  # noqa: PLC0415
    from pondsim.reporting import UNREAD  # noqa: PLC0415
    from pondsim.reporting.board import BoardEntry, board  # noqa: PLC0415
    from pondsim.reporting.costs import read_sums  # noqa: PLC0415
    from pondsim.results import load  # noqa: PLC0415
    from pondsim.scenario.read import read_section  # noqa: PLC0415
    from pondsim.scenario.settings_board import Board  # noqa: PLC0415

    given = read_section(ponds, Board).pond
    paths = [path for one in given for path in (one.existing, one.design)]
    check_page(paths, output, "a board's page")
    check_places([output], [])
    if output.resolve() in {path.resolve() for path in (ponds, *paths)}:
        raise ScenarioError(f"{output}: is an input of this command; choose another file to write")
    entries = [
        BoardEntry(
            one.name or "",
            load(one.existing, without=UNREAD),
            load(one.design, without=UNREAD),
            read_sums(one.costs) if one.costs else None,
        )
        for one in given
    ]
    for one, entry in zip(given, entries, strict=True):
        remark_on_today(one.existing, entry.existing)
    write_text(output, board(entries, system))
    click.echo(f"Written to {output}. Print it from a browser.")
