"""Oxygen over a waterfall.

The deficit ratio is (saturation - oxygen above)/(saturation - oxygen below); efficiency is 1 - 1/ratio. For
one design the methods differ widely: 4 ft, 300 gpm over 3 ft, clean water, 20 degC gives 0.37 to 0.58.
They differ even in what more steps of the same total drop do: more by Gameson, less by the other two.
"""

from __future__ import annotations

import numpy as np

from pondsim.constants import GRAVITY, HOUR, ZERO_CELSIUS
from pondsim.jit.compiled import compiled
from pondsim.physics import Array
from pondsim.physics.lip import critical_depth

GAMESON, AVERY_NOVAK, NAKASONE = 0, 1, 2  # method codes
METHOD_CODES = {"gameson": GAMESON, "avery_novak": AVERY_NOVAK, "nakasone": NAKASONE}
CLEAN_WATER = 1.8  # a of clean water in the Gameson form, for which the other two methods were made
NAKASONE_POOL = 0.310  # exponent of the pool's depth on the logarithm of the ratio
HIGHEST_GAMESON_DROP = 1.0 / 0.22  # m, where its bracket turns over
VISCOSITY_15C = 1.139e-6  # m2/s, water at 15 degC
NAKASONE_FLOW = 235.0  # m2/h, where its branches change
NAKASONE_DROP = 1.2  # m, likewise
LEAST_FLOW_PER_WIDTH = 1e-6  # m2/s, keeps the power laws finite
KELVIN_15C, KELVIN_20C = 288.15, 293.15


@compiled
def deficit_ratio_gameson(drop: Array, temperature: Array, water_quality: Array, crest: Array) -> Array:
    """Deficit ratio of one free fall, quadratic form; it does not know the flow.

    Parameters
    ----------
    drop : float or (n,) array
        Water level to water level. [m]
    temperature : float or (n,) array
        Water temperature; its effect is included. [K]
    water_quality : float or (n,) array
        a: 1.8 clean, 1.6 slightly, 1.0 moderately, 0.65 grossly polluted. [1]
    crest : float or (n,) array
        b: 0.8 sharp crest with vertical face, 1.0 free jet into a pool. [1]

    Returns
    -------
    float or (n,) array
        Deficit ratio. [1]

    Notes
    -----
    Valid: drop below 3.5 m, 0 to 30 degC; held at its highest value beyond 4.5 m. Raises: nothing.
    Source: butts1983.
    """
    h = np.minimum(drop, HIGHEST_GAMESON_DROP)
    warmth = 1.0 + 0.046 * (temperature - ZERO_CELSIUS)
    return 1.0 + 0.38 * water_quality * crest * h * (1.0 - 0.11 * h) * warmth


@compiled
def deficit_ratio_avery_novak_15C(drop: Array, flow_per_width: Array) -> Array:  # noqa: N802 - degree Celsius
    """Deficit ratio of one free fall of clean water at 15 degC.

    Parameters
    ----------
    drop : float or (n,) array
        Water level to water level. [m]
    flow_per_width : float or (n,) array
        Flow per width of crest. [m2/s]

    Returns
    -------
    float or (n,) array
        Deficit ratio. [1]

    Notes
    -----
    Published with the flow per jet perimeter; if that counts both faces of a sheet, ratio - 1 is 28 % higher.
    Valid: drop to 2 m or so, pool deep enough. Raises: nothing. Source: avery1978; from memory.
    """
    q = np.maximum(flow_per_width, LEAST_FLOW_PER_WIDTH)
    froude = (GRAVITY * drop**3 / (2.0 * q * q)) ** 0.25
    return 1.0 + 0.627e-4 * froude**1.78 * (q / VISCOSITY_15C) ** 0.53


@compiled
def deficit_ratio_nakasone_20C(drop: float, flow_per_width: float, pool_depth: float) -> float:  # noqa: N802
    """Deficit ratio of one free fall at 20 degC, with the depth of the pool below.

    Parameters
    ----------
    drop : float
        Crest to water level below; the head over a broad crest, 1.5 times the critical depth, is added here.
        From water level to water level it is less by that head. [m]
    flow_per_width : float
        Flow per width of crest. [m2/s]
    pool_depth : float
        Depth of the water below. [m]

    Returns
    -------
    float
        Deficit ratio. [1]

    Notes
    -----
    Jumps by 9 % of its logarithm where the flow passes 235 m2/h. Valid: pool deeper than the bubbles go.
    Raises: nothing. Source: nakasone1987; from memory.
    """
    q = max(flow_per_width, LEAST_FLOW_PER_WIDTH)
    z = drop + 1.5 * critical_depth(q)
    q_m2_per_h = HOUR * q
    low, high = (0.0785, 0.0861) if q_m2_per_h <= NAKASONE_FLOW else (5.39, 5.92)
    by_flow = q_m2_per_h**0.428 if q_m2_per_h <= NAKASONE_FLOW else q_m2_per_h**-0.363
    by_drop = low * z**1.31 if z <= NAKASONE_DROP else high * z**0.816
    return np.exp(by_drop * by_flow * max(pool_depth, 0.0) ** NAKASONE_POOL)


@compiled
def bubble_penetration(drop: Array, flow_per_width: Array) -> Array:
    """Depth to which the bubbles under a free fall reach.

    Parameters
    ----------
    drop : float or (n,) array
        Water level to water level. [m]
    flow_per_width : float or (n,) array
        Flow per width of crest. [m2/s]

    Returns
    -------
    float or (n,) array
        Depth below the water surface. [m]

    Notes
    -----
    Froude and Reynolds number as in the deficit ratio of the same authors. Valid: drop to 2 m or so.
    Raises: nothing. Source: avery1978; from memory.
    """
    q = np.maximum(flow_per_width, LEAST_FLOW_PER_WIDTH)
    froude = (GRAVITY * drop**3 / (2.0 * q * q)) ** 0.25
    return 0.00433 * (q / VISCOSITY_15C) ** 0.39 * froude**0.24


@compiled
def shallow_pool_share(drop: float, flow_per_width: float, pool_depth: float) -> float:
    """Share of the logarithm of the deficit ratio that is left over a pool shallower than the bubbles go.

    Parameters
    ----------
    drop : float
        Of one fall, water level to water level. [m]
    flow_per_width : float
        Flow per width of crest. [m2/s]
    pool_depth : float
        Depth of the water below. [m]

    Returns
    -------
    float
        1 where the bubbles have room. [1]

    Notes
    -----
    Nakasone's exponent of the depth, below the depth of bubbles of Avery and Novak: for the methods that do
    not know the pool (judgement). Valid: any depth. Raises: nothing. Source: nakasone1987, avery1978.
    """
    reach = bubble_penetration(drop, flow_per_width)
    if pool_depth >= reach:
        return 1.0
    return (max(pool_depth, 0.0) / reach) ** NAKASONE_POOL


@compiled
def temperature_exponent(temperature: Array) -> Array:
    """Logarithm of the deficit ratio over that at 20 degC.

    Parameters
    ----------
    temperature : float or (n,) array
        Water temperature. [K]

    Returns
    -------
    float or (n,) array
        1 at 20 degC. [1]

    Notes
    -----
    Valid: 0 to 40 degC. Raises: nothing. Source: gulliver1990; from memory.
    """
    t = temperature - KELVIN_20C
    return 1.0 + t * (0.02103 + t * 8.261e-5)


@compiled
def oxygen_below(oxygen_above: Array, saturation: Array, deficit_ratio: Array) -> Array:
    """Oxygen below the fall; water above saturation loses oxygen by the same ratio.

    Parameters
    ----------
    oxygen_above : float or (n,) array
        Oxygen of the water coming to the lip. [kg/m3]
    saturation : float or (n,) array
        Saturation under the air's pressure. [kg/m3]
    deficit_ratio : float or (n,) array
        Of the whole fall. [1]

    Returns
    -------
    float or (n,) array
        Oxygen below. [kg/m3]

    Notes
    -----
    Valid: any. Raises: nothing. Source: by definition.
    """
    return saturation - (saturation - oxygen_above) / deficit_ratio


@compiled
def waterfall_deficit_ratio(
    method_code: int,
    drop_total: float,
    width: float,
    flow: float,
    steps: int,
    temperature: float,
    water_quality: float,
    crest: float,
    pool_depth: float,
) -> float:
    """Deficit ratio of a waterfall of equal free falls, by one method.

    Parameters
    ----------
    method_code : int
        One of `METHOD_CODES`: 0 Gameson form, 1 Avery and Novak, 2 Nakasone.
    drop_total, width : float
        Drop of all steps together, water level to water level, and width of the lip. [m]
    flow : float
        Over the lip; at 0 or less the ratio is 1. [m3/s]
    steps : int
        Number of free falls.
    temperature : float
        Of the water. Each method's own temperature effect is applied, once. [K]
    water_quality : float
        a of the Gameson form. The other two are for clean water: a/1.8 scales their ratio less 1 (judgement).
        [1]
    crest : float
        b, used by the Gameson form only. [1]
    pool_depth : float
        Depth below each fall. Nakasone's form knows it; the other two lose where the bubbles reach the
        bed, see `shallow_pool_share`. [m]

    Returns
    -------
    float
        Deficit ratio. [1]

    Notes
    -----
    Valid: as each method. Raises: nothing. Source: butts1983, avery1978, nakasone1987, gulliver1990.
    """
    if flow <= 0.0 or drop_total <= 0.0:
        return 1.0
    drop = drop_total / steps
    q = flow / width
    quality = water_quality / CLEAN_WATER
    if method_code == NAKASONE:
        clean = deficit_ratio_nakasone_20C(drop - 1.5 * critical_depth(q), q, pool_depth)
        return (1.0 + quality * (clean - 1.0)) ** (temperature_exponent(temperature) * steps)
    left = shallow_pool_share(drop, q, pool_depth)
    if method_code == GAMESON:
        return deficit_ratio_gameson(drop, temperature, water_quality, crest) ** (left * steps)
    exponent = temperature_exponent(temperature) / temperature_exponent(KELVIN_15C)
    clean = deficit_ratio_avery_novak_15C(drop, q)
    return (1.0 + quality * (clean - 1.0)) ** (exponent * left * steps)
