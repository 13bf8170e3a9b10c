"""Starts and stops of a pump between two floats."""

from __future__ import annotations

from pondsim.physics import Array


def least_band_volume(cycle: Array, flow: Array) -> Array:
    """Volume between start and stop for a least time from start to start.

    Parameters
    ----------
    cycle : float or (n,) array
        Least time. [s]
    flow : float or (n,) array
        Of the pump. [m3/s]

    Returns
    -------
    float or (n,) array
        A quarter of what the pump moves in that time. [m3]

    Notes
    -----
    Worst where the inflow is half the pump's flow. One pump; two in turn want half. Raises: nothing.
    Source: ei11c201.
    """
    return 0.25 * cycle * flow


def cycle_time(volume: Array, flow: Array, inflow: Array) -> Array:
    """Time from start to start.

    Parameters
    ----------
    volume : float or (n,) array
        Between the floats. [m3]
    flow, inflow : float or (n,) array
        Of the pump and into the well, inflow above 0 and below flow. [m3/s]

    Returns
    -------
    float or (n,) array
        Emptying and filling together. [s]

    Notes
    -----
    Raises: nothing. Source: by derivation.
    """
    return volume / (flow - inflow) + volume / inflow


def most_starts(volume: Array, flow: Array) -> Array:
    """Most starts of one pump in a time, at the worst inflow.

    Parameters
    ----------
    volume : float or (n,) array
        Between the floats. [m3]
    flow : float or (n,) array
        Of the pump. [m3/s]

    Returns
    -------
    float or (n,) array
        Inverse of `cycle_time` at half the flow. [1/s]

    Notes
    -----
    Raises: nothing. Source: ei11c201.
    """
    return 1.0 / cycle_time(volume, flow, 0.5 * flow)
