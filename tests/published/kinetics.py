"""Beside pondsim.physics.kinetics: published forms that serve tests alone."""

from __future__ import annotations

import math

import numpy as np

from pondsim.physics import Array


def monod(concentration: Array, half_saturation: Array) -> Array:
    """Share of a rate that is left when what it needs runs short.

    Parameters
    ----------
    concentration : float or (n,) array
        Of what limits the rate; below 0 counts as 0. [kg/m3]
    half_saturation : float or (n,) array
        Concentration at which half of the rate is left, above 0. [kg/m3]

    Returns
    -------
    float or (n,) array
        0 to 1. [1]

    Notes
    -----
    Valid: half_saturation > 0. Raises: nothing. Source: monod1949.
    """
    present = np.maximum(concentration, 0.0)
    return present / (half_saturation + present)


def streeter_phelps_critical_deficit(
    decay: float, reaeration: float, ultimate: float, initial_deficit: float
) -> float:
    """Largest oxygen deficit.

    Parameters
    ----------
    decay, reaeration : float
        Rates, base e. [1/s]
    ultimate, initial_deficit : float
        Ultimate demand and deficit at the start. [kg/m3]

    Returns
    -------
    float
        Critical deficit. [kg/m3]

    Notes
    -----
    Also for equal rates, and where the deficit falls from the start. Raises: nothing. Source: streeter1925.
    """
    time = streeter_phelps_critical_time(decay, reaeration, ultimate, initial_deficit)
    return streeter_phelps_deficit(time, decay, reaeration, ultimate, initial_deficit)


def steady_oxygen_over_bed(
    bed_demand: Array, half_saturation: Array, saturation: Array, transfer_velocity: Array
) -> Array:
    """Oxygen at which surface exchange feeds a bed whose demand is limited by oxygen.

    Parameters
    ----------
    bed_demand : float or (n,) array
        Where oxygen abounds, per area of bed equal to that of the surface. [kg/m2/s]
    half_saturation : float or (n,) array
        Oxygen at which half of it is met. [kg/m3]
    saturation : float or (n,) array
        Oxygen saturation. [kg/m3]
    transfer_velocity : float or (n,) array
        Of the surface. [m/s]

    Returns
    -------
    float or (n,) array
        Steady oxygen of mixed water. [kg/m3]

    Notes
    -----
    Positive root of k (Cs - C) = S C/(K + C). Raises: nothing. Source: by derivation.
    """
    half = 0.5 * (half_saturation - saturation + bed_demand / transfer_velocity)
    return -half + np.sqrt(half * half + saturation * half_saturation)


def bed_oxygen_use(bed_demand: Array, time: Array, depth: Array) -> Array:
    """Fall of oxygen in water over a bed within a time.

    Parameters
    ----------
    bed_demand : float or (n,) array
        At the water's temperature. [kg/m2/s]
    time : float or (n,) array
        Time over the bed. [s]
    depth : float or (n,) array
        Mean depth of the water. [m]

    Returns
    -------
    float or (n,) array
        Oxygen used per volume. [kg/m3]

    Notes
    -----
    Valid: while oxygen is left. Raises: nothing. Source: lin2007.
    """
    return bed_demand * time / depth


def streeter_phelps_deficit(
    time: float, decay: float, reaeration: float, ultimate: float, initial_deficit: float
) -> float:
    """Oxygen deficit of water that decays and takes up oxygen from the air.

    Parameters
    ----------
    time : float
        Since the start. [s]
    decay, reaeration : float
        Rates, base e, at the water's temperature. [1/s]
    ultimate : float
        Ultimate demand at the start, not the five-day one. [kg/m3]
    initial_deficit : float
        Saturation minus oxygen at the start. [kg/m3]

    Returns
    -------
    float
        Deficit. [kg/m3]

    Notes
    -----
    Also for equal rates, where the limit is taken. Valid: while oxygen is left. Raises: nothing.
    Source: streeter1925.
    """
    x = (reaeration - decay) * time
    mean = 1.0 - 0.5 * x if abs(x) < 1e-8 else -math.expm1(-x) / x
    return decay * ultimate * time * math.exp(-decay * time) * mean + initial_deficit * math.exp(
        -reaeration * time
    )


def streeter_phelps_critical_time(
    decay: float, reaeration: float, ultimate: float, initial_deficit: float
) -> float:
    """Time of the largest oxygen deficit; 0 where the deficit falls from the start.

    Parameters
    ----------
    decay, reaeration : float
        Rates, base e. [1/s]
    ultimate, initial_deficit : float
        Ultimate demand and deficit at the start. [kg/m3]

    Returns
    -------
    float
        Critical time. [s]

    Notes
    -----
    Also for equal rates. Raises: nothing. Source: streeter1925.
    """
    if reaeration * initial_deficit >= decay * ultimate:
        return 0.0
    excess = (reaeration - decay) / decay
    share = initial_deficit / ultimate
    if abs(excess) < 1e-8:
        return (1.0 - share) / decay
    return (math.log1p(excess) + math.log1p(-excess * share)) / (reaeration - decay)
