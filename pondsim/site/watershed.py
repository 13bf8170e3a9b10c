"""Rain on drainage areas -> water that reaches the pond.

Ground and directly connected paving shed water apart: averaging their curve numbers would lose the small
storms that only the paving sheds. Each part dries between storms; the runoff of all parts goes through the
unit hydrograph of the area.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pondsim.physics.concentration_time import channel_velocity, shallow_flow_velocity, sheet_flow_time
from pondsim.physics.curve_numbers import curve_number_of
from pondsim.physics.runoff import PAVED_CURVE_NUMBER, excess_of_season, potential_retention
from pondsim.physics.unit_hydrograph import STEP_SHARE, flow_of_excess, unit_hydrograph
from pondsim.scenario.settings import Drainage
from pondsim.site.rain_series import RainSeries

FloatArray = NDArray[np.float64]

SHORTEST_TIME = 360.0  # s, time of concentration of a flow path at least (tr55)


class Ground(NamedTuple):
    """A part of a drainage area that sheds water in one way.

    Attributes
    ----------
    name : cover, "ground" or "connected paving"
    share : of the area. [1]
    curve_number : [1]
    drying : time in which it dries to 1/e. [s]
    paved : whether it is directly connected paving
    """

    name: str
    share: float
    curve_number: float
    drying: float
    paved: bool


class Runoff(NamedTuple):
    """Water of one drainage area; flows at even times, straight lines between, zero at both ends.

    Attributes
    ----------
    rain : on the area, its steps
    grounds : the parts
    excess : (parts, n) runoff of each rain step, per area of the part. [m]
    first, step : first time of the flow and distance between times, seconds since the period's start. [s]
    flow : (m,) [m3/s]
    unit : unit hydrograph at the same step. [m2/s]
    area : [m2]
    """

    rain: RainSeries
    grounds: tuple[Ground, ...]
    excess: FloatArray
    first: float
    step: float
    flow: FloatArray
    unit: FloatArray
    area: float

    @property
    def time(self) -> FloatArray:
        """Times of the flow. [s]"""
        return self.first + self.step * np.arange(self.flow.size, dtype=np.float64)

    @property
    def depth(self) -> FloatArray:
        """Runoff of each rain step over the whole area. [m]"""
        depth: FloatArray = np.array([ground.share for ground in self.grounds]) @ self.excess
        return depth

    @property
    def finer(self) -> int:
        """Steps of the flow in one step of rain."""
        return round(self.rain.step / self.step)

    @property
    def rain_volume(self) -> float:
        """Rain on the area. [m3]"""
        return float(np.sum(self.rain.depth)) * self.area

    @property
    def volume(self) -> float:
        """Water under the hydrograph. [m3]"""
        return float(np.sum(self.flow)) * self.step

    @property
    def losses(self) -> float:
        """Rain that wets, soaks away and dries up. [m3]"""
        shares = np.array([ground.share for ground in self.grounds])
        return float(np.sum(shares @ (self.rain.depth - self.excess))) * self.area

    @property
    def peak(self) -> float:
        """Highest flow. [m3/s]"""
        return float(np.max(self.flow, initial=0.0))


def time_of_concentration(area: Drainage) -> float:
    """Time of concentration as given, or along the flow path; six minutes at least along a path. [s]"""
    if area.time_of_concentration is not None:
        return area.time_of_concentration
    sheets = (sheet_flow_time(f.length, f.roughness, f.slope, f.two_year_rain) for f in area.sheet_flow)
    shallows = (f.length / shallow_flow_velocity(f.slope, f.paved) for f in area.shallow_flow)
    channels = (
        f.length / channel_velocity(f.hydraulic_radius, f.slope, f.roughness) for f in area.channel_flow
    )
    return max(float(sum(sheets) + sum(shallows) + sum(channels)), SHORTEST_TIME)


def grounds_of(area: Drainage) -> tuple[Ground, ...]:
    """Parts of a drainage area; parts of no share are left out."""
    open_share = 1.0 - area.impervious_share
    parts = [Ground("connected paving", area.impervious_share, PAVED_CURVE_NUMBER, area.paving_drying, True)]
    if area.curve_number is not None:
        parts.append(Ground("ground", open_share, area.curve_number, area.drying, False))
    elif area.soil_group is not None:
        parts += [
            Ground(
                part.cover,
                open_share * part.share,
                curve_number_of(part.cover, area.soil_group),
                area.paving_drying if part.cover == "paving" else area.drying,
                False,
            )
            for part in area.cover
        ]
    return tuple(part for part in parts if part.share > 0.0)


def runoff_of(area: Drainage, rain: RainSeries) -> Runoff:
    """Water of a drainage area over the rain.

    Parameters
    ----------
    area : Drainage
        With one way of stating its ground and its time of concentration.
    rain : RainSeries
        On the area.

    Returns
    -------
    Runoff
        Rain is runoff plus losses, and the volume under the hydrograph the runoff times the area, both to
        rounding. The step of the flow divides that of the rain and is 0.133 times the time of
        concentration at most; rain is taken as even within its steps.
    """
    grounds = grounds_of(area)
    excess = np.array([_excess(area, ground, rain) for ground in grounds]).reshape(len(grounds), -1)
    travel = time_of_concentration(area)
    finer = max(math.ceil(rain.step / (STEP_SHARE * travel) - 1e-9), 1)
    step = rain.step / finer
    unit = unit_hydrograph(area.area, travel, step, area.peak_factor)
    runoff = Runoff(rain, grounds, excess, rain.first, step, np.zeros(0), unit, area.area)
    return runoff._replace(flow=arriving(runoff, runoff.depth))


def arriving(runoff: Runoff, depth: FloatArray) -> FloatArray:
    """Flow that depths shed in each rain step, (n,), make at the times of the runoff. [m3/s] for [m]"""
    return flow_of_excess(np.repeat(depth / runoff.finer, runoff.finer), runoff.unit)


def _excess(area: Drainage, ground: Ground, rain: RainSeries) -> FloatArray:
    retention = float(potential_retention(ground.curve_number))
    abstraction = area.abstraction_share * retention
    return excess_of_season(rain.depth, rain.step, retention, abstraction, area.storm_pause, ground.drying)
