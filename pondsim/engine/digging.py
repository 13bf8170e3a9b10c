"""Dredging while the loop stands still: the grid gets deeper, and what lies on the bed goes down with it.

Water stays in its boxes at first. They no longer have the volumes of the deeper grid, and the flow pattern
of the next hydraulic step moves water down into the new room, from above and from other zones, with all
that it carries; the surface sinks by what was taken out.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from pondsim.engine.model import Model
from pondsim.processes.constituents import BED_PER_AREA
from pondsim.processes.state import State
from pondsim.scenario.settings import Scenario
from pondsim.site.boxes import dig
from pondsim.site.dredged import moments_of_digging
from pondsim.site.pond import FloatArray, Grid, box_limits, zone_area


class Digging:
    """What a season's dredging does to the grid of its model, step by step."""

    def __init__(self, scenario: Scenario, model: Model) -> None:
        self.scenario, self.model = scenario, model
        # the grid of a step is that of its end
        self.steps = {place - 1 for place in moments_of_digging(scenario, model.forcing.time)}
        if scenario.dredging:
            dig(model.grid, scenario, 0.0)

    def pieces(self, steps: int, chunk: int) -> list[tuple[int, int]]:
        """First step of each piece and the one after its last: at most `chunk` steps of one grid."""
        edges = sorted({0, steps, *range(0, steps, chunk), *(step for step in self.steps if step < steps)})
        return list(pairwise(edges))

    def before(self, step: int, state: State) -> None:
        """Dig what a step digs, before it begins."""
        if step not in self.steps:
            return
        grid, surface = self.model.grid, self.model.work.surface
        old = bed_edges(grid, surface)
        dig(grid, self.scenario, float(self.model.forcing.time[step + 1]))
        _move_bed(grid, old, bed_edges(grid, surface), state)


def bed_edges(grid: Grid, surface: FloatArray) -> FloatArray:
    """Area of bed of its zone that lies under the top of each box; `surface`: (zones,) elevation [m2]."""
    tops = [(int(zone), box_limits(grid, box, surface[zone])[1]) for box, zone in enumerate(grid.box_zone)]
    return np.array([zone_area(grid, zone, top) for zone, top in tops])


def _move_bed(grid: Grid, old: FloatArray, new: FloatArray, state: State) -> None:
    """Share out the bed anew among the boxes of each zone: each part of it stays under the water above it.

    A part of the bed is known by the area that lies lower, which digging leaves as it is. Stores are
    amounts, and their sum stays; temperatures are means over the area.
    """
    for first, end in zip(grid.first_box[:-1], grid.first_box[1:], strict=True):
        edges, moved = (np.concatenate([[0.0], one[first:end]]) for one in (old, new))
        width = np.diff(edges)
        bounds = np.concatenate([np.minimum(moved[:-1], edges[-1]), edges[-1:]])
        found = np.diff(bounds)  # of the bed there was: the rest has come under water
        for row, amount in enumerate(BED_PER_AREA[: len(state.bed)]):
            here = state.bed[row, first:end]
            held = np.concatenate([[0.0], np.cumsum(here if amount else here * width)])
            parts = np.diff(np.concatenate([np.interp(moved[:-1], edges, held), held[-1:]]))
            if amount:
                here[:] = parts
            else:
                here[:] = np.where(found > 0.0, parts / np.where(found > 0.0, found, 1.0), here)
