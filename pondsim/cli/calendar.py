"""`pondsim calendar`: the service calendar of a design as one page."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import existing_file, new_file, reading_of, wrapped, write_text
from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    from pondsim.scenario.settings import Scenario

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
NAME, COLUMN, WIDE = 50, 4, 98


@click.command("calendar")
@click.argument("design", type=existing_file)
@click.option("-o", "--output", type=new_file, help="Write the page (.txt).")
def command(design: Path, output: Path | None) -> None:
    """Print what DESIGN needs inspected, cleaned and replaced, month by month."""
    from pondsim.cli._places import check_places  # noqa: PLC0415

    check_places([output], [design])
    scenario = reading_of(design).scenario
    if scenario.pump is None and not scenario.aeration:
        raise ScenarioError(f"{design}: has no equipment to maintain")
    page = calendar_text(scenario)
    if output is None:
        click.echo(page)
    else:
        write_text(output, page + "\n")
        click.echo(f"Written to {output}.")


def calendar_text(scenario: Scenario) -> str:
    """One page of 98 columns."""
    from pondsim.cli._cautions import service_cautions  # noqa: PLC0415
    from pondsim.design.service import service_calendar  # noqa: PLC0415

    tasks = service_calendar(scenario)
    lines = [
        f"Service calendar: {scenario.title}",
        wrapped(
            "w every week, x once in the month; common practice, no source: manufacturers' instructions "
            "take precedence",
            WIDE,
        ),
        "",
        " " * NAME + "".join(month.rjust(COLUMN) for month in MONTHS),
    ]
    part, notes = "", []
    for task in tasks:
        if task.part != part:
            part = task.part
            lines.append(part)
        number = ""
        if task.note:
            notes.append(task.note)
            number = f" ({len(notes)})"
        name = f"  {task.name}{number}"
        lines.append(name.ljust(NAME) + "".join(mark.rjust(COLUMN) for mark in task.months).rstrip())
    lines.append("")
    lines += [wrapped(f"({place}) {note}", WIDE) for place, note in enumerate(notes, 1)]
    lines += ["", *(wrapped(text, WIDE) for text in service_cautions(scenario))]
    return "\n".join(line.rstrip() for line in lines)
