"""A season integrated from its start to its end, or the error that says where it failed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import numpy as np

from pondsim.engine.digging import Digging
from pondsim.engine.initial import open_passages
from pondsim.engine.loop import DONE, FROZEN, STAGES, Season, integrate, start_season
from pondsim.engine.model import Model
from pondsim.engine.step import update_step
from pondsim.errors import RunError
from pondsim.processes.living_rows import name_of
from pondsim.processes.state import State, new_state
from pondsim.scenario.settings import Scenario

Progress = Callable[[float], None]

CHUNK = 120  # hydraulic steps between two words on progress


def integrate_season(
    scenario: Scenario,
    model: Model,
    start: State,
    progress: Progress | None,
    end: float = np.inf,
    *,
    until_frost: bool = False,
) -> Season:
    """Integrate from `start`, which is left as it is, to the end of the period or to `end` [s].

    Where nothing may freeze, frost is an error, or with `until_frost` the end.
    """
    digging = Digging(scenario, model)
    open_passages(scenario, model)
    season = start_season(model, copy_state(model, start), scenario.numerics.tolerance)
    season.kept[0] = season.state.vector
    season.surface[0] = model.work.surface
    if scenario.ice:
        update_step(model, 0, season.state)
        season.floating[0] = model.work.ice_load
    steps = int(np.searchsorted(model.forcing.time[1:], min(end, model.forcing.time[-1]), side="right"))
    row = 1
    for first, last in digging.pieces(steps, CHUNK):
        digging.before(first, season.state)
        row = integrate(model, STAGES, season, first, last, row)
        if until_frost and season.count[3] == FROZEN:
            break
        if season.count[3] != DONE:
            raise RunError(_failure(scenario, season, model))
        if progress:
            progress(last / steps)
    return season


def copy_state(model: Model, state: State) -> State:
    """A copy for a model of the same pond; its equipment, whose meters stand at 0, may be another."""
    copied = new_state(model.layout)
    held = model.layout.held
    copied.vector[:held] = state.vector[:held]
    return copied


def _moment(scenario: Scenario, season: Season) -> str:
    return f"{scenario.period.start + timedelta(seconds=float(season.clock[3])):%Y-%m-%d %H:%M}"


def _failure(scenario: Scenario, season: Season, model: Model) -> str:
    box, constituent = int(season.count[4]), int(season.count[5])
    zone = scenario.zone[model.grid.box_zone[box]].name
    if season.count[3] == FROZEN:
        return (
            f"the water in {zone} freezes at {_moment(scenario, season)}: "
            "write a section [ice] to let it freeze, or end the period before the frost, or start it after"
        )
    what = name_of(constituent, model.layout.living)
    return (
        f"the computation failed at {_moment(scenario, season)} in {zone}, "
        f"layer {model.grid.box_layer[box]}: {what} could not be computed to its tolerance; "
        "no results were made"
    )
