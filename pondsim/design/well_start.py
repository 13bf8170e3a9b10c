"""How far the wet well falls when the pump starts, before the gravity line has caught up."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from pondsim.constants import GRAVITY
from pondsim.design.march import march_until

LONGEST = 7200.0  # s looked at
ERROR = 1e-7  # in a step
NEARLY = 0.02  # share of its fall at which a well that does not swing is called settled


@dataclass(frozen=True)
class WellStart:
    """The first fall of the well: lowest water below the pond [m], seconds after the start [s]."""

    fall: float
    time: float


@dataclass(frozen=True)
class Swing:
    """A well, its gravity line and its pump.

    Attributes
    ----------
    loss : head lost from the pond to the well [m], a function of the flow [m3/s]
    pumped : flow of the pump [m3/s], a function of the well's fall below the pond [m]
    pipe_length, pipe_area, well_area : of the gravity line; plan area of the well [m], [m2], [m2]
    """

    loss: Callable[[float], float]
    pumped: Callable[[float], float]
    pipe_length: float
    pipe_area: float
    well_area: float

    def rates(self, state: np.ndarray) -> np.ndarray:
        """Of the flow in the line [m3/s2] and of the fall of the well [m/s]."""
        flow, fall = float(state[0]), float(state[1])
        lost = math.copysign(self.loss(abs(flow)), flow)
        inertia = GRAVITY * self.pipe_area / max(self.pipe_length, 1.0)
        return np.array([inertia * (fall - lost), (self.pumped(fall) - flow) / self.well_area])

    def until(self, met: Callable[[np.ndarray], float]) -> tuple[float, float, bool]:
        """Time [s] and fall [m] from rest, pond and well level, to where a condition is met, if it is."""
        time, state, reached = march_until(self.rates, np.zeros(2), met, LONGEST, ERROR)
        return time, float(state[1]), reached


def well_start(swing: Swing) -> WellStart:
    """Fall of the well after the pump starts at once, pond and well level before.

    Returns
    -------
    WellStart
        The first lowest point; where the well comes to rest without swinging, its rest.

    Notes
    -----
    The water of the line moves as one body: L/(g A) dq/dt = fall - loss(q), well dfall/dt = pumped - q, as
    in a surge tank. Without losses the fall is Q sqrt(L/(g A well)), exact. Pump and discharge are taken as
    full and up to speed at once, so a slow start falls less. Raises: nothing. Source: chow1988 (momentum).
    """

    time, fall, swings = swing.until(lambda state: float(state[0]) - swing.pumped(float(state[1])))
    return WellStart(fall, time if swings else time_to_fall(swing, (1.0 - NEARLY) * fall))


def time_to_fall(swing: Swing, fall: float) -> float:
    """Time after the start at which the well has first fallen so far [m]; infinite if it never does. [s]

    Equations as in `well_start`. Without losses the fall is sin(t sqrt(g A/(L well))) Q sqrt(L/(g A well)),
    exact. Raises: nothing.
    """
    if fall <= 0.0:
        return 0.0
    time, _, reached = swing.until(lambda state: float(state[1]) - fall)
    return time if reached else math.inf
