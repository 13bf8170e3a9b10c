# ruff: noqa: RUF009 (each call makes one dataclass field)
"""Sections of the circulation loop: what draws, lifts and returns the water."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pondsim.scenario.fields import (
    choice,
    daily_hours,
    fittings,
    integer,
    number,
    numbers,
    parameter,
    quantity,
    section,
    short_name,
    yearly_season,
)
from pondsim.scenario.fittings_table import Fittings, entrance_table
from pondsim.scenario.pipe_tables import KINDS
from pondsim.scenario.settings_control import (
    SetPoint,
    Spans,
    minimum_rest_key,
    minimum_run_key,
    phases_key,
    power_factor_key,
    set_point_section,
    volts_key,
)
from pondsim.scenario.settings_site_work import WellStructure

SMALLEST, LARGEST = "0.5 in", "60 in"  # of pipes


@dataclass(frozen=True)
class Intake:
    """Where the circulation loop draws: grate and opening of the pipe."""

    zone: str = short_name(doc="zone it draws from")
    elevation: float = quantity("m", least="-500 m", most="9000 m", doc="of its center")
    bed: float | None = quantity(
        "m",
        default=None,
        least="-500 m",
        most="9000 m",
        doc="elevation of the bed under it; else the lowest bed of its zone",
    )
    grate_area: float | None = quantity(
        "m2", default=None, least="0.001 m2", most="100 m2", doc="of the whole grate, bars and gaps"
    )
    grate_open_share: float = parameter("intake.grate_open_share")
    grate_blocked: float = parameter("intake.grate_blocked")
    max_grate_velocity: float = parameter("intake.max_grate_velocity", was="grate_velocity_most")
    entrance: str = choice(*entrance_table(), default="sharp", doc="how the pipe begins")
    nominal: float | None = quantity(
        "m", default=None, least=SMALLEST, most=LARGEST, doc="size of the pipe at the intake, with `pipe`"
    )
    pipe: str | None = choice(*KINDS, default=None, doc="kind of the pipe at the intake")
    inside_diameter: float | None = quantity(
        "m",
        default=None,
        least=SMALLEST,
        most=LARGEST,
        doc="of the pipe at the intake; else that of the gravity line",
    )
    max_pipe_velocity: float = parameter("intake.max_pipe_velocity", was="pipe_velocity_most")
    min_pipe_velocity: float = parameter("intake.min_pipe_velocity", was="pipe_velocity_least")
    min_cover: float = parameter("intake.min_cover", was="cover_least")
    riser: float = quantity(
        "m", default="0 ft", least="0 ft", most="30 ft", doc="height of an upright pipe at the intake"
    )


@dataclass(frozen=True)
class GravityLine:
    """Pipe in which the water runs from the intake to the wet well, or straight to the pump."""

    nominal: float | None = quantity(
        "m", default=None, least=SMALLEST, most=LARGEST, doc="size as it is sold, with `pipe`"
    )
    pipe: str | None = choice(*KINDS, default=None, doc="kind of pipe, by its standard")
    inside_diameter: float | None = quantity(
        "m", default=None, least=SMALLEST, most=LARGEST, doc="in place of nominal and pipe"
    )
    length: float = quantity("m", least="0 m", most="2000 m", doc="along the pipe")
    fittings: Fittings = fittings(doc='such as ["2 long radius elbow", "1 gate valve"]')
    roughness: float = parameter("gravity_line.roughness")
    outlet: float | None = quantity(
        "m", default=None, least="-500 m", most="9000 m", doc="elevation of its invert in the wet well"
    )
    stub: float = quantity(
        "m", default="0 ft", least="0 ft", most="20 ft", doc="of its length, the piece in the well's wall"
    )


@dataclass(frozen=True)
class WetWell:
    """Well or vault in which the pump stands; its water is the pond's less what the gravity line loses."""

    diameter: float | None = quantity(
        "m", default=None, least="0.3 m", most="20 m", doc="inside, of a round well"
    )
    length: float | None = quantity(
        "m", default=None, least="0.3 m", most="20 m", doc="inside, of a box vault, along the gravity line"
    )
    width: float | None = quantity(
        "m", default=None, least="0.3 m", most="20 m", doc="inside, of a box vault, across it"
    )
    bottom: float = quantity("m", least="-500 m", most="9000 m", doc="elevation of its floor")
    pump_off: float = quantity(
        "m", least="-500 m", most="9000 m", doc="elevation of the water at which the pump is stopped"
    )
    alarm: float | None = quantity(
        "m",
        default=None,
        least="-500 m",
        most="9000 m",
        doc="elevation of the water at which somebody is called",
    )
    pump_on: float | None = quantity(
        "m",
        default=None,
        least="-500 m",
        most="9000 m",
        doc="elevation of the water at which the pump starts again",
    )
    structure: WellStructure | None = section(WellStructure, default=None)

    @property
    def area(self) -> float:
        """Plan area inside. [m2]"""
        if self.diameter is not None:
            return 0.25 * math.pi * self.diameter**2
        return (self.length or 0.0) * (self.width or 0.0)

    @property
    def breadth(self) -> float:
        """Inside, along the gravity line. [m]"""
        return (self.length or 0.0) if self.diameter is None else self.diameter


@dataclass(frozen=True)
class Pump:
    """The circulation pump with its timer and meter: a stated flow, its curve, or one point of it."""

    flow: float | None = quantity(
        "m3/s", default=None, least="0 m3/s", most="20 m3/s", doc="through the loop, as stated or measured"
    )
    total_head: float | None = quantity(
        "m", default=None, least="0 m", most="100 m", doc="with a stated flow; else from the line"
    )
    curve_flow: tuple[float, ...] = numbers(
        "m3/s", default=(), least="0 m3/s", most="20 m3/s", doc="points of one pump's curve, rising"
    )
    curve_head: tuple[float, ...] = numbers(
        "m", default=(), least="0 m", most="200 m", doc="head at each of them, falling"
    )
    curve_efficiency: tuple[float, ...] = numbers(
        "1", default=(), least="0", most="0.95", doc="efficiency of the pump alone at each"
    )
    curve_power: tuple[float, ...] = numbers(
        "W", default=(), least="0 W", most="1 MW", doc="shaft power at each, in place of efficiency"
    )
    rated_flow: float | None = quantity(
        "m3/s", default=None, least="0.00001 m3/s", most="20 m3/s", doc="one point, where there is no curve"
    )
    rated_head: float | None = quantity(
        "m", default=None, least="0.1 m", most="200 m", doc="head at rated_flow"
    )
    shutoff_share: float = parameter("pump.shutoff_share")
    efficiency: float | None = number(
        default=None, least=0.05, most=0.95, doc="of the pump alone at rated_flow or at any flow"
    )
    motor_efficiency: float = parameter("pump.motor_efficiency")
    wire_to_water: float = parameter("pump.wire_to_water")
    power: float | None = quantity(
        "W", default=None, least="0 W", most="1 MW", doc="electric, metered, all pumps; else from head"
    )
    count: int = integer(default=1, least=1, most=8, doc="equal pumps that run side by side")
    speed: float = number(default=1.0, least=0.3, most=1.2, doc="over the speed the curve is given for")
    elevation: float | None = quantity(
        "m", default=None, least="-500 m", most="9000 m", doc="of its suction; else the bottom of the well"
    )
    npsh_required: float | None = quantity(
        "m", default=None, least="0 m", most="30 m", doc="net positive suction head it needs, by its maker"
    )
    solids_passage: float | None = quantity(
        "m", default=None, least="1 mm", most="0.5 m", doc="largest ball that passes it, by its maker"
    )
    nameplate_power: float | None = quantity(
        "W", default=None, least="0 W", most="1 MW", doc="shaft power of one motor by its nameplate"
    )
    volts: float | None = volts_key()
    phases: int | None = phases_key()
    power_factor: float | None = power_factor_key()
    hours: Spans = daily_hours(doc='on each day, such as ["20:00-08:00"]; all day when left out')
    season: tuple[tuple[int, int, int, int], ...] = yearly_season(
        doc='such as ["05-15 to 09-30"]; all year when left out'
    )
    set_point: SetPoint | None = set_point_section()
    minimum_run: float = minimum_run_key()
    minimum_rest: float = minimum_rest_key()


@dataclass(frozen=True)
class Discharge:
    """Pressure pipe from the pump to the waterfall."""

    nominal: float | None = quantity(
        "m", default=None, least=SMALLEST, most=LARGEST, doc="size as it is sold, with `pipe`"
    )
    pipe: str | None = choice(*KINDS, default=None, doc="kind of pipe, by its standard")
    inside_diameter: float | None = quantity(
        "m", default=None, least=SMALLEST, most=LARGEST, doc="in place of nominal and pipe"
    )
    length: float = quantity("m", least="0 m", most="5000 m", doc="along the pipe")
    fittings: Fittings = fittings(doc='such as ["4 long radius elbow", "1 swing check valve"]')
    roughness: float = parameter("discharge.roughness")
    max_velocity: float = parameter("discharge.max_velocity", was="velocity_most")


@dataclass(frozen=True)
class Waterfall:
    """Where the loop returns, over a drop."""

    zone: str = short_name(doc="zone it falls into")
    drop: float = quantity("m", least="0 m", most="6 m", doc="water level to water level, all steps together")
    width: float = quantity("m", least="0.1 m", most="60 m", doc="of the lip")
    lip: float | None = quantity(
        "m",
        default=None,
        least="-500 m",
        most="9000 m",
        doc="elevation of its crest; else the water there is normal pool + drop",
    )
    steps: int = integer(default=1, least=1, most=20, doc="free falls, each into a pool of its own")
    method: str = choice(
        "gameson", "avery_novak", "nakasone", default="avery_novak", doc="equation for the oxygen"
    )
    crest: float = parameter("waterfall.crest")
    water_quality: float = parameter("waterfall.water_quality")
    plunge_pool_depth: float = parameter("waterfall.plunge_pool_depth")
    splash_loss: float = parameter("waterfall.splash_loss")
    jet_reach: float = parameter("waterfall.jet_reach")
    max_dilution: float = parameter("waterfall.max_dilution")
    buoyant_richardson: float = parameter("waterfall.buoyant_richardson")
    hole_reach: float = parameter("waterfall.hole_reach")
