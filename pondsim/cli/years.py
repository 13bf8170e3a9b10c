"""`pondsim years`: what several years make of the bed, the oxygen and the green."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import existing_file, naming, progress, say_when_compiling, units_option, wrapped
from pondsim.words import counted

if TYPE_CHECKING:
    import xarray as xr

LEGEND = (
    "Each year has the weather and rain of the scenario; its bed is what the year before left. Sediment "
    "oxygen demand: of the whole bed at 20 degC, at the end of the run. Dawn oxygen: top meter of the zone "
    "with the least. Chlorophyll and phosphorus: means of the top meter. Smell: of the zone with most."
)
ONCE = (
    "Dredging is done once, on its date; the years after run on the deeper pond. Bed growth is what settles, "
    "what is dredged not taken off."
)


@click.command("years")
@click.argument("design", type=existing_file)
@click.option("--years", default=4, show_default=True, help="Years to run, 1 to 30.")
@units_option
def command(design: Path, years: int, system: str) -> None:
    """Run the season of DESIGN in several years over a bed that ages."""
    from pondsim.scenario.read import read  # noqa: PLC0415
    from pondsim.years import run_years  # noqa: PLC0415

    reading = read(design)
    say_when_compiling()
    with progress("Simulating ") as report, naming(reading.scenario):
        results = run_years(reading.scenario, years, reading.text, report)
    title, period = results[0].attrs["title"], reading.scenario.period
    days = f"{period.start:%Y-%m-%d} to {period.end:%Y-%m-%d}"
    click.echo(f"{title}: {counted(years, 'year')}, the first from {days}\n")
    click.echo(table(results, system))
    once = f" {ONCE}" if reading.scenario.dredging else ""
    click.echo("\n" + wrapped(LEGEND + once))


def table(results: list[xr.Dataset], system: str) -> str:
    """A row for each year."""
    from pondsim.measures import year_numbers  # noqa: PLC0415
    from pondsim.units import convert, number_text  # noqa: PLC0415

    columns = (
        ("demand", "sediment oxygen demand", "g/m2/d", "g/m2/d", "g/m2/d", 3),
        ("dawn", "dawn oxygen, lowest 5 %", "mg/L", "mg/L", "mg/L", 2),
        ("chlorophyll", "chlorophyll", "ug/L", "ug/L", "ug/L", 3),
        ("phosphorus", "total phosphorus", "ug/L", "ug/L", "ug/L", 3),
        ("captured", "phosphorus captured", "1", "%", "%", 2),
        ("smell", "hours of smell", "h", "h", "h", 3),
        ("muck", "bed growth", "m", "in", "mm", 2),
    )
    found = [year_numbers(dataset) for dataset in results]
    lines = []
    for key, words, unit, us, si, digits in columns:
        shown = us if system == "us" else si
        cells = "".join(number_text(convert(one[key], unit, shown), digits).rjust(9) for one in found)
        lines.append(f"  {words} [{shown}]".ljust(38) + cells)
    head = " " * 38 + "".join(str(dataset.attrs["year"]).rjust(9) for dataset in results)
    return "\n".join([head, *lines])
