"""Storm inflow: what a scenario says of an event -> flow against time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pondsim.errors import Problem, ScenarioError
from pondsim.scenario.settings import Inflow, Period

FloatArray = NDArray[np.float64]

PEAK_SHARE = 1.0 / 3.0  # of the duration passes before the peak; steep rise, slow fall (judgement)


def hydrograph(inflow: Inflow, period: Period) -> tuple[FloatArray, FloatArray]:
    """Flow of one event within the period, straight between the points and zero before the first and after
    the last.

    Volume and duration give a triangle with its peak, twice the mean flow, after a third of the duration.

    Parameters
    ----------
    inflow : Inflow
        Either volume and duration, or the points of a hydrograph.
    period : Period
        Limits of the run; what comes before and after it is cut off.

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
    length = (period.end - period.start).total_seconds()
    if inflow.hydrograph_time:
        time = after + np.array(inflow.hydrograph_time, dtype=float)
        return _cut(time, np.array(inflow.hydrograph_flow, dtype=float), length)
    if inflow.volume is None or inflow.duration is None:
        message = "needs volume and duration, or hydrograph_time and hydrograph_flow"
        raise ScenarioError(Problem(None, None, "inflow", message))
    peak = 2.0 * inflow.volume / inflow.duration
    time = after + inflow.duration * np.array([0.0, PEAK_SHARE, 1.0])
    return _cut(time, np.array([0.0, peak, 0.0]), length)


def _cut(time: FloatArray, flow: FloatArray, length: float) -> tuple[FloatArray, FloatArray]:
    """The part of a hydrograph between 0 and `length` [s], with the flow at which it is cut."""
    edges = np.array([edge for edge in (0.0, length) if time[0] < edge < time[-1]])
    moments = np.union1d(time[(time >= 0.0) & (time <= length)], edges)
    if not moments.size:  # wholly outside
        return np.zeros(1), np.zeros(1)
    return moments, np.interp(moments, time, flow)


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
