"""Sections on judging and on how finely a run is computed."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.scenario.fields import (
    choice,
    number,
    parameter,
    quantity,
    sections,
)
from pondsim.scenario.settings_limits import OwnLimit


@dataclass(frozen=True)
class Judging:
    """What the run is judged by."""

    criterion: str = choice(
        "warm_other",
        "warm_early",
        "cold_other",
        "cold_early",
        "cold_early_exposed",
        "own",
        default="warm_other",
        doc="federal criteria of 1986, cold_early for eggs buried in gravel; own: [[judging.limit]] alone",
    )
    limit: tuple[OwnLimit, ...] = sections(OwnLimit)
    fish_oxygen: float = quantity(
        "kg/m3", default="5 mg/L", least="0 mg/L", most="15 mg/L", doc="least oxygen fit for fish"
    )
    smell_debt: float = parameter("judging.smell_debt")
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
        "s", default="15 min", least="10 s", most="1 h", doc="flow pattern is renewed this often"
    )
