"""Every elevation of a design in one schedule, and the values of its drawing."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pondsim.design.trench import TrenchSheet, trench_sheet
from pondsim.design.well import VALVES, WellBuilt, well_built
from pondsim.scenario.dredging import bed_at
from pondsim.scenario.settings import Layout, Scenario, WetWell
from pondsim.site.circulation_line import circulation_line, delivered, lip_level, well_level
from pondsim.site.pipe_run import bore, outside, pipe_name


@dataclass(frozen=True)
class Mark:
    """One elevation: of which part, what it is, and where. [m]"""

    part: str
    what: str
    elevation: float


@dataclass(frozen=True, eq=False)
class Drawing:
    """What the drawing shows; SI, None where the file does not say.

    Attributes
    ----------
    title : of the design
    marks : the schedule, highest first
    trench : profile of the line, or None
    well, built : the well and its structure
    low_pool, normal_pool, bank_top : of the pond [m]
    length : of the gravity line [m]
    opening : centre of the intake's opening [m]
    riser : height of the upright pipe under it [m]
    start, end : inverts at the intake and in the well [m]
    inside, wall : of the gravity pipe [m]
    pipe, discharge_pipe : by name; discharge_bore [m], discharge_length [m]
    valve : the one that isolates the well, by name, or ""
    sump : depth below the bed and length along the line, where one is dug at the intake [m]
    grate : whether there is one
    suction : of the pump [m]
    lip : crest or water there [m]
    layout : places on the plan, or None
    zones : name, east, north and radius of a circle of its area at normal pool [m]
    intake_zone, waterfall_zone : by name
    """

    title: str
    marks: tuple[Mark, ...]
    trench: TrenchSheet | None
    well: WetWell | None
    built: WellBuilt | None
    low_pool: float | None
    normal_pool: float
    bank_top: float
    length: float
    opening: float
    riser: float
    start: float
    end: float
    inside: float
    wall: float
    pipe: str
    discharge_pipe: str
    discharge_bore: float | None
    discharge_length: float | None
    valve: str
    sump: tuple[float, float] | None
    grate: bool
    suction: float | None
    lip: float | None
    layout: Layout | None
    zones: tuple[tuple[str, float, float, float], ...]
    intake_zone: str
    waterfall_zone: str


def schedule(scenario: Scenario) -> tuple[Mark, ...]:
    """Every elevation that the file states or that follows from it, highest first. Raises: nothing."""
    pond, well = scenario.pond, scenario.wet_well
    found = [
        Mark("pond", "bank top", pond.bank_top),
        Mark("pond", "normal pool", pond.normal_pool),
    ]
    if pond.low_pool is not None:
        found.append(Mark("pond", "low pool", pond.low_pool))
    found += _intake_marks(scenario)
    if well is not None:
        found += _well_marks(scenario, well)
    line = circulation_line(scenario)
    if line is not None:
        flow = delivered(line, pond.normal_pool)
        found.append(Mark("waterfall", "water at the lip, running", lip_level(line, flow, pond.normal_pool)))
        if line.waterfall.lip is not None:
            found.append(Mark("waterfall", "crest of the lip", line.waterfall.lip))
        for name, level in (("normal", pond.normal_pool), ("low", pond.low_pool)):
            if well is not None and level is not None:
                water = well_level(line, delivered(line, level), level)
                found.append(Mark("well", f"water, pump running at {name} pool", water))
    return tuple(sorted(found, key=lambda mark: -mark.elevation))


def _intake_marks(scenario: Scenario) -> list[Mark]:
    intake, line, sheet = scenario.intake, scenario.gravity_line, trench_sheet(scenario)
    if intake is None:
        return []
    found = [Mark("intake", "center of the opening", intake.elevation)]
    if line is not None and (inside := bore(line)) is not None:
        found.append(
            Mark("gravity line", "invert at the intake", intake.elevation - intake.riser - 0.5 * inside)
        )
        if line.outlet is not None:
            found.append(Mark("gravity line", "invert in the well", line.outlet))
    if sheet is None:
        bed = bed_at(scenario, intake.zone, 0.0)
        return [*found, Mark("intake", "deepest bed of its zone", bed)]
    found.append(Mark("intake", "bed there (top of muck)", float(sheet.bed[0])))
    if sheet.hard[0] < sheet.bed[0]:
        found.append(Mark("intake", "hard bottom there", float(sheet.hard[0])))
    if scenario.trench is not None and scenario.trench.sump_depth > 0.0:
        found.append(Mark("intake", "floor of the sump", float(sheet.bed[0]) - scenario.trench.sump_depth))
    if sheet.depth[-1] > 0.0:
        found.append(Mark("trench", "floor at the well", float(sheet.floor[-1])))
    return found


def _well_marks(scenario: Scenario, well: WetWell) -> list[Mark]:
    found = [Mark("well", "floor", well.bottom), Mark("well", "float: pump off", well.pump_off)]
    for what, value in (("float: alarm", well.alarm), ("float: pump on", well.pump_on)):
        if value is not None:
            found.append(Mark("well", what, value))
    built, structure = well_built(scenario), well.structure
    if structure is None or built is None:
        return found
    found.append(Mark("well", "top of the slab", structure.top))
    found.append(Mark("well", "underside of the base", built.under))
    if structure.gravel > 0.0:
        found.append(Mark("well", "underside of the stone", built.under - structure.gravel))
    if structure.grade is not None:
        found.append(Mark("well", "grade", structure.grade))
    if structure.knockout is not None:
        found.append(Mark("well", "lower edge of the pipe's opening", well.bottom + structure.knockout))
    return [*found, Mark("well", "highest groundwater judged", built.water)]


def drawing_of(scenario: Scenario) -> Drawing:
    """The drawing's values; the scenario must have an intake and a gravity line."""
    intake, line = scenario.intake, scenario.gravity_line
    assert intake is not None and line is not None
    inside = bore(line) or 0.0
    start = intake.elevation - intake.riser - 0.5 * inside
    discharge, loop = scenario.discharge, circulation_line(scenario)
    lip = None
    if loop is not None:
        pool = scenario.pond.normal_pool
        lip = (
            lip_level(loop, delivered(loop, pool), pool) if loop.waterfall.lip is None else loop.waterfall.lip
        )
    return Drawing(
        title=scenario.title,
        marks=schedule(scenario),
        trench=trench_sheet(scenario),
        well=scenario.wet_well,
        built=well_built(scenario),
        low_pool=scenario.pond.low_pool,
        normal_pool=scenario.pond.normal_pool,
        bank_top=scenario.pond.bank_top,
        length=line.length,
        opening=intake.elevation,
        riser=intake.riser,
        start=start,
        end=start if line.outlet is None else line.outlet,
        inside=inside,
        wall=0.5 * ((outside(line) or inside) - inside),
        pipe=pipe_name(line),
        discharge_pipe="" if discharge is None else pipe_name(discharge),
        discharge_bore=None if discharge is None else bore(discharge),
        discharge_length=None if discharge is None else discharge.length,
        valve=next((name for _, name in line.fittings if name in VALVES), ""),
        sump=(
            None
            if scenario.trench is None or scenario.trench.sump_depth <= 0.0
            else (scenario.trench.sump_depth, scenario.trench.sump_length)
        ),
        grate=intake.grate_area is not None,
        suction=None if scenario.pump is None else scenario.pump.elevation,
        lip=lip,
        layout=scenario.layout,
        zones=tuple(_circle(scenario, place) for place in range(len(scenario.zone))),
        intake_zone=intake.zone,
        waterfall_zone="" if scenario.waterfall is None else scenario.waterfall.zone,
    )


def _circle(scenario: Scenario, place: int) -> tuple[str, float, float, float]:
    zone, pool = scenario.zone[place], scenario.pond.normal_pool
    low = max(k for k, stage in enumerate(zone.stage) if stage <= pool or k == 0)
    high = min(low + 1, len(zone.stage) - 1)
    span = zone.stage[high] - zone.stage[low]
    share = (pool - zone.stage[low]) / span if span > 0.0 else 0.0
    area = zone.area[low] + share * (zone.area[high] - zone.area[low])
    return zone.name, *zone.centre, math.sqrt(max(area, 0.0) / math.pi)
