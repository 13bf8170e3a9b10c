"""Runoff to flow: the dimensionless unit hydrograph, and the course of a design storm."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import DAY, HOUR
from pondsim.physics import Array

FloatArray = NDArray[np.float64]

# Time over time to peak, flow over peak flow (nrcs2007, table 16-1).
TABLE_TIME = np.concatenate([np.arange(0.0, 2.05, 0.1), np.arange(2.2, 4.05, 0.2), [4.5, 5.0]])
TABLE_FLOW = np.array(
    [
        *(0.0, 0.030, 0.100, 0.190, 0.310, 0.470, 0.660, 0.820, 0.930, 0.990, 1.000),
        *(0.990, 0.930, 0.860, 0.780, 0.680, 0.560, 0.460, 0.390, 0.330, 0.280),
        *(0.207, 0.147, 0.107, 0.077, 0.055, 0.040, 0.029, 0.021, 0.015, 0.011),
        *(0.005, 0.000),
    ]
)
TABLE_PEAK_FACTOR = 484.0
PEAK_UNIT = 5280.0**2 / 12.0 / 3600.0  # 645.33, the peak factor of a hydrograph of area 1: mi2 in/h -> ft3/s
GAMMA_END = 1e-4  # share of the volume cut off at the end of a gamma shape
LAG_SHARE = 0.6  # lag over time of concentration
STEP_SHARE = 0.133  # longest step advised, over time of concentration

# Type II storm: hour, share of the day's rain fallen (scs1973; copies differ after 12.5 h).
TYPE_II = (
    ((0.0, 2.0, 4.0, 6.0), (0.0, 0.022, 0.048, 0.080)),
    ((7.0, 8.0, 8.5, 9.0, 9.5, 9.75), (0.098, 0.120, 0.133, 0.147, 0.163, 0.172)),
    ((10.0, 10.5, 11.0, 11.5, 11.75, 12.0), (0.181, 0.204, 0.235, 0.283, 0.357, 0.663)),
    ((12.5, 13.0, 13.5, 14.0, 16.0, 20.0, 24.0), (0.735, 0.772, 0.799, 0.820, 0.880, 0.952, 1.0)),
)
TYPE_II_TIME = np.array([hour for hours, _ in TYPE_II for hour in hours]) * HOUR  # s
TYPE_II_SHARE = np.array([share for _, shares in TYPE_II for share in shares])


def time_to_peak(duration: Array, concentration_time: Array) -> Array:
    """Time from the beginning of a short rain to the peak of its runoff.

    Parameters
    ----------
    duration : float or (n,) array
        Of the rain; about 0.133 times the time of concentration, and no more than a quarter. [s]
    concentration_time : float or (n,) array
        Time the water takes from the farthest point. [s]

    Returns
    -------
    float or (n,) array
        D/2 + 0.6 Tc. [s]

    Notes
    -----
    Valid: any. Raises: nothing. Source: nrcs2007.
    """
    return 0.5 * duration + LAG_SHARE * concentration_time


def gamma_peak_factor(exponent: float) -> float:
    """Peak factor of the unit hydrograph (t/Tp)^m exp(m (1 - t/Tp)).

    Parameters
    ----------
    exponent : float
        m, above 0. [1]

    Returns
    -------
    float
        645.33 over the area under the shape, m^(m+1) exp(-m) / gamma(m+1). [1]

    Notes
    -----
    Valid: m 0.2 to 30. Raises: nothing. Source: nrcs2007 (shape), by derivation (area).
    """
    log_area = math.lgamma(exponent + 1.0) + exponent - (exponent + 1.0) * math.log(exponent)
    return PEAK_UNIT * math.exp(-log_area)


def gamma_exponent(peak_factor: float) -> float:
    """Exponent m of the gamma shape that has a given peak factor; the inverse of `gamma_peak_factor`.

    Parameters
    ----------
    peak_factor : float
        100 to 900. [1]

    Returns
    -------
    float
        m. [1]

    Notes
    -----
    By bisection. Raises: nothing. Source: nrcs2007.
    """
    low, high = 0.05, 50.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if gamma_peak_factor(middle) < peak_factor else (low, middle)
    return 0.5 * (low + high)


def dimensionless_flow(relative_time: Array, peak_factor: float = TABLE_PEAK_FACTOR) -> Array:
    """Flow over peak flow of the unit hydrograph.

    Parameters
    ----------
    relative_time : float or (n,) array
        Time over time to peak. [1]
    peak_factor : float, default 484
        484 takes the published ordinates, straight lines between; another takes the gamma shape of that
        peak factor, which for 484 would differ from the ordinates by up to 0.08. [1]

    Returns
    -------
    float or (n,) array
        Share of the peak flow. [1]

    Notes
    -----
    Valid: peak factor 100 to 900. Raises: nothing. Source: nrcs2007 (table 16-1).
    """
    t = np.asarray(relative_time, dtype=float)
    if peak_factor == TABLE_PEAK_FACTOR:
        return np.interp(t, TABLE_TIME, TABLE_FLOW, right=0.0)
    m = gamma_exponent(peak_factor)
    inside = np.maximum(t, 1e-300)
    return np.where(t > 0.0, np.exp(m * (np.log(inside) + 1.0 - inside)), 0.0)


def shape_end(peak_factor: float = TABLE_PEAK_FACTOR) -> float:
    """Time over time to peak at which the unit hydrograph is taken to end.

    Parameters
    ----------
    peak_factor : float, default 484
        100 to 900. [1]

    Returns
    -------
    float
        5 for the published ordinates; for a gamma shape the time with 0.01 % of the volume to come. [1]

    Notes
    -----
    Raises: nothing. Source: nrcs2007, judgement (where a gamma shape is cut).
    """
    if peak_factor == TABLE_PEAK_FACTOR:
        return float(TABLE_TIME[-1])
    t = np.linspace(0.0, 60.0, 6001)
    passed = np.cumsum(dimensionless_flow(t, peak_factor))
    return float(t[np.searchsorted(passed, (1.0 - GAMMA_END) * passed[-1]) + 1])


def unit_hydrograph(
    area: float, concentration_time: float, step: float, peak_factor: float = TABLE_PEAK_FACTOR
) -> FloatArray:
    """Flow from one metre of runoff within one step, at multiples of the step.

    Parameters
    ----------
    area : float
        That drains. [m2]
    concentration_time : float
        Time the water takes from the farthest point. [s]
    step : float
        Of rain and of flow; a quarter of the time of concentration at most. [s]
    peak_factor : float, default 484
        See `dimensionless_flow`. [1]

    Returns
    -------
    (n,) array
        Flow at 0, D, 2 D ... of which the first and the last are 0. [m2/s]

    Notes
    -----
    Scaled so that the trapezoids under it hold exactly the area times one metre: the published ordinates
    hold 0.2 % more. Raises: nothing. Source: nrcs2007.
    """
    relative = step / time_to_peak(step, concentration_time)
    count = math.ceil(shape_end(peak_factor) / relative) + 1
    shape = np.asarray(dimensionless_flow(relative * np.arange(count), peak_factor), dtype=float)
    shape[0] = shape[-1] = 0.0
    return shape * (area / (step * np.sum(shape)))


def flow_of_excess(excess: FloatArray, unit: FloatArray) -> FloatArray:
    """Flow at multiples of the step from the runoff of each step.

    Parameters
    ----------
    excess : (n,) array
        Runoff depth of each step. [m]
    unit : (m,) array
        From `unit_hydrograph` with the same step. [m2/s]

    Returns
    -------
    (n + m - 1,) array
        Flow from the beginning of the first step on; straight lines between. [m3/s]

    Notes
    -----
    The volume under it is the sum of the runoff times the area. Raises: nothing. Source: nrcs2007.
    """
    return np.convolve(excess, unit)


def rain_fallen(
    time: Array,
    curve_time: Array = TYPE_II_TIME,
    curve_share: Array = TYPE_II_SHARE,
    duration: float = DAY,
) -> Array:
    """Share of a design storm's rain that has fallen by a time.

    Parameters
    ----------
    time : float or (n,) array
        Since the storm began. [s]
    curve_time, curve_share : (m,) arrays
        Cumulative curve, from 0 to 1; Type II when left out. [s], [1]
    duration : float, default 24 h
        The curve is stretched to it from its own length. [s]

    Returns
    -------
    float or (n,) array
        Share, straight lines between the points. [1]

    Notes
    -----
    Valid: Type II was drawn for 24 h. Raises: nothing. Source: scs1973 (Type II).
    """
    curve_time = np.asarray(curve_time, dtype=float)
    return np.interp(np.asarray(time, dtype=float) * (curve_time[-1] / duration), curve_time, curve_share)
