"""The bed as it is found: its stores and bound phosphorus, from the oxygen demand that the user states.

What a pond's own algae and runoff rain on the bed makes part of its demand. Runs of the period before the
first one show how much; the old store makes up the rest of what was stated.
"""

from __future__ import annotations

import numpy as np

from pondsim.engine.model import Model
from pondsim.processes import constituents as s
from pondsim.processes.state import State
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import FloatArray, boxes_over_time

GUESS = (0.5, 0.2, 0.3)  # shares of the stated demand before the first pass: fast, slow, old (judgement)
KEPT = (s.FAST, s.SLOW, s.FAST_P, s.SLOW_P, s.BOUND_P)  # what a pass hands on


def bed_areas(model: Model, surface: float) -> FloatArray:
    """Area of the bed under each box with the water at an elevation [m2]."""
    shape = (1, model.layout.boxes)
    bottom, top, bed = np.empty(shape), np.empty(shape), np.empty(shape)
    levels = np.maximum(np.full((1, model.layout.zones), surface), model.grid.zone_bottom)
    boxes_over_time(model.grid, levels, bottom, top, bed)
    return bed[0]


def guess_stores(scenario: Scenario, model: Model, area: FloatArray, state: State) -> None:
    """Stores in usual shares of the stated demand, with phosphorus in the ratio of algae."""
    stated = model.bed.demand[model.grid.box_zone] * area
    for store, share in enumerate(GUESS):
        decay = model.living.stores.decay[store]
        state.bed[s.FAST + store] = share * stated / decay if decay > 0.0 else 0.0
    per_oxygen = 1.0 / (scenario.algae.carbon_to_phosphorus * 32.0 / 12.0)
    state.bed[s.FAST_P] = per_oxygen * state.bed[s.FAST]
    state.bed[s.SLOW_P] = per_oxygen * state.bed[s.SLOW]
    state.bed[s.BOUND_P] = scenario.phosphorus.bound_start * area


def hand_on(model: Model, area: FloatArray, bed: FloatArray, state: State) -> FloatArray:
    """Take over what a pass left in the stores; the old one makes up what was stated.

    Where layers of a zone are fed more than was stated there is no old store, and the others have less of it.

    Returns
    -------
    (zones,) array
        Demand at 20 degC of the stores that the pond itself feeds. [kg/s]
    """
    for row in KEPT:
        state.bed[row] = bed[row]
    stores = model.living.stores
    fed = stores.decay[0] * state.bed[s.FAST] + stores.decay[1] * state.bed[s.SLOW]
    stated = model.bed.demand[model.grid.box_zone] * area
    first = model.grid.first_box[:-1]
    supplied = np.add.reduceat(fed, first)
    lacking = np.maximum(stated - fed, 0.0)
    wanted = np.maximum(np.add.reduceat(stated, first) - supplied, 0.0)
    gaps = np.add.reduceat(lacking, first)
    share = np.divide(wanted, gaps, out=np.zeros_like(wanted), where=gaps > 0.0)
    if stores.decay[2] > 0.0:
        state.bed[s.OLD] = lacking * share[model.grid.box_zone] / stores.decay[2]
    return np.asarray(supplied)


def laid_on(stores: FloatArray, areas: list[FloatArray], onto: list[FloatArray]) -> FloatArray:
    """Stores of the bed laid on boxes of other layers; what lies on each zone stays what it is.

    Parameters
    ----------
    stores : (rows, boxes) array
        What lies under each box, spread evenly over the bed there.
    areas, onto : list of (boxes of the zone,) arrays
        Area of the bed under the boxes of each zone, lowest first, as it was and as it will be. [m2]
    """
    ends = np.cumsum([area.size for area in areas])
    laid = []
    for of_zone, old, new in zip(np.split(stores, ends[:-1], axis=1), areas, onto, strict=True):
        below = np.pad(np.cumsum(of_zone, axis=1), ((0, 0), (1, 0)))
        old_edges, new_edges = np.append(0.0, np.cumsum(old)), np.append(0.0, np.cumsum(new))
        laid.append(np.diff([np.interp(new_edges, old_edges, row) for row in below], axis=1))
    return np.concatenate(laid, axis=1)
