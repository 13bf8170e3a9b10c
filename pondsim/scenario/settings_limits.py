# ruff: noqa: RUF009 (each call makes one dataclass field)
"""Limits of the user's own, by which a run is judged beside the federal criteria or in their place."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.scenario.fields import choice, flag, integer, quantity, short_name, text, yearly_season

JUDGED = (  # keys of which a limit has exactly one
    *("oxygen", "temperature", "temperature_rise", "suspended_solids", "phosphorus", "solids_removal"),
    "fit_for_fish",
)
Seasons = tuple[tuple[int, int, int, int], ...]  # first and last month and day of each span


@dataclass(frozen=True)
class OwnLimit:
    """One limit of a permit or a state's rule: of one quantity, with its statistic, place and season."""

    name: str = short_name(doc="what it is called in tables", digit_first=True)
    oxygen: float | None = quantity("kg/m3", default=None, least="0 mg/L", most="20 mg/L", doc="least oxygen")
    temperature: float | None = quantity(
        "K", default=None, least="0 degC", most="45 degC", doc="warmest water"
    )
    temperature_rise: float | None = quantity(
        "delta_K",
        default=None,
        least="0 delta_degC",
        most="20 delta_degC",
        doc="over what `against` names, at the same hour",
    )
    suspended_solids: float | None = quantity(
        "kg/m3",
        default=None,
        least="0 mg/L",
        most="10000 mg/L",
        doc="most in the water drawn at outlet or intake",
    )
    phosphorus: float | None = quantity(
        "kg/m3",
        default=None,
        least="0 mg/L",
        most="50 mg/L",
        doc="most in the water drawn at outlet or intake",
    )
    solids_removal: float | None = quantity(
        "1",
        default=None,
        least="0 %",
        most="100 %",
        doc="least share of the solids that came in and did not leave",
    )
    fit_for_fish: float | None = quantity(
        "1", default=None, least="0 %", most="100 %", doc="least share of the volume that is fit for fish"
    )
    statistic: str = choice(
        *("instantaneous", "daily minimum", "daily mean", "daily maximum", "whole run"),
        doc="which statistic of the readings is judged by it; whole run: one mean",
    )
    days: int = integer(default=1, least=1, most=366, doc="mean of that over so many days in a row")
    days_needed: int | None = integer(
        default=None, least=1, most=366, doc="days of them that must have a value; else all"
    )
    at: str = choice(
        "zones", "outlet", "intake", default="zones", doc="in the pond, or in the water drawn there"
    )
    zone: str | None = short_name(default=None, doc="the only zone; else each")
    from_depth: float = quantity(
        "m",
        default="0 m",
        least="0 m",
        most="100 m",
        doc="below the surface; the mean down to to_depth is read",
    )
    to_depth: float = quantity(
        "m", default="1 m", least="0 m", most="100 m", doc="the bed where it is shallower"
    )
    season: Seasons = yearly_season(doc='span of the year it holds in, such as ["04-01 to 06-30"]')
    stage: str | None = text(default=None, doc="life stage it protects, for the tables")
    allowed_share: float = quantity(
        "1", default="0 %", least="0 %", most="100 %", doc="share of what is judged that may exceed it"
    )
    test: str = choice(
        "share",
        "binomial",
        default="share",
        doc="plain share, or exact binomial test with an effective number",
    )
    confidence: float = quantity("1", default="90 %", least="50 %", most="99.9 %", doc="of the binomial test")
    against: str = choice(
        "existing pond", "inflow", default="existing pond", doc="what a temperature rise is over"
    )
    organic_counted: bool = flag(default=True, doc="whether algae and dead algae count as solids")


def quantity_of(limit: OwnLimit) -> list[str]:
    """Keys of JUDGED that a limit gives: one, unless the file is at fault."""
    return [name for name in JUDGED if getattr(limit, name) is not None]
