"""What switches equipment beside timers: set points, the wet well's float, power failures."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pondsim.jit.bundle import Bundle
from pondsim.scenario.in_period import overlaps, span_of
from pondsim.scenario.settings import Aeration, Pump, Scenario, SetPoint
from pondsim.site.loop_table import loop_table
from pondsim.site.pond import FloatArray, IntArray

PUMP_NAME = "pump"  # of the circulation pump in a list of systems
TRIP_POLL = 300.0  # s between two polls of the float of the wet well (judgement)
METER_STEP = 300.0  # s, intervals of the electricity meter, by the clock
SEED = 20250515  # of the sensors' noise: the same draws in every run


@dataclass(frozen=True, eq=False)
class ControlSettings(Bundle):
    """Sensors, one row for each set point, and what holds for every system: the pump, then the units."""

    system: IntArray  # (sensors,) what it switches
    zone: IntArray  # (sensors,)
    depth: FloatArray  # (sensors,) under the water surface; NaN where the elevation is given [m]
    elevation: FloatArray  # (sensors,) [m]
    on_below: FloatArray  # (sensors,) [kg/m3]
    off_above: FloatArray  # (sensors,) [kg/m3]
    every: FloatArray  # (sensors,) [s]
    lag: FloatArray  # (sensors,) [s]
    bias: FloatArray  # (sensors,) what it reads too high [kg/m3]
    lowest: FloatArray  # (sensors,) readings end here [kg/m3]
    highest: FloatArray  # (sensors,) and here [kg/m3]
    noise: FloatArray  # (sensors, polls) added to each reading [kg/m3]
    minimum_run: FloatArray  # (systems,) [s]
    minimum_rest: FloatArray  # (systems,) [s]
    trips: int  # 1 where the wet well has a float that stops the pump
    polls: int  # 1 where anything is looked at at all
    controlled: IntArray  # (systems,) 1 where a sensor or the float switches it
    meter_before: float  # s from the last edge of the meter's intervals to the start of the period
    meter_rows: int  # intervals of the electricity meter; 0 where nobody asks what it costs


def control_settings(scenario: Scenario, zones: dict[str, int]) -> ControlSettings:
    """Settings of a scenario; `zones` numbers its zones by name."""
    systems: list[Pump | Aeration | None] = [scenario.pump, *scenario.aeration]
    sensors = [(at, one.set_point) for at, one in enumerate(systems) if one and one.set_point]
    points = [point for _, point in sensors]
    table = loop_table(scenario)
    trips = table is not None and bool(np.isfinite(table.pump_off))
    controlled = np.zeros(len(systems), dtype=np.int64)
    controlled[[at for at, _ in sensors] + ([0] if trips else [])] = 1
    start = scenario.period.start
    length = (scenario.period.end - start).total_seconds()
    before = float((60 * start.minute + start.second) % METER_STEP)

    def values(name: str) -> FloatArray:
        return np.array([getattr(point, name) for point in points], dtype=float)

    return ControlSettings(
        system=np.array([at for at, _ in sensors], dtype=np.int64),
        zone=np.array([zones[point.zone] for point in points], dtype=np.int64),
        depth=values("depth"),
        elevation=values("elevation"),
        on_below=values("on_below"),
        off_above=values("off_above"),
        every=values("every"),
        lag=values("lag"),
        bias=values("bias"),
        lowest=np.array([point.range[0] for point in points], dtype=float),
        highest=np.array([point.range[1] for point in points], dtype=float),
        noise=_noise(points, length),
        minimum_run=np.array([one.minimum_run if one else 0.0 for one in systems], dtype=float),
        minimum_rest=np.array([one.minimum_rest if one else 0.0 for one in systems], dtype=float),
        trips=int(trips),
        polls=int(trips or bool(points)),
        controlled=controlled,
        meter_before=before,
        meter_rows=math.ceil((length + before) / METER_STEP) if scenario.tariff else 0,
    )


def _noise(points: list[SetPoint], length: float) -> FloatArray:
    """Scatter of every reading; each sensor has draws of its own, whatever the others do."""
    if not any(point.noise > 0.0 for point in points):
        return np.zeros((len(points), 1))
    polls = max(int(length / point.every) + 2 for point in points)
    drawn = np.zeros((len(points), polls))
    for row, point in enumerate(points):
        drawn[row] = point.noise * np.random.default_rng([SEED, row]).standard_normal(polls)
    return drawn


@dataclass(frozen=True)
class Failure:
    """One system without power.

    Attributes
    ----------
    system : 0 the pump, then each unit
    begin, end : of the failure, cut at the ends of the period [s]
    rested : when the system may start again: after its least rest from the power's return [s]
    """

    system: int
    begin: float
    end: float
    rested: float


def outages_of(scenario: Scenario) -> list[Failure]:
    """Every outage of the scenario, system by system."""
    start, length = scenario.period.start, (scenario.period.end - scenario.period.start).total_seconds()
    systems: list[tuple[str, Pump | Aeration | None]] = [(PUMP_NAME, scenario.pump)]
    systems += [(unit.name, unit) for unit in scenario.aeration]
    found = []
    for outage in scenario.outage:
        if not overlaps(outage, scenario.period):  # the period may be a part of the scenario's
            continue
        first, last = span_of(outage)
        begin, end = max((first - start).total_seconds(), 0.0), min((last - start).total_seconds(), length)
        for at, (name, one) in enumerate(systems):
            if one is not None and (not outage.systems or name in outage.systems):
                rested = min(end + one.minimum_rest, length)
                found.append(Failure(at, begin, end, rested))
    return found
