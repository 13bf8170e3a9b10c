"""How far the wet well falls when the pump starts, before the gravity line has caught up."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondsim.constants import GRAVITY

LONGEST = 7200.0  # s looked at
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

    def rates(self, _time: float, state: np.ndarray) -> list[float]:
        """Of the flow in the line [m3/s2] and of the fall of the well [m/s]."""
        flow, fall = state
        lost = self.loss(abs(flow)) * np.sign(flow)
        inertia = GRAVITY * self.pipe_area / max(self.pipe_length, 1.0)
        return [inertia * (fall - lost), (self.pumped(fall) - flow) / self.well_area]

    def until(self, event: Callable[[float, np.ndarray], float], direction: float) -> Any:
        """March from rest, pond and well level, until an event passes zero in a direction."""
        from scipy.integrate import solve_ivp  # noqa: PLC0415  (heavy; only a pond with a wet well needs it)

        event.terminal, event.direction = True, direction  # type: ignore[attr-defined]
        return solve_ivp(
            self.rates, (0.0, LONGEST), [0.0, 0.0], events=event, method="LSODA", rtol=1e-7, atol=1e-9
        )


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

    def caught_up(_time: float, state: np.ndarray) -> float:
        return float(state[0] - swing.pumped(state[1]))

    run = swing.until(caught_up, 1.0)
    if run.t_events[0].size:
        return WellStart(float(run.y_events[0][0][1]), float(run.t_events[0][0]))
    fall = float(run.y[1, -1])
    settled = np.flatnonzero(run.y[1] >= (1.0 - NEARLY) * fall)
    return WellStart(fall, float(run.t[settled[0]]))


def time_to_fall(swing: Swing, fall: float) -> float:
    """Time after the start at which the well has first fallen so far [m]; infinite if it never does. [s]

    Equations as in `well_start`. Without losses the fall is sin(t sqrt(g A/(L well))) Q sqrt(L/(g A well)),
    exact. Raises: nothing.
    """
    if fall <= 0.0:
        return 0.0

    def fallen(_time: float, state: np.ndarray) -> float:
        return float(state[1] - fall)

    run = swing.until(fallen, 1.0)
    return float(run.t_events[0][0]) if run.t_events[0].size else math.inf
