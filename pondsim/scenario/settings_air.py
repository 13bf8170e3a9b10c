# ruff: noqa: RUF009 (each call makes one dataclass field)
"""Sections of the aeration: air sources and diffusers."""

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
    set_point: SetPoint | None = set_point_section()
    minimum_run: float = minimum_run_key()
    minimum_rest: float = minimum_rest_key()
