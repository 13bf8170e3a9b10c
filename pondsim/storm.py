"""Storms of a scenario, run finely enough for their peaks and long enough for what they leave behind."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import fields, replace
from datetime import datetime, timedelta

import numpy as np
import xarray as xr

from pondsim.constants import DAY, HOUR
from pondsim.engine.forcing import build_forcing
from pondsim.errors import ScenarioError
from pondsim.measures import at_station
from pondsim.measures.event import DAYS_AFTER
from pondsim.processes.state import State
from pondsim.scenario.in_period import without_events_outside
from pondsim.scenario.settings import DesignStorm, Rain, Scenario, Storm
from pondsim.simulate import run, run_after, run_to_the_end

Event = tuple[datetime, datetime]
Progress = Callable[[float], None]

NOTABLE = 0.01  # of the highest flow: above this an event goes on
PAUSE = 6.0 * HOUR  # s of less than that end it
AFTER = 7.0 * DAY  # s that a run goes on after its event
SEARCHED = 10.0 * DAY  # s after a design storm's rain within which its runoff ends
INCH = 0.0254  # m, exact by definition
FINE, COARSE = 300.0, 900.0  # s between results of a short and of a long run
SHORT = 21.0 * DAY  # s
LEAD_STEP = 3600.0  # s between results of the days before a design storm


def event_of(scenario: Scenario) -> Event:
    """First and last moment of the storm that brings most water, base flow not counted.

    Raises
    ------
    ScenarioError
        No storm brings any water, or the weather does not serve.
    """
    found = _largest(scenario)
    if found is None:
        names = ",".join(storm.name for storm in scenario.storm)
        or_named = f"; or name design storms: --storms {names}" if names else ""
        raise ScenarioError(f"there is no storm; write [rain] and [[drainage]], or [[inflow]]{or_named}")
    return found


def _largest(scenario: Scenario) -> Event | None:
    """The storm that brings most water; None where none brings any."""
    forcing, _ = build_forcing(scenario)
    length = np.diff(forcing.time)
    events, bases = len(scenario.inflow), len(scenario.base_flow)
    flow = forcing.inflow.mean(axis=2)
    flow = flow.sum(axis=1) - flow[:, events : events + bases].sum(axis=1)
    if flow.max(initial=0.0) <= 0.0:
        return None
    wet = np.flatnonzero((flow > NOTABLE * flow.max()) | (forcing.rain.mean(axis=1) > 0.0) & (flow > 0.0))
    begins, ends = forcing.time[wet], forcing.time[wet + 1]
    parts = np.split(np.arange(wet.size), np.flatnonzero(begins[1:] - ends[:-1] > PAUSE) + 1)
    largest = max(parts, key=lambda part: float(np.sum((flow * length)[wet[part]])))
    start = scenario.period.start
    first, last = float(begins[largest[0]]), float(ends[largest[-1]])
    design = scenario.rain.design_storm if scenario.rain else None
    if design is not None:
        first = min(first, max((design.start - start).total_seconds(), 0.0))
    return start + timedelta(seconds=first), start + timedelta(seconds=last)


def run_storm(
    scenario: Scenario,
    text: str = "",
    event: Event | None = None,
    progress: Progress | None = None,
) -> xr.Dataset:
    """Results from the start of the period to a week after the event, every five or fifteen minutes.

    Parameters
    ----------
    scenario, text, progress
        As for `run`.
    event : (datetime, datetime), optional
        The storm; that of `event_of` when left out.

    Returns
    -------
    xarray.Dataset
        With attributes ``event_start`` and ``event_end``.

    Raises
    ------
    ScenarioError, RunError
        As `event_of` and `run`.
    """
    begin, last = event or event_of(scenario)
    end = min(scenario.period.end, last + timedelta(seconds=AFTER))
    long = (end - scenario.period.start).total_seconds() > SHORT
    step = min(COARSE if long else FINE, scenario.period.output_step)
    return _marked(run(_within(scenario, scenario.period.start, end, step), text, progress), begin, last)


def storm_named(scenario: Scenario, name: str) -> Storm:
    """The storm of that name; ScenarioError where there is none, or where it can bring no water."""
    known = {storm.name: storm for storm in scenario.storm}
    if name not in known:
        there = (
            f"there are {', '.join(known)}"
            if known
            else f'there are none; write [[storm]] with name = "{name}" into the site file (docs/rain.md)'
        )
        raise ScenarioError(f'there is no storm "{name}"; {there}')
    storm, period = known[name], scenario.period
    if not scenario.drainage:
        raise ScenarioError(f'storm "{name}" has no land to fall on; write [[drainage]]')
    if not period.start < storm.start < period.end:
        raise ScenarioError(
            f'storm "{name}" starts on {storm.start:%Y-%m-%d %H:%M}, outside the period, '
            f"{period.start:%Y-%m-%d %H:%M} to {period.end:%Y-%m-%d %H:%M}"
        )
    if _largest(_from_first_rain(scenario, storm, scenario.pond.normal_pool)) is None:
        raise ScenarioError(
            f'storm "{name}" brings no water: the land holds back all of its rain, '
            f"{storm.depth / INCH:.3g} in ({1e3 * storm.depth:.3g} mm)"
        )
    return storm


def run_storms(
    scenario: Scenario,
    names: Sequence[str],
    text: str = "",
    pool: float | None = None,
    progress: Progress | None = None,
) -> list[xr.Dataset]:
    """Results of several design storms, each from one stated water surface elevation.

    Parameters
    ----------
    scenario, text, progress
        As for `run`; the scenario's [[storm]] are chosen from.
    names : sequence of str
        Names of storms.
    pool : float, optional
        Water surface elevation at the first rain of every storm and design; else normal pool. [m]

    Returns
    -------
    list of xarray.Dataset
        One for each storm, from its first rain to a week after its runoff, every five minutes. The days
        before are run once for storms that start alike: water, bed and oxygen are what they leave, the level
        is the stated one. Attributes as of `run_storm`, and ``storm_name``, ``storm_pool_m`` and
        ``oxygen_before_mg_per_L``: lowest of the top metre of any zone over the five days before.

    Raises
    ------
    ScenarioError, RunError
        As `storm_named` and `run`.
    """
    storms = [storm_named(scenario, name) for name in names]
    level = scenario.pond.normal_pool if pool is None else pool
    found: list[xr.Dataset] = []
    led: dict[tuple[datetime, str], tuple[xr.Dataset, State]] = {}
    for place, storm in enumerate(storms):
        key = (storm.start, storm.before)
        if key not in led:
            led[key] = run_to_the_end(_before(scenario, storm))
        early, state = led[key]
        alone = _from_first_rain(scenario, storm, level)
        begin, last = event_of(alone)
        end = min(scenario.period.end, last + timedelta(seconds=AFTER))
        results = run_after(_within(alone, storm.start, end, FINE), state, text)
        results.attrs |= {"storm_name": storm.name, "storm_pool_m": level}
        results.attrs["oxygen_before_mg_per_L"] = _lowest_oxygen(early)
        found.append(_marked(results, begin, last))
        if progress:
            progress((place + 1) / len(storms))
    return found


def _before(scenario: Scenario, storm: Storm) -> Scenario:
    """The scenario until the storm's first rain: with the season's rain, or dry and without storms."""
    cut = _within(scenario, scenario.period.start, storm.start, LEAD_STEP)
    if storm.before == "rain":
        return cut
    dry = DesignStorm(start=storm.start, depth=0.0, step=storm.step)
    return replace(cut, inflow=(), rain=Rain(design_storm=dry))


def _from_first_rain(scenario: Scenario, storm: Storm, level: float) -> Scenario:
    """The scenario from the storm's first rain on, with the water at a level and no other storm."""
    given = {field.name: getattr(storm, field.name) for field in fields(DesignStorm)}
    end = min(scenario.period.end, storm.start + timedelta(seconds=storm.duration + SEARCHED))
    alone = replace(
        scenario,
        inflow=(),
        rain=Rain(design_storm=DesignStorm(**given | {"before": "dry"})),
        start=replace(scenario.start, water_surface=level),
    )
    return _within(alone, storm.start, end, FINE)


def _lowest_oxygen(early: xr.Dataset) -> float:
    """Lowest oxygen of the top metre of any zone over the last days of a run. [mg/L]"""
    since = early["time"].values[-1] - np.timedelta64(round(DAYS_AFTER * DAY), "s")
    last = early.isel(time=early["time"].values >= since)
    return float(np.nanmin(at_station(last, "dissolved_oxygen", "top").values))


def _marked(results: xr.Dataset, begin: datetime, last: datetime) -> xr.Dataset:
    results.attrs["event_start"] = f"{begin:%Y-%m-%dT%H:%M:%S}"
    results.attrs["event_end"] = f"{last:%Y-%m-%dT%H:%M:%S}"
    return results


def _within(scenario: Scenario, start: datetime, end: datetime, step: float) -> Scenario:
    """The scenario from `start` to `end`, with results every `step` [s]."""
    shorter = replace(
        scenario,
        period=replace(scenario.period, start=start, end=end, output_step=step),
        tariff=None,  # the bill of a part of a season says nothing of a storm
    )
    return without_events_outside(shorter)[0]
