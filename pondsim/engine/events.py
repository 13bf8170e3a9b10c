"""What people do to a pond, as rates over the hydraulic steps: covers, doses, dye, loads, dredging."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import DAY
from pondsim.jit.bundle import Bundle
from pondsim.processes.phosphorus import AMMONIUM_LOAD, DEMAND_LOAD, PHOSPHORUS_LOAD
from pondsim.scenario.in_period import MIXING_IN
from pondsim.scenario.settings import Scenario
from pondsim.site.boxes import build_grid, dig
from pondsim.site.pond import FloatArray, zone_area, zone_volume
from pondsim.site.weather import SHORTWAVE


@dataclass(frozen=True, eq=False)
class Events(Bundle):
    """One row for each hydraulic step, one column for each zone."""

    shaded: FloatArray  # share of the surface under covers
    floating: FloatArray  # share under covers that keep air out too
    dosed: FloatArray  # phosphorus that a dose can bind [kg/s]
    dyed: FloatArray  # extinction times volume [m2/s]
    dredged: FloatArray  # share of the bed's stores taken out [1/s]
    loads: FloatArray  # (steps, zones, 3) phosphorus, demand, ammonium [kg/s]
    daily_sun: FloatArray  # (steps,) mean sunlight of the 24 hours before [W/m2]


Span = tuple[datetime, datetime]


def spans_of(scenario: Scenario) -> list[Span]:
    """First and last moment of every event."""
    spans: list[Span] = [(one.start, one.end) for one in scenario.cover]
    spans += [(one.start, one.end) for one in scenario.load]
    spans += [(one.start, one.start + timedelta(seconds=one.duration)) for one in scenario.treatment]
    spans += [(one.start, one.start + timedelta(seconds=MIXING_IN)) for one in scenario.dye]
    spans += [(one.date, one.date + timedelta(seconds=one.duration)) for one in scenario.dredging]
    return spans


def moments_of(scenario: Scenario) -> tuple[float, ...]:
    """Moments at which a hydraulic step must end, since the start of the period [s]."""
    dates = {date for span in spans_of(scenario) for date in span}
    return tuple(sorted((date - scenario.period.start).total_seconds() for date in dates))


def build_events(
    scenario: Scenario, time: FloatArray, weather: FloatArray, first: float, step: float
) -> Events:
    """Rates of a scenario over the hydraulic steps between the edges `time`.

    weather: (times, 7) from `weather_table`, its first time and its step [s].
    """
    grid = build_grid(scenario)
    when = _When(scenario, 0.5 * (time[:-1] + time[1:]))
    zones, pool = range(len(scenario.zone)), grid.normal_pool
    area = np.array([float(zone_area(grid, zone, pool)) for zone in zones])
    shape = (time.size - 1, area.size)
    events = _nothing(*shape)
    events.daily_sun[:] = _mean_before(time[:-1], weather[:, SHORTWAVE], first, step)
    _lay_covers(events, when)
    for dose in scenario.treatment:
        there = when.reached(dose.zones)
        steps = when.during(dose.start, dose.start + timedelta(seconds=dose.duration))
        share = there * area / (there * area).sum()
        events.dosed[steps] += dose.dose * dose.binds / dose.duration * share
    for dye in scenario.dye:
        steps = when.during(dye.start, dye.start + timedelta(seconds=MIXING_IN))
        dig(grid, scenario, (dye.start - scenario.period.start).total_seconds())
        volume = np.array([float(zone_volume(grid, zone, pool)) for zone in zones])
        events.dyed[steps] += dye.extinction * volume * when.reached(dye.zones) / MIXING_IN
    for work in scenario.dredging:
        steps = when.during(work.date, work.date + timedelta(seconds=work.duration))
        events.dredged[steps] += -math.log(work.left) / work.duration * when.reached((work.zone,))
    for load in scenario.load:
        amounts = np.zeros(3)
        amounts[PHOSPHORUS_LOAD] = load.phosphorus
        amounts[DEMAND_LOAD] = load.oxygen_demand
        amounts[AMMONIUM_LOAD] = load.ammonium
        events.loads[when.during(load.start, load.end)] += np.outer(when.reached((load.zone,)), amounts)
    return events


@dataclass(frozen=True)
class _When:
    """Which steps and zones an event reaches."""

    scenario: Scenario
    middle: FloatArray  # of each step [s]

    def during(self, begin: datetime, end: datetime) -> NDArray[np.bool_]:
        """Steps between two moments."""
        start = self.scenario.period.start
        first, last = ((moment - start).total_seconds() for moment in (begin, end))
        return (self.middle > first) & (self.middle < last)

    def reached(self, zones: tuple[str, ...]) -> FloatArray:
        """1 for each zone named, or for all where none is, else 0."""
        return np.array([float(not zones or zone.name in zones) for zone in self.scenario.zone])


def _lay_covers(events: Events, when: _When) -> None:
    """Covers, each over what others leave open."""
    for cover in when.scenario.cover:
        steps = when.during(cover.start, cover.end)
        left = 1.0 - cover.share * when.reached(cover.zones)
        for shares in (events.shaded, events.floating) if cover.floating else (events.shaded,):
            shares[steps] = 1.0 - (1.0 - shares[steps]) * left


def _mean_before(time: FloatArray, values: FloatArray, first: float, step: float) -> FloatArray:
    """Mean of a series of straight lines over the 24 hours before each time, or around it where none came."""
    times = first + step * np.arange(values.size)
    summed = np.concatenate([[0.0], np.cumsum(0.5 * step * (values[1:] + values[:-1]))])
    begin = np.clip(time - DAY, times[0], max(times[-1] - DAY, times[0]))
    end = np.minimum(begin + DAY, times[-1])
    means: FloatArray = (np.interp(end, times, summed) - np.interp(begin, times, summed)) / np.maximum(
        end - begin, step
    )
    return means


def _nothing(steps: int, zones: int) -> Events:
    """No event in so many steps and zones."""
    shaded, floating, dosed, dyed, dredged = (np.zeros((steps, zones)) for _ in range(5))
    return Events(shaded, floating, dosed, dyed, dredged, np.zeros((steps, zones, 3)), np.zeros(steps))


NO_EVENTS = _nothing(0, 0)  # until the steps are known
