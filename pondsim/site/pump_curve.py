"""The pumps as a value: head and power at each flow, at their speed, side by side."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pondsim.constants import GRAVITY, WATER_DENSITY
from pondsim.physics.pumps import (
    affinity_head,
    affinity_power,
    generic_efficiency,
    generic_head,
    monotone_slopes,
    on_curve,
    water_power,
)
from pondsim.scenario.settings import Pump
from pondsim.site.pond import FloatArray

GENERIC_POINTS = 61  # of the curve drawn through one point


@dataclass(frozen=True, eq=False)
class PumpCurve:
    """One pump at the speed its curve is given for, how many run side by side, and how fast.

    Attributes
    ----------
    flow : (n,) rising [m3/s]
    head : (n,) falling [m]
    shaft_power : (n,) of one pump; empty where one efficiency serves at all flows [W]
    efficiency : of the pump alone at all flows; None where it is not known or `shaft_power` is [1]
    motor_efficiency : [1]
    wire_to_water : used where nothing is known of the pump alone [1]
    count, speed : pumps, and their speed over that of the curve
    stated : whether the points were given, not drawn through one
    """

    flow: FloatArray
    head: FloatArray
    shaft_power: FloatArray
    efficiency: float | None
    motor_efficiency: float
    wire_to_water: float
    count: int
    speed: float
    stated: bool

    @property
    def least_flow(self) -> float:
        """Flow of all pumps at the first point given. [m3/s]"""
        return self.count * self.speed * float(self.flow[0])

    @property
    def most_flow(self) -> float:
        """Flow of all pumps at the last point given. [m3/s]"""
        return self.count * self.speed * float(self.flow[-1])

    @cached_property
    def _slopes(self) -> FloatArray:
        return np.asarray(monotone_slopes(self.flow, self.head))

    def head_at(self, flow: float | FloatArray) -> FloatArray:
        """Head when the pumps together give `flow` [m3/s]; below 0 far right of the curve. [m]"""
        own = np.asarray(flow) / (self.count * self.speed)
        return np.asarray(affinity_head(self.speed) * on_curve(own, self.flow, self.head, self._slopes))

    def shaft_power_at(self, flow: float) -> float | None:
        """Power at the shafts of all pumps; None where only wire to water is known. [W]"""
        if self.shaft_power.size:
            own = flow / (self.count * self.speed)
            one = max(float(on_curve(own, self.flow, self.shaft_power)), 0.0)
            return self.count * float(affinity_power(self.speed)) * one
        if self.efficiency is None:
            return None
        return float(water_power(flow, max(float(self.head_at(flow)), 0.0), self.efficiency))

    def electric_power_at(self, flow: float) -> float:
        """Power at the meter, all pumps. [W]"""
        shaft = self.shaft_power_at(flow)
        if shaft is not None:
            return shaft / self.motor_efficiency
        return float(water_power(flow, max(float(self.head_at(flow)), 0.0), self.wire_to_water))


def pump_curve(pump: Pump) -> PumpCurve | None:
    """Curve of a scenario's pump; None where its flow is stated."""
    if pump.flow is not None:
        return None
    if pump.curve_flow:
        flow, head = np.array(pump.curve_flow), np.array(pump.curve_head)
    else:
        assert pump.rated_flow is not None and pump.rated_head is not None
        most = pump.rated_flow * float(np.sqrt(pump.shutoff_share / (pump.shutoff_share - 1.0)))
        flow = np.linspace(0.0, most, GENERIC_POINTS)
        head = np.asarray(generic_head(flow, pump.rated_flow, pump.rated_head, pump.shutoff_share))
    power, efficiency = _power(pump, flow, head)
    return PumpCurve(
        flow,
        head,
        power,
        efficiency,
        pump.motor_efficiency,
        pump.wire_to_water,
        pump.count,
        pump.speed,
        bool(pump.curve_flow),
    )


def _power(pump: Pump, flow: FloatArray, head: FloatArray) -> tuple[FloatArray, float | None]:
    """Shaft power at the points, or none and one efficiency for all."""
    if pump.curve_power:
        return np.array(pump.curve_power), None
    if pump.curve_efficiency:
        return _shaft_power(flow, head, np.array(pump.curve_efficiency)), None
    if pump.efficiency is not None and pump.rated_flow is not None and not pump.curve_flow:
        efficiency = np.asarray(generic_efficiency(flow, pump.rated_flow, pump.efficiency))
        return _shaft_power(flow, head, efficiency), None
    return np.array([]), pump.efficiency


def _shaft_power(flow: FloatArray, head: FloatArray, efficiency: FloatArray) -> FloatArray:
    """Power from efficiency; where that is nothing, straight on from the two points beside it."""
    known = (flow > 0.0) & (efficiency > 0.0)
    power = WATER_DENSITY * GRAVITY * flow[known] * head[known] / efficiency[known]
    if known.sum() == 1:
        return np.full(flow.size, float(power[0]))
    return np.maximum(on_curve(flow, flow[known], power), 0.0)
