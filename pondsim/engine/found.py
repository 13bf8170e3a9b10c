"""The pond as a run finds it: its starting state, and the bed that earlier seasons filled."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from functools import lru_cache

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from pondsim.constants import DAY
from pondsim.engine.bed_start import bed_areas, hand_on
from pondsim.engine.forcing import stamps_of
from pondsim.engine.initial import open_passages, start_state, starting_surface
from pondsim.engine.model import Model, build_model
from pondsim.engine.season import copy_state, integrate_season
from pondsim.errors import ScenarioError
from pondsim.processes import constituents as s
from pondsim.processes.living_rows import GROWN, bed_table, box_table
from pondsim.processes.state import State
from pondsim.records import Record
from pondsim.scenario.settings import Judging, Scenario, Unknowns

YEAR = 365  # d at most that a pass of the bed lasts
PASS_TOLERANCE = 3.0  # of the passes that fill the bed
BEDS_KEPT = 64  # of the last ponds and members
SHORT_BED = 60.0 * DAY  # s: a shorter period, repeated, is no season for the bed (judgement)
OVERFED = 1.15  # share of the stated demand of a bed above which it is worth a word


def starting_state(
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
        rows, fed = found_bed(bare_pond(scenario), stamps_of(scenario))
        start.bed[s.FAST :] = rows
    if scenario.start.profile or scenario.start.spin_up <= 0.0:
        return start, fed
    end = min(scenario.start.spin_up, float(model.forcing.time[-1]))
    first = replace_period(scenario, end)
    early = build_model(first)
    for _ in range(2):
        open_passages(first, early)
        season = integrate_season(first, early, copy_state(model, start), None)
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


def state_after(scenario: Scenario, model: Model, before: State) -> State:
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


def bare_pond(scenario: Scenario) -> Scenario:
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
def found_bed(
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
        ended = integrate_season(bare, model, start, None).state
        supplied = hand_on(model, area, ended.bed, start)
    fed = supplied / np.maximum(np.add.reduceat(area, first), 1e-6)
    return start.bed[s.FAST :].copy(), tuple(float(one) for one in fed)


def bed_records(scenario: Scenario, fed: tuple[float, ...]) -> list[Record]:
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
        dredging=(),
        load=(),
        intake=None,
        pump=None,
        waterfall=None,
        aeration=(),
        outage=(),
        tariff=None,
    )
