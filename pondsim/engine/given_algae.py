"""Chlorophyll that is given, by zone and over time, and what of the algae dies in a crash."""

from __future__ import annotations

import math
from datetime import datetime

import numpy as np

from pondsim.constants import DAY
from pondsim.errors import Problem, ScenarioError
from pondsim.processes.living_rows import GROWN
from pondsim.scenario.settings import BloomCrash, Scenario
from pondsim.site.pond import FloatArray
from pondsim.site.readings import read_instrument

UG_PER_L = 1e-6  # kg/m3
LEAST_LEFT = 1e-3  # share of grown algae that any crash leaves (judgement)


def _seconds(scenario: Scenario, moment: datetime) -> float:
    """Seconds from the start of the period to a moment."""
    return (moment - scenario.period.start).total_seconds()


def monthly_at(months: tuple[float, ...] | float, scenario: Scenario, time: FloatArray) -> FloatArray:
    """Twelve monthly values as a smooth curve: each stands for mid-month, straight lines between."""
    values = np.full(12, months) if isinstance(months, float) else np.array(months, dtype=float)
    start = scenario.period.start
    first_day = datetime(start.year, 1, 1)
    day = (start - first_day).total_seconds() / DAY + time / DAY
    middle = (np.arange(-1, 13) + 0.5) * 365.25 / 12
    return np.interp(day % 365.25, middle, np.concatenate([values[-1:], values, values[:1]]))


def _crash_share(crash: BloomCrash, scenario: Scenario, time: FloatArray) -> FloatArray:
    """Share of the given algae alive: down while they die, back up while they recover."""
    start = _seconds(scenario, crash.start)
    left = 1.0 - crash.killed_share * crash.pond_share
    times = [start, start + crash.duration, start + crash.duration + crash.recovery]
    return np.interp(time, times, [1.0, left, 1.0])


def algae_of(scenario: Scenario, time: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Chlorophyll by zone at both ends of each step, and what of it dies."""
    middle = 0.5 * (time[:-1] + time[1:])
    zones = len(scenario.zone)
    base = _given_chlorophyll(scenario, time)
    chlorophyll = np.repeat(base[:, None], zones, axis=1)
    dying = np.zeros((middle.size, zones))
    for crash in scenario.bloom_crash:
        reached = [not crash.zones or zone.name in crash.zones for zone in scenario.zone]
        start = _seconds(scenario, crash.start)
        falling = (middle > start) & (middle < start + crash.duration)
        killed = base[:-1] * crash.killed_share * crash.pond_share / crash.duration
        if scenario.algae.mode == GROWN:
            killed = np.full(middle.size, _kill_rate(crash))
        for zone in np.flatnonzero(reached):
            chlorophyll[:, zone] *= _crash_share(crash, scenario, time)
            dying[falling, zone] += killed[falling]
    return np.stack([chlorophyll[:-1], chlorophyll[1:]], axis=-1), dying


def _given_chlorophyll(scenario: Scenario, time: FloatArray) -> FloatArray:
    """Given chlorophyll near the top: of dated readings, straight lines between, else by month [kg/m3]."""
    algae = scenario.algae
    if algae.readings is not None:
        dates, values = _read_chlorophyll(scenario, algae.readings)
    elif algae.reading:
        dates = np.array([_seconds(scenario, one.date) for one in algae.reading])
        values = np.array([one.chlorophyll for one in algae.reading])
    else:
        return monthly_at(algae.chlorophyll, scenario, time)
    return np.asarray(np.interp(time, dates, values))


def _read_chlorophyll(scenario: Scenario, name: str) -> tuple[FloatArray, FloatArray]:
    """Seconds since the start and chlorophyll [kg/m3] of an instrument or a notebook."""
    given = next(one for one in scenario.readings if one.name == name)
    read = read_instrument(given, scenario.place)
    values = read.values.get("chlorophyll", np.full(read.time.size, np.nan))
    there = np.isfinite(values)
    if there.sum() < 2:
        message = f'= "{name}": {given.file} has fewer than two values of chlorophyll'
        raise ScenarioError(Problem(None, None, "algae.readings", message))
    since = (read.time[there] - np.datetime64(scenario.period.start, "s")) / np.timedelta64(1, "s")
    return since.astype(float), values[there] * UG_PER_L


def _kill_rate(crash: BloomCrash) -> float:
    """Rate of death that leaves the stated share of grown algae after the stated time [1/s]."""
    left = max(1.0 - crash.killed_share * crash.pond_share, LEAST_LEFT)
    return -math.log(left) / crash.duration
