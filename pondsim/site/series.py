"""The hourly weather of a run as plain arrays, and what is laid over it: wind height, hot spells."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import HOUR
from pondsim.physics.water import vapour_pressure
from pondsim.records import Record
from pondsim.scenario.settings import HotSpell, Period

FloatArray = NDArray[np.float64]

ROUGHNESS = (
    0.03  # m, open ground with short grass, where weather stations stand (WMO; from memory, not verified)
)
REFERENCE_HEIGHT = 10.0  # m, height of the wind in all equations
SPELL_EDGE = 6.0 * HOUR  # s, a hot spell comes and goes over this time (judgement)


class WeatherSeries(NamedTuple):
    """Weather at evenly spaced times; straight lines between them.

    Attributes
    ----------
    time : seconds since the start of the period; the first is not after it, the last not before its end. [s]
    air_temperature : [K]
    vapour_pressure : of the air. [Pa]
    shortwave : sunlight on a level surface, mean over one step centred on the time. [W/m2]
    cloud_share : share of the sky under cloud. [1]
    wind_speed : at 10 m over open ground. [m/s]
    pressure : at the pond, not reduced to sea level. [Pa]
    rain : [m/s]
    records : what was filled in or estimated
    has_rain : whether the source says how much it rains
    """

    time: FloatArray
    air_temperature: FloatArray
    vapour_pressure: FloatArray
    shortwave: FloatArray
    cloud_share: FloatArray
    wind_speed: FloatArray
    pressure: FloatArray
    rain: FloatArray
    records: tuple[Record, ...] = ()
    has_rain: bool = True


def weather_bridged(values: int) -> Record:
    """That missing values of the weather file were filled."""
    return Record("weather_bridged", numbers={"values": (values, "1")})


def wind_at_10_m(speed: FloatArray, height: float) -> FloatArray:
    """Wind at 10 m from wind at another height, by the logarithmic profile over short grass.

    Parameters
    ----------
    speed : (n,) array
        Measured at `height`. [m/s]
    height : float
        Height of the anemometer above ground. [m]

    Notes
    -----
    u10 = u ln(10/z0) / ln(z/z0), z0 = 0.03 m. Valid: neutral air, height 1 to 50 m. On a still night the
    true profile is steeper: a low anemometer then gives too little. Source: textbook form, from memory.
    """
    if height == REFERENCE_HEIGHT:
        return speed
    return speed * (math.log(REFERENCE_HEIGHT / ROUGHNESS) / math.log(height / ROUGHNESS))


def lay_hot_spells(
    series: WeatherSeries, spells: Sequence[HotSpell], period: Period, clear_sky: FloatArray
) -> WeatherSeries:
    """The weather with hot, still days laid over it.

    Each spell warms the air at unchanged relative humidity, scales the wind and, if asked, clears the sky;
    it comes and goes over six hours, inside its stated length.

    Parameters
    ----------
    series : WeatherSeries
        Weather without the spells.
    spells : sequence of HotSpell
        Parts outside the period have no effect.
    period : Period
        Limits of the run.
    clear_sky : (n,) array
        Sunlight without cloud at the times of the series. [W/m2]

    Returns
    -------
    WeatherSeries
        A new series; the one given is not changed.
    """
    for spell in spells:
        begin = (spell.start - period.start).total_seconds()
        to_edge = np.minimum(series.time - begin, begin + spell.duration - series.time)
        weight = np.clip(to_edge / min(SPELL_EDGE, spell.duration / 2.0), 0.0, 1.0)
        warmer = series.air_temperature + spell.warmer * weight
        moister = vapour_pressure(warmer) / vapour_pressure(series.air_temperature)
        clearing = weight if spell.clear_sky else np.zeros_like(weight)
        brighter = np.maximum(clear_sky - series.shortwave, 0.0)
        series = series._replace(
            air_temperature=warmer,
            vapour_pressure=series.vapour_pressure * moister,
            wind_speed=series.wind_speed * (1.0 + weight * (spell.wind_factor - 1.0)),
            cloud_share=series.cloud_share * (1.0 - clearing),
            shortwave=series.shortwave + clearing * brighter,
        )
    return series
