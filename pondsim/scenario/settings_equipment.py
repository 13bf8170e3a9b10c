# ruff: noqa: RUF009 (each call makes one dataclass field)
"""Sections on what is built, on judging and on how finely a run is computed."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.scenario.fields import (
    choice,
    daily_hours,
    integer,
    number,
    parameter,
    quantity,
    short_name,
    yearly_season,
)

Spans = tuple[tuple[float, float], ...]  # seconds after midnight, start and end; may run past midnight


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


@dataclass(frozen=True)
class Aeration:
    """One aeration unit: an air source, its diffusers, timer and meter."""

    name: str = short_name(doc="a short name")
    zone: str = short_name(doc="zone the diffusers lie in")
    elevation: float = quantity("m", least="-500 m", most="9000 m", doc="of the diffusers")
    diffusers: int = integer(least=1, most=1000, doc="number of diffusers")
    air_flow: float = quantity(
        "standard_m3/s", least="0 scfm", most="1000 scfm", doc="standard air through each diffuser"
    )
    kind: str = choice("fine", "tubing", "coarse", default="fine", doc="kind of diffuser")
    transfer_efficiency: float | None = quantity(
        "1/m", default=None, least="0 %/m", most="12 %/m", doc="else by kind"
    )
    alpha: float = parameter("aeration.alpha")
    line_loss: float = parameter("aeration.line_loss")
    source_efficiency: float = parameter("aeration.source_efficiency")
    power: float | None = quantity(
        "W", default=None, least="0 W", most="500 kW", doc="electric, metered; else computed"
    )
    hours: Spans = daily_hours(doc='on each day, such as ["20:00-08:00"]; all day when left out')
    season: tuple[tuple[int, int, int, int], ...] = yearly_season(
        doc='such as ["05-15 to 09-30"]; all year when left out'
    )


@dataclass(frozen=True)
class Judging:
    """What the run is held against."""

    criterion: str = choice(
        "warm_other",
        "warm_early",
        "cold_other",
        "cold_early",
        default="warm_other",
        doc="federal criteria of 1986",
    )
    fish_oxygen: float = quantity(
        "kg/m3", default="5 mg/L", least="0 mg/L", most="15 mg/L", doc="least oxygen fit for fish"
    )
    fish_temperature: float = quantity(
        "K", default="32 degC", least="5 degC", most="40 degC", doc="warmest water fit for fish"
    )
    renewed_within: float = quantity(
        "s", default="3 d", least="1 h", most="60 d", doc="days for the renewed share"
    )


@dataclass(frozen=True)
class Numerics:
    """How finely the run is computed; the defaults serve every user."""

    tolerance: float = number(default=1.0, least=1e-4, most=10.0, doc="multiplies the error allowed per step")
    hydraulic_step: float = quantity(
        "s", default="1 h", least="10 s", most="1 h", doc="flow pattern is renewed this often"
    )
