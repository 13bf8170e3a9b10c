# ruff: noqa: RUF009 (each call makes one dataclass field)
"""What switches equipment on and off, and what its electricity costs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from typing import Any

from pondsim.scenario.fields import (
    choice,
    daily_hours,
    instant,
    integer,
    number,
    numbers,
    quantity,
    section,
    sections,
    short_name,
    text,
    yearly_season,
)

Spans = tuple[tuple[float, float], ...]  # seconds after midnight, start and end; may run past midnight
Seasons = tuple[tuple[int, int, int, int], ...]  # first month and day, last month and day; both included

QUARTER = 900.0  # s; hours of a tariff begin and end on the quarter hour
QUARTERS = 96  # of a day


def in_season(day: date, season: Seasons) -> bool:
    """Whether `day` lies in one of the seasons, first and last day included.

    Parameters
    ----------
    day : date or datetime
        Any moment of the day.
    season : tuple of (month, day, month, day)
        First and last day; a last day before the first runs over New Year. Empty: all year.
    """
    if not season:
        return True
    on = (day.month, day.day)
    for first_month, first_day, last_month, last_day in season:
        first, last = (first_month, first_day), (last_month, last_day)
        inside = first <= on <= last if first <= last else on >= first or on <= last
        if inside:
            return True
    return False


OXYGEN_ALONE = (
    "A set point reads dissolved oxygen alone; for times of day and year write hours and season, and floats "
    "of the pump into [wet_well]."
)


@dataclass(frozen=True)
class SetPoint:
    """An oxygen sensor with the readings that switch the equipment on and off."""

    zone: str = short_name(doc="zone of the sensor")
    depth: float | None = quantity(
        "m", default=None, least="0 m", most="30 m", doc="of the sensor under the water surface"
    )
    elevation: float | None = quantity(
        "m", default=None, least="-500 m", most="9000 m", doc="of the sensor, in place of depth"
    )
    on_below: float = quantity(
        "kg/m3", least="0 mg/L", most="50 mg/L", doc="oxygen read below which it starts", note=OXYGEN_ALONE
    )
    off_above: float = quantity(
        "kg/m3", least="0 mg/L", most="50 mg/L", doc="oxygen read above which it stops", note=OXYGEN_ALONE
    )
    every: float = quantity(
        "s", default="5 min", least="1 min", most="1 d", doc="how often the controller reads the sensor"
    )
    lag: float = quantity("s", default="2 min", least="0 s", most="6 h", doc="time constant of the sensor")
    bias: float = quantity(
        "kg/m3", default="0 mg/L", least="-20 mg/L", most="20 mg/L", doc="what it reads too high", was="error"
    )
    noise: float = quantity(
        "kg/m3",
        default="0 mg/L",
        least="0 mg/L",
        most="5 mg/L",
        doc="standard deviation of single readings; the same draws in every run",
        was="scatter",
    )
    range: tuple[float, ...] = numbers(
        "kg/m3",
        default=("0 mg/L", "20 mg/L"),
        least="0 mg/L",
        most="50 mg/L",
        doc="lowest and highest reading of the sensor",
    )


@dataclass(frozen=True)
class Outage:
    """A power failure, or a unit that fails."""

    start: datetime = instant(doc="when it begins")
    duration: float | None = quantity("s", default=None, least="1 min", most="10 yr", doc="how long it lasts")
    end: datetime | None = instant(
        default=None, doc="when it ends, in place of duration; with neither it lasts"
    )
    systems: tuple[str, ...] = short_name(
        count=None, default=[], doc='what stands still: "pump" and names of aeration units; all when left out'
    )


@dataclass(frozen=True)
class Rate:
    """Price of energy in some hours."""

    price: float = quantity("$/J", least="0 $/kWh", most="10 $/kWh", doc="of energy in these hours")
    hours: Spans = daily_hours(doc='of the clock, such as ["14:00-20:00"]; all day when left out')
    season: Seasons = yearly_season(doc='such as ["06-01 to 09-30"]; all year when left out')
    days: str = choice("weekdays", "weekends", "all", default="all", doc="days of the week")

    def holds_on(self, day: date) -> bool:
        """Whether some hours of a day are priced so."""
        weekend = day.weekday() >= 5
        return in_season(day, self.season) and self.days != ("weekdays" if weekend else "weekends")

    def quarters(self, day: date) -> tuple[bool, ...]:
        """Whether each quarter hour of a day is priced so; an hour after midnight belongs to its own day."""
        return _quarters_in(self.hours) if self.holds_on(day) else (False,) * QUARTERS


@cache
def _quarters_in(hours: Spans) -> tuple[bool, ...]:
    """Whether each quarter hour of a day lies in some hours."""
    whole = QUARTERS * QUARTER
    moments = [quarter * QUARTER for quarter in range(QUARTERS)]
    return tuple(
        any(start <= at < end or start <= at + whole < end for start, end in hours) for at in moments
    )


@dataclass(frozen=True)
class Demand:
    """Price of the highest power of a month in some months."""

    price: float = quantity("$/W", least="0 $/kW", most="500 $/kW", doc="of each month's highest power")
    season: Seasons = yearly_season(doc='whole months, such as ["06-01 to 09-30"]; all year when left out')


@dataclass(frozen=True)
class Tariff:
    """What electricity costs: by energy, by the highest power of each month, and fixed."""

    price: float | None = quantity(
        "$/J",
        default=None,
        least="0 $/kWh",
        most="10 $/kWh",
        doc="of energy, where no [[tariff.rate]] says otherwise",
    )
    rate: tuple[Rate, ...] = sections(Rate)
    demand_price: float | None = quantity(
        "$/W",
        default=None,
        least="0 $/kW",
        most="500 $/kW",
        doc="of each month's highest power, where no [[tariff.demand]] says otherwise",
    )
    demand: tuple[Demand, ...] = sections(Demand)
    demand_interval: float = quantity(
        "s", default="15 min", least="5 min", most="60 min", doc="power is averaged over this, by the clock"
    )
    fixed_charge: float = quantity("$", default="0 $", least="0 $", most="100000 $", doc="of each month")
    currency: str = text(default="$", doc="what the money is called in tables")


# The keys of an equipment that something switches, for [pump] and [[aeration]].


def set_point_section() -> Any:
    """A sensor that switches it."""
    return section(SetPoint, default=None)


def minimum_run_key() -> Any:
    """How long it runs at least."""
    return quantity(
        "s",
        default="0 min",
        least="0 min",
        most="1 d",
        doc="how long it runs at least once a set point has started it",
    )


def minimum_rest_key() -> Any:
    """How long it rests at least."""
    return quantity(
        "s",
        default="10 min",
        least="0 min",
        most="1 d",
        doc="how long it rests at least before a set point, a trip or a power failure lets it start",
    )


# What the nameplate says of the supply, for the amps on the design sheet; no run reads it.


def volts_key() -> Any:
    """Of its supply."""
    return quantity(
        "V", default=None, least="12 V", most="1000 V", doc="of its supply, for the amps on the design sheet"
    )


def phases_key() -> Any:
    """One or three."""
    return integer(default=None, least=1, most=3, doc="of its supply, 1 or 3; beside volts")


def power_factor_key() -> Any:
    """Of the motor at full load."""
    return number(default=None, least=0.3, most=1.0, doc="of its motor by the nameplate; beside volts")
