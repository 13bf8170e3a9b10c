"""One storm of a scenario, run finely enough for its peaks and long enough for what it leaves behind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import xarray as xr

from pondsim.constants import DAY, HOUR
from pondsim.engine.forcing import build_forcing
from pondsim.errors import ScenarioError
from pondsim.scenario.in_period import without_events_outside
from pondsim.scenario.settings import Scenario
from pondsim.simulate import run

Event = tuple[datetime, datetime]

NOTABLE = 0.01  # of the highest flow: above this an event goes on
PAUSE = 6.0 * HOUR  # s of less than that end it
AFTER = 7.0 * DAY  # s that a run goes on after its event
FINE, COARSE = 300.0, 900.0  # s between results of a short and of a long run
SHORT = 21.0 * DAY  # s


def event_of(scenario: Scenario) -> Event:
    """First and last moment of the storm that brings most water, base flow not counted.

    Raises
    ------
    ScenarioError
        No storm brings any water, or the weather does not serve.
    """
    forcing, _ = build_forcing(scenario)
    length = np.diff(forcing.time)
    events, bases = len(scenario.inflow), len(scenario.base_flow)
    flow = forcing.inflow.mean(axis=2)
    flow = flow.sum(axis=1) - flow[:, events : events + bases].sum(axis=1)
    if flow.max(initial=0.0) <= 0.0:
        raise ScenarioError("there is no storm; write [rain] and [[drainage]], or [[inflow]]")
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
    progress: Callable[[float], None] | None = None,
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
    results = run(_until(scenario, end, step), text, progress)
    results.attrs["event_start"] = f"{begin:%Y-%m-%dT%H:%M:%S}"
    results.attrs["event_end"] = f"{last:%Y-%m-%dT%H:%M:%S}"
    return results


def _until(scenario: Scenario, end: datetime, step: float) -> Scenario:
    """The scenario up to `end`, with results every `step` [s]."""
    shorter = replace(
        scenario,
        period=replace(scenario.period, end=end, output_step=step),
        tariff=None,  # the bill of a part of a season says nothing of a storm
    )
    return without_events_outside(shorter)[0]
