"""What a design is made of, counted: for the bid, and to be multiplied by the user's prices."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from pondsim.design.pond_work import DREDGING, pond_work
from pondsim.design.trench import trench_sheet
from pondsim.design.well import well_built
from pondsim.scenario.defaults import parameter_value
from pondsim.scenario.fittings_table import Fittings
from pondsim.scenario.pipe_tables import nearest_inches
from pondsim.scenario.settings import Aeration, Discharge, GravityLine, Scenario
from pondsim.site.pipe_run import bore, pipe_name

STONE_DENSITY = 1600.0  # kg/m3, 100 lb/ft3, crushed stone as placed; common practice, no source
WORKING_ROOM = 0.6096  # m, 2 ft round the base of the well, in a shored pit; common practice, no source
EACH = "each"


@dataclass(frozen=True)
class Item:
    """One row of a bid.

    Attributes
    ----------
    group : heading
    name : what it is; prices are found by it
    amount : SI
    unit : SI unit, or "each"
    """

    group: str
    name: str
    amount: float
    unit: str


def quantities(scenario: Scenario) -> tuple[Item, ...]:
    """Everything the file describes, counted; what is dredged and dosed too. SI. Raises: nothing.

    Amounts are in place: what is dug, laid and set; waste and overdig are for the price. What the file
    does not describe (stone of the waterfall, panel, planting, permits) is not there.
    """
    found = [*_pipes(scenario), *_trench(scenario), *_well(scenario), *_equipment(scenario)]
    for unit in scenario.aeration:
        found += _air(unit)
    found += _pond_work(scenario)
    return tuple(item for item in found if item.amount > 0.0)


def _pond_work(scenario: Scenario) -> Iterator[Item]:
    """Muck dredged and product dosed; what was done before the period is not in the bid."""
    bid = [one for one in pond_work(scenario) if one.names["counts"] != "before"]
    for zone in dict.fromkeys(one.where for one in bid if one.code == DREDGING):
        cut = sum(one.number("volume") for one in bid if one.code == DREDGING and one.where == zone)
        yield Item("dredging", f"muck dredged in {zone}, in place", cut, "m3")
    dose = sum(one.number("dose") for one in bid if one.code == "treatment")
    yield Item("treatment", "product that binds phosphorus", dose, "kg")


def _pipes(scenario: Scenario) -> Iterator[Item]:
    line, intake, discharge = scenario.gravity_line, scenario.intake, scenario.discharge
    if intake is not None and intake.grate_area is not None:
        yield Item("intake", "grate", intake.grate_area, "m2")
    if line is not None:
        riser = 0.0 if intake is None else intake.riser
        name = _pipe(line)
        yield Item("gravity line", f"{name}, in the trench", line.length - riser - line.stub, "m")
        yield Item("gravity line", f"{name}, riser at the intake", riser, "m")
        yield Item("gravity line", f"{name}, stub in the wall", line.stub, "m")
        yield from _fittings("gravity line", line, line.fittings)
    if discharge is not None:
        yield Item("discharge", _pipe(discharge), discharge.length, "m")
        yield from _fittings("discharge", discharge, discharge.fittings)
        yield Item("discharge", "trench of the discharge", discharge.length, "m")


def _size(section: GravityLine | Discharge) -> str:
    inches = nearest_inches(section.nominal if section.nominal is not None else bore(section) or 0.0)
    return f"{inches:g} in"


def _pipe(section: GravityLine | Discharge) -> str:
    return pipe_name(section).split(",")[0] or f"{_size(section)} pipe"


def _fittings(group: str, section: GravityLine | Discharge, fittings: Fittings) -> Iterator[Item]:
    for name in dict.fromkeys(name for _, name in fittings):
        count = sum(many for many, own in fittings if own == name)
        yield Item(group, f"{_size(section)} {name}", float(count), EACH)


def _trench(scenario: Scenario) -> Iterator[Item]:
    sheet = trench_sheet(scenario)
    if sheet is None or scenario.trench is None:
        return
    sump = scenario.trench.sump_depth * scenario.trench.sump_length * scenario.trench.bottom_width
    yield Item("trench", "trench under water, in place", sheet.muck + sheet.firm, "m3")
    yield Item("trench", "sump at the intake, in place", sump, "m3")
    yield Item("trench", "trench on shore, in place", sheet.dry, "m3")
    yield Item("trench", "bedding stone", sheet.bedding * STONE_DENSITY, "kg")
    yield Item("trench", "backfill, in place", sheet.backfill, "m3")
    swell = 1.0 + scenario.trench.swell
    yield Item("trench", "spoil hauled, loose", (sheet.volume + sump - sheet.backfill) * swell, "m3")


def _well(scenario: Scenario) -> Iterator[Item]:
    well, built = scenario.wet_well, well_built(scenario)
    if well is None:
        return
    if built is None or well.structure is None:
        yield Item("wet well", "wet well, complete", 1.0, EACH)
        return
    across = well.breadth + 2.0 * (well.structure.wall + well.structure.base_lip + WORKING_ROOM)
    wide = across if well.width is None else across - well.breadth + well.width
    grade = well.structure.top if well.structure.grade is None else well.structure.grade
    area = 0.25 * math.pi * across**2 if well.diameter is not None else across * wide
    deep = max(grade - built.under + well.structure.gravel, 0.0)
    pit, taken = area * deep, built.buried + built.missing
    swell = 1.0 + (parameter_value("trench.swell") if scenario.trench is None else scenario.trench.swell)
    yield Item("wet well", "pit of the well, shored, in place", pit, "m3")
    yield Item("wet well", "backfill around the well, in place", pit - taken, "m3")
    yield Item("wet well", "spoil of the pit hauled, loose", min(taken, pit) * swell, "m3")
    if well.diameter is not None:
        ring = f"ring {nearest_inches(well.diameter):g} in, {well.structure.ring_height / 0.3048:.3g} ft high"
    else:
        size = f"{well.breadth / 0.3048:.3g} by {(well.width or 0.0) / 0.3048:.3g} ft"
        ring = f"box section {size}, {well.structure.ring_height / 0.3048:.3g} ft high"
    yield Item("wet well", ring, float(built.rings), EACH)
    yield Item("wet well", "base slab", built.base, "m3")
    yield Item("wet well", "top slab with cover", 1.0 if built.top > 0.0 else 0.0, EACH)
    yield Item("wet well", "concrete against floating", built.missing, "m3")
    yield Item("wet well", "stone under the base", built.gravel * STONE_DENSITY, "kg")
    yield Item("wet well", "filter fabric", built.fabric, "m2")
    floats = sum(one is not None for one in (well.pump_off, well.pump_on, well.alarm))
    yield Item("wet well", "float", float(floats), EACH)


def _equipment(scenario: Scenario) -> Iterator[Item]:
    if scenario.pump is not None:
        yield Item("pump", "pump", float(scenario.pump.count), EACH)
    if scenario.layout is not None and scenario.layout.wire is not None:
        yield Item("pump", "wire", scenario.layout.wire, "m")
    if scenario.waterfall is not None:
        yield Item("waterfall", "lip", scenario.waterfall.width, "m")


def _air(unit: Aeration) -> Iterator[Item]:
    group = f"aeration, {unit.name}"
    yield Item(group, unit.source or "air source", 1.0, EACH)
    yield Item(group, f"diffuser, {unit.kind}", float(unit.diffusers), EACH)
    if unit.tubing_length is not None:
        lines = unit.tubing_lines or unit.diffusers
        size = "" if unit.tubing_diameter is None else f"{nearest_inches(unit.tubing_diameter):.3g} in "
        yield Item(group, f"{size}tubing", unit.tubing_length * lines, "m")
    if unit.line_length is not None:
        size = "" if unit.line_diameter is None else f"{nearest_inches(unit.line_diameter):.3g} in "
        yield Item(group, f"{size}air main", unit.line_length, "m")
