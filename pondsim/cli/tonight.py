"""`pondsim tonight`: the next dawn, corner by corner, as far as past nights let it be told."""

from __future__ import annotations

from pathlib import Path

import click

from pondsim.cli._common import existing_file, json_text, new_file, say_when_compiling, write_text
from pondsim.cli._quantity import Quantity
from pondsim.constants import DAY
from pondsim.errors import ScenarioError

OXYGEN = Quantity("kg/m3", bare="mg/L")


@click.command("tonight")
@click.argument("design", type=existing_file)
@click.option(
    "--forecast", type=existing_file, help="Weather to come, a file like that of the design's weather."
)
@click.option("--now", "moment", help='Local standard time, "2025-07-12 18:00"; else the last reading.')
@click.option(
    "--below", type=OXYGEN, default="3 mg/L", show_default=True, help="Oxygen level whose hour is reported."
)
@click.option(
    "--danger",
    type=OXYGEN,
    default="2 mg/L",
    show_default=True,
    help="Oxygen a power cut must not reach.",
)
@click.option(
    "--days",
    type=Quantity("s", "6 h", "7 d", bare="d"),
    default="1 d",
    show_default=True,
    help="Time whose mean difference from readings is taken off the run.",
)
@click.option("--json", "json_file", type=new_file, help="Everything as JSON.")
def command(
    design: Path,
    forecast: Path | None,
    moment: str | None,
    below: float,
    danger: float,
    days: float,
    json_file: Path | None,
) -> None:
    """Forecast oxygen at the next dawn where DESIGN has readings, and show what a power cut would do.

    DESIGN names weather up to now and [[readings]]; the run starts where its period does and continues until
    this time tomorrow. No forecast is given where past nights were predicted no better than by yesterday's
    hour. Whether fish are safe is shown by a reading at dawn.
    """
    from pondsim.cli._places import check_places  # noqa: PLC0415
    from pondsim.cli._tonight_run import coming_night  # noqa: PLC0415
    from pondsim.cli._tonight_text import night_data, night_text  # noqa: PLC0415
    from pondsim.units import from_si  # noqa: PLC0415

    check_places([json_file], [design])
    below, danger = (round(float(from_si(limit, "mg/L")), 9) for limit in (below, danger))
    for name, limit in (("--below", below), ("--danger", danger)):
        if not 0.0 < limit < 15.0:
            raise ScenarioError(f"{name} {limit:g}: write oxygen between 0 and 15 mg/L")
    say_when_compiling()
    found = coming_night(design, forecast, moment, days / DAY)
    click.echo(night_text(found, below, danger), nl=False)
    if json_file:
        write_text(json_file, json_text(night_data(found, below, danger)))
        click.echo(f"Written to {json_file}.", err=True)
