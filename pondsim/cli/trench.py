"""`pondsim trench`: trench, well and elevations of a design, with a drawing to scale."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import existing_file, new_file, reading_of, units_option
from pondsim.cli._quantity import Quantity
from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    from pondsim.scenario.settings import Scenario


@click.command("trench")
@click.argument("design", type=existing_file)
@click.option(
    "--growth", type=Quantity("m/s", "0 in/yr"), help='Rise of the bed at the intake, as "1 in/yr".'
)
@click.option("--results", type=existing_file, help="Take that rise from this run.")
@click.option(
    "--drawing", type=new_file, help="Draw it to scale on a sheet of 17 by 11 in (.pdf, .svg, .png)."
)
@units_option
def command(
    design: Path, growth: float | None, results: Path | None, drawing: Path | None, system: str
) -> None:
    """Show what DESIGN digs and sets: profile, volumes, silting, well, elevations.

    Nothing is simulated. The year in which the intake silts up follows from --growth, from a run, or from
    trench.growth in the design.
    """
    from pondsim.cli._places import check_places  # noqa: PLC0415
    from pondsim.cli._trench_text import trench_text  # noqa: PLC0415

    if growth is not None and results is not None:
        raise ScenarioError("--growth stands beside --results; give one of them")
    if drawing and drawing.suffix.lower() not in (".pdf", ".svg", ".png"):
        raise ScenarioError(f"{drawing}: a drawing ends in .pdf, .svg or .png")
    check_places([drawing], [design])
    scenario = reading_of(design).scenario
    if scenario.intake is None or scenario.gravity_line is None:
        raise ScenarioError(f"{design}: has no intake with a gravity line, so there is nothing to dig")
    if results is not None:
        growth = growth_of_run(results, scenario)
    click.echo(trench_text(scenario, growth, system))
    if drawing:
        _draw(scenario, drawing, system)
        click.echo(f"\nDrawn to scale in {drawing}.")


def growth_of_run(path: Path, scenario: Scenario) -> float:
    """Rise of the bed in the intake's zone over a run, by its days. [m/s]"""
    from pondsim.measures import bed_growth  # noqa: PLC0415
    from pondsim.measures.books import run_days  # noqa: PLC0415
    from pondsim.results import load  # noqa: PLC0415

    dataset = load(path)
    zones = [str(zone) for zone in dataset["zone"].values]
    assert scenario.intake is not None
    if scenario.intake.zone not in zones:
        raise ScenarioError(f"{path}: knows no zone {scenario.intake.zone}; give results of this pond")
    grown = float(bed_growth(dataset)[zones.index(scenario.intake.zone)])
    return max(grown, 0.0) / (86400.0 * run_days(dataset))


def _draw(scenario: Scenario, path: Path, system: str) -> None:
    from pondsim.design.elevations import drawing_of  # noqa: PLC0415
    from pondsim.figures.section import section_sheet  # noqa: PLC0415
    from pondsim.figures.style import write_figure  # noqa: PLC0415

    write_figure(section_sheet(drawing_of(scenario), system=system), path)
