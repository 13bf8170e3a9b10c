# ruff: noqa: RUF009 (each call makes one dataclass field)
"""Sections of the aeration: air sources and diffusers."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.scenario.fields import (
    choice,
    daily_hours,
    integer,
    number,
    numbers,
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
    phases_key,
    power_factor_key,
    set_point_section,
    volts_key,
)

Values = tuple[float, ...] | None


@dataclass(frozen=True)
class Aeration:
    """One aeration unit: an air source, its diffusers, timer and meter."""

    name: str = short_name(doc="a short name")
    zone: str = short_name(doc="zone the diffusers lie in")
    elevation: float = quantity("m", least="-500 m", most="9000 m", doc="of the diffusers")
    diffusers: int = integer(least=1, most=1000, doc="number of diffusers")
    air_flow: float | None = quantity(
        "standard_m3/s",
        default=None,
        least="0 scfm",
        most="1000 scfm",
        doc="standard air through each diffuser; else from the air source",
    )
    kind: str = choice("fine", "tubing", "coarse", default="fine", doc="kind of diffuser")
    transfer_efficiency: float | None = quantity(
        "1/m", default=None, least="0 %/m", most="12 %/m", doc="else by kind"
    )
    alpha: float = parameter("aeration.alpha")
    gas_power_share: float = parameter("aeration.gas_power_share")
    boil_velocity: float = parameter("aeration.boil_velocity")
    boil_radius: float = parameter("aeration.boil_radius")
    source: str | None = choice(
        "blower", "compressor", default=None, doc="kind of air source; a compressor has a piston or vanes"
    )
    source_flow: Values = numbers(
        "standard_m3/s",
        default=None,
        least="0 scfm",
        most="20000 scfm",
        doc="curve of the whole source in standard air, a value for each source_pressure",
    )
    source_free_flow: Values = numbers(
        "m3/s",
        default=None,
        least="0 cfm",
        most="20000 cfm",
        doc="the same in free air: as it enters the source, at the air pressure of the place",
    )
    source_pressure: Values = numbers(
        "Pa", default=None, least="0 psi", most="150 psi", doc="gauge, at the outlet of the source"
    )
    source_power: Values = numbers(
        "W", default=None, least="0 W", most="500 kW", doc="electric, a value for each source_pressure"
    )
    rated_flow: float | None = quantity(
        "standard_m3/s",
        default=None,
        least="0.01 scfm",
        most="20000 scfm",
        doc="standard air of the whole source at rated_pressure, where there is no curve",
    )
    rated_free_flow: float | None = quantity(
        "m3/s", default=None, least="0.01 cfm", most="20000 cfm", doc="the same in free air"
    )
    rated_pressure: float | None = quantity(
        "Pa", default=None, least="0.1 psi", most="150 psi", doc="gauge, at the rated point"
    )
    inlet_temperature: float = parameter("aeration.inlet_temperature")
    tubing_diameter: float | None = quantity(
        "m", default=None, least="2 mm", most="0.5 m", doc="inside, of each line to the diffusers"
    )
    tubing_length: float | None = quantity(
        "m", default=None, least="0 m", most="5 km", doc="of each line; the longest where they differ"
    )
    tubing_lines: int | None = integer(
        default=None,
        least=1,
        most=1000,
        doc="number of lines side by side; one for each diffuser when left out",
    )
    tubing_fittings: float = number(
        default=0.0, least=0.0, most=200.0, doc="sum of the loss coefficients of valves and bends of a line"
    )
    tubing_roughness: float = parameter("aeration.tubing_roughness")
    line_diameter: float | None = quantity(
        "m",
        default=None,
        least="2 mm",
        most="1 m",
        doc="inside, of a main line from the source to the tubing",
    )
    line_length: float | None = quantity("m", default=None, least="0 m", most="5 km", doc="of the main line")
    line_loss: float = parameter("aeration.line_loss")
    diffuser_loss: float = parameter("aeration.diffuser_loss")
    fouling: float = parameter("aeration.fouling")
    source_efficiency: float = parameter("aeration.source_efficiency")
    power: float | None = quantity(
        "W", default=None, least="0 W", most="500 kW", doc="electric, metered; else computed"
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
