"""The runs of a batch: every design of every variant with its storms, many at once, kept where asked."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pondsim.cli._common import progress, say_when_compiling
from pondsim.cli._storms import StormTable, joined_tables, storm_table

if TYPE_CHECKING:
    import xarray as xr

    from pondsim.ensemble.kept import Kept
    from pondsim.scenario.settings import Scenario

STORMS = "storms_of_batch"  # attribute that holds the storms of a task as JSON


@dataclass(frozen=True)
class Task:
    """One design of one variant: its season, then the storms named, from a stated pool.

    Attributes
    ----------
    scenario, text : as of `run`
    storms : names
    pool : water surface elevation every storm starts from [m]
    first : whether it is the existing pond, of which alone it is asked how long the start matters
    """

    scenario: Scenario
    text: str
    storms: tuple[str, ...]
    pool: float
    first: bool


def run_task(task: Task) -> xr.Dataset:
    """Results of the season; what the storms give stands in an attribute."""
    from pondsim.simulate import run  # noqa: PLC0415
    from pondsim.storm import run_storms  # noqa: PLC0415

    season = run(task.scenario, task.text, how_long_start_matters=task.first)
    found = run_storms(task.scenario, task.storms, task.text, task.pool) if task.storms else []
    season.attrs[STORMS] = json.dumps([asdict(storm_table([one], compared=True)) for one in found])
    return season


def run_tasks_of(
    tasks: Sequence[Sequence[Task]],
    how: str,
    keep: Path | None,
    take: Callable[[int, list[xr.Dataset], list[StormTable]], None],
) -> None:
    """Run the tasks of all variants, and hand over each variant's results once all its designs are done.

    Parameters
    ----------
    tasks : sequence of sequences of Task
        By variant, then by design.
    how : str
        See `pondsim.ensemble.runner.run_tasks`.
    keep : Path or None
        Folder of finished runs; those of the same files, values and version are taken from it.
    take : callable
        Called with the place of a variant, its results and its storms; nothing else is held.
    """
    from pondsim.ensemble.kept import fingerprint  # noqa: PLC0415
    from pondsim.ensemble.runner import each_result  # noqa: PLC0415

    places: dict[str, list[tuple[int, int]]] = {}  # of tasks that are alike: a design that no value touches
    unlike: list[Task] = []
    for variant, own in enumerate(tasks):
        for design, task in enumerate(own):
            same = places.setdefault(fingerprint(task), [])
            if not same:
                unlike.append(task)
            same.append((variant, design))
    where = list(places.values())
    waiting: dict[int, dict[int, xr.Dataset]] = {variant: {} for variant in range(len(tasks))}

    def collect(place: int, result: xr.Dataset) -> None:
        for variant, design in where[place]:
            waiting[variant][design] = result
            if len(waiting[variant]) == len(tasks[variant]):
                by_design = waiting.pop(variant)
                results = [by_design[number].copy() for number in range(len(by_design))]
                take(variant, results, _storms_of(results))

    say_when_compiling()
    with progress("Simulating ") as report:
        each_result(run_task, unlike, collect, how, kept=_kept(keep), report=report)


def _storms_of(results: list[xr.Dataset]) -> list[StormTable]:
    """Storms of all designs, taken out of their results."""
    many = ("titles", "measures", "remarks")
    by_design = [
        [StormTable(**one | {name: tuple(one[name]) for name in many}) for one in own]
        for own in (json.loads(result.attrs.pop(STORMS)) for result in results)
    ]
    return [joined_tables(of_storm) for of_storm in zip(*by_design, strict=True)]


def _kept(folder: Path | None) -> Kept | None:
    from pondsim import __version__  # noqa: PLC0415
    from pondsim.ensemble.kept import Kept  # noqa: PLC0415
    from pondsim.jit.kept import package_fingerprint  # noqa: PLC0415
    from pondsim.results.raw import to_bytes  # noqa: PLC0415

    if folder is None:
        return None
    return Kept(folder, f"{__version__} {package_fingerprint()}", to_bytes, _dataset_of)


def _dataset_of(data: bytes) -> xr.Dataset:
    """Results from the bytes of their file; ValueError where they are none."""
    from pondsim.results.raw import from_bytes  # noqa: PLC0415

    found = from_bytes(data)
    try:
        json.loads(found.attrs[STORMS])
    except (KeyError, TypeError, ValueError) as error:
        raise ValueError(f"no kept run: {error}") from error
    return found
