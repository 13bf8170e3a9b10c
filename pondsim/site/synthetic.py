"""Invented but reproducible hourly weather around monthly normals.

Each calendar year is drawn as a whole from the seed, so a day has the same weather whatever the period of
the run. Days follow each other by a first-order autoregression; the day's course is a fixed shape; monthly
means are put back to the normals at the end. Spreads and shapes are judgement, for a mid-latitude climate.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import HOUR
from pondsim.physics.oxygen import standard_pressure
from pondsim.physics.radiation import cloud_transmission
from pondsim.physics.water import vapour_pressure
from pondsim.scenario.settings import Period, Place, SyntheticWeather
from pondsim.site.series import WeatherSeries, wind_at_10_m
from pondsim.site.sky import clear_sky

FloatArray = NDArray[np.float64]

DAY_TO_DAY = 0.65  # correlation of one day's anomaly with the next
HOUR_TO_HOUR = 0.85  # the same for an hour's
TEMPERATURE_SPREAD = 2.4  # K, standard deviation of daily means
DEW_POINT_SPREAD = 2.2  # K
CLOUD_ON_TEMPERATURE = -0.35  # correlation: cloudy days are cool
TEMPERATURE_ON_DEW_POINT = 0.6  # correlation: warm days are moist
HOURLY_CLOUD = 0.45  # share of the spread of cloud that comes and goes by the hour
WIND_BY_DAY = 0.30  # standard deviation of the logarithm of daily wind
WIND_BY_HOUR = 0.32  # the same of hourly wind about it
STRONGEST_WIND = 1.0  # the logarithm above its mean goes no further: no gales
WIND_COURSE = 0.45  # amplitude of the day's course of wind, as a share of the mean
WIND_PEAK_HOUR = 14.5
COLDEST_HOUR = 5.0
WARMEST_HOUR = 15.0
CALM_UNDER_CLEAR_SKY = 0.6  # share of the night wind that a clear sky takes away
RANGE_UNDER_CLOUD = 0.8  # how much a sky wholly under cloud narrows the day's range, against a clear one
CORRECTIONS = 4  # rounds of putting monthly means back; each removes most of what is left


class Year(NamedTuple):
    """The hours of one calendar year.

    Attributes
    ----------
    hour : clock hour of each. [h]
    month : 0 is January
    waves : (hours, 12) harmonics of the year
    fit : (12, 12) turns monthly means into the weights of `waves`
    """

    hour: FloatArray
    month: NDArray[np.int64]
    waves: FloatArray
    fit: FloatArray

    def means(self, series: FloatArray) -> FloatArray:
        """Monthly means of an hourly series."""
        return np.bincount(self.month, series) / np.bincount(self.month)

    def smooth(self, monthly: FloatArray) -> FloatArray:
        """Smooth course over the year whose monthly means are exactly `monthly`."""
        return self.waves @ (self.fit @ monthly)


class Hours(NamedTuple):
    """Hourly weather of whole years, before sunlight."""

    air_temperature: FloatArray
    dew_point: FloatArray
    cloud_share: FloatArray
    wind_speed: FloatArray


def synthetic_weather(
    normals: SyntheticWeather, period: Period, place: Place, wind_height: float = 10.0
) -> WeatherSeries:
    """Hourly weather over the period.

    Parameters
    ----------
    normals : SyntheticWeather
        Seed and monthly normals.
    period : Period
        Limits of the run; the series begins on the full hour at or before the start.
    place : Place
        For sunlight and pressure.
    wind_height : float
        Height the normals of the wind were measured at. [m]

    Returns
    -------
    WeatherSeries
        Monthly means of temperature, cloud and wind are the normals over each whole month; the dew point is
        never above the air's temperature. No rain.

    Notes
    -----
    Valid: 66 S to 66 N. Raises: nothing. Months are never warmer or cooler than normal: other summers
    come from other normals, or a hot spell.
    """
    first = period.start.replace(minute=0, second=0, microsecond=0)
    count = int(np.ceil((period.end - first) / timedelta(hours=1))) + 1
    last = first + timedelta(hours=count - 1)
    years = [_one_year(normals, year) for year in range(first.year, last.year + 1)]
    skip = int((first - datetime(first.year, 1, 1)) / timedelta(hours=1))
    hours = Hours(*(np.concatenate(parts)[skip : skip + count] for parts in zip(*years, strict=True)))
    time = (first - period.start).total_seconds() + HOUR * np.arange(count, dtype=np.float64)
    sunlight = clear_sky(time, period.start, place) * cloud_transmission(hours.cloud_share)
    return WeatherSeries(
        time=time,
        air_temperature=hours.air_temperature,
        vapour_pressure=vapour_pressure(hours.dew_point),
        shortwave=sunlight,
        cloud_share=hours.cloud_share,
        wind_speed=wind_at_10_m(hours.wind_speed, wind_height),
        pressure=np.full(count, standard_pressure(place.elevation)),
        rain=np.zeros(count),
        has_rain=False,
    )


def _calendar(year: int) -> Year:
    hours = np.arange(f"{year}-01-01T00", f"{year + 1}-01-01T00", dtype="datetime64[h]")
    month = hours.astype("datetime64[M]").astype(np.int64) % 12
    # an angle that is 0 in mid-January and passes one twelfth of a turn from month to month
    angle = 2.0 * np.pi * ((np.arange(hours.size) + 0.5) / hours.size - 1.0 / 24.0)
    rising = [np.cos(k * angle) for k in range(7)] + [np.sin(k * angle) for k in range(1, 6)]
    waves = np.stack(rising, axis=1)
    monthly = np.stack([np.mean(waves[month == m], axis=0) for m in range(12)])
    clock = (hours - hours.astype("datetime64[D]")).astype(np.float64)
    return Year(hour=clock, month=month, waves=waves, fit=np.linalg.inv(monthly))


def _autoregression(draw: np.random.Generator, count: int, memory: float) -> FloatArray:
    """Normal numbers of unit variance, each leaning on the one before."""
    fresh = draw.standard_normal(count)
    values = np.empty(count)
    value = fresh[0]
    for place, new in enumerate(fresh):
        value = new if place == 0 else memory * value + np.sqrt(1.0 - memory**2) * new
        values[place] = value
    return values


def _by_hour(year: Year, daily: FloatArray) -> FloatArray:
    """Daily values set at noon, straight lines between."""
    hours = np.arange(year.hour.size)
    return np.interp(hours, 24.0 * np.arange(daily.size) + 12.0, daily)


def _one_year(normals: SyntheticWeather, number: int) -> Hours:
    year = _calendar(number)
    draw = np.random.Generator(np.random.PCG64([normals.seed, number]))
    days = year.hour.size // 24
    cloudy, hot, moist, windy = (_autoregression(draw, days, DAY_TO_DAY) for _ in range(4))
    flicker = _autoregression(draw, year.hour.size, HOUR_TO_HOUR)
    gusts = _autoregression(draw, year.hour.size, HOUR_TO_HOUR)
    hot = CLOUD_ON_TEMPERATURE * cloudy + np.sqrt(1.0 - CLOUD_ON_TEMPERATURE**2) * hot
    moist = TEMPERATURE_ON_DEW_POINT * hot + np.sqrt(1.0 - TEMPERATURE_ON_DEW_POINT**2) * moist
    spread = (1.0 - HOURLY_CLOUD) * _by_hour(year, cloudy) + HOURLY_CLOUD * flicker
    cloud = _cloud(year, spread / np.std(spread), np.array(normals.cloud_cover))
    air = _air_temperature(year, _by_hour(year, hot), cloud, normals)
    dew = _dew_point(year, _by_hour(year, moist), air, np.array(normals.dew_point))
    wind = _wind(year, WIND_BY_DAY * _by_hour(year, windy) + WIND_BY_HOUR * gusts, cloud, normals)
    return Hours(air, dew, cloud, wind)


def _cloud(year: Year, spread: FloatArray, normal: FloatArray) -> FloatArray:
    """Cloud share u^p: u even between 0 and 1, p by month such that the mean is the normal."""
    even = 1.0 / (1.0 + np.exp(-1.702 * spread))  # close to the normal distribution function
    low, high = np.full(12, -12.0), np.full(12, 12.0)  # of log p
    for _ in range(50):
        middle = 0.5 * (low + high)
        too_cloudy = year.means(even ** np.exp(middle)[year.month]) > normal
        low, high = np.where(too_cloudy, middle, low), np.where(too_cloudy, high, middle)
    return even ** np.exp(high)[year.month]


def _air_temperature(year: Year, hot: FloatArray, cloud: FloatArray, normals: SyntheticWeather) -> FloatArray:
    """SyntheticWeather, the anomaly of the day and the course of the day, wider under a clear sky."""
    normal, daily_range = np.array(normals.air_temperature), np.array(normals.daily_range)
    of_day = np.repeat(np.mean(cloud.reshape(-1, 24), axis=1), 24)
    width = 1.5 - RANGE_UNDER_CLOUD * of_day
    width *= year.smooth(daily_range / year.means(width))
    air = year.smooth(normal) + TEMPERATURE_SPREAD * hot + width * _course_of_day(year.hour)
    return air + year.smooth(normal - year.means(air))


def _course_of_day(hour: FloatArray) -> FloatArray:
    """Temperature over the day, -0.5 at the coldest hour to 0.5 at the warmest, mean zero over 24 h."""
    rising = (WARMEST_HOUR - COLDEST_HOUR) % 24.0
    since_coldest, since_warmest = (hour - COLDEST_HOUR) % 24.0, (hour - WARMEST_HOUR) % 24.0
    up = -0.5 * np.cos(np.pi * since_coldest / rising)
    down = 0.5 * np.cos(np.pi * since_warmest / (24.0 - rising))
    return np.where(since_coldest < rising, up, down)


def _dew_point(year: Year, moist: FloatArray, air: FloatArray, normal: FloatArray) -> FloatArray:
    """Normals and the anomaly of the day, never above the air's temperature."""
    free = year.smooth(normal) + DEW_POINT_SPREAD * moist
    dew = np.minimum(free, air)
    for _ in range(CORRECTIONS):
        free = free + year.smooth(normal - year.means(dew))
        dew = np.minimum(free, air)
    return dew


def _wind(year: Year, spread: FloatArray, cloud: FloatArray, normals: SyntheticWeather) -> FloatArray:
    """Lognormal about the normals, strongest after noon, calm in clear nights."""
    normal = np.array(normals.wind_speed)
    course = np.cos(2.0 * np.pi * (year.hour - WIND_PEAK_HOUR) / 24.0)
    night = np.maximum(-course, 0.0)
    wind = np.exp(np.minimum(spread, STRONGEST_WIND)) * (1.0 + WIND_COURSE * course)
    wind *= 1.0 - CALM_UNDER_CLEAR_SKY * night * (1.0 - cloud)
    wind *= np.maximum(year.smooth(normal), 0.0)
    for _ in range(CORRECTIONS):
        share = np.divide(normal, year.means(wind), out=np.ones(12), where=normal > 0.0)
        wind *= np.maximum(year.smooth(share), 0.0)
    return wind
