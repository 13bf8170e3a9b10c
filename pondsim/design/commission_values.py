"""What is read on start-up day, the flows that follow, and what was promised."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Readings:
    """What was read; None where it was not. SI.

    Attributes
    ----------
    pond : water surface of the pond [m]
    lip : head over the crest, read some way back from it [m]
    broad : whether the crest is a broad stone, not a sharp edge
    rise, time : of the well just after a stop [m], [s]
    gauge, gauge_elevation : pressure on the discharge [Pa], and where [m]
    well : water surface in the well while it runs [m]
    amps, volts, phases, power_factor : at the pump's panel
    """

    pond: float
    lip: float | None = None
    broad: bool = False
    rise: float | None = None
    time: float | None = None
    gauge: float | None = None
    gauge_elevation: float | None = None
    well: float | None = None
    amps: float | None = None
    volts: float | None = None
    phases: int | None = None
    power_factor: float | None = None


@dataclass(frozen=True)
class Flow:
    """The flow by one reading.

    Attributes
    ----------
    name : "lip", "well rise", "gauge and line", "gauge and pump curve" or "amps and pump curve"
    flow : None where the reading fits no flow [m3/s]
    error : half width [m3/s]
    direct : whether it knows the water itself, not by the pump's curve or the line as drawn
    note : what to know of it
    """

    name: str
    flow: float | None
    error: float
    direct: bool
    note: str = ""

    @property
    def low(self) -> float:
        """Least flow it allows. [m3/s]"""
        return (self.flow or 0.0) - self.error

    @property
    def high(self) -> float:
        """Most flow it allows. [m3/s]"""
        return (self.flow or 0.0) + self.error


@dataclass(frozen=True)
class Promise:
    """What the design says at the pond's level of that day; SI, None where it does not know."""

    flow: float
    head: float
    lip: float
    well: float | None
    power: float
    gauge: float | None


def agree(one: Flow, other: Flow) -> bool:
    """Whether the ranges of two readings meet."""
    return one.low <= other.high and other.low <= one.high
