"""The electricity bill of a season, month by month, from the meter's intervals and a tariff."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np

from pondsim.constants import DAY, HOUR
from pondsim.scenario.settings import QUARTER, Period, Scenario, Tariff, in_season
from pondsim.site.control import METER_STEP, ControlSettings
from pondsim.site.pond import FloatArray, IntArray

JOULES_PER_KWH = 3.6e6
ROUND_OFF = 1e-9  # of the highest cost
ROWS_A_DAY = round(DAY / METER_STEP)


@dataclass(frozen=True)
class Bill:
    """What goes into the results; empty where there is no tariff."""

    data: dict[str, Any] = field(default_factory=dict)
    coordinates: dict[str, Any] = field(default_factory=dict)
    attributes: dict[str, Any] = field(default_factory=dict)


def bill_of(scenario: Scenario, settings: ControlSettings, meter: FloatArray, stops: FloatArray) -> Bill:
    """Bill of a season.

    Parameters
    ----------
    scenario : Scenario
        Its tariff, or none.
    settings : ControlSettings
        Where the meter's intervals lie.
    meter : (intervals, systems) array
        Electricity used in each interval. [J]
    stops : (n,) array
        Output times. [s]
    """
    tariff = scenario.tariff
    if tariff is None:
        return Bill()
    metered = meter[:, 0 if scenario.pump else 1 :]
    days = _days(scenario.period)
    first = round((_since_midnight(scenario.period.start) - settings.meter_before) / METER_STEP)
    rows = slice(first, first + len(meter))
    price = np.concatenate([prices_of(tariff, day) for day in days])[rows]
    labels = list(months_run(scenario.period))
    month = np.repeat([labels.index(f"{day:%Y-%m}") for day in days], ROWS_A_DAY)[rows]
    used = np.stack([metered[month == place].sum(axis=0) for place in range(len(labels))])
    cost = price[:, None] * metered
    charge = np.array([cost[month == place].sum() for place in range(len(labels))])
    peak = _peaks(tariff, metered.sum(axis=1), first, month, len(labels))
    share = np.array(list(months_run(scenario.period).values()))
    demand = np.array([_demand_price(tariff, label) for label in labels])
    edges = np.clip(np.arange(len(meter) + 1) * METER_STEP - settings.meter_before, 0.0, stops[-1])
    spent = np.interp(stops, edges, np.concatenate([[0.0], np.cumsum(cost.sum(axis=1))]))
    by_hour = np.diff(spent) / np.diff(stops) * HOUR
    by_hour[np.abs(by_hour) < ROUND_OFF * np.max(by_hour)] = 0.0  # differences of sums leave such crumbs
    by_month = ("month",)
    return Bill(
        {
            "bill_energy": (("month", "system"), used / JOULES_PER_KWH),
            "bill_energy_charge": (by_month, charge),
            "bill_peak_power": (by_month, peak / 1e3),
            "bill_demand_charge": (by_month, demand * peak * share),
            "bill_fixed_charge": (by_month, tariff.fixed_charge * share),
            "bill_share_run": (by_month, share),
            "electricity_cost": (("time",), np.concatenate([by_hour[:1], by_hour])),
            "electricity_cost_by_system": (("system",), cost.sum(axis=0)),
        },
        {"month": labels},
        {"currency": tariff.currency, "demand_interval_min": tariff.demand_interval / 60.0},
    )


def _since_midnight(moment: datetime) -> float:
    return HOUR * moment.hour + 60.0 * moment.minute + moment.second


def _days(period: Period) -> list[date]:
    """Every calendar day that the period touches."""
    last = (period.end - timedelta(microseconds=1)).date()
    first = period.start.date()
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def prices_of(tariff: Tariff, day: date) -> FloatArray:
    """Price of energy in every interval of the meter on a day. [$/J]"""
    price = np.full(round(DAY / QUARTER), np.nan if tariff.price is None else tariff.price)
    for rate in tariff.rate:
        price[np.array(rate.quarters(day))] = rate.price
    return np.repeat(price, round(QUARTER / METER_STEP))


def _peaks(tariff: Tariff, used: FloatArray, first: int, month: IntArray, months: int) -> FloatArray:
    """Highest mean power over the demand interval, by month [W]; 0 where nothing ran."""
    rows = round(tariff.demand_interval / METER_STEP)
    interval = (first + np.arange(used.size)) // rows
    power = np.bincount(interval - interval[0], used) / tariff.demand_interval
    in_month = month[np.searchsorted(interval, np.arange(interval[0], interval[-1] + 1))]
    return np.array([power[in_month == place].max() for place in range(months)])


def _demand_price(tariff: Tariff, label: str) -> float:
    """Price of a month's highest power. [$/W]"""
    middle = date(int(label[:4]), int(label[5:]), 15)
    for one in tariff.demand:
        if in_season(middle, one.season):
            return one.price
    return tariff.demand_price or 0.0


def months_run(period: Period) -> dict[str, float]:
    """Calendar months that the period touches, such as "2025-05", with the share of each that is run."""
    labels = dict.fromkeys(f"{day:%Y-%m}" for day in _days(period))
    return {label: _share_run(label, period) for label in labels}


def _share_run(label: str, period: Period) -> float:
    """Share of a month that lies within the period."""
    begin = datetime(int(label[:4]), int(label[5:]), 1)
    end = datetime(begin.year + begin.month // 12, begin.month % 12 + 1, 1)
    run = min(end, period.end) - max(begin, period.start)
    return run / (end - begin)
