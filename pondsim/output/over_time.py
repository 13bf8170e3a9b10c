"""What the time loop kept, as arrays over time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from itertools import pairwise

import numpy as np

from pondsim.engine.loop import Season
from pondsim.engine.model import Model
from pondsim.processes.state import Layout, State, state_of
from pondsim.scenario.settings import Scenario
from pondsim.site.boxes import dig
from pondsim.site.dredged import moments_of_digging
from pondsim.site.pond import FILM, FloatArray, Grid, boxes_over_time

ROUNDING = 1e-12  # share of a sum over the run below which its growth in one step is rounding error


def states_over_time(layout: Layout, kept: FloatArray) -> State:
    """States whose vectors are the rows of `kept`: each part as in a state, with time as its first axis.

    For Python only: the parts do not lie in one piece.
    """
    where = state_of(layout, np.arange(layout.size, dtype=float))
    parts = {}
    for field in fields(where):
        part = getattr(where, field.name)
        first = int(part.flat[0]) if part.size else 0
        parts[field.name] = kept[:, first : first + part.size].reshape(len(kept), *part.shape)
    return State(**parts)


@dataclass(frozen=True)
class Boxes:
    """Shapes of the boxes at the output times, all (times, boxes).

    Attributes
    ----------
    bottom, top : elevations [m]
    bed : area of bed [m2]
    """

    bottom: FloatArray
    top: FloatArray
    bed: FloatArray

    def bed_of_zones(self, grid: Grid) -> FloatArray:
        """Bed area of the zones (times, zones), at least that of the film a dry zone keeps [m2]."""
        count = np.diff(grid.first_box)
        area = np.add.reduceat(self.bed, grid.first_box[:-1], axis=1)
        return np.maximum(area, grid.film_volume * count / FILM)


def spans_of_one_grid(scenario: Scenario, model: Model) -> Iterator[slice]:
    """Places of output times at which the pond has one depth; the model's grid is then of that time."""
    stops = output_times(model)
    for first, end in pairwise([0, *moments_of_digging(scenario, stops), stops.size]):
        if scenario.dredging:
            dig(model.grid, scenario, float(stops[first]))
        yield slice(first, end)


def boxes_of(scenario: Scenario, model: Model, season: Season) -> Boxes:
    """Shapes of the boxes at the output times."""
    shape = (len(season.surface), model.layout.boxes)
    boxes = Boxes(np.empty(shape), np.empty(shape), np.empty(shape))
    for span in spans_of_one_grid(scenario, model):
        parts = boxes.bottom[span], boxes.top[span], boxes.bed[span]
        boxes_over_time(model.grid, season.surface[span], *parts)
    return boxes


def output_times(model: Model) -> FloatArray:
    """Output times since the start of the period [s]."""
    return np.concatenate([[0.0], model.forcing.time[1:][model.forcing.output == 1]])


def means_of(totals: FloatArray, times: FloatArray) -> FloatArray:
    """Mean rate over the step that ends at each time, of sums kept at `times`; the first is the second's.

    What grows by no more than rounding error does not grow.
    """
    grown = np.diff(totals, axis=0)
    grown[np.abs(grown) < ROUNDING * np.abs(totals).max(axis=0)] = 0.0
    rate = grown / np.diff(times).reshape(-1, *([1] * (totals.ndim - 1)))
    return np.concatenate([rate[:1], rate])


class Shape:
    """Turns arrays over boxes into arrays over zones and layers, NaN where there is no box."""

    def __init__(self, model: Model) -> None:
        self.zone, self.layer = model.grid.box_zone, model.grid.box_layer
        self.size = (model.layout.zones, model.grid.interface.shape[1] - 1)

    def __call__(self, boxes: FloatArray) -> FloatArray:
        """(..., boxes) or (..., boxes, classes) to (..., zones, layers[, classes])."""
        lead = 1 if boxes.ndim > 1 else 0
        shaped = np.full((*boxes.shape[:lead], *self.size, *boxes.shape[lead + 1 :]), np.nan)
        where = (slice(None),) * lead + (self.zone, self.layer)
        shaped[where] = boxes
        return shaped
