"""A scenario run from its start to its end: the one caller of the time loop."""

from __future__ import annotations

import numpy as np
import xarray as xr

from pondsim.constants import DAY
from pondsim.engine.forcing import Forcing, build_forcing, fits
from pondsim.engine.found import bed_records, starting_state, state_after
from pondsim.engine.loop import Season
from pondsim.engine.model import Model, build_model
from pondsim.engine.season import Progress, copy_state, integrate_season
from pondsim.errors import ScenarioError
from pondsim.output.collect import dataset_of
from pondsim.output.inputs import packed_inputs
from pondsim.output.over_time import output_times, states_over_time
from pondsim.output.readings import readings_of
from pondsim.output.warnings import run_records
from pondsim.processes import constituents as s
from pondsim.processes.state import State
from pondsim.records import Record
from pondsim.scenario.settings import Scenario

START_WARMER = 2.0  # K, and
START_POORER = 0.5  # share of oxygen: the other start that shows how long the start matters
STARTS_AGREE = (0.25, 0.25e-3)  # K and kg/m3 by which two starts may differ once they no longer matter
LOOKED_AT = 45.0 * DAY  # s over which the two are compared


def run(
    scenario: Scenario,
    text: str = "",
    progress: Progress | None = None,
    *,
    how_long_start_matters: bool = True,
    forcing: Forcing | None = None,
    bed: xr.DataArray | None = None,
) -> xr.Dataset:
    """Run a scenario.

    Parameters
    ----------
    scenario : Scenario
        From `read_scenario`.
    text : str
        Text of the scenario's files, kept with the results; so are the tables they name.
    progress : callable, optional
        Called now and then with the share done, 0 to 1.
    how_long_start_matters : bool, default True
        Whether a second start is run, to say after how many days the start no longer shows. Without it,
        for many runs of one pond, the attribute ``start_dependence_days`` is NaN and no record speaks of it.
    forcing : Forcing, optional
        Weather, rain, water and timers in place of the scenario's own: of another scenario of this pond, by
        `build_forcing`, or changed. A start with no profile is still warmed by the scenario's own weather.
    bed : xarray.DataArray, optional
        The variable ``bed_at_end`` of a run of this pond with grown algae: the bed that this run finds.

    Returns
    -------
    xarray.Dataset
        Results with units and metadata; see docs/results.md.

    Raises
    ------
    ScenarioError
        What is given is no scenario, the weather does not serve, or the forcing does not fit.
    RunError
        The water freezes, a step fails, or a balance does not close.
    """
    if not isinstance(scenario, Scenario):
        raise ScenarioError(
            f"run needs a scenario, not {scenario!r}; read a file first: run(read_scenario(FILE))"
        )
    return _run(scenario, text, progress, forcing, None, look=how_long_start_matters, bed=bed)[0]


def run_to_the_end(scenario: Scenario, progress: Progress | None = None) -> tuple[xr.Dataset, State]:
    """Run a scenario that another follows: its results, with no text, and the state at its end."""
    dataset, season = _run(scenario, "", progress, None, None, look=False)
    return dataset, season.state


def run_after(
    scenario: Scenario, before: State, text: str = "", progress: Progress | None = None
) -> xr.Dataset:
    """Run a scenario from the water and the bed that another run of this pond ended with.

    Parameters
    ----------
    scenario, text, progress
        As for `run`. The water surface at the start is its own (``start.water_surface``, else normal pool):
        each box is filled to it with the concentrations that `before` has there.
    before : State
        From `run_to_the_end`, of a scenario with the same zones and layers.

    Raises
    ------
    ScenarioError, RunError
        As `run`; a state of another pond.
    """
    return _run(scenario, text, progress, None, before, look=False)[0]


def _run(
    scenario: Scenario,
    text: str,
    progress: Progress | None,
    forcing: Forcing | None,
    before: State | None,
    *,
    look: bool,
    bed: xr.DataArray | None = None,
) -> tuple[xr.Dataset, Season]:
    """Results and the season they come from; `look`: whether a second start says how long it matters."""
    inputs = packed_inputs(scenario, text)
    readings = readings_of(scenario)
    records: tuple[Record, ...] = ()
    if forcing is None:
        forcing, records = build_forcing(scenario)
    elif not fits(forcing, scenario):
        raise ScenarioError("the forcing is of another pond, period or equipment than the scenario")
    model = build_model(scenario, forcing)
    start, fed = (
        starting_state(scenario, model, bed) if before is None else (state_after(scenario, model, before), ())
    )
    season = integrate_season(scenario, model, start, progress)
    days = _days_of_start(model, season, _second_season(scenario, forcing, start)) if look else np.nan
    every = [
        *records,
        *readings.records,
        *run_records(scenario, season, model, days, LOOKED_AT),
        *bed_records(scenario, fed),
    ]
    return dataset_of(scenario, text, model, season, every, days, inputs, readings), season


def _second_season(scenario: Scenario, forcing: Forcing, start: State) -> Season:
    """The first weeks from a warmer start poorer in oxygen."""
    model = build_model(scenario, forcing)
    other = copy_state(model, start)
    other.amounts[:, s.HEAT] += START_WARMER * other.amounts[:, s.WATER]
    other.amounts[:, s.OXYGEN] *= 1.0 - START_POORER
    return integrate_season(scenario, model, other, None, min(LOOKED_AT, float(forcing.time[-1])))


def _days_of_start(model: Model, season: Season, second: Season) -> float:
    """Days after which the second start no longer shows anywhere."""
    stops = output_times(model)
    rows = int(np.searchsorted(stops, min(LOOKED_AT, float(model.forcing.time[-1])), side="right"))
    ours, others = (states_over_time(model.layout, one.kept[:rows]).amounts for one in (season, second))
    off = np.abs(ours / ours[:, :, :1] - others / others[:, :, :1]).max(axis=1)
    differ = (off[:, s.HEAT] > STARTS_AGREE[0]) | (off[:, s.OXYGEN] > STARTS_AGREE[1])
    last = float(stops[np.flatnonzero(differ)[-1]]) if differ.any() else 0.0
    return last / DAY
