"""Grown algae, phosphorus and the stores of the bed, as results show them."""

from __future__ import annotations

from typing import Any

import numpy as np

from pondsim.constants import DAY
from pondsim.engine.loop import Season
from pondsim.engine.model import Model
from pondsim.output.over_time import Boxes, Shape, means_of, output_times
from pondsim.physics.bed_stores import bed_temperature_factor
from pondsim.processes import constituents as s
from pondsim.processes.living_rows import box_table
from pondsim.processes.state import State
from pondsim.scenario.settings import Scenario
from pondsim.site.dredged import moments_of_digging, taken_out
from pondsim.site.pond import FloatArray, zone_area

ORDINARY = "ordinary"  # name of the kind whose keys stand in [algae]


def kind_names(scenario: Scenario) -> list[str]:
    """Names of the kinds of grown algae."""
    return [ORDINARY, *(kind.name for kind in scenario.algae.kind)]


def store_names() -> list[str]:
    """Names of the stores of the bed."""
    return [kept.name for kept in s.LIVING_BED]


def living_of(
    scenario: Scenario,
    model: Model,
    season: Season,
    shape: Shape,
    states: State,
    boxes: Boxes,
    stops: FloatArray,
) -> dict[str, Any]:
    """Variables of the living pond; none but those of dye where algae are given."""
    rows, box = model.layout.living, ("time", "zone", "layer")
    concentration = states.amounts / states.amounts[:, :, :1]
    data: dict[str, Any] = {}
    for row, kept in enumerate(box_table(rows)):
        if row >= rows.first and kept.output:
            data[kept.output] = (box, shape(concentration[:, :, row] * kept.factor))
    if not rows.grown:
        return data
    phosphorus = concentration @ model.work.worth[0, : model.layout.constituents]
    kinds = concentration[:, :, rows.algae : rows.algae + rows.kinds]
    chlorophyll, extinction = season.light[:, 0], season.light[:, 1]
    data |= {
        "total_phosphorus": (box, shape(phosphorus * s.UG_PER_L)),
        "bed_at_end": (("bed_store", "zone", "layer"), shape(states.bed[-1, s.FAST :])),
        "algal_carbon": ((*box, "algae_kind"), shape(kinds * s.MG_PER_L)),
        "chlorophyll": (box, shape(chlorophyll * s.UG_PER_L)),
        "light_extinction": (box, shape(extinction)),
        "phosphorus_in_rate": (("time",), means_of(states.lines[:, s.PHOSPHORUS_IN], stops)),
        "phosphorus_out_rate": (("time",), means_of(states.lines[:, s.PHOSPHORUS_OUT], stops)),
    }
    return data | _bed(scenario, model, states, concentration, boxes)


def _bed(
    scenario: Scenario, model: Model, states: State, concentration: FloatArray, boxes: Boxes
) -> dict[str, Any]:
    """Stores, demand and thickness of the bed by zone."""
    grid, stores, first = model.grid, model.living.stores, model.grid.first_box[:-1]
    area = boxes.bed_of_zones(grid)
    plan = np.array([zone_area(grid, z, grid.normal_pool) for z in range(model.layout.zones)])

    def by_zone(values: FloatArray) -> FloatArray:
        return np.asarray(np.add.reduceat(values, first, axis=1))

    factor = bed_temperature_factor(stores.theta, stores.winter_share, concentration[:, :, s.HEAT])
    bed = np.moveaxis(states.bed, 1, 0)
    asked = sum(stores.decay[k] * bed[s.FAST + k] for k in range(3))
    fresh = by_zone(bed[s.FAST] + bed[s.SLOW] + bed[s.INERT])
    mineral = states.bed_mass.sum(axis=2) * (1.0 - scenario.solids.organic_share)
    dry = mineral + (fresh - fresh[:1]) / s.OXYGEN_PER_DRY_MATTER
    out = _dredged(scenario, model)
    # what goes with the dredge is in the depth taken out
    grown = np.where(np.diff(out, axis=0) > 0.0, 0.0, np.diff(dry, axis=0))
    grown = np.concatenate([0.0 * dry[:1], np.cumsum(grown, axis=0)])
    data: dict[str, Any] = {
        name: (("time", "zone"), by_zone(bed[row]) / area * 1e3)
        for name, row in (
            ("bed_fast_store", s.FAST),
            ("bed_slow_store", s.SLOW),
            ("bed_old_store", s.OLD),
            ("bed_bound_phosphorus", s.BOUND_P),
        )
    }
    return data | {
        "bed_oxygen_demand": (("time", "zone"), by_zone(asked * factor) / area * 1e3 * DAY),
        "bed_demand_at_20": (("time", "zone"), by_zone(asked) / area * 1e3 * DAY),
        "bed_mass": (("time", "zone"), dry),
        "bed_thickness": (
            ("time", "zone"),
            grown / scenario.bed.dry_density / plan - out,
        ),
    }


def _dredged(scenario: Scenario, model: Model) -> FloatArray:
    """Bed taken out since the start by zone, mean over its area at normal pool, at the output times [m]."""
    stops, grid = output_times(model), model.grid
    area = np.array([zone_area(grid, zone, grid.normal_pool) for zone in range(model.layout.zones)])
    out = np.zeros((stops.size, area.size))
    for place in moments_of_digging(scenario, stops):
        out[place:] = (taken_out(scenario, float(stops[place])) - taken_out(scenario, 0.0)) / area
    return out
