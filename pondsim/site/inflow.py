"""Storm inflow: what a scenario says of an event -> flow against time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pondsim.errors import Problem, ScenarioError
from pondsim.scenario.settings import Inflow, Period

FloatArray = NDArray[np.float64]

PEAK_SHARE = 1.0 / 3.0  # of the duration passes before the peak; steep rise, slow fall (judgement)


def hydrograph(inflow: Inflow, period: Period) -> tuple[FloatArray, FloatArray]:
    """Flow of one event, straight between the points and zero before the first and after the last.

    Volume and duration give a triangle with its peak, twice the mean flow, after a third of the duration.

    Parameters
    ----------
    inflow : Inflow
        Either volume and duration, or the points of a hydrograph.
    period : Period
        Limits of the run; an event may run on past its end.

    Returns
    -------
    time : (n,) array
        Seconds since the start of the period. [s]
    flow : (n,) array
        Flow at those times. [m3/s]

    Raises
    ------
    ScenarioError
        When neither form is given in full.
    """
    after = (inflow.start - period.start).total_seconds()
    if inflow.hydrograph_time:
        return (
            after + np.array(inflow.hydrograph_time, dtype=float),
            np.array(inflow.hydrograph_flow, dtype=float),
        )
    if inflow.volume is None or inflow.duration is None:
        message = "needs volume and duration, or hydrograph_time and hydrograph_flow"
        raise ScenarioError(Problem(None, None, "inflow", message))
    peak = 2.0 * inflow.volume / inflow.duration
    time = after + inflow.duration * np.array([0.0, PEAK_SHARE, 1.0])
    return time, np.array([0.0, peak, 0.0])


def flow_at(moment: float | FloatArray, time: FloatArray, flow: FloatArray) -> float | FloatArray:
    """Flow of an event at any moment; zero outside it.

    Parameters
    ----------
    moment : float or (m,) array
        Seconds since the start of the period. [s]
    time, flow : (n,) arrays
        As returned by `hydrograph`. [s], [m3/s]

    Returns
    -------
    float or (m,) array
        [m3/s]
    """
    return np.interp(moment, time, flow, left=0.0, right=0.0)


def event_volume(time: FloatArray, flow: FloatArray) -> float:
    """Volume under a hydrograph of straight lines, exact. [m3]"""
    return float(np.sum(0.5 * (flow[1:] + flow[:-1]) * np.diff(time)))
