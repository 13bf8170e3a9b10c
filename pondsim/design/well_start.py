"""How far the wet well falls when the pump starts, before the gravity line has caught up."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp

from pondsim.constants import GRAVITY

LONGEST = 7200.0  # s looked at
NEARLY = 0.02  # share of its fall at which a well that does not swing is called settled


@dataclass(frozen=True)
class WellStart:
    """The first fall of the well: lowest water below the pond [m], seconds after the start [s]."""

    fall: float
    time: float


def well_start(
    loss: Callable[[float], float],
    pumped: Callable[[float], float],
    pipe_length: float,
    pipe_area: float,
    well_area: float,
) -> WellStart:
    """Fall of the well after the pump starts at once, pond and well level before.

    Parameters
    ----------
    loss : function of flow [m3/s]
        Head lost from the pond to the well. [m]
    pumped : function of the well's fall below the pond [m]
        Flow of the pump. [m3/s]
    pipe_length, pipe_area, well_area : float
        Of the gravity line; plan area of the well. [m], [m2], [m2]

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
    rates = _rates(loss, pumped, pipe_length, pipe_area, well_area)

    def caught_up(_time: float, state: np.ndarray) -> float:
        return float(state[0] - pumped(state[1]))

    caught_up.terminal, caught_up.direction = True, 1.0  # type: ignore[attr-defined]
    run = solve_ivp(rates, (0.0, LONGEST), [0.0, 0.0], events=caught_up, method="LSODA", rtol=1e-7, atol=1e-9)
    if run.t_events[0].size:
        return WellStart(float(run.y_events[0][0][1]), float(run.t_events[0][0]))
    fall = float(run.y[1, -1])
    settled = np.flatnonzero(run.y[1] >= (1.0 - NEARLY) * fall)
    return WellStart(fall, float(run.t[settled[0]]))


def time_to_fall(
    loss: Callable[[float], float],
    pumped: Callable[[float], float],
    pipe_length: float,
    pipe_area: float,
    well_area: float,
    fall: float,
) -> float:
    """Time after the start at which the well has first fallen so far [m]; infinite if it never does. [s]

    Arguments and equations as in `well_start`. Without losses sin(t sqrt(g A/(L well))) Q sqrt(L/(g A well))
    is the fall, exact. Raises: nothing.
    """
    if fall <= 0.0:
        return 0.0

    def fallen(_time: float, state: np.ndarray) -> float:
        return float(state[1] - fall)

    fallen.terminal = True  # type: ignore[attr-defined]
    rates = _rates(loss, pumped, pipe_length, pipe_area, well_area)
    run = solve_ivp(rates, (0.0, LONGEST), [0.0, 0.0], events=fallen, method="LSODA", rtol=1e-7, atol=1e-9)
    return float(run.t_events[0][0]) if run.t_events[0].size else math.inf


def _rates(
    loss: Callable[[float], float],
    pumped: Callable[[float], float],
    pipe_length: float,
    pipe_area: float,
    well_area: float,
) -> Callable[[float, np.ndarray], list[float]]:
    """Rates of the flow in the line [m3/s2] and of the fall of the well [m/s]."""
    inertia = GRAVITY * pipe_area / max(pipe_length, 1.0)

    def rates(_time: float, state: np.ndarray) -> list[float]:
        flow, fall = state
        lost = loss(abs(flow)) * np.sign(flow)
        return [inertia * (fall - lost), (pumped(fall) - flow) / well_area]

    return rates
