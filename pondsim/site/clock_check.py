"""Clocks that the sun contradicts: sunlight against the computed sun, daily swings of water against noon."""

from __future__ import annotations

import math
from datetime import datetime
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import DAY, HOUR
from pondsim.scenario.settings import Place
from pondsim.site.sky import clear_sky

FloatArray = NDArray[np.float64]

LEAST_DAYS = 3.0  # of sunlight, below which clouds may hide anything (judgement)
DARK = 100.0  # W/m2 that the brightest hour must have
COARSE, FINE = 0.5 * HOUR, HOUR / 12.0  # s between lags tried
FURTHEST = 12.0 * HOUR  # s
CLOCK_OFF = 0.75 * HOUR  # s: what is more is no matter of clouds (judgement; see tests)
HALF_STEP = (0.3, 0.7)  # share of a step by which sunlight is off where stamps are not at its center

# The daily swing of water follows light like a leaky store: its first harmonic lags noon by
# atan(w/k)/w, 6 h where nothing leaks (k = 0) and less with exchange k. Oxygen of a pond's top forgets in
# one half to several days: 4 to 6 h. Temperature of a thin top layer: 2.5 to 6 h. (Judgement on k.)
LAGS = {"dissolved_oxygen": (4.8 * HOUR, 2.5 * HOUR), "water_temperature": (4.0 * HOUR, 3.0 * HOUR)}
SWING_DAYS = 4.0  # that a swing must last
LEAST_SWING = 0.3  # mg/L or degC of half its range
EXPLAINED = 0.2  # share of the variance within days that one wave must explain
DEEPEST = 2.0  # m: below, the swing may come hours later


class Offset(NamedTuple):
    """A clock that is off: stamps run ahead of the pond's standard time by `seconds`.

    `error` is by how much that may be wrong; `half_step` says that it is a matter of what stamps stand for.
    """

    seconds: float
    error: float
    half_step: bool = False


def sunlight_offset(
    time: FloatArray, sunlight: FloatArray, start: datetime, place: Place, step: float
) -> float | None:
    """By how much stamps of sunlight run ahead of the sun.

    Parameters
    ----------
    time : (n,) array
        Seconds since `start` as the stamps have them. [s]
    sunlight : (n,) array
        Mean over a step centered on each time; NaN where missing. [W/m2]
    start : datetime
        Local standard time.
    place : Place
        Where the sun stands.
    step : float
        Between times. [s]

    Returns
    -------
    float or None
        The shift at which the computed clear sky fits best, -12 to 12 h; None where there is too little
        sunlight to tell. [s]

    Notes
    -----
    Least squares with a free factor, the highest correlation about zero: the dark hours before sunrise and
    after sunset weigh most. Error: about 10 minutes with some days of broken cloud. Raises: nothing.
    """
    good = np.isfinite(sunlight)
    if good.sum() * step < LEAST_DAYS * DAY or np.max(sunlight[good], initial=0.0) < DARK:
        return None
    at, light = np.asarray(time)[good], np.maximum(sunlight[good], 0.0)

    def fit(lag: float) -> float:
        sky = clear_sky(at - lag, start, place, step)
        return float(np.sum(light * sky) / math.sqrt(np.sum(sky * sky) or 1.0))

    coarse = np.arange(-FURTHEST, FURTHEST, COARSE)
    best = float(coarse[int(np.argmax([fit(lag) for lag in coarse]))])
    fine = best + np.arange(-COARSE, COARSE + FINE, FINE)
    return float(fine[int(np.argmax([fit(lag) for lag in fine]))])


def sunlight_clock(
    time: FloatArray, sunlight: FloatArray, start: datetime, place: Place, step: float
) -> Offset | None:
    """A clock that sunlight contradicts, arguments as of `sunlight_offset`; None where they agree."""
    found = sunlight_offset(time, sunlight, start, place, step)
    if found is None:
        return None
    if abs(found) >= CLOCK_OFF:
        return Offset(round(found / (0.25 * HOUR)) * 0.25 * HOUR, 0.25 * HOUR)
    share = abs(found) / step
    if step >= 0.5 * HOUR and HALF_STEP[0] <= share <= HALF_STEP[1]:
        return Offset(math.copysign(0.5 * step, found), 0.2 * step, half_step=True)
    return None


def swing_peak(time: FloatArray, values: FloatArray) -> tuple[float, float, float] | None:
    """The daily wave of a series: time of day of its peak, half its range, and the share it explains.

    Parameters
    ----------
    time : (n,) array
        Since a midnight of local standard time. [s]
    values : (n,) array
        NaN where missing.

    Returns
    -------
    (float, float, float) or None
        Peak [s after midnight], amplitude, share of the variance within days [1]; None where there are fewer
        than four days or a day has fewer than eight readings.
    """
    good = np.isfinite(values)
    at, value = np.asarray(time)[good], np.asarray(values)[good]
    if at.size < 8 or at[-1] - at[0] < SWING_DAYS * DAY or at.size * DAY / (at[-1] - at[0]) < 8.0:
        return None
    day = np.floor(at / DAY).astype(np.int64)
    day -= day[0]
    count = np.bincount(day)
    means = np.bincount(day, value) / np.maximum(count, 1)
    middles = np.bincount(day, at) / np.maximum(count, 1)
    whole = count > 0
    within = value - np.interp(at, middles[whole], means[whole])
    angle = 2.0 * np.pi * at / DAY
    waves = np.stack([np.cos(angle), np.sin(angle), np.ones_like(angle)], axis=1)
    (along, across, _), *_ = np.linalg.lstsq(waves, within, rcond=None)
    wave = along * waves[:, 0] + across * waves[:, 1]
    explained = float(np.var(wave) / np.var(within)) if np.var(within) > 0.0 else 0.0
    peak = math.atan2(across, along) / (2.0 * math.pi) * DAY % DAY
    return peak, math.hypot(along, across), explained


def swing_clock(
    variable: str, time: FloatArray, values: FloatArray, depth: float | None, place: Place
) -> Offset | None:
    """A clock that the daily swing of oxygen or temperature contradicts; None where it may be right.

    Parameters
    ----------
    variable : str
        What was read.
    time : (n,) array
        Since a midnight of what the stamps call local standard time. [s]
    values : (n,) array
        In mg/L or degC; NaN where missing.
    depth : float or None
        Below the surface; deeper than 2 m nothing is said. [m]
    place : Place
        For solar noon.

    Notes
    -----
    One hour of daylight saving time is within what wind and shade do to a swing, and is not seen. Raises:
    nothing. Source: first harmonic of a store that leaks at a constant rate (exact); its rates are judgement.
    """
    if variable not in LAGS or depth is None or depth > DEEPEST:
        return None
    found = swing_peak(time, values)
    if found is None or found[1] < LEAST_SWING or found[2] < EXPLAINED:
        return None
    noon = 12.0 * HOUR - (math.degrees(place.longitude) / 15.0 * HOUR - place.utc_offset)
    lag, spread = LAGS[variable]
    off = (found[0] - noon - lag + 0.5 * DAY) % DAY - 0.5 * DAY
    return Offset(round(off / HOUR) * HOUR, spread) if abs(off) > spread else None
