"""The line cut lengthwise: what stands where, and how high water and energy stand there."""

from __future__ import annotations

from collections.abc import Callable

from pondsim.constants import GRAVITY
from pondsim.design.line_values import AtPool, Station
from pondsim.scenario.settings import Scenario
from pondsim.site.circulation_line import Line, intake_losses, pipe_bottom

Pools = tuple[AtPool, AtPool, AtPool]
Level = Callable[[AtPool], float]


def stations_of(line: Line, scenario: Scenario, pools: Pools) -> tuple[Station, ...]:
    """Places along the line from the pond to the lip, as far as the file describes it."""
    bed = line.bed
    reach = 0.0 if line.gravity is None else line.gravity.length
    lip = reach + (0.0 if line.discharge is None else line.discharge.length)
    found = [_still("pond", 0.0, bed, pools, lambda pool: pool.pond_level)]
    if line.intake.grate_area is not None:
        found.append(_still("grate", 0.0, bed, pools, lambda pool: _after_grate(line, pool)))
    found += _pipe(line, scenario, pools)
    if line.well is not None:
        found.append(_still("wet well", reach, line.well.bottom, pools, _drawn_from))
    suction = line.pump.elevation
    if suction is None and line.well is not None:
        suction = line.well.bottom
    found.append(_still("pump", reach, suction, pools, lambda pool: _drawn_from(pool) + pool.head))
    found.append(_still("lip", lip, line.waterfall.lip, pools, lambda pool: pool.lip_level))
    return tuple(found)


def _drawn_from(pool: AtPool) -> float:
    """Water the pump draws from: the well, or the pond, whose losses are then in the pump's head."""
    return pool.pond_level if pool.well_level is None else pool.well_level


def _after_grate(line: Line, pool: AtPool) -> float:
    return pool.pond_level - intake_losses(line, pool.flow)[0]


def _still(name: str, distance: float, bottom: float | None, pools: Pools, level: Level) -> Station:
    """A place where the water hardly moves, or where only the energy counts."""
    low, normal, high = (level(pool) for pool in pools)
    return Station(name, distance, bottom, (low, normal, high), (low, normal, high))


def _pipe(line: Line, scenario: Scenario, pools: Pools) -> list[Station]:
    """Both ends of the gravity line, with inverts."""
    gravity = line.gravity
    if gravity is None or scenario.gravity_line is None:
        return []
    inlet = pipe_bottom(line)
    outlet = scenario.gravity_line.outlet

    def at_inlet(pool: AtPool) -> float:
        return pool.pond_level - sum(intake_losses(line, pool.flow))

    def at_outlet(pool: AtPool) -> float:
        return at_inlet(pool) - gravity.loss(pool.flow)

    stations = []
    for name, distance, invert, energy in (
        ("pipe inlet", 0.0, inlet, at_inlet),
        ("pipe outlet", gravity.length, outlet, at_outlet),
    ):
        low, normal, high = (energy(pool) for pool in pools)
        less = [gravity.velocity(pool.flow) ** 2 / (2.0 * GRAVITY) for pool in pools]
        water = (low - less[0], normal - less[1], high - less[2])
        stations.append(Station(name, distance, invert, water, (low, normal, high)))
    return stations
