"""The air line of every aeration unit in numbers that need no run."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.physics.air_pipes import standard_from_free
from pondsim.physics.bubbles import destratification_air_flow, standard_transfer
from pondsim.physics.plume import bubble_plume
from pondsim.physics.water import water_density
from pondsim.scenario.defaults import parameter_value
from pondsim.scenario.settings import Aeration, Scenario
from pondsim.site.air_line import AirPoint, air_point
from pondsim.site.air_source import SourceCurve, inlet_pressure, source_curve
from pondsim.site.at_once import most_at_once
from pondsim.site.dredged import zones_at

JULY_TOP = 300.15  # K, 27 degC at the top of a pond in July (judgement)
JULY_DIFFERENCES = (5.0, 10.0)  # K, by which the water at the diffuser is cooler, falling evenly (judgement)
PLUME_LAYER = 0.05  # m, thickness of the layers in which the plume of the sheet rises


@dataclass(frozen=True)
class PlumeStop:
    """How far the plume of one diffuser gets in water that is evenly layered.

    Attributes
    ----------
    difference : by which the water at the diffuser is cooler than at the top [K]
    below : depth below the water surface at which it stops; 0 where it reaches the surface [m]
    lifted : water it carries there [m3/s]
    """

    difference: float
    below: float
    lifted: float


@dataclass(frozen=True)
class AirUnit:
    """One unit at normal pool, low pool and bank top.

    Attributes
    ----------
    name, zone : of the unit, and where its diffusers lie
    source : "blower", "compressor", or "" where it is not stated
    diffusers : their number
    normal, low, high : the air line at normal pool, low pool (normal pool where none is stated), bank top
    curve : of the source; None where the air flow is stated
    free_air : of the whole unit at normal pool, as it enters the source [m3/s]
    transfer : oxygen into oxygen-free clean water at 20 degC, normal pool (SOTR) [kg/s]
    per_energy : the same per electric energy (standard aeration efficiency); None without power [kg/J]
    plumes : stops of the plume of one diffuser in the layered water of a July
    """

    name: str
    zone: str
    source: str
    diffusers: int
    normal: AirPoint
    low: AirPoint
    high: AirPoint
    curve: SourceCurve | None
    free_air: float
    transfer: float
    per_energy: float | None
    plumes: tuple[PlumeStop, ...]

    @property
    def air_per_diffuser(self) -> float:
        """At normal pool. [standard m3/s]"""
        return self.normal.air_flow / self.diffusers


@dataclass(frozen=True)
class AirSheet:
    """All units; the areal rule for mixing a lake beside them.

    Attributes
    ----------
    units : in the order of the file
    air_by_rule : air that the areal rule asks for the whole pond [m3/s]
    deepest : water at normal pool over the deepest bed [m]
    air_flow : most of units that run at one time, at normal pool [standard m3/s]
    """

    units: tuple[AirUnit, ...]
    air_by_rule: float
    deepest: float
    air_flow: float


def air_sheet(scenario: Scenario) -> AirSheet:
    """Numbers of the aeration that need no run.

    Parameters
    ----------
    scenario : Scenario
        As `read_scenario` returns it.

    Returns
    -------
    AirSheet
        SI throughout.

    Notes
    -----
    A source that cannot overcome the depth shows an air flow of 0. The plume stands in water that is 27 degC
    at the top and evenly cooler downward: an assumption, no forecast. Raises: nothing.
    """
    pool = scenario.pond.normal_pool
    wet = [zone for zone in zones_at(scenario, 0.0) if zone.stage[0] < pool]
    area = sum(float(np.interp(pool, zone.stage, zone.area)) for zone in wet)
    units = tuple(_unit(unit, scenario) for unit in scenario.aeration)
    return AirSheet(
        units=units,
        air_by_rule=float(destratification_air_flow(area)),
        deepest=max(pool - zone.stage[0] for zone in wet),
        air_flow=most_at_once(scenario.aeration, scenario.period, [unit.normal.air_flow for unit in units]),
    )


def _unit(unit: Aeration, scenario: Scenario) -> AirUnit:
    pond = scenario.pond
    low_pool = pond.normal_pool if pond.low_pool is None else pond.low_pool
    normal, low, high = (
        air_point(unit, scenario, max(level - unit.elevation, 0.0))
        for level in (pond.normal_pool, low_pool, pond.bank_top)
    )
    efficiency = unit.transfer_efficiency
    if efficiency is None:
        efficiency = parameter_value(f"aeration.transfer_efficiency_{unit.kind}")
    transfer = float(standard_transfer(normal.air_flow, efficiency, normal.depth))
    per_free = float(standard_from_free(1.0, inlet_pressure(scenario), unit.inlet_temperature))
    each = normal.air_flow / unit.diffusers
    return AirUnit(
        name=unit.name,
        zone=unit.zone,
        source=unit.source or "",
        diffusers=unit.diffusers,
        normal=normal,
        low=low,
        high=high,
        curve=source_curve(unit, scenario),
        free_air=normal.air_flow / per_free,
        transfer=transfer,
        per_energy=transfer / normal.power if normal.power > 0.0 else None,
        plumes=tuple(plume_stop(each, normal.depth, scenario, cooler) for cooler in JULY_DIFFERENCES),
    )


def plume_stop(air_flow: float, depth: float, scenario: Scenario, difference: float) -> PlumeStop:
    """How far the plume of one diffuser rises through water that is evenly cooler downward.

    Parameters
    ----------
    air_flow : float
        Of the diffuser. [standard m3/s]
    depth : float
        Water over it. [m]
    scenario : Scenario
        For the air pressure of the place.
    difference : float
        By which the water at the diffuser is cooler than at the top. [K]

    Returns
    -------
    PlumeStop
        SI.

    Notes
    -----
    The first plume only: bubbles go on above a stop and lift a little more. Raises: nothing. Source:
    wuest1992 (simplified).
    """
    count = max(round(depth / PLUME_LAYER), 4)
    edges = np.linspace(0.0, max(depth, 0.01), count + 1)
    middle = 0.5 * (edges[1:] + edges[:-1])
    temperature = JULY_TOP - difference * (1.0 - middle / edges[-1])
    density = np.array(water_density(temperature), dtype=float)
    entrained = np.zeros(count)
    height, _ = bubble_plume(
        air_flow, edges[1:].copy(), edges[:-1].copy(), density, 0.0, inlet_pressure(scenario), entrained
    )
    return PlumeStop(difference, float(edges[-1] - height), float(entrained.sum()))
