"""Whether grid and steps drive the answer: designs run as they are and more finely, measure by measure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
import xarray as xr

from pondsim.comparison.dredged import Moved, is_elsewhere, moved_from
from pondsim.comparison.givens import shape_of
from pondsim.comparison.join import scope_of
from pondsim.comparison.refuse import refuse_unlike
from pondsim.comparison.row import number
from pondsim.ensemble.finer import PART, Finer, finer
from pondsim.ensemble.moves import GridCheck, Moves
from pondsim.ensemble.runner import run_tasks
from pondsim.errors import RunError, ScenarioError
from pondsim.measures import dawn_oxygen, day_minimum, declarations, joined, lowest_bed, measures_of, single
from pondsim.measures.declared import Measure, attributes_of
from pondsim.scenario.settings import Scenario
from pondsim.simulate import run

AS_IT_IS = "as it is"
WORST = {"days_failing_top": np.nanmax, "dawn_lowest_top": np.nanmin}  # measures told for the worst zone too
SHARE_OF_DAWNS = 95.0  # % of single dawns that one of the two numbers on them holds
Array = np.ndarray[Any, Any]


@dataclass(frozen=True)
class Task:
    """One run: a scenario and, where a zone of it was cut, the names of the parts."""

    scenario: Scenario
    parts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Checked:
    """What is kept of a run.

    Attributes
    ----------
    measures : with the parts of a zone that was cut joined again, each number the mean of all
    dawns : lowest oxygen around sunrise at the top by (day, zone) [mg/L]
    bed : elevation of the deepest bed by zone [m]
    scope : a dataset of times and attributes alone, by which runs of other ponds and periods are refused
    failure : why there are no numbers, or ""
    """

    measures: xr.Dataset | None = None
    dawns: Array | None = None
    bed: Array | None = None
    scope: xr.Dataset | None = None
    failure: str = ""


def grid_check(
    scenarios: Sequence[Scenario],
    how: str = "threads",
    report: Callable[[float], None] | None = None,
    ways_of: Callable[[Scenario], Sequence[Finer]] = finer,
) -> GridCheck:
    """Run designs of one pond as they are, and more finely in one way at a time.

    Parameters
    ----------
    scenarios : sequence of Scenario
        Designs, the existing pond first.
    how : str
        See `pondsim.ensemble.runner.run_tasks`.
    report : callable, optional
        Called with the share of runs done, 0 to 1.
    ways_of : callable
        In which ways a scenario is made finer.

    Raises
    ------
    ScenarioError
        The designs differ in zones, period, output step, criterion or in how finely they are computed.
    RunError
        A run failed.
    """
    if not scenarios:
        raise ScenarioError("nothing to check: name a design")
    _refuse_other_grids(scenarios)
    ways = [{one.name: one for one in ways_of(scenario)} for scenario in scenarios]
    cases: list[dict[str, Finer]] = [
        {AS_IT_IS: Finer(AS_IT_IS, AS_IT_IS, scenario), **own}
        for scenario, own in zip(scenarios, ways, strict=True)
    ]
    names = [(design, name) for design, own in enumerate(cases) for name in own]
    done = run_tasks(
        checked,
        [Task(cases[design][name].scenario, cases[design][name].parts) for design, name in names],
        how,
        report=report,
    )
    found = dict(zip(names, done, strict=True))
    for (design, name), one in found.items():
        if one.failure:
            raise RunError(f"{scenarios[design].title}, {cases[design][name].words}: {one.failure}")
    return _joined(scenarios, list(ways[0].values()), found)


def checked(task: Task) -> Checked:
    """Run one scenario and keep what a check needs."""
    try:
        results = run(task.scenario, how_long_start_matters=False)
    except RunError as error:
        return Checked(failure=str(error))
    measures, dawns = measures_of(results), dawn_oxygen(results)[1]
    scope = results[["time", "zone"]]
    for name, worst in WORST.items():
        if name in measures:
            measures.attrs[name] = float(worst(measures[name].values))
    if task.parts:
        names = [str(zone) for zone in results["zone"].values]
        parts = [names.index(part) for part in task.parts]
        for key, variable in measures.data_vars.items():
            if declarations()[str(key)].by == "zone":
                variable.values[parts[0]] = variable.values[parts].mean()
        dawns = dawns.copy()
        dawns[:, parts[0]] = dawns[:, parts].mean(axis=1)
        measures, dawns = measures.drop_isel(zone=parts[1:]), np.delete(dawns, parts[1:], axis=1)
    return Checked(_of_whole_units(measures), dawns, lowest_bed(results), scope)


def _of_whole_units(measures: xr.Dataset) -> xr.Dataset:
    """Parts of an aeration unit that was shared between halves of a zone as the one unit that they are.

    Energy and money add up; hours, starts and trips are those of each.
    """
    names = [str(name) for name in measures["system"].values] if "system" in measures.dims else []
    whole = [name.partition(PART)[0] for name in names]
    kept = [place for place, name in enumerate(names) if whole[place] == name]
    if len(kept) == len(names):
        return measures
    for key, variable in measures.data_vars.items():
        if declarations()[str(key)].by == "system":
            adds = variable.attrs["unit"] in ("kWh", "$")
            for place in kept:
                parts = variable.values[[k for k, name in enumerate(whole) if name == names[place]]]
                variable.values[place] = parts.sum() if adds else parts.mean()
    return measures.isel(system=kept)


def _refuse_other_grids(scenarios: Sequence[Scenario]) -> None:
    first = scenarios[0]
    for other in scenarios[1:]:
        for what, one, two in (
            ("pond.layers", first.pond.layers, other.pond.layers),
            ("pond.top_layer", first.pond.top_layer, other.pond.top_layer),
            ("numerics", first.numerics, other.numerics),
        ):
            if one != two:
                raise ScenarioError(
                    f'"{first.title}" and "{other.title}" differ in {what}; a grid check wants designs '
                    "that are computed alike"
                )


def _joined(
    scenarios: Sequence[Scenario], ways: list[Finer], found: dict[tuple[int, str], Checked]
) -> GridCheck:
    bases = [found[design, AS_IT_IS] for design in range(len(scenarios))]
    first = bases[0].scope
    assert first is not None
    for one in bases[1:]:
        assert one.scope is not None
        refuse_unlike(first, one.scope)
    titles = tuple(scenario.title for scenario in scenarios)
    order = [AS_IT_IS, *(way.name for way in ways)]
    runs = [found[design, name].measures for name in order for design in range(len(titles))]
    kept = [one for one in runs if one is not None]
    zones, start, end = scope_of(first)
    moved = moved_from([one.bed for one in bases if one.bed is not None], zones)
    return GridCheck(
        titles=titles,
        zones=zones,
        start=start,
        end=end,
        shape=shape_of(first) or {},
        ways={way.name: way.words for way in ways},
        moves=(*_of_worst_zone(kept, order), *_moves(kept, order, moved)),
        minimum=day_minimum(first),
        dawns={
            way.name: _dawns(
                [(bases[design].dawns, found[design, way.name].dawns) for design in range(len(titles))]
            )
            for way in ways
        },
    )


def _moves(runs: list[xr.Dataset], order: list[str], moved: Sequence[Moved]) -> list[Moves]:
    """Every measure; runs come way by way, each with all designs."""
    return [
        replace(_one(measure, values, order), elsewhere=tuple(is_elsewhere(measure, own) for own in moved))
        for measure, values in single(joined(runs, "run"))
    ]


def _of_worst_zone(runs: list[xr.Dataset], order: list[str]) -> list[Moves]:
    made = []
    for name in WORST:
        if name in runs[0]:
            measure = Measure(**{one.name: runs[0][name].attrs[one.name] for one in fields(Measure)})
            values = np.array([run.attrs[name] for run in runs])
            made.append(_one(replace(measure, key=name, label="worst zone"), values, order))
    return made


def _one(measure: Measure, values: Array, order: list[str]) -> Moves:
    by_way = values.reshape(len(order), -1)
    every = [tuple(number(value) for value in row) for row in by_way]
    return Moves(
        **attributes_of(measure), values=every[0], finer=dict(zip(order[1:], every[1:], strict=True))
    )


def _dawns(pairs: list[tuple[Array | None, Array | None]]) -> tuple[float, float, float]:
    """Largest mean move of a zone, what most single dawns stay within, and the largest move of one."""
    apart = [b - a for a, b in pairs if a is not None and b is not None and a.size]
    if not apart:
        return 0.0, 0.0, 0.0
    means = [np.abs(np.nanmean(one, axis=0)).max() for one in apart]
    every = np.abs(np.concatenate([one.ravel() for one in apart]))
    every = every[np.isfinite(every)]
    return float(max(means)), float(np.percentile(every, SHARE_OF_DAWNS)), float(every.max())
