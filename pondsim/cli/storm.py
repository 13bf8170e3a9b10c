"""`pondsim storm`: one event at a glance."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import (
    CAUTIONS,
    existing_file,
    new_file,
    progress,
    say_when_compiling,
    units_option,
    wrapped,
)
from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    import xarray as xr

LEGEND = (
    "Water in, rain and runoff: while the storm's runoff lasts. Out: until the run ends, a week later at "
    "most. Detention: from the centre of the inflow to that of as much outflow. Drawdown: from the highest "
    "level until a tenth of the rise over normal pool is left. Outlet water is read in the top meter of its "
    "zone; lowest oxygen: top meter of any zone, over up to 5 days before "
    "and after "
    "the first rain. Rain on the pond itself is counted apart from inflow "
    "and runoff. - : does not happen within the run."
)


@click.command("storm")
@click.argument("design", type=existing_file)
@click.option("--existing", type=existing_file, help="Design file of the existing pond, shown beside.")
@click.option("--figure", type=new_file, help="Picture to write: PNG, SVG or PDF by its ending.")
@units_option
def command(design: Path, existing: Path | None, figure: Path | None, system: str) -> None:
    """Show what one storm does to the pond of DESIGN: its design storm, else the largest of its period."""
    from pondsim.cli._places import check_places  # noqa: PLC0415
    from pondsim.comparison.storms import verdict  # noqa: PLC0415
    from pondsim.measures import event_measures  # noqa: PLC0415
    from pondsim.scenario.read import read  # noqa: PLC0415
    from pondsim.storm import event_of, run_storm  # noqa: PLC0415

    if figure:
        if figure.suffix.lower() not in (".png", ".svg", ".pdf"):
            raise ScenarioError(f"{figure}: a picture ends in .png, .svg or .pdf")
        check_places([figure], [path for path in (design, existing) if path])
    readings = [read(path) for path in (existing, design) if path]
    event = event_of(readings[-1].scenario)
    say_when_compiling()
    results = []
    for reading in readings:
        with progress("Simulating ") as report:
            results.append(run_storm(reading.scenario, reading.text, event, report))
    measures = [event_measures(dataset) for dataset in results]
    titles = [str(dataset.attrs["title"]) for dataset in results]
    click.echo(f"Storm of {event[0]:%Y-%m-%d %H:%M}; runoff until {event[1]:%Y-%m-%d %H:%M}")
    for letter, title in zip("AB", titles, strict=False):
        click.echo(f"  {letter}  {title}")
    click.echo("\n" + table(measures, system))
    for line in (*([verdict(measures[1], measures[0])] if existing else []), LEGEND, *_remarks(results)):
        click.echo("\n" + wrapped(line))
    click.echo("\n" + wrapped(CAUTIONS))
    if figure:
        from pondsim.figures.storm import storm_figure  # noqa: PLC0415
        from pondsim.figures.style import write_figure  # noqa: PLC0415

        write_figure(storm_figure(results, system=system), figure)
        click.echo(f"Written to {figure}.", err=True)


def table(measures: list[dict[str, float]], system: str) -> str:
    """Rows of measures, a column for each pond."""
    from pondsim.comparison.storms import storm_digits, storm_value, storm_words  # noqa: PLC0415
    from pondsim.units import number_text  # noqa: PLC0415

    lines = []
    for key in dict.fromkeys(key for found in measures for key in found):
        shown = storm_words(key)
        if shown is None:
            continue
        values = [storm_value(found, key, system) for found in measures]
        cells = "".join(number_text(value, storm_digits(key)).rjust(12) for value, _ in values)
        lines.append(f"  {shown[0]} [{values[0][1]}]".ljust(50) + cells)
    head = " " * 50 + "".join(letter.rjust(12) for letter in "AB"[: len(measures)])
    return "\n".join([head, *lines])


def _remarks(results: list[xr.Dataset]) -> list[str]:
    from pondsim.comparison.remarks import remarks_of  # noqa: PLC0415

    return list(dict.fromkeys(f"Note: {remark.text}" for one in results for remark in remarks_of(one)))
