"""Checks of weather, water in and out, settling classes, starting state and bloom crashes.

Each takes the scenario and yields dotted keys with a message that continues a sentence begun with the key.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import timedelta
from itertools import pairwise

from pondsim.scenario.check_control import MONTHS
from pondsim.scenario.check_pond import LEVEL, Fault, first_not_increasing, length, no_zone
from pondsim.scenario.dredging import bed_at
from pondsim.scenario.settings import Inflow, Outlet, Profile, Scenario
from pondsim.scenario.unreadable import unequal
from pondsim.units import show
from pondsim.words import counted

DENSEST = 277.13  # K, temperature of the densest water
TURN = 2.0 * math.pi
INVERSION = 1.0  # K of heavier over lighter water that a cool night or a thermometer may show (judgement)


def weather(scenario: Scenario) -> Iterator[Fault]:
    """The weather comes from one source, and no month is damper than its air can be."""
    given = scenario.weather
    if given.file is None and given.synthetic is None:
        yield "weather", "has no source; write file, or [weather.synthetic]."
    if given.file is not None and given.synthetic is not None:
        yield "weather.file", "and [weather.synthetic] are both given; keep one of them."
    if given.synthetic is not None:
        normals = zip(given.synthetic.air_temperature, given.synthetic.dew_point, strict=True)
        for month, (air, dew) in zip(MONTHS, normals, strict=True):
            if dew > air:
                yield (
                    "weather.synthetic.dew_point",
                    f"= {show(dew, 'degC')} in {month} is above air_temperature, "
                    f"{show(air, 'degC')}: air holds no more water than at its own temperature.",
                )


def shelter(scenario: Scenario) -> Iterator[Fault]:
    """Sectors of shelter do not overlap, and their weather says where the wind comes from."""
    given = scenario.weather
    if given.shelter and (given.file is None or given.layout != "project"):
        yield "weather.shelter", "needs a weather file in the project's layout, with a column wind_direction."
    for place, one in enumerate(given.shelter, 1):
        for number, other in enumerate(given.shelter[place:], place + 1):
            ends = (one.to_direction, other.from_direction, other.to_direction)
            mine, begins, stops = ((end - one.from_direction) % TURN for end in ends)
            if begins <= mine or stops < begins:
                yield f"weather.shelter.{number}", f"overlaps weather.shelter.{place}; each direction once."


def inflow_zones(scenario: Scenario) -> Iterator[Fault]:
    """Water comes into zones that exist."""
    for place, storm in enumerate(scenario.inflow, 1):
        yield from no_zone(f"inflow.{place}.zone", storm.zone, scenario)
    for place, flow in enumerate(scenario.base_flow, 1):
        yield from no_zone(f"base_flow.{place}.zone", flow.zone, scenario)


def hydrographs(scenario: Scenario) -> Iterator[Fault]:
    """An inflow has volume and duration, or a hydrograph, and not both."""
    for place, storm in enumerate(scenario.inflow, 1):
        for key, message in _hydrograph(storm):
            yield f"inflow.{place}{'.' if key else ''}{key}", message


def _hydrograph(storm: Inflow) -> Iterator[Fault]:
    times, flows = storm.hydrograph_time, storm.hydrograph_flow
    if (times or flows) and (storm.volume is not None or storm.duration is not None):
        yield "hydrograph_time", "stands beside volume or duration; keep the hydrograph or those two."
    elif times or flows:
        if len(times) != len(flows) or len(times) < 2:
            yield (
                "hydrograph_flow",
                f"{unequal(flows, times, 'time')}; write two at least of each.",
            )
        elif times[0] != 0.0 or first_not_increasing(times):
            yield "hydrograph_time", "must begin at 0 and rise; write the time after start."
    elif storm.volume is None or storm.duration is None:
        lacking = " and ".join(name for name in ("volume", "duration") if getattr(storm, name) is None)
        yield "", f"lacks {lacking}; write volume and duration, or hydrograph_time and hydrograph_flow."


def outlet(scenario: Scenario) -> Iterator[Fault]:
    """The outlet lets water out of a zone, between its bed and the bank top."""
    out = scenario.outlet
    if out is None:
        return
    yield from no_zone("outlet.zone", out.zone, scenario)
    if not (out.weir or out.orifice or out.table or out.spillway):
        yield "outlet", "has neither [outlet.weir] nor [outlet.orifice]; write one of them."
    if out.table is not None:
        yield from _outlet_table(out)
    if out.tailwater is not None and out.tailwater >= scenario.pond.bank_top:
        bank = length(scenario.pond.bank_top)
        yield "outlet.tailwater", f"= {length(out.tailwater)} is not below pond.bank_top = {bank}."
    for key, elevation in _openings(out):
        if elevation >= scenario.pond.bank_top:
            yield key, f"= {length(elevation)} is not below pond.bank_top = {length(scenario.pond.bank_top)}."
        for zone in scenario.zone:
            if zone.name == out.zone and elevation < zone.stage[0]:
                yield (
                    key,
                    f'= {length(elevation)} is below the bed of "{zone.name}", {length(zone.stage[0])}.',
                )


def _openings(out: Outlet) -> Iterator[tuple[str, float]]:
    """Key and elevation of everything water leaves by."""
    for kind, level in (("weir", "crest"), ("orifice", "elevation"), ("spillway", "crest")):
        found = getattr(out, kind)
        for place, opening in enumerate(found, 1):
            own = f"outlet.{kind}" if len(found) == 1 else f"outlet.{kind}.{place}"
            yield f"{own}.{level}", getattr(opening, level)
    if out.table is not None and out.table.stage:
        yield "outlet.table.stage", out.table.stage[0]


def _outlet_table(out: Outlet) -> Iterator[Fault]:
    table = out.table
    if table is None:
        return
    if out.weir or out.orifice:
        yield "outlet.table", "stands beside [outlet.weir] or [outlet.orifice]; keep one way."
    if len(table.stage) != len(table.flow) or len(table.stage) < 2:
        yield (
            "outlet.table.flow",
            f"{unequal(table.flow, table.stage, 'stage')}; write two at least of each.",
        )
        return
    if first_not_increasing(table.stage):
        yield "outlet.table.stage", "does not rise; write the lowest elevation first."
    if table.flow[0] != 0.0 or any(later < earlier for earlier, later in pairwise(table.flow)):
        yield "outlet.table.flow", "must begin at 0 and never fall."


def settling_classes(scenario: Scenario) -> Iterator[Fault]:
    """Shares of the settling classes add up to the whole, slowest class first."""
    solids = scenario.solids
    classes = len(solids.settling_velocity)
    if len(solids.share) != classes:
        yield "solids.share", f"has {counted(len(solids.share), 'value')} for {classes} settling velocities."
    elif abs(sum(solids.share) - 1.0) > 1e-6:
        yield "solids.share", f"adds up to {100.0 * sum(solids.share):.6g} %; it must be 100 %."
    if first_not_increasing(solids.settling_velocity):
        yield "solids.settling_velocity", "does not rise; write the slowest class first."


def start(scenario: Scenario) -> Iterator[Fault]:
    """Profiles belong to zones and go down; the first water surface is in the pond."""
    seen: set[str] = set()
    for place, profile in enumerate(scenario.start.profile, 1):
        key = f"start.profile.{place}"
        yield from no_zone(f"{key}.zone", profile.zone, scenario)
        if profile.zone in seen:
            yield f"{key}.zone", f'= "{profile.zone}" has a profile already.'
        seen.add(profile.zone)
        for name in ("temperature", "dissolved_oxygen"):
            if len(getattr(profile, name)) != len(profile.depth):
                yield (
                    f"{key}.{name}",
                    f"{unequal(getattr(profile, name), profile.depth, 'depth')}.",
                )
        yield from _under_bed(f"{key}.depth", profile, scenario)
        if first_not_increasing(profile.depth):
            yield f"{key}.depth", "does not go down; write the top first."
        elif len(profile.temperature) == len(profile.depth):
            yield from _heavy_on_light(f"{key}.temperature", profile)
    surface = scenario.start.water_surface
    bottom = min(zone.stage[0] for zone in scenario.zone)
    if surface is not None and not bottom < surface <= scenario.pond.bank_top:
        yield (
            "start.water_surface",
            f"= {length(surface)} is not between the bed, {length(bottom)}, "
            f"and pond.bank_top = {length(scenario.pond.bank_top)}.",
        )


def _under_bed(key: str, profile: Profile, scenario: Scenario) -> Iterator[Fault]:
    """A profile was taken in water that its zone can hold."""
    for zone in scenario.zone:
        deep = scenario.pond.bank_top - bed_at(scenario, zone.name, 0.0)
        if zone.name == profile.zone and profile.depth and max(profile.depth) > deep + LEVEL:
            yield (
                key,
                f"reaches {length(max(profile.depth))}; {zone.name} is {length(deep)} deep at the bank top.",
            )


def _heavy_on_light(key: str, profile: Profile) -> Iterator[Fault]:
    """Temperature comes nearer to that of the densest water on the way down, give or take an inversion."""
    off = [abs(value - DENSEST) for value in profile.temperature]
    for place, (over, under) in enumerate(pairwise(off)):
        if under - over > INVERSION:
            above, below = (show(value, "degC") for value in profile.temperature[place : place + 2])
            yield (
                key,
                f"= {above} lies over {below} at {length(profile.depth[place + 1])}: heavier water sinks. "
                "Are the rows in order, top first?",
            )
            return


def bloom_crashes(scenario: Scenario) -> Iterator[Fault]:
    """In one zone no two bloom crashes run at once."""
    everywhere = {zone.name for zone in scenario.zone}
    earlier: list[tuple[int, set[str]]] = []
    for place, crash in enumerate(scenario.bloom_crash, 1):
        key = f"bloom_crash.{place}"
        for name in crash.zones:
            yield from no_zone(f"{key}.zones", name, scenario)
        zones = set(crash.zones) or everywhere
        for other, other_zones in earlier:
            first, second = sorted((scenario.bloom_crash[other - 1], crash), key=lambda one: one.start)
            ends = first.start + timedelta(seconds=first.duration + first.recovery)
            if zones & other_zones and second.start < ends:
                shared = ", ".join(sorted(zones & other_zones))
                yield f"{key}.start", f"overlaps bloom_crash {other} in {shared}, recovery included."
        earlier.append((place, zones))


def frozen_start(scenario: Scenario) -> Iterator[Fault]:
    """Ice and snow at the start want the section on ice; snow wants ice under it."""
    start = scenario.start
    for key in ("ice_thickness", "snow_depth"):
        if getattr(start, key) > 0.0 and scenario.ice is None:
            yield f"start.{key}", "is given, but no section [ice]; write [ice] to let water freeze."
    if start.snow_depth > 0.0 and start.ice_thickness <= 0.0:
        yield "start.snow_depth", "is given without start.ice_thickness; snow wants ice under it."
    level = scenario.pond.normal_pool if start.water_surface is None else start.water_surface
    shallowest = level - max(zone.stage[0] for zone in scenario.zone)
    if 0.0 < shallowest <= start.ice_thickness:
        deep = show(shallowest, "ft")
        yield "start.ice_thickness", f"must be less than the {deep} of water over the shallowest zone."
