"""What an aeration unit delivers at each depth of its diffusers.

The source gives less air the higher the pressure; water, diffuser, tubing and main line ask more pressure the
more air flows. Where the two meet is the operating point.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from pondsim.constants import GRAVITY, WATER_DENSITY
from pondsim.errors import Problem, ScenarioError
from pondsim.physics.air_pipes import air_mass, tube_inlet_pressure, tube_velocity
from pondsim.roots import root_between
from pondsim.scenario.settings import Aeration, Pond, Scenario
from pondsim.site.air_source import (
    AirPlace,
    SourceCurve,
    inlet_pressure,
    source_curve,
    source_power,
    stalled_power,
)
from pondsim.site.pond import FloatArray
from pondsim.units import display

TUBING_AIR = 293.15  # K, air in the tubing: that of the ground and water it lies in (judgement)
ABOVE_BANK = 1.0  # m, how far over the bank top the table still reaches
FINEST = 1e-6  # m, depth to which the end of a source's reach is found
STEPS = 24  # of depth in the table, before it is made finer where its lines bend
BEND = 3e-4  # share by which a straight line of the table may miss, at mid-depth between two rows
NARROWEST = 1e-4  # m, rows are not laid closer
TABLES_KEPT = 64  # tables of the last units that were asked for


@dataclass(frozen=True)
class AirTable:
    """A unit at rising depths of water over its diffusers; straight lines between, the last value beyond.

    Attributes
    ----------
    depth : (n,) water over the diffusers, rising, n at least 2 [m]
    air_flow : (n,) standard air through each diffuser [standard m3/s]
    power : (n,) electric, of the whole unit [W]
    """

    depth: FloatArray
    air_flow: FloatArray
    power: FloatArray


@dataclass(frozen=True)
class AirPoint:
    """The air line at one depth; losses and pressures are what its flow takes.

    Attributes
    ----------
    depth : water over the diffusers [m]
    air_flow : of the whole unit; 0 where the source cannot overcome the depth [standard m3/s]
    pressure : gauge, at the outlet of the source; what it would take to start where the flow is 0 [Pa]
    water : part of it that the water over the diffusers makes [Pa]
    diffuser : part of it lost in the diffuser, or in tubing and diffuser where no tubing is described [Pa]
    tubing : part of it lost in the tubing [Pa]
    main_line : part of it lost in the main line [Pa]
    tubing_velocity : at the far end of the tubing; NaN where none is described [m/s]
    main_velocity : at the far end of the main line; NaN where none is described [m/s]
    power : electric [W]
    """

    depth: float
    air_flow: float
    pressure: float
    water: float
    diffuser: float
    tubing: float
    main_line: float
    tubing_velocity: float
    main_velocity: float
    power: float


def air_table(unit: Aeration, scenario: Scenario | AirPlace) -> AirTable:
    """The table of a unit from a dry diffuser to the water over the bank top.

    Raises
    ------
    ScenarioError : the source cannot overcome the water at normal pool
    """
    timeless: dict[str, Any] = {"set_point": None, "hours": (), "season": ()}
    timeless |= {"minimum_run": 0.0, "minimum_rest": 0.0}
    line_alone = replace(unit, zone="", kind="fine", transfer_efficiency=None, alpha=1.0, **timeless)
    pond = Pond(normal_pool=scenario.pond.normal_pool, bank_top=scenario.pond.bank_top)
    return _air_table(line_alone, AirPlace(replace(scenario.place, latitude=0.0, longitude=0.0), pond))


@lru_cache(TABLES_KEPT)
def _air_table(unit: Aeration, scenario: AirPlace) -> AirTable:
    """The same from what it depends on alone: members of an ensemble share it where that is alike."""
    start = max(scenario.pond.normal_pool - unit.elevation, 0.0)
    point = air_point(unit, scenario, start)
    if point.air_flow <= 0.0 and not _shut(unit):
        raise ScenarioError(Problem(None, None, f"aeration.{unit.name}", too_weak(point)))
    deepest = max(scenario.pond.bank_top - unit.elevation, start) + ABOVE_BANK
    depths = set(np.linspace(0.0, deepest, STEPS + 1)) | _corners(unit, scenario, deepest)
    rows = [_row(unit, scenario, float(depth)) for depth in sorted(depths)]
    filled = rows[:1]
    for row in rows[1:]:
        filled += _refined(unit, scenario, filled[-1], row)
    depth, air, power = np.array(filled).T
    return AirTable(depth.copy(), air / unit.diffusers, power.copy())


Row = tuple[float, float, float]  # depth [m], air of the unit [standard m3/s], power [W]


def _row(unit: Aeration, scenario: Scenario | AirPlace, depth: float) -> Row:
    point = air_point(unit, scenario, depth)
    return depth, point.air_flow, point.power


def _refined(unit: Aeration, scenario: Scenario | AirPlace, above: Row, below: Row) -> list[Row]:
    """Rows after `above` up to `below`, so close that straight lines between them hold."""
    if below[0] - above[0] < NARROWEST:
        return [below]
    middle = _row(unit, scenario, 0.5 * (above[0] + below[0]))
    straight = all(
        abs(0.5 * (one + other) - true) <= BEND * true
        for one, other, true in zip(above[1:], below[1:], middle[1:], strict=True)
    )
    if straight:
        return [below]
    upper = _refined(unit, scenario, above, middle)
    return [*upper, *_refined(unit, scenario, middle, below)]


def too_weak(point: AirPoint) -> str:
    """What to say of a source that gives no air at a depth; continues a sentence begun with the unit."""
    return (
        f"gives no air at normal pool: {display(point.depth, 'length')} of water and the line take "
        f"{display(point.pressure, 'pressure')} at the source, more than its curve reaches; "
        "take a source of more pressure, or lay the diffusers higher."
    )


def _shut(unit: Aeration) -> bool:
    """Whether the user states that no air flows."""
    return unit.air_flow is not None and unit.air_flow <= 0.0


def air_point(unit: Aeration, scenario: Scenario | AirPlace, depth: float) -> AirPoint:
    """The operating point of a unit with so much water over its diffusers.

    Parameters
    ----------
    unit : Aeration
        With a stated air flow, or with a source.
    scenario : Scenario
        For the air pressure of the place.
    depth : float
        Water over the diffusers, not negative. [m]

    Returns
    -------
    AirPoint
        SI.

    Notes
    -----
    The flow is found to 1e-12 of the most the source gives. Raises: nothing.
    """
    curve = source_curve(unit, scenario)
    if curve is None:
        air = (unit.air_flow or 0.0) * unit.diffusers
        return _point(unit, scenario, depth, air)
    air = _balance(unit, scenario, depth, curve)
    if air <= 0.0:
        return _point(unit, scenario, depth, 0.0, stalled_power(unit, scenario, curve))
    return _point(unit, scenario, depth, air)


def _point(
    unit: Aeration, scenario: Scenario | AirPlace, depth: float, air: float, power: float | None = None
) -> AirPoint:
    """Pressures and velocities of the line at a flow of the whole unit."""
    site = inlet_pressure(scenario)
    mass = float(air_mass(air))
    water = WATER_DENSITY * GRAVITY * max(depth, 0.0)
    diffuser = unit.line_loss if unit.tubing_diameter is None else unit.diffuser_loss * unit.fouling
    tubing_end = site + water + diffuser
    line_end = head = tubing_end
    tubing_velocity = main_velocity = math.nan
    if unit.tubing_diameter is not None:
        one = mass / (unit.tubing_lines or unit.diffusers)
        line_end = head = _head(unit, one, tubing_end, unit.tubing_diameter, unit.tubing_length or 0.0)
        tubing_velocity = tube_velocity(one, tubing_end, unit.tubing_diameter, TUBING_AIR)
    if unit.line_diameter is not None:
        head = _head(unit, mass, line_end, unit.line_diameter, unit.line_length or 0.0, fittings=0.0)
        main_velocity = tube_velocity(mass, line_end, unit.line_diameter, TUBING_AIR)
    pressure = head - site
    return AirPoint(
        depth=depth,
        air_flow=air,
        pressure=pressure,
        water=water,
        diffuser=diffuser,
        tubing=line_end - tubing_end,
        main_line=head - line_end,
        tubing_velocity=tubing_velocity,
        main_velocity=main_velocity,
        power=source_power(unit, scenario, air, pressure) if power is None else power,
    )


def _head(
    unit: Aeration, mass: float, end: float, diameter: float, length: float, fittings: float | None = None
) -> float:
    """Absolute pressure at the head of a line that ends at `end` [Pa]."""
    losses = unit.tubing_fittings if fittings is None else fittings
    return tube_inlet_pressure(mass, end, diameter, length, unit.tubing_roughness, losses, TUBING_AIR)


def _balance(unit: Aeration, scenario: Scenario | AirPlace, depth: float, curve: SourceCurve) -> float:
    """Air of the whole unit where source and line meet [standard m3/s]; 0 where they do not."""

    def to_spare(air: float) -> float:
        """What the source gives over what the line takes; falls as the air rises [Pa]."""
        given = float(np.interp(air, curve.flow[::-1], curve.pressure[::-1]))
        return given - _point(unit, scenario, depth, air, 0.0).pressure

    high = float(curve.flow[0])
    if to_spare(0.0) <= 0.0:
        return 0.0
    if to_spare(high) >= 0.0:
        return high
    return _root(to_spare, high)


def _corners(unit: Aeration, scenario: Scenario | AirPlace, deepest: float) -> set[float]:
    """Depths at which the table has a corner: points of the source's curve, and where its reach ends."""
    curve = source_curve(unit, scenario)
    found: set[float] = set()
    if curve is None:
        return found
    shut = (0.0, curve.pressure[-1])
    for air, given in (shut, *zip(curve.flow, curve.pressure, strict=True)):

        def to_spare(depth: float, air: float = float(air), given: float = float(given)) -> float:
            return given - _point(unit, scenario, depth, air, 0.0).pressure

        if to_spare(0.0) >= 0.0 > to_spare(deepest):
            depth = _root(to_spare, deepest)
            found |= {max(depth - FINEST, 0.0), depth + FINEST}
    return found


def _root(falls: Callable[[float], float], high: float) -> float:
    """Where a function that falls through zero between 0 and `high` does so, to 1e-12 of `high`."""
    return root_between(falls, 0.0, high, within=1e-12 * high, share=1e-14)
