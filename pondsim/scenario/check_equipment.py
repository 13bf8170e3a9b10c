"""Checks of the equipment: the circulation loop and the aeration units lie in water that is there."""

from __future__ import annotations

from collections.abc import Iterator

from pondsim.scenario.check_pond import Fault, length, no_zone
from pondsim.scenario.dredging import bed_at, lowest_ever
from pondsim.scenario.settings import Aeration, Pump, Scenario

PHASES = (1, 3)  # of an alternating supply


def loop(scenario: Scenario) -> Iterator[Fault]:
    """Intake, pump and waterfall come together, and a waterfall that runs has a drop."""
    names = ("intake", "pump", "waterfall")
    parts = (*names, "gravity_line", "wet_well", "discharge")
    given = [name for name in parts if getattr(scenario, name) is not None]
    lacking = [name for name in names if name not in given]
    if given and lacking:
        words = " and ".join(f"[{name}]" for name in lacking)
        yield given[0], f"stands without {words}; the circulation loop needs all three."
    pump, waterfall = scenario.pump, scenario.waterfall
    if pump and waterfall and pump.flow != 0.0 and waterfall.drop <= 0.0:
        yield "waterfall.drop", 'is nothing while the pump runs; write such as "4 ft", or take the loop out.'


def intake(scenario: Scenario) -> Iterator[Fault]:
    """The intake lies in a zone, under water at low pool."""
    given = scenario.intake
    if given is None:
        return
    faults = list(_under_water("intake", given.zone, given.elevation, scenario))
    yield from faults
    if given.bed is not None and not faults:
        lowest, pool = bed_at(scenario, given.zone, 0.0), scenario.pond.normal_pool
        if not lowest <= given.bed < pool:
            yield (
                "intake.bed",
                f'= {length(given.bed)} is not between the lowest bed of "{given.zone}", {length(lowest)}, '
                f"and pond.normal_pool = {length(pool)}.",
            )


def waterfall(scenario: Scenario) -> Iterator[Fault]:
    """The waterfall falls into a zone that holds water."""
    if scenario.waterfall is not None:
        yield from _wet_zone("waterfall", scenario.waterfall.zone, scenario)


def aeration(scenario: Scenario) -> Iterator[Fault]:
    """Diffusers lie under water."""
    for unit in scenario.aeration:
        yield from _under_water(f"aeration.{unit.name}", unit.zone, unit.elevation, scenario, low=False)


def supplies(scenario: Scenario) -> Iterator[Fault]:
    """What is said of the supply is whole: volts, phases and power factor stand together."""
    given: list[tuple[str, Pump | Aeration]] = [("pump", scenario.pump)] if scenario.pump else []
    given += [(f"aeration.{unit.name}", unit) for unit in scenario.aeration]
    for key, one in given:
        values = {"volts": one.volts, "phases": one.phases, "power_factor": one.power_factor}
        lacking = [name for name, value in values.items() if value is None]
        if 0 < len(lacking) < len(values):
            there = next(name for name in values if name not in lacking)
            yield (
                f"{key}.{there}",
                f"stands without {' and '.join(lacking)}; amps need volts, phases and power_factor.",
            )
        if one.phases not in (None, *PHASES):
            yield f"{key}.phases", f"= {one.phases} is not a supply; write 1 or 3."


def _wet_zone(key: str, name: str, scenario: Scenario) -> Iterator[Fault]:
    """Faults of a zone that does not exist or is dry at normal pool."""
    yield from no_zone(f"{key}.zone", name, scenario)
    for zone in scenario.zone:
        if zone.name == name and zone.stage[0] >= scenario.pond.normal_pool:
            yield (
                f"{key}.zone",
                f'= "{name}" is dry at normal pool: its bed is at {length(zone.stage[0])}, '
                f"pond.normal_pool = {length(scenario.pond.normal_pool)}.",
            )


def _under_water(
    key: str, name: str, elevation: float, scenario: Scenario, *, low: bool = True
) -> Iterator[Fault]:
    """Faults of a thing that must lie between the bed of its zone and the water surface, at low pool too."""
    dry = list(_wet_zone(key, name, scenario))
    yield from dry
    if dry:
        return
    bed, pond = bed_at(scenario, name, 0.0), scenario.pond
    if elevation < bed or (low and elevation == bed):
        message = f'= {length(elevation)} is not above the bed of "{name}", {length(bed)}'
        later = lowest_ever(scenario, name)
        if later <= elevation:
            message += (
                f", at the start of the period. [[dredging]] takes it to {length(later)} later, but "
                "equipment stands where it is from the start: begin the period once the work is done"
            )
        yield f"{key}.elevation", f"{message}."
    elif elevation >= pond.normal_pool:
        surface = length(pond.normal_pool)
        yield f"{key}.elevation", f"= {length(elevation)} is not below pond.normal_pool = {surface}."
    elif low and pond.low_pool is not None and bed < pond.low_pool <= elevation:
        surface = length(pond.low_pool)
        yield f"{key}.elevation", f"= {length(elevation)} is dry at pond.low_pool = {surface}; lay it deeper."
