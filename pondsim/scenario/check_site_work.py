"""Checks of the site work: a well of one shape, floats in order, lists of one length."""

from __future__ import annotations

from collections.abc import Iterator

from pondsim.scenario.check_pond import Fault, first_not_increasing, length
from pondsim.scenario.settings import Scenario, WellStructure, WetWell
from pondsim.words import counted

LEAST_STATIONS = 2
SAME_BED = 0.05  # m, by which two statements of the bed under the intake may differ


def well_shape(scenario: Scenario) -> Iterator[Fault]:
    """The well is round or a box, and its start float stands over its stop float."""
    well = scenario.wet_well
    if well is None:
        return
    box = [name for name in ("length", "width") if getattr(well, name) is not None]
    if well.diameter is not None and box:
        yield f"wet_well.{box[0]}", "stands beside diameter; a well is round or a box."
    elif well.diameter is None and len(box) < 2:
        yield "wet_well", "has no size; write diameter, or length and width of a box vault."
    if well.pump_on is not None and not well.pump_off < well.pump_on <= scenario.pond.normal_pool:
        yield (
            "wet_well.pump_on",
            f"= {length(well.pump_on)} is not between pump_off, {length(well.pump_off)}, and "
            f"pond.normal_pool = {length(scenario.pond.normal_pool)}.",
        )
    if well.structure is not None:
        yield from _structure(well, well.structure, scenario.pond.normal_pool)


def _structure(well: WetWell, structure: WellStructure, pool: float) -> Iterator[Fault]:
    least = well.bottom + structure.top_thickness
    if structure.top <= least:
        yield (
            "wet_well.structure.top",
            f"= {length(structure.top)} is not above the floor and the top slab, {length(least)}.",
        )
    elif structure.top <= pool:
        yield (
            "wet_well.structure.top",
            f"= {length(structure.top)} is not above pond.normal_pool = {length(pool)}: the pond stands in "
            "the well and would run over it.",
        )
    if well.breadth and structure.opening > min(well.breadth, well.width or well.breadth):
        yield "wet_well.structure.opening", f"= {length(structure.opening)} is wider than the well."


def trench(scenario: Scenario) -> Iterator[Fault]:
    """The trench belongs to a gravity line, and its profile is one."""
    ditch = scenario.trench
    if ditch is None:
        return
    if scenario.gravity_line is None or scenario.intake is None:
        yield "trench", "has no pipe to lie in it; write [intake] and [gravity_line]."
    if ditch.station and len(ditch.station) < LEAST_STATIONS:
        yield "trench.station", "has 1 value; write at least two, the intake and the well."
    for name in ("bed", "hard"):
        values = getattr(ditch, name)
        if len(values) != len(ditch.station) and (values or name == "bed"):
            yield (
                f"trench.{name}",
                f"has {counted(len(values), 'value')}, station {len(ditch.station)}; write one for each.",
            )
    if ditch.station and ditch.station[0] != 0.0:
        yield "trench.station", f"begins at {length(ditch.station[0])}; begin with 0 ft, at the intake."
    if place := first_not_increasing(ditch.station):
        yield "trench.station", f"does not rise at item {place}; count along the line from the intake."
    stated = None if scenario.intake is None else scenario.intake.bed
    if stated is not None and ditch.bed and abs(stated - ditch.bed[0]) > SAME_BED:
        yield (
            "intake.bed",
            f"= {length(stated)} contradicts the first value of trench.bed, {length(ditch.bed[0])}; "
            "write one of them.",
        )
    for place, (bed, hard) in enumerate(zip(ditch.bed, ditch.hard, strict=False), 1):
        if hard > bed:
            yield "trench.hard", f"item {place}: {length(hard)} is above the bed, {length(bed)}."


def layout(scenario: Scenario) -> Iterator[Fault]:
    """Each line on the plan has two ends at least, and as many norths as easts."""
    if scenario.layout is None:
        return
    for name in ("gravity", "discharge"):
        east = getattr(scenario.layout, f"{name}_east")
        north = getattr(scenario.layout, f"{name}_north")
        if len(east) != len(north):
            yield (
                f"layout.{name}_north",
                f"has {counted(len(north), 'value')}, {name}_east {len(east)}; write one for each.",
            )
        elif len(east) == 1:
            yield f"layout.{name}_east", "has 1 value; a line has two ends."
