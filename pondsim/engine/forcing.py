"""What drives a run from outside, cut into hydraulic steps within which it is smooth.

Steps end at every weather value, storm edge, switch of a timer, outage, bloom event and output time, so that
the time loop meets each of them exactly.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import numpy as np

from pondsim.constants import HOUR
from pondsim.engine.events import NO_EVENTS, Events, build_events, moments_of
from pondsim.engine.given_algae import algae_of
from pondsim.errors import Problem, ScenarioError
from pondsim.jit.bundle import Bundle
from pondsim.records import Record
from pondsim.scenario.settings import (
    BaseFlow,
    BloomCrash,
    Drainage,
    Inflow,
    Period,
    Place,
    Rain,
    Scenario,
    Seasons,
    Solids,
    Spans,
    Weather,
)
from pondsim.site.control import Failure, outages_of
from pondsim.site.drained import (
    FIRST_SOLIDS,
    STRIP,
    AreaWater,
    carried_over,
    flow_over,
    rain_over,
    storm_edges,
    totals_of,
    water_of,
)
from pondsim.site.inflow import flow_at, hydrograph
from pondsim.site.pond import FloatArray, IntArray
from pondsim.site.rain import rain_series
from pondsim.site.rain_series import RainSeries, rain_of_weather
from pondsim.site.series import WeatherSeries
from pondsim.site.timers import is_on, switch_times
from pondsim.site.weather import weather_series, weather_table

STORM_STEP = 900.0  # s; the flow pattern is renewed this often while an event flows
SAME = 1e-3  # s; closer moments are one
NOT_OF_SKY = ("inflow", "base_flow", "bloom_crash", "timers", "failures", "moments")  # fields of Given
FORCINGS_KEPT = 4  # of the last scenarios; some megabytes each


@dataclass(frozen=True, eq=False)
class Forcing(Bundle):
    """Hydraulic steps and what holds in each; pairs are values at its start and its end."""

    time: FloatArray  # (steps + 1,) seconds since the start of the period
    inflow: FloatArray  # (steps, inflows, 2) events, base flows, then drainage areas [m3/s]
    drained: FloatArray  # (steps, areas, 5 + classes) what drainage areas shed, see site.drained
    area_totals: FloatArray  # (areas, totals) see site.drained
    rain: FloatArray  # (steps, 2) on the pond [m/s]
    chlorophyll: FloatArray  # (steps, zones, 2) [kg/m3]
    dying: FloatArray  # (steps, zones) chlorophyll that dies [kg/m3/s]; of grown algae the share [1/s]
    events: Events
    pump_on: FloatArray  # (steps,) 1 where its timer is on and there is power, else 0
    air_on: FloatArray  # (steps, units) the same
    outage: IntArray  # (steps, systems) 1 while a system has no power, or rests after that
    output: IntArray  # (steps,) 1 where a step ends at an output time
    weather_first: float  # s
    weather_step: float  # s
    weather: FloatArray  # (times, 7), see site.weather


class Given(NamedTuple):
    """All that steps, weather and water depend on: scenarios alike in it share them."""

    period: Period
    place: Place
    weather: Weather
    rain: Rain | None
    may_stay_dry: bool  # whether land may go without rain, since [[storm]] falls on it when asked
    drainage: tuple[Drainage, ...]
    solids: Solids
    inflow: tuple[Inflow, ...]
    base_flow: tuple[BaseFlow, ...]
    bloom_crash: tuple[BloomCrash, ...]
    timers: tuple[tuple[Spans, Seasons] | None, ...]  # of the pump, if there is one, and of the units
    failures: tuple[Failure, ...]
    hydraulic_step: float  # s
    moments: tuple[float, ...]  # at which other events begin and end [s]
    files: tuple[tuple[int, int], ...]  # stamps of the weather's and the rain's


def seconds(scenario: Scenario | Given, moment: datetime) -> float:
    """Seconds from the start of the period to a moment."""
    return (moment - scenario.period.start).total_seconds()


def _breaks(given: Given, weather_times: FloatArray, areas: tuple[AreaWater, ...]) -> FloatArray:
    """Moments at which a hydraulic step must end."""
    end = seconds(given, given.period.end)
    step = given.hydraulic_step
    parts = [
        np.arange(0.0, end, step),
        weather_times,
        np.arange(0.0, end, given.period.output_step),
        [0.0, end],
    ]
    for event in given.inflow:
        time, _ = hydrograph(event, given.period)
        parts += [time, np.arange(time[0], time[-1], min(STORM_STEP, step))]
    parts += [storm_edges(area, end, min(STORM_STEP, step)) for area in areas]
    for crash in given.bloom_crash:
        start = seconds(given, crash.start)
        parts.append([start, start + crash.duration, start + crash.duration + crash.recovery])
    for timer in filter(None, given.timers):
        parts += list(switch_times(*timer, given.period))
    parts += [[one.begin, one.end, one.rested] for one in given.failures]
    parts.append(given.moments)
    moments = np.unique(np.concatenate([np.asarray(part, dtype=float) for part in parts]))
    moments = moments[(moments >= 0.0) & (moments <= end)]
    return moments[np.concatenate([[True], np.diff(moments) > SAME])]


def _ends_of(values: FloatArray) -> FloatArray:
    return np.stack([values[:-1], values[1:]], axis=-1)


def _rain(given: Given, weather: WeatherSeries) -> RainSeries:
    """Rain on the land, and on the pond too where a section names it; else that of the weather file."""
    if given.rain is not None:
        return rain_series(given.rain, given.period, given.place.utc_offset)
    if given.drainage and not weather.has_rain:
        if given.may_stay_dry:
            return rain_of_weather(weather)._replace(records=(Record("land_stays_dry"),))
        message = "has no rain to shed: the weather file has no column rain that can be used; write [rain]"
        raise ScenarioError(Problem(None, None, f"drainage.{given.drainage[0].name}", message))
    return rain_of_weather(weather)


def _rain_on_pond(given: Given, time: FloatArray, rain: RainSeries, weather: WeatherSeries) -> FloatArray:
    """Rain at both ends of each step: as its weather file says, or the mean of the step."""
    if given.rain is None:
        return _ends_of(np.interp(time, weather.time, weather.rain))
    return np.repeat(rain_over(time, rain)[:, None], 2, axis=1)


def _inflows(given: Given, time: FloatArray, areas: tuple[AreaWater, ...]) -> FloatArray:
    """Flow of every source of water at both ends of each step."""
    steps = time.size - 1
    events = [hydrograph(event, given.period) for event in given.inflow]
    flows = [_ends_of(np.asarray(flow_at(time, *event))) for event in events]
    flows += [np.full((steps, 2), base.flow) for base in given.base_flow]
    flows += [np.repeat(flow_over(time, area)[:, None], 2, axis=1) for area in areas]
    return np.stack(flows, axis=1) if flows else np.zeros((steps, 0, 2))


def _without_power(given: Given, middle: FloatArray) -> IntArray:
    """Whether each system stands still in each step for want of power, its rest after that included."""
    without = np.zeros((middle.size, len(given.timers)), dtype=np.int64)
    for failure in given.failures:
        without[(middle > failure.begin) & (middle < failure.rested), failure.system] = 1
    return without


def _stacked(rows: list[FloatArray], empty: tuple[int, ...], axis: int) -> FloatArray:
    return np.ascontiguousarray(np.stack(rows, axis=axis)) if rows else np.zeros(empty)


def build_forcing(scenario: Scenario) -> tuple[Forcing, tuple[Record, ...]]:
    """Forcing of a scenario, and records on its weather and rain.

    What does not depend on the algae is kept for the next scenarios that are alike in all it depends on.

    Raises
    ------
    ScenarioError
        When the weather or the rain does not serve.
    """
    timers = [None if one is None else (one.hours, one.season) for one in (scenario.pump, *scenario.aeration)]
    forcing, records = _forcing_of(
        Given(
            *(scenario.period, scenario.place, scenario.weather, scenario.rain, bool(scenario.storm)),
            scenario.drainage,
            Solids(settling_velocity=scenario.solids.settling_velocity, share=scenario.solids.share),
            *(scenario.inflow, scenario.base_flow, scenario.bloom_crash, tuple(timers)),
            *(tuple(outages_of(scenario)), scenario.numerics.hydraulic_step, moments_of(scenario)),
            stamps_of(scenario),
        )
    )
    chlorophyll, dying = algae_of(scenario, forcing.time)
    weather = (forcing.weather, forcing.weather_first, forcing.weather_step)
    events = build_events(scenario, forcing.time, *weather)
    return replace(forcing, chlorophyll=chlorophyll, dying=dying, events=events), records


def fits(forcing: Forcing, scenario: Scenario) -> bool:
    """Whether forcing is as long, and of as many waters, zones and units, as a scenario."""
    sources = len(scenario.inflow) + len(scenario.base_flow) + len(scenario.drainage)
    length = seconds(scenario, scenario.period.end)
    return bool(
        abs(forcing.time[-1] - length) < SAME
        and forcing.inflow.shape[1:] == (sources, 2)
        and forcing.drained.shape[1:] == (len(scenario.drainage), FIRST_SOLIDS + len(scenario.solids.share))
        and forcing.chlorophyll.shape[1:] == (len(scenario.zone), 2)
        and forcing.air_on.shape[1:] == (len(scenario.aeration),)
    )


def stamps_of(scenario: Scenario) -> tuple[tuple[int, int], ...]:
    """What tells that a file of weather or rain is another than it was."""
    return tuple(
        _stamp(file) for file in (scenario.weather.file, scenario.rain.file if scenario.rain else None)
    )


def _stamp(file: Path | None) -> tuple[int, int]:
    """What tells that a file is another than it was: when it was written and how long it is."""
    try:
        found = file.stat() if file else None
    except OSError:
        found = None  # told when it is read
    return (found.st_mtime_ns, found.st_size) if found else (0, 0)


@lru_cache(FORCINGS_KEPT)
def _sky_and_land(given: Given) -> tuple[WeatherSeries, RainSeries, tuple[AreaWater, ...]]:
    """Weather, rain and runoff: designs of one site share them, whatever they run and when."""
    series = weather_series(given.weather, given.period, given.place)
    rain = _rain(given, series)
    return series, rain, water_of(given.drainage, rain, series, given.solids)


@lru_cache(FORCINGS_KEPT)
def _forcing_of(given: Given) -> tuple[Forcing, tuple[Record, ...]]:
    """Forcing without algae."""
    series, rain, areas = _sky_and_land(
        given._replace(
            period=replace(given.period, output_step=0.0),
            **dict.fromkeys(NOT_OF_SKY, ()),  # type: ignore[arg-type]
            hydraulic_step=0.0,
        )
    )
    time = _breaks(given, series.time, areas)
    ends = time[1:]
    middle = 0.5 * (time[:-1] + ends)
    outage = _without_power(given, middle)
    runs = [
        is_on(middle, *switch_times(*timer, given.period)) if timer else 0.0 * middle
        for timer in given.timers
    ]
    on = np.stack(runs, axis=1).astype(float) * (1 - outage)
    on_time = np.abs(ends / given.period.output_step - np.round(ends / given.period.output_step))
    output = (on_time * given.period.output_step < SAME) | (ends == time[-1])
    classes = len(given.solids.share)
    forcing = Forcing(
        time=time,
        inflow=_inflows(given, time, areas),
        drained=_stacked(
            [carried_over(time, area) for area in areas], (middle.size, 0, FIRST_SOLIDS + classes), 1
        ),
        area_totals=_stacked([totals_of(area) for area in areas], (0, STRIP + classes), 0),
        rain=_rain_on_pond(given, time, rain, series),
        chlorophyll=np.zeros((middle.size, 0, 2)),
        dying=np.zeros((middle.size, 0)),
        events=NO_EVENTS,
        pump_on=np.ascontiguousarray(on[:, 0]),
        air_on=np.ascontiguousarray(on[:, 1:]),
        outage=outage,
        output=output.astype(np.int64),
        weather_first=float(series.time[0]),
        weather_step=float(series.time[1] - series.time[0]) if series.time.size > 1 else HOUR,
        weather=weather_table(series),
    )
    return forcing, (*series.records, *rain.records)
