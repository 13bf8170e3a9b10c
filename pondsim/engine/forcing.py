"""What drives a run from outside, cut into hydraulic steps within which it is smooth.

Steps end at every weather value, storm edge, switch of a timer, outage, bloom event and output time, so that
the time loop meets each of them exactly.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from pondsim.constants import DAY, HOUR
from pondsim.errors import Problem, ScenarioError
from pondsim.jit.bundle import Bundle
from pondsim.scenario.settings import BloomCrash, Scenario
from pondsim.site.control import outages_of
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


@dataclass(frozen=True, eq=False)
class Forcing(Bundle):
    """Hydraulic steps and what holds in each; pairs are values at its start and its end."""

    time: FloatArray  # (steps + 1,) seconds since the start of the period
    inflow: FloatArray  # (steps, inflows, 2) events, base flows, then drainage areas [m3/s]
    carried: FloatArray  # (steps, areas, 3 + classes) what drainage areas shed, see site.drained
    area_totals: FloatArray  # (areas, totals) see site.drained
    rain: FloatArray  # (steps, 2) on the pond [m/s]
    chlorophyll: FloatArray  # (steps, zones, 2) [kg/m3]
    dying: FloatArray  # (steps, zones) chlorophyll that dies [kg/m3/s]
    pump_on: FloatArray  # (steps,) 1 where its timer is on and there is power, else 0
    air_on: FloatArray  # (steps, units) the same
    outage: IntArray  # (steps, systems) 1 while a system has no power, or rests after that
    output: IntArray  # (steps,) 1 where a step ends at an output time
    weather_first: float  # s
    weather_step: float  # s
    weather: FloatArray  # (times, 7), see site.weather


def seconds(scenario: Scenario, moment: datetime) -> float:
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
    start = seconds(scenario, crash.start)
    left = 1.0 - crash.killed_share * crash.pond_share
    times = [start, start + crash.duration, start + crash.duration + crash.recovery]
    return np.interp(time, times, [1.0, left, 1.0])


def _breaks(scenario: Scenario, weather_times: FloatArray, areas: tuple[AreaWater, ...]) -> FloatArray:
    """Moments at which a hydraulic step must end."""
    end = seconds(scenario, scenario.period.end)
    step = scenario.numerics.hydraulic_step
    parts = [
        np.arange(0.0, end, step),
        weather_times,
        np.arange(0.0, end, scenario.period.output_step),
        [0.0, end],
    ]
    for event in scenario.inflow:
        time, _ = hydrograph(event, scenario.period)
        parts += [time, np.arange(time[0], time[-1], min(STORM_STEP, step))]
    parts += [storm_edges(area, end, min(STORM_STEP, step)) for area in areas]
    for crash in scenario.bloom_crash:
        start = seconds(scenario, crash.start)
        parts.append([start, start + crash.duration, start + crash.duration + crash.recovery])
    timers = ([scenario.pump] if scenario.pump else []) + list(scenario.aeration)
    for unit in timers:
        parts += list(switch_times(unit.hours, unit.season, scenario.period))
    parts += [[outage.begin, outage.end, outage.rested] for outage in outages_of(scenario)]
    moments = np.unique(np.concatenate([np.asarray(part, dtype=float) for part in parts]))
    moments = moments[(moments >= 0.0) & (moments <= end)]
    return moments[np.concatenate([[True], np.diff(moments) > SAME])]


def _ends_of(values: FloatArray) -> FloatArray:
    return np.stack([values[:-1], values[1:]], axis=-1)


def _rain(scenario: Scenario, weather: WeatherSeries) -> RainSeries:
    """Rain on the land, and on the pond too where a section names it; else that of the weather file."""
    if scenario.rain is not None:
        return rain_series(scenario.rain, scenario.period)
    if scenario.drainage and not weather.has_rain:
        message = "has no rain to shed: the weather file has no column rain that can be used; write [rain]"
        raise ScenarioError(Problem(None, None, f"drainage.{scenario.drainage[0].name}", message))
    return rain_of_weather(weather)


def _rain_on_pond(
    scenario: Scenario, time: FloatArray, rain: RainSeries, weather: WeatherSeries
) -> FloatArray:
    """Rain at both ends of each step: as its weather file says, or the mean of the step."""
    if scenario.rain is None:
        return _ends_of(np.interp(time, weather.time, weather.rain))
    return np.repeat(rain_over(time, rain)[:, None], 2, axis=1)


def _inflows(scenario: Scenario, time: FloatArray, areas: tuple[AreaWater, ...]) -> FloatArray:
    """Flow of every source of water at both ends of each step."""
    steps = time.size - 1
    events = [hydrograph(event, scenario.period) for event in scenario.inflow]
    flows = [_ends_of(np.asarray(flow_at(time, *event))) for event in events]
    flows += [np.full((steps, 2), base.flow) for base in scenario.base_flow]
    flows += [np.repeat(flow_over(time, area)[:, None], 2, axis=1) for area in areas]
    return np.stack(flows, axis=1) if flows else np.zeros((steps, 0, 2))


def _algae(scenario: Scenario, time: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Chlorophyll by zone at both ends of each step, and what of it dies."""
    middle = 0.5 * (time[:-1] + time[1:])
    zones = len(scenario.zone)
    base = monthly_at(scenario.algae.chlorophyll, scenario, time)
    chlorophyll = np.repeat(base[:, None], zones, axis=1)
    dying = np.zeros((middle.size, zones))
    for crash in scenario.bloom_crash:
        reached = [not crash.zones or zone.name in crash.zones for zone in scenario.zone]
        start = seconds(scenario, crash.start)
        falling = (middle > start) & (middle < start + crash.duration)
        killed = base[:-1] * crash.killed_share * crash.pond_share / crash.duration
        for zone in np.flatnonzero(reached):
            chlorophyll[:, zone] *= _crash_share(crash, scenario, time)
            dying[falling, zone] += killed[falling]
    return _ends_of(chlorophyll), dying


def _without_power(scenario: Scenario, middle: FloatArray) -> IntArray:
    """Whether each system stands still in each step for want of power, its rest after that included."""
    without = np.zeros((middle.size, 1 + len(scenario.aeration)), dtype=np.int64)
    for outage in outages_of(scenario):
        without[(middle > outage.begin) & (middle < outage.rested), outage.system] = 1
    return without


def _stacked(rows: list[FloatArray], empty: tuple[int, ...], axis: int) -> FloatArray:
    return np.ascontiguousarray(np.stack(rows, axis=axis)) if rows else np.zeros(empty)


def build_forcing(scenario: Scenario) -> tuple[Forcing, tuple[str, ...]]:
    """Forcing of a scenario, and remarks on its weather and rain.

    Raises
    ------
    ScenarioError
        When the weather or the rain does not serve.
    """
    series = weather_series(scenario.weather, scenario.period, scenario.place)
    rain = _rain(scenario, series)
    areas = water_of(scenario.drainage, rain, series, scenario.solids)
    time = _breaks(scenario, series.time, areas)
    ends = time[1:]
    middle = 0.5 * (time[:-1] + ends)
    chlorophyll, dying = _algae(scenario, time)
    outage = _without_power(scenario, middle)
    units = [is_on(middle, *switch_times(u.hours, u.season, scenario.period)) for u in scenario.aeration]
    air_on = np.stack(units, axis=1).astype(float) if units else np.zeros((middle.size, 0))
    pump = scenario.pump
    pump_on = is_on(middle, *switch_times(pump.hours, pump.season, scenario.period)) if pump else 0.0 * middle
    on_time = np.abs(ends / scenario.period.output_step - np.round(ends / scenario.period.output_step))
    output = (on_time * scenario.period.output_step < SAME) | (ends == time[-1])
    classes = len(scenario.solids.share)
    forcing = Forcing(
        time=time,
        inflow=_inflows(scenario, time, areas),
        carried=_stacked(
            [carried_over(time, area) for area in areas], (middle.size, 0, FIRST_SOLIDS + classes), 1
        ),
        area_totals=_stacked([totals_of(area) for area in areas], (0, STRIP + classes), 0),
        rain=_rain_on_pond(scenario, time, rain, series),
        chlorophyll=chlorophyll,
        dying=dying,
        pump_on=np.asarray(pump_on, dtype=float) * (1 - outage[:, 0]),
        air_on=np.ascontiguousarray(air_on * (1 - outage[:, 1:])),
        outage=outage,
        output=output.astype(np.int64),
        weather_first=float(series.time[0]),
        weather_step=float(series.time[1] - series.time[0]) if series.time.size > 1 else HOUR,
        weather=weather_table(series),
    )
    return forcing, (*series.remarks, *rain.remarks)
