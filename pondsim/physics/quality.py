"""What runoff carries: event mean concentrations by land use, their spread, loads and the first flush."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from pondsim.physics import Array


class Quality(NamedTuple):
    """Concentrations of runoff, or their spread.

    Attributes
    ----------
    suspended_solids, bod5, cod : [kg/m3]
    kjeldahl_nitrogen, nitrate_nitrogen, phosphorus : as N, N and P. [kg/m3]
    """

    suspended_solids: float
    bod5: float
    cod: float
    kjeldahl_nitrogen: float
    nitrate_nitrogen: float
    phosphorus: float


def _quality(*mg_per_L: float) -> Quality:
    return Quality(*(value * 1e-3 for value in mg_per_L))


# Medians over sites of event mean concentrations (nurp1983; from memory, not verified, but for total
# phosphorus of residential and commercial land). No five-day demand was measured on open land: it is taken
# from the other demand there in the ratio of mixed land (judgement).
MEDIANS: dict[str, Quality] = {
    "residential": _quality(101.0, 10.0, 73.0, 1.900, 0.736, 0.383),
    "mixed": _quality(67.0, 7.8, 65.0, 1.288, 0.558, 0.263),
    "commercial": _quality(69.0, 9.3, 57.0, 1.179, 0.572, 0.201),
    "open": _quality(70.0, 4.8, 40.0, 0.965, 0.543, 0.121),
}
# Coefficients of variation between events (nurp1983; from memory, not verified in text).
VARIATIONS: dict[str, Quality] = {
    "residential": Quality(0.96, 0.41, 0.55, 0.73, 0.83, 0.69),
    "mixed": Quality(1.14, 0.52, 0.58, 0.50, 0.67, 0.75),
    "commercial": Quality(0.85, 0.31, 0.39, 0.43, 0.48, 0.67),
    "open": Quality(2.9, 0.78, 0.78, 1.00, 0.91, 1.66),
}
AMMONIUM_SHARE = 0.23  # of Kjeldahl nitrogen in runoff (judgement); 0.3 mg/L for mixed land
# Shares that ride on solids, and stay with them in a buffer strip (judgement).
SHARE_ON_SOLIDS = {"bod5": 0.5, "ammonium": 0.0, "phosphorus": 0.6}


def lognormal_mean(median: Array, variation: Array) -> Array:
    """Mean of a lognormal quantity; loads of many storms follow from it, not from the median.

    Parameters
    ----------
    median : float or (n,) array
        Half of the events lie below it. [any unit]
    variation : float or (n,) array
        Standard deviation over mean. [1]

    Returns
    -------
    float or (n,) array
        Median times sqrt(1 + v^2). [that unit]

    Notes
    -----
    Valid: lognormal spread. Raises: nothing. Source: nurp1983 (that events are lognormal), exact.
    """
    return median * (1.0 + variation * variation) ** 0.5


def first_flush(passed: Array, exponent: Array = 1.0) -> Array:
    """Share of an event's mass in the first part of its water.

    Parameters
    ----------
    passed : float or (n,) array
        Share of the event's volume. [1]
    exponent : float or (n,) array, default 1
        1: no first flush; 0.6: half of the mass in the first third; about 0.2: 80 % in the first third. [1]

    Returns
    -------
    float or (n,) array
        passed^exponent. [1]

    Notes
    -----
    The concentration at the very beginning has no limit, so masses are taken as differences over finite
    volumes. Valid: exponent above 0. Raises: nothing. Source: bertrand1998; from memory, not verified.
    """
    return np.asarray(passed, dtype=float) ** exponent
