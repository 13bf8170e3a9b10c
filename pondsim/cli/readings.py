"""`pondsim readings`: what instruments say, what looks wrong in it, and by how much runs miss it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import existing_file, json_text, new_file, units_option, wrapped, write_text
from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    import xarray as xr


ALL_EMPTY = "its readings hold no value: every one is empty or a gap code"
NONE_NAMED = "has no readings; name their files by [[readings]]"


@click.command("readings")
@click.argument("site", type=existing_file)
@click.argument("results", nargs=-1, type=existing_file, metavar="[RESULTS.nc]...")
@click.option("--plot", type=new_file, help="Draw them, with what runs computed there (.png, .svg, .pdf).")
@click.option("--json", "json_file", type=new_file, help="Write summaries, flags and scores for machines.")
@click.option(
    "--csv", "csv_file", type=new_file, help="Write every reading, its flags and what runs computed."
)
@units_option
def command(
    site: Path,
    results: tuple[Path, ...],
    plot: Path | None,
    json_file: Path | None,
    csv_file: Path | None,
    system: str,
) -> None:
    """Show the readings that SITE names ([[readings]]), and hold RESULTS against them.

    SITE is a site or design file, or a results file that holds its readings. For each of RESULTS: bias and
    error beside naive rivals on the same hours, daily range, lowest at dawn, hours below the criterion.
    Nothing is taken away: what looks wrong is listed.

    \b
    pondsim readings site.toml existing.nc --plot readings.png
    """
    from pondsim.cli._places import check_places  # noqa: PLC0415
    from pondsim.cli._readings_text import miss_text, readings_csv, readings_data, readings_text  # noqa: PLC0415
    from pondsim.comparison.readings_words import CAVEAT  # noqa: PLC0415
    from pondsim.comparison.remarks import remarks_of  # noqa: PLC0415
    from pondsim.figures.files import ENDINGS  # noqa: PLC0415
    from pondsim.measures import misses_of, read_series  # noqa: PLC0415
    from pondsim.results import load  # noqa: PLC0415

    if plot and plot.suffix.lower() not in ENDINGS:
        raise ScenarioError(f"{plot}: a picture ends in {', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}")
    check_places([plot, json_file, csv_file], [site, *results])
    _refuse_scenarios(results)
    title, held, named = _readings(site)
    runs = [load(path) for path in results] or ([held] if site.suffix == ".nc" else [])
    found = read_series(held)
    outside = [one.text for one in remarks_of(held) if one.code == "readings_outside"]
    if not found and outside:
        raise ScenarioError(f"{site}: {' '.join(outside)}")
    if not found:
        raise ScenarioError(f"{site}: {ALL_EMPTY if named else NONE_NAMED}")
    titles = _titles(runs)
    misses = {name: misses_of(run, held) for name, run in zip(titles, runs, strict=True)}
    click.echo(readings_text(title, found, system))
    for text in outside:
        click.echo(f"\n{wrapped(text)}")
    for name, own in misses.items():
        click.echo(f"\n{name}\n\n{miss_text(own, system) if own else '  shares no readings with them.'}")
    if misses:
        click.echo(f"\n{wrapped(CAVEAT)}")
    if plot:
        _draw(found, runs, titles, plot, system)
    if json_file:
        write_text(json_file, json_text(readings_data(found, misses)))
    if csv_file:
        write_text(csv_file, readings_csv(found, runs, titles, system))
    for written in (plot, json_file, csv_file):
        if written:
            click.echo(f"Written to {written}.", err=True)


def _refuse_scenarios(paths: tuple[Path, ...]) -> None:
    for path in paths:
        if path.suffix.lower() == ".toml":
            raise ScenarioError(
                f"{path}: is no results file; simulate it first: pondsim run {path} -o {path.stem}.nc"
            )


def _readings(site: Path) -> tuple[str, xr.Dataset, bool]:
    """Title, a dataset that holds the readings, and whether files of them are named."""
    if site.suffix == ".nc":
        from pondsim.results import load  # noqa: PLC0415

        held = load(site)
        return str(held.attrs.get("title", site.name)), held, False
    from pondsim.output.readings import dataset_of_readings  # noqa: PLC0415
    from pondsim.scenario.read import read  # noqa: PLC0415

    scenario = read(site).scenario
    return scenario.title, dataset_of_readings(scenario), bool(scenario.readings)


def _titles(runs: list[xr.Dataset]) -> list[str]:
    from pondsim.figures.style import titles  # noqa: PLC0415

    return titles(runs)


def _draw(found: list, runs: list[xr.Dataset], titles: list[str], path: Path, system: str) -> None:
    from pondsim.figures.files import write_figure  # noqa: PLC0415
    from pondsim.figures.readings import readings_figure  # noqa: PLC0415

    write_figure(readings_figure(found, runs, titles, system=system), path)
