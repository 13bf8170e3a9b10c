"""The design sheet: what a scenario describes, in numbers that need no run, and the hand check."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.constants import DAY
from pondsim.design.daily import is_at_most, share_of_day
from pondsim.design.starving import most_of_intake
from pondsim.design.waterfall import WARM, oxygen_efficiencies
from pondsim.physics.bubbles import destratification_air_flow, standard_transfer
from pondsim.physics.kinetics import temperature_factor
from pondsim.physics.waterfall import METHOD_CODES
from pondsim.scenario.defaults import parameter_value
from pondsim.scenario.settings import Aeration, Pump, Scenario, Waterfall, Zone
from pondsim.site.at_once import mean_of_fullest_day, most_at_once
from pondsim.site.circulation_line import circulation_line, delivered, electric_power, pump_head, well_level
from pondsim.site.dredged import zones_at
from pondsim.site.equipment import unit_air, unit_power
from pondsim.site.inflow import event_volume, hydrograph
from pondsim.site.rain import rain_series
from pondsim.site.rain_series import rain_of_weather, storms_of
from pondsim.site.timers import switch_times
from pondsim.site.watershed import runoff_of, time_of_concentration
from pondsim.site.weather import weather_series

DEFICIT = 4e-3  # kg/m3, oxygen lacking from saturation in the hand check


@dataclass(frozen=True)
class ZoneSheet:
    """A zone at normal pool: area [m2], volume [m3], most depth [m], bed demand when warm [kg/s]."""

    name: str
    area: float
    volume: float
    depth: float
    bed_takes: float


@dataclass(frozen=True)
class LoopSheet:
    """The circulation loop.

    Attributes
    ----------
    flow : what the line delivers at normal pool [m3/s]
    head : total head there [m]
    power : electric, there [W]
    hours : run over the period [h]
    share_of_day : of a day in season, run by the timer [1]
    at_most : whether a set point or an outage makes that less
    stops : whether the wet well falls to pump-off at normal pool while the pump runs: it cannot go on
    most : flow the intake can give there; infinite where nothing limits it [m3/s]
    turnover : nominal turnover time at normal pool by the flow of the mean day [s]
    renewed_within : target time to renew the pond [s]
    renewal_flow : flow that does so by the waterfall alone [m3/s]
    efficiency : share of the oxygen deficit that the waterfall makes up when warm [1]
    efficiencies : the same by each published method [1]
    oxygen : oxygen it adds in the mean of the day at a deficit of 4 mg/L when warm [kg/s]
    oxygen_range : the same by the published methods, least and most [kg/s]
    cover : water over the intake's center at the lowest pool known [m]
    flow_per_width : over the lip [m2/s]
    splash : water lost to splash and wind while the pump runs [m3/s]
    """

    flow: float
    head: float
    power: float
    hours: float
    share_of_day: float
    at_most: bool
    stops: bool
    most: float
    turnover: float
    renewed_within: float
    renewal_flow: float
    efficiency: float
    efficiencies: tuple[float, ...]
    oxygen: float
    oxygen_range: tuple[float, float]
    cover: float
    flow_per_width: float
    splash: float

    @property
    def mean_flow(self) -> float:
        """Over the day, nothing where it cannot go on. [m3/s]"""
        return 0.0 if self.stops else self.share_of_day * self.flow


@dataclass(frozen=True)
class UnitSheet:
    """An aeration unit: depth [m], air in all [standard m3/s], SOTR [kg/s], power [W], hours run [h].

    `share_of_day` is that of a day in season, run by the timer; `at_most` where a set point or an outage
    makes it less.
    """

    name: str
    zone: str
    depth: float
    diffusers: int
    air_flow: float
    transfer: float
    power: float
    hours: float
    share_of_day: float
    at_most: bool


@dataclass(frozen=True)
class AreaSheet:
    """A drainage area over the period: [m2], [s], [m3], [m3], [m3/s]."""

    name: str
    area: float
    time_of_concentration: float
    rain: float
    runoff: float
    peak: float


@dataclass(frozen=True)
class Sheet:
    """A whole design.

    Attributes
    ----------
    days : length of the period [d]
    air_at_once : most air of units that run at one time [standard m3/s]
    transfer : SOTR of all units in the mean of the day on which they give most [kg/s]
    air_by_rule : air by the areal rule [standard m3/s]
    storms, storm_water : storms of the rain, and the water of these and of stated inflow events [m3]
    """

    title: str
    days: float
    zones: tuple[ZoneSheet, ...]
    loop: LoopSheet | None
    units: tuple[UnitSheet, ...]
    air_at_once: float
    transfer: float
    air_by_rule: float
    storms: int
    storm_water: float
    areas: tuple[AreaSheet, ...] = ()

    @property
    def area(self) -> float:
        """Plan area at normal pool. [m2]"""
        return sum(zone.area for zone in self.zones)

    @property
    def volume(self) -> float:
        """Volume at normal pool. [m3]"""
        return sum(zone.volume for zone in self.zones)

    @property
    def bed_takes(self) -> float:
        """Oxygen demand of the whole bed when warm. [kg/s]"""
        return sum(zone.bed_takes for zone in self.zones)

    @property
    def energy(self) -> float:
        """Electricity over the period by the timers, without a loop that cannot go on. [J]"""
        loop = self.loop.power * self.loop.hours if self.loop and not self.loop.stops else 0.0
        return 3600.0 * (loop + sum(unit.power * unit.hours for unit in self.units))


def design_sheet(scenario: Scenario) -> Sheet:
    """Numbers of a design that need no run.

    Parameters
    ----------
    scenario : Scenario
        As `read_scenario` returns it.

    Returns
    -------
    Sheet
        SI throughout; the timers' hours in hours.

    Notes
    -----
    The hand check takes 28 degC and a deficit of 4 mg/L: a hot week's night. Raises: nothing.
    """
    zones = tuple(_zone(zone, scenario) for zone in zones_at(scenario, 0.0))
    loop = None
    if scenario.pump and scenario.waterfall and scenario.intake:
        loop = _loop(scenario, scenario.pump, scenario.waterfall, sum(zone.volume for zone in zones))
    storms, areas = _drainage(scenario)
    units = tuple(_unit(unit, scenario) for unit in scenario.aeration)
    timed = (scenario.aeration, scenario.period)
    return Sheet(
        title=scenario.title,
        days=(scenario.period.end - scenario.period.start).total_seconds() / DAY,
        zones=zones,
        loop=loop,
        units=units,
        air_at_once=most_at_once(*timed, [unit.air_flow for unit in units]),
        transfer=mean_of_fullest_day(*timed, [unit.transfer for unit in units]),
        air_by_rule=float(destratification_air_flow(sum(zone.area for zone in zones))),
        storms=storms,
        storm_water=sum(event_volume(*hydrograph(event, scenario.period)) for event in scenario.inflow)
        + sum(a.runoff for a in areas),
        areas=areas,
    )


def _drainage(scenario: Scenario) -> tuple[int, tuple[AreaSheet, ...]]:
    """Number of storms in the rain, and what each drainage area makes of them."""
    if not scenario.drainage:
        return 0, ()
    if scenario.rain is not None:
        rain = rain_series(scenario.rain, scenario.period, scenario.place.utc_offset)
    else:
        rain = rain_of_weather(weather_series(scenario.weather, scenario.period, scenario.place))
    areas = []
    for area in scenario.drainage:
        runoff, travel = runoff_of(area, rain), time_of_concentration(area)
        areas.append(AreaSheet(area.name, area.area, travel, runoff.rain_volume, runoff.volume, runoff.peak))
    return len(storms_of(rain)), tuple(areas)


def _zone(zone: Zone, scenario: Scenario) -> ZoneSheet:
    """Areas are linear between the stages of the table."""
    pool = scenario.pond.normal_pool
    stages = np.array([*(stage for stage in zone.stage if stage < pool), pool])
    areas = np.interp(stages, zone.stage, zone.area)
    demand = scenario.bed.oxygen_demand if zone.bed_oxygen_demand is None else zone.bed_oxygen_demand
    warmth = float(temperature_factor(scenario.bed.oxygen_demand_theta, WARM))
    return ZoneSheet(
        zone.name,
        float(areas[-1]),
        float(np.trapezoid(areas, stages)),
        pool - zone.stage[0],
        float(areas[-1]) * demand * warmth,
    )


def _hours_run(equipment: Pump | Aeration, scenario: Scenario) -> float:
    on, off = switch_times(equipment.hours, equipment.season, scenario.period)
    return float(np.sum(off - on)) / 3600.0


def _loop(scenario: Scenario, pump: Pump, waterfall: Waterfall, volume: float) -> LoopSheet:
    line, pool = circulation_line(scenario), scenario.pond.normal_pool
    assert line is not None
    flow = delivered(line, pool)
    efficiencies = oxygen_efficiencies(scenario, waterfall, flow)
    efficiency = efficiencies[METHOD_CODES[waterfall.method]]
    low = scenario.pond.normal_pool if scenario.pond.low_pool is None else scenario.pond.low_pool
    assert scenario.intake is not None
    share = share_of_day(pump)
    stops = well_level(line, flow, pool) < line.pump_off
    mean_flow = 0.0 if stops else share * flow
    lacking = mean_flow * DEFICIT
    return LoopSheet(
        flow=flow,
        head=pump_head(line, flow, pool),
        power=electric_power(line, flow, pool),
        hours=_hours_run(pump, scenario),
        share_of_day=share,
        at_most=is_at_most(pump, scenario),
        stops=stops,
        most=most_of_intake(line, scenario, pool)[0],
        turnover=volume / mean_flow if mean_flow > 0.0 else float("inf"),
        renewed_within=scenario.judging.renewed_within,
        renewal_flow=volume / scenario.judging.renewed_within,
        efficiency=efficiency,
        efficiencies=efficiencies,
        oxygen=lacking * efficiency,
        oxygen_range=(lacking * min(efficiencies), lacking * max(efficiencies)),
        cover=low - scenario.intake.elevation,
        flow_per_width=flow / waterfall.width,
        splash=flow * waterfall.splash_loss,
    )


def _unit(unit: Aeration, scenario: Scenario) -> UnitSheet:
    depth = scenario.pond.normal_pool - unit.elevation
    air = unit.diffusers * unit_air(unit, scenario)
    efficiency = unit.transfer_efficiency
    if efficiency is None:
        efficiency = parameter_value(f"aeration.transfer_efficiency_{unit.kind}")
    return UnitSheet(
        unit.name,
        unit.zone,
        depth,
        unit.diffusers,
        air,
        float(standard_transfer(air, efficiency, depth)),
        unit_power(unit, scenario),
        _hours_run(unit, scenario),
        share_of_day(unit),
        is_at_most(unit, scenario),
    )
