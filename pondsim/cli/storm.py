"""`pondsim storm`: one event at a glance."""

from __future__ import annotations

import math
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

ROWS = {  # key of the measure: words, kind of quantity
    "rain": ("rain", "short_length"),
    "runoff_": ("runoff of {}", "volume"),
    "peak_": ("highest runoff of {}", "storm_flow"),
    "water_in": ("water in during the storm", "volume"),
    "peak_in": ("peak in", "storm_flow"),
    "peak_out": ("peak out", "storm_flow"),
    "level_highest": ("highest water surface elevation", "length"),
    "rise": ("rise", "length"),
    "detention": ("detention of the storm's water", "hours"),
    "drawdown": ("drawdown time", "hours"),
    "solids_in": ("suspended solids in", "mass"),
    "solids_out": ("suspended solids out", "mass"),
    "outlet_oxygen": ("oxygen at the outlet, mean", "concentration"),
    "outlet_oxygen_lowest": ("oxygen at the outlet, lowest", "concentration"),
    "outlet_temperature": ("temperature at the outlet", "temperature"),
    "oxygen_before": ("lowest oxygen at the top, before", "concentration"),
    "oxygen_after": ("lowest oxygen at the top, 5 days after", "concentration"),
}
# Measures by which a permit is judged: whether more is worse, and what is beyond the noise of a run.
JUDGED = {
    "peak_out": (True, 0.02),
    "rise": (True, 0.02),
    "drawdown": (True, 0.02),
    "solids_out": (True, 0.02),
    "outlet_oxygen_lowest": (False, 0.02),
    "outlet_temperature": (True, 0.02),
    "oxygen_after": (False, 0.02),
}
LEGEND = (
    "Water in, rain and runoff: while the storm's runoff lasts. Out: until the run ends, a week later at "
    "most. Detention: from the centre of the inflow to that of as much outflow. Drawdown: from the highest "
    "level until a tenth of the rise over normal pool is left. Outlet water is read in the top metre of its "
    "zone; lowest oxygen: top metre of any zone. - : does not come to pass within the run."
)


@click.command("storm")
@click.argument("design", type=existing_file)
@click.option("--existing", type=existing_file, help="Design file of the existing pond, shown beside.")
@click.option("--figure", type=new_file, help="Picture to write: PNG, SVG or PDF by its ending.")
@units_option
def command(design: Path, existing: Path | None, figure: Path | None, system: str) -> None:
    """Show what one storm does to the pond of DESIGN: its design storm, else the largest of its period."""
    from pondsim.cli._places import check_places  # noqa: PLC0415
    from pondsim.measures import event_measures  # noqa: PLC0415
    from pondsim.scenario.read import read  # noqa: PLC0415
    from pondsim.storm import event_of, run_storm  # noqa: PLC0415

    if figure:
        if figure.suffix.lower() not in (".png", ".svg", ".pdf"):
            raise ScenarioError(f"{figure}: a picture ends in .png, .svg or .pdf")
        check_places([figure], [path for path in (design, existing) if path])
    readings = [read(path) for path in (design, existing) if path]
    event = event_of(readings[0].scenario)
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
    for line in (*(verdict(*measures) if existing else []), LEGEND, *_remarks(results)):
        click.echo("\n" + wrapped(line))
    click.echo("\n" + wrapped(CAUTIONS))
    if figure:
        from pondsim.figures.storm import storm_figure  # noqa: PLC0415
        from pondsim.figures.style import write_figure  # noqa: PLC0415

        write_figure(storm_figure(results, system=system), figure)
        click.echo(f"Written to {figure}.", err=True)


def _words(key: str) -> tuple[str, str] | None:
    """Words and kind of a measure; None for one that is not shown."""
    if key in ROWS:
        return ROWS[key]
    start = next((start for start in ("runoff_", "peak_") if key.startswith(start)), None)
    if start is None or key in ("peak_in", "peak_out"):
        return None
    words, kind = ROWS[start]
    return words.format(key.removeprefix(start)), kind


def table(measures: list[dict[str, float]], system: str) -> str:
    """Rows of measures, a column for each pond."""
    from pondsim.units import convert, display_unit, number_text  # noqa: PLC0415

    kept = {"concentration": "mg/L", "temperature": "degC"}  # measures that are not in SI
    stored = {"short_length": "m", "length": "m", "volume": "m3", "storm_flow": "m3/s"}
    stored |= {"hours": "s", "mass": "kg"}
    lines = []
    for key in dict.fromkeys(key for found in measures for key in found):
        shown = _words(key)
        if shown is None:
            continue
        unit, own = display_unit(shown[1], system), {**stored, **kept}[shown[1]]
        digits = 5 if key == "level_highest" else 3
        values = [float(convert(found.get(key, math.nan), own, unit)) for found in measures]
        cells = "".join(number_text(value, digits).rjust(12) for value in values)
        lines.append(f"  {shown[0]} [{unit}]".ljust(50) + cells)
    head = " " * 50 + "".join(letter.rjust(12) for letter in "AB"[: len(measures)])
    return "\n".join([head, *lines])


def verdict(design: dict[str, float], existing: dict[str, float]) -> list[str]:
    """One sentence on harm: what is worse than at the existing pond."""
    worse = []
    for key, (more_is_worse, noise) in JUDGED.items():
        new, old = design[key], existing[key]
        if math.isnan(new) and math.isnan(old):
            continue
        by = (new - old) * (1.0 if more_is_worse else -1.0)
        if math.isnan(by) or by > noise * abs(old):
            worse.append(ROWS[key][0])
    if not worse:
        return ["No harm: by none of the measures is the design worse than the existing pond, to within 2 %."]
    return [f"Worse than the existing pond: {'; '.join(worse)}."]


def _remarks(results: list[xr.Dataset]) -> list[str]:
    said = [f"Note: {line}" for r in results for line in str(r.attrs["remarks"]).split("\n") if line]
    return list(dict.fromkeys(said))
