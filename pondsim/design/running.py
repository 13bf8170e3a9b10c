"""What equipment that follows its timers alone would cost, and the current its supply must carry."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pondsim.scenario.settings import Aeration, Pump, Scenario
from pondsim.site.bill import bill_of
from pondsim.site.circulation_line import circulation_line, delivered, electric_power
from pondsim.site.control import METER_STEP, PUMP_NAME, control_settings
from pondsim.site.equipment import unit_power
from pondsim.site.pond import FloatArray
from pondsim.site.timers import switch_times

THREE = 3  # phases, whose power is sqrt(3) times volts and amps of a line


@dataclass(frozen=True)
class TimerCost:
    """An estimate: power at normal pool, by the timers, no set point, trip or outage; money in `currency`."""

    energy: float
    demand: float
    fixed: float
    currency: str

    @property
    def all(self) -> float:
        """All charges over the period."""
        return self.energy + self.demand + self.fixed


@dataclass(frozen=True)
class Amps:
    """Current of one motor.

    Attributes
    ----------
    system : "pump" or the unit's name
    current : in each line [A]
    power : electric, that it follows from [W]
    full_load : whether that is of the nameplate; else of normal pool
    volts, phases, power_factor : of the supply, as stated
    """

    system: str
    current: float
    power: float
    full_load: bool
    volts: float
    phases: int
    power_factor: float


def line_current(power: float, volts: float, phases: int, power_factor: float) -> float:
    """Current in each line of a supply. [A]

    Parameters
    ----------
    power : electric [W]
    volts : between the two lines of one phase, or between any two of three [V]
    phases : 1 or 3
    power_factor : power over volts times amps [1]

    Notes
    -----
    Exact for a balanced load. Starting draws several times as much. Raises: nothing.
    """
    return power / (volts * power_factor * (math.sqrt(THREE) if phases == THREE else 1.0))


def systems_of(scenario: Scenario) -> list[tuple[str, Pump | Aeration, float]]:
    """Name, settings and electric power at normal pool [W] of the pump and of each unit."""
    found: list[tuple[str, Pump | Aeration, float]] = []
    line = circulation_line(scenario)
    if scenario.pump is not None and line is not None:
        pool = scenario.pond.normal_pool
        found.append((PUMP_NAME, scenario.pump, electric_power(line, delivered(line, pool), pool)))
    return found + [(unit.name, unit, unit_power(unit, scenario)) for unit in scenario.aeration]


def amps_of(scenario: Scenario) -> tuple[Amps, ...]:
    """Current of every motor whose supply is stated: full load where a nameplate is, else at normal pool."""
    found = []
    for name, one, running in systems_of(scenario):
        volts, phases, factor = one.volts, one.phases, one.power_factor
        if volts is None or phases is None or factor is None:
            continue
        power, full_load = running, False
        if isinstance(one, Pump):
            power = running / one.count
            if one.nameplate_power is not None:
                power, full_load = one.nameplate_power / one.motor_efficiency, True
        current = line_current(power, volts, phases, factor)
        found.append(Amps(name, current, power, full_load, volts, phases, factor))
    return tuple(found)


@dataclass(frozen=True)
class TimerBill:
    """Electricity over the period by the timers [J], and what it costs: None without a tariff."""

    energy: float
    money: float | None
    currency: str


def timer_bill(scenario: Scenario) -> TimerBill:
    """What all equipment of a design takes where it follows its timers at normal pool."""
    cost = timer_cost(scenario)
    energy = 0.0
    for _, one, power in systems_of(scenario):
        on, off = switch_times(one.hours, one.season, scenario.period)
        energy += power * float(np.sum(off - on))
    return TimerBill(energy, None if cost is None else cost.all, "" if cost is None else cost.currency)


def timer_cost(scenario: Scenario) -> TimerCost | None:
    """Cost of the period where all equipment follows its timers; None without a tariff."""
    if scenario.tariff is None:
        return None
    settings = control_settings(scenario, {zone.name: at for at, zone in enumerate(scenario.zone)})
    length = (scenario.period.end - scenario.period.start).total_seconds()
    edges = np.clip(np.arange(settings.meter_rows + 1) * METER_STEP - settings.meter_before, 0.0, length)
    pump = np.zeros((settings.meter_rows, 0 if scenario.pump else 1))  # the meter keeps its place
    columns = [power * np.diff(_time_on(one, scenario, edges)) for _, one, power in systems_of(scenario)]
    meter = np.column_stack([pump, *columns])
    data = bill_of(scenario, settings, meter, np.array([0.0, length])).data
    energy, demand, fixed = (
        float(data[f"bill_{part}_charge"][1].sum()) for part in ("energy", "demand", "fixed")
    )
    return TimerCost(energy, demand, fixed, scenario.tariff.currency)


def _time_on(one: Pump | Aeration, scenario: Scenario, moments: FloatArray) -> FloatArray:
    """How long the timer was on until each moment. [s]"""
    on, off = switch_times(one.hours, one.season, scenario.period)
    run = np.concatenate([[0.0], np.cumsum(off - on)])
    switched = np.ravel(np.column_stack([on, off]))
    total = np.ravel(np.column_stack([run[:-1], run[1:]]))
    return np.interp(moments, switched, total) if switched.size else np.zeros_like(moments)
