# ruff: noqa: RUF009 (each call makes one dataclass field)
"""Sections of the circulation loop: what draws, lifts and returns the water."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.scenario.fields import (
    choice,
    daily_hours,
    integer,
    parameter,
    quantity,
    short_name,
    yearly_season,
)
from pondsim.scenario.settings_control import (
    SetPoint,
    Spans,
    minimum_rest_key,
    minimum_run_key,
    set_point_section,
)


@dataclass(frozen=True)
class Intake:
    """Where the circulation loop draws."""

    zone: str = short_name(doc="zone it draws from")
    elevation: float = quantity("m", least="-500 m", most="9000 m", doc="of its centre")


@dataclass(frozen=True)
class Pump:
    """The circulation pump with its timer and meter."""

    flow: float = quantity("m3/s", least="0 m3/s", most="20 m3/s", doc="through the loop")
    total_head: float | None = quantity(
        "m", default=None, least="0 m", most="100 m", doc="else waterfall drop + 2 m"
    )
    wire_to_water: float = parameter("pump.wire_to_water")
    power: float | None = quantity(
        "W", default=None, least="0 W", most="1 MW", doc="electric, metered; else from head"
    )
    hours: Spans = daily_hours(doc='on each day, such as ["20:00-08:00"]; all day when left out')
    season: tuple[tuple[int, int, int, int], ...] = yearly_season(
        doc='such as ["05-15 to 09-30"]; all year when left out'
    )
    set_point: SetPoint | None = set_point_section()
    minimum_run: float = minimum_run_key()
    minimum_rest: float = minimum_rest_key()


@dataclass(frozen=True)
class Waterfall:
    """Where the loop returns, over a drop."""

    zone: str = short_name(doc="zone it falls into")
    drop: float = quantity("m", least="0 m", most="6 m", doc="water level to water level, all steps together")
    width: float = quantity("m", least="0.1 m", most="60 m", doc="of the lip")
    steps: int = integer(default=1, least=1, most=20, doc="free falls, each into a pool of its own")
    method: str = choice(
        "gameson", "avery_novak", "nakasone", default="gameson", doc="equation for the oxygen"
    )
    crest: float = parameter("waterfall.crest")
    water_quality: float = parameter("waterfall.water_quality")
    plunge_pool_depth: float = parameter("waterfall.plunge_pool_depth")
    splash_loss: float = parameter("waterfall.splash_loss")
