"""A scenario run from its start to its end: the one caller of the time loop."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from functools import lru_cache

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from pondsim.constants import DAY
from pondsim.engine.bed_start import bed_areas, hand_on
from pondsim.engine.digging import Digging
from pondsim.engine.forcing import Forcing, build_forcing, fits, stamps_of
from pondsim.engine.initial import open_passages, start_state, starting_surface
from pondsim.engine.loop import DONE, FROZEN, STAGES, Season, integrate, start_season
from pondsim.engine.model import Model, build_model, update_step
from pondsim.errors import RunError, ScenarioError
from pondsim.output.collect import dataset_of
from pondsim.output.inputs import packed_inputs
from pondsim.output.over_time import output_times, states_over_time
from pondsim.output.readings import readings_of
from pondsim.output.warnings import run_records
from pondsim.processes import constituents as s
from pondsim.processes.living_rows import GROWN, bed_table, box_table, name_of
from pondsim.processes.state import State, new_state
from pondsim.records import Record
from pondsim.scenario.settings import Judging, Scenario, Unknowns

Progress = Callable[[float], None]

CHUNK = 120  # hydraulic steps between two words on progress
START_WARMER = 2.0  # K, and
START_POORER = 0.5  # share of oxygen: the other start that shows how long the start matters
STARTS_AGREE = (0.25, 0.25e-3)  # K and kg/m3 by which two starts may differ once they no longer matter
YEAR = 365  # d at most that a pass of the bed lasts
PASS_TOLERANCE = 3.0  # of the passes that fill the bed
BEDS_KEPT = 64  # of the last ponds and members
SHORT_BED = 60.0 * DAY  # s: a shorter period, repeated, is no season for the bed (judgement)
OVERFED = 1.15  # share of the stated demand of a bed above which it is worth a word
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
        _starting_state(scenario, model, bed)
        if before is None
        else (_state_after(scenario, model, before), ())
    )
    season = _march(scenario, model, start, progress)
    days = _days_of_start(scenario, model, start, season) if look else np.nan
    every = [
        *records,
        *readings.records,
        *run_records(scenario, season, model, days, LOOKED_AT),
        *_bed_records(scenario, fed),
    ]
    return dataset_of(scenario, text, model, season, every, days, inputs, readings), season


def _state_after(scenario: Scenario, model: Model, before: State) -> State:
    """The water and bed of another run's end, with the boxes filled to this scenario's starting level."""
    start = start_state(scenario, model)
    if start.rows.shape != before.rows.shape or start.zones.shape != before.zones.shape:
        raise ScenarioError(
            "the state to go on from is of a pond with other zones, layers or settling classes"
        )
    start.rows[1:] = before.rows[1:] / before.rows[s.WATER] * start.rows[s.WATER]
    start.bed[:] = before.bed
    start.zones[:] = before.zones
    return start


def _starting_state(
    scenario: Scenario, model: Model, bed: xr.DataArray | None = None
) -> tuple[State, tuple[float, ...]]:
    """The starting state, and the bed's demand that the pond itself feeds, by zone [kg/m2/s].

    With no profile the state is what two rounds of the first days' weather make of a guess.
    """
    start = start_state(scenario, model)
    fed: tuple[float, ...] = ()
    if model.layout.living.grown and bed is not None:
        start.bed[s.FAST :] = bed.values[:, model.grid.box_zone, model.grid.box_layer]
    elif model.layout.living.grown:
        rows, fed = _found_bed(_bare(scenario), stamps_of(scenario))
        start.bed[s.FAST :] = rows
    if scenario.start.profile or scenario.start.spin_up <= 0.0:
        return start, fed
    end = min(scenario.start.spin_up, float(model.forcing.time[-1]))
    first = replace_period(scenario, end)
    early = build_model(first)
    for _ in range(2):
        open_passages(first, early)
        season = _march(first, early, _copy(model, start), None)
        warmed = season.state
        for row, kept in enumerate(box_table(model.layout.living)):
            if kept.spins_up and kept is not s.SOLIDS:
                start.rows[row] = warmed.rows[row] / warmed.rows[s.WATER] * start.rows[s.WATER]
        for row, kept in enumerate(bed_table(model.layout.living)):
            if kept.spins_up:
                start.bed[row] = warmed.bed[row]
        for row, kept in enumerate(s.ZONES):
            if kept.spins_up:
                start.zones[row] = warmed.zones[row]
    return start, fed


def _bare(scenario: Scenario) -> Scenario:
    """The pond as it is found: a year at most, without equipment and without what is done to it."""
    period = scenario.period
    end = min(period.end, period.start + timedelta(days=YEAR))
    whole = replace_period(scenario, (end - period.start).total_seconds())
    return replace(
        whole,
        title="as found",
        inflow=scenario.inflow,
        rain=scenario.rain,
        drainage=scenario.drainage,
        bloom_crash=scenario.bloom_crash,
        load=scenario.load,
        period=replace(whole.period, output_step=DAY),
        judging=Judging(),
        layout=None,
        gravity_line=None,
        wet_well=None,
        trench=None,
        discharge=None,
        readings=(),
        unknowns=Unknowns(),
        sources=(),
        numerics=replace(scenario.numerics, tolerance=max(scenario.numerics.tolerance, PASS_TOLERANCE)),
    )


@lru_cache(BEDS_KEPT)
def _found_bed(
    bare: Scenario, stamps: tuple[tuple[int, int], ...]
) -> tuple[NDArray[np.float64], tuple[float, ...]]:
    """Rows of the stores after the passes, and the demand that the pond itself feeds by zone [kg/m2/s].

    Each pass runs the period from its start with the bed that the last one left. What falls and decays in the
    colder half of a year, both slowly, is left out. All designs of a site share the answer, as long as the
    `stamps` of its files stay.
    """
    model = build_model(bare)
    area = bed_areas(model, starting_surface(bare))
    start = start_state(bare, model)
    first = model.grid.first_box[:-1]
    supplied = np.zeros(model.layout.zones)
    for _ in range(bare.bed.passes):
        ended = _march(bare, model, start, None).state
        supplied = hand_on(model, area, ended.bed, start)
    fed = supplied / np.maximum(np.add.reduceat(area, first), 1e-6)
    return start.bed[s.FAST :].copy(), tuple(float(one) for one in fed)


def _bed_records(scenario: Scenario, fed: tuple[float, ...]) -> list[Record]:
    """Chlorophyll not used, a bed filled from a short period, and beds fed more demand than was stated."""
    found = []
    length = (scenario.period.end - scenario.period.start).total_seconds()
    if fed and scenario.bed.passes > 0 and length < SHORT_BED:
        found.append(Record("bed_of_short_period", numbers={"length": (length, "s")}))
    if scenario.algae.mode == GROWN and "algae.chlorophyll" in scenario.stated:
        found.append(Record("chlorophyll_not_used"))
    for zone, supplied in zip(scenario.zone, fed, strict=False):
        own = zone.bed_oxygen_demand
        stated = scenario.bed.oxygen_demand if own is None else own
        if supplied > OVERFED * stated:
            numbers = {"stated": (stated, "kg/m2/s"), "fed": (supplied, "kg/m2/s")}
            found.append(Record("bed_overfed", "caution", zone.name, numbers))
    return found


def replace_period(scenario: Scenario, length: float) -> Scenario:
    """The scenario over its first `length` seconds, without events, crashes and equipment."""
    end = scenario.period.start + timedelta(seconds=length)
    return replace(
        scenario,
        period=replace(scenario.period, end=end),
        inflow=(),
        rain=None,
        drainage=(),
        bloom_crash=(),
        treatment=tuple(replace(one, dose=0.0) for one in scenario.treatment),
        dye=tuple(replace(one, extinction=0.0) for one in scenario.dye),
        cover=(),
        dredging=tuple(one for one in scenario.dredging if one.date < scenario.period.start),
        load=(),
        intake=None,
        pump=None,
        waterfall=None,
        aeration=(),
        outage=(),
        tariff=None,
    )


def _copy(model: Model, state: State) -> State:
    """A copy for a model of the same pond; its equipment, whose meters stand at 0, may be another."""
    copied = new_state(model.layout)
    held = model.layout.held
    copied.vector[:held] = state.vector[:held]
    return copied


def _march(
    scenario: Scenario, model: Model, start: State, progress: Progress | None, end: float = np.inf
) -> Season:
    """Integrate from `start`, which is left as it is, to the end of the period or to `end` [s]."""
    digging = Digging(scenario, model)
    open_passages(scenario, model)
    season = start_season(model, _copy(model, start), scenario.numerics.tolerance)
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
        if season.count[3] != DONE:
            raise RunError(_failure(scenario, season, model))
        if progress:
            progress(last / steps)
    return season


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


def _days_of_start(scenario: Scenario, model: Model, start: State, season: Season) -> float:
    """Days after which a warmer start poorer in oxygen no longer shows anywhere."""
    other = _copy(model, start)
    other.amounts[:, s.HEAT] += START_WARMER * other.amounts[:, s.WATER]
    other.amounts[:, s.OXYGEN] *= 1.0 - START_POORER
    end = min(LOOKED_AT, float(model.forcing.time[-1]))
    second = _march(scenario, model, other, None, end)
    stops = output_times(model)
    rows = int(np.searchsorted(stops, end, side="right"))
    ours, others = (states_over_time(model.layout, one.kept[:rows]).amounts for one in (season, second))
    off = np.abs(ours / ours[:, :, :1] - others / others[:, :, :1]).max(axis=1)
    differ = (off[:, s.HEAT] > STARTS_AGREE[0]) | (off[:, s.OXYGEN] > STARTS_AGREE[1])
    last = float(stops[np.flatnonzero(differ)[-1]]) if differ.any() else 0.0
    return last / DAY
