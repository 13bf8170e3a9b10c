"""Pipe lengths of the file against those of its trench and plan: where they differ, a bid is wrong."""

from __future__ import annotations

import math
from itertools import pairwise

from pondsim.records import Record
from pondsim.scenario.settings import Scenario

APART, LEAST_APART = 0.10, 1.524  # share and 5 ft by which two lengths may differ: slopes, bends; judgement


def plan_lengths_apart(scenario: Scenario) -> list[Record]:
    """A record of each pair of lengths that do not belong together. Raises: nothing."""
    line, discharge = scenario.gravity_line, scenario.discharge
    riser = 0.0 if scenario.intake is None else scenario.intake.riser
    lengths = {
        "gravity": None if line is None else line.length - riser - line.stub,
        "discharge": None if discharge is None else discharge.length,
    }
    drawn = []
    if scenario.trench is not None and scenario.trench.station:
        drawn.append(("gravity", "trench.station", scenario.trench.station[-1]))
    if scenario.layout is not None:
        for name in lengths:
            east, north = (getattr(scenario.layout, f"{name}_{axis}") for axis in ("east", "north"))
            if east:
                corners = pairwise(zip(east, north, strict=True))
                drawn.append((name, f"layout.{name}", sum(math.dist(a, b) for a, b in corners)))
    key = {"gravity": "gravity_line.length", "discharge": "discharge.length"}
    found = []
    for name, of, plan in drawn:
        pipe = lengths[name]
        if pipe is not None and abs(pipe - plan) > max(APART * pipe, LEAST_APART):
            numbers = {"plan": (plan, "m"), "pipe": (pipe, "m")}
            if riser and name == "gravity":
                numbers |= {"riser": (riser, "m")}
            names = {"plan": of, "key": key[name]}
            found.append(Record("plan_length_apart", "caution", name, numbers, names=names))
    return found
