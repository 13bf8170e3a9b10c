"""Running a study from design files: what `pondsim promise` does for one pond and for many."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import check_weather, progress, say_when_compiling
from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    import xarray as xr

    from pondsim.scenario.settings import Scenario


def way_of(workers: int | None, cluster: str | None) -> str:
    """How runs are done, by the options that say it."""
    if workers and cluster:
        raise ScenarioError("--workers and --cluster: give one of the two")
    return cluster or (f"processes:{workers}" if workers else "threads")


def studied(
    paths: list[Path],
    members: int,
    seed: int,
    how: str,
    keep: Path | None,
    output: Path | None,
    weights: Path | None = None,
    key: str = "",
) -> xr.Dataset:
    """Run a study of design files; what was finished is kept beside the output until it is written.

    `key` is the measure that will be asked for, or "": a slip in it is told before anything is run.
    """
    from pondsim.ensemble.study import draws_of, run_study  # noqa: PLC0415
    from pondsim.ensemble.study_file import save_study  # noqa: PLC0415

    if len(paths) < 2:
        raise ScenarioError(
            f"{paths[0]}: no design beside it; write pondsim promise {paths[0].name} DESIGN.toml"
        )
    scenarios = read_designs(paths)
    if key:
        _check_measure(key, [zone.name for zone in scenarios[0].zone])
    if weights is None:
        draws = draws_of(scenarios, members, seed)
    else:
        from pondsim.ensemble.weights_file import weighted_draws  # noqa: PLC0415

        draws = weighted_draws(scenarios, weights, seed)
    beside = output.with_name(f"{output.stem}_members") if output and keep is None else None
    folder = keep or beside
    _say_what_is_there(folder)
    say_when_compiling()
    with progress("Running members ") as report:
        study = run_study(scenarios, draws, how, keep=folder, report=report)
    if output:
        save_study(study, output)
        if beside:
            shutil.rmtree(beside, ignore_errors=True)
    return study


def _check_measure(key: str, zones: list[str]) -> None:
    """Refuse what is by its name no measure of these zones, or none that is better one way."""
    from pondsim.measures.declared import declarations  # noqa: PLC0415
    from pondsim.scenario.unreadable import likely  # noqa: PLC0415

    stem, _, place = key.partition(".")
    found = [one for one in declarations().values() if one.template.key == stem]
    such = f"such as dawn_mean_top.{zones[0]}"
    if not found:
        known = [one.template.key for one in declarations().values() if one.template.good]
        raise ScenarioError(f"--measure {key}: no measure has this name{likely(stem, known) or ';'} {such}")
    if not any(one.template.good for one in found):
        raise ScenarioError(f"--measure {key}: is better neither way; name one that is, {such}")
    if all(one.by == "zone" for one in found) and place not in zones:
        written = ", ".join(f"{stem}.{zone}" for zone in zones)
        raise ScenarioError(f"--measure {key}: names no zone of this pond; write one of {written}")


def read_designs(paths: list[Path]) -> list[Scenario]:
    """Scenarios of design files; a fault of [unknowns] is told at its line."""
    from pondsim.ensemble.unknowns import unknowns_of  # noqa: PLC0415
    from pondsim.ensemble.weather_years import weather_years  # noqa: PLC0415
    from pondsim.scenario.read import problem_at, read  # noqa: PLC0415

    for path in paths:
        if path.suffix == ".nc":
            raise ScenarioError(f"{path}: members are run from design files (.toml), not from results")
    readings = [read(path) for path in paths]
    scenarios = [one.scenario for one in readings]
    try:
        unknowns_of(scenarios, weather_years(scenarios[0]))
    except ScenarioError as error:
        where = readings[0].where
        raise ScenarioError(
            [problem_at(where, paths[0], one.key, one.message) for one in error.problems]
        ) from None
    for scenario in scenarios:
        check_weather(scenario)
    return scenarios


def _say_what_is_there(folder: Path | None) -> None:
    there = len(list(folder.glob("*.done"))) if folder and folder.is_dir() else 0
    if there:
        click.echo(f"{there} finished runs are in {folder}; those of this study are reused.", err=True)
