"""The pond as a run finds it: its starting state, and the bed that earlier seasons filled."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import xarray as xr

from pondsim.constants import DAY
from pondsim.engine.bed_start import bed_areas, hand_on, laid_on
from pondsim.engine.forcing import stamps_of
from pondsim.engine.initial import open_passages, start_state, starting_surface
from pondsim.engine.model import Model, build_model
from pondsim.engine.season import copy_state, integrate_season
from pondsim.errors import ScenarioError
from pondsim.processes import constituents as s
from pondsim.processes.living_rows import GROWN, bed_table, box_table
from pondsim.processes.state import State
from pondsim.records import Record
from pondsim.scenario.dredging import begun, left_of_stores, share_done
from pondsim.scenario.settings import Dredging, Judging, Scenario, Unknowns
from pondsim.site.pond import FloatArray

YEAR = 365  # d at most that a pass of the bed lasts
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
        found = found_bed(bare_pond(scenario), stamps_of(scenario))
        start.bed[s.FAST :] = laid_on(found.stores, found.areas, _areas_by_zone(scenario, model))
        start.bed[s.FAST :] *= np.array(left_of_stores(scenario))[model.grid.box_zone]
        fed = found.fed
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
    """The pond as it is found: a year at most, without equipment and without what is done to it.

    Its bed lies as it did before any dredging; work before the period takes its share of what it then holds.
    """
    period, bed = scenario.period, scenario.bed
    end = min(period.end, period.start + timedelta(days=YEAR))
    whole = replace_period(scenario, (end - period.start).total_seconds())
    return replace(
        whole,
        title="as found",
        inflow=scenario.inflow,
        rain=scenario.rain,
        drainage=scenario.drainage,
        bloom_crash=scenario.bloom_crash,
        dredging=(),
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
        numerics=replace(scenario.numerics, tolerance=max(scenario.numerics.tolerance, bed.pass_tolerance)),
        pond=replace(whole.pond, layers=min(whole.pond.layers, round(bed.last_pass_layers))),
    )


def layers_of_passes(bare: Scenario) -> tuple[int, ...]:
    """Layers of each pass that fills the bed of a bare pond; with no pass those its guess is laid on."""
    return (*(min(bare.pond.layers, round(bare.bed.pass_layers)),) * (bare.bed.passes - 1), bare.pond.layers)


def _areas_by_zone(scenario: Scenario, model: Model) -> list[FloatArray]:
    """Area of the bed under each box of each zone at the start, lowest box first [m2]."""
    return np.split(bed_areas(model, starting_surface(scenario)), model.grid.first_box[1:-1])


def _as_done(scenario: Scenario, work: Dredging) -> Dredging:
    """The part of a dredging that is done at the start of the period, as work of its own that ends there."""
    share = share_done(scenario, work, 0.0)
    begin = scenario.period.start - timedelta(seconds=work.duration)
    return replace(work, date=begin, depth=share * work.depth, left=work.left**share)


class FoundBed(NamedTuple):
    """What the passes left, on the boxes of the last of them."""

    stores: FloatArray  # (rows of the bed from FAST on, boxes)
    areas: list[FloatArray]  # (boxes of the zone,) for each zone, of bed under them [m2]
    fed: tuple[float, ...]  # demand that the pond itself feeds, by zone [kg/m2/s]


@lru_cache(BEDS_KEPT)
def found_bed(bare: Scenario, stamps: tuple[tuple[int, int], ...]) -> FoundBed:
    """The bed that seasons before the first one filled.

    Each pass runs the period from its start with the bed that the last one left. What falls and decays in the
    colder half of a year, both slowly, is left out. All designs of a site share the answer, as long as the
    `stamps` of its files stay; so do runs with other layers, for the passes have layers of their own. Frost
    ends a pass where there is no ice: whether the run itself meets it, and when, is for the run to say.
    """
    stores, areas = np.empty(0), [np.empty(0)]
    for number, layers in enumerate(layers_of_passes(bare)):
        pond = replace(bare, pond=replace(bare.pond, layers=layers))
        model = build_model(pond)
        start, before, areas = start_state(pond, model), areas, _areas_by_zone(pond, model)
        if number > 0:
            start.bed[s.FAST :] = laid_on(stores, before, areas)
        supplied = np.zeros(model.layout.zones)
        if bare.bed.passes > 0:
            ended = integrate_season(pond, model, start, None, until_frost=True).state
            supplied = hand_on(model, np.concatenate(areas), ended.bed, start)
        stores = start.bed[s.FAST :].copy()
    wide = np.maximum([float(area.sum()) for area in areas], 1e-6)
    return FoundBed(stores, areas, tuple(float(one) for one in supplied / wide))


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
    """The scenario over its first `length` seconds, without events, crashes and equipment.

    The bed lies where dredging has left it at the start.
    """
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
        dredging=tuple(_as_done(scenario, one) for one in begun(scenario)),
        load=(),
        intake=None,
        pump=None,
        waterfall=None,
        aeration=(),
        outage=(),
        tariff=None,
    )
