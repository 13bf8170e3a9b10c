"""The weather of a run: from a CSV file or invented around normals, with hot spells laid over it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import DAY, HOUR
from pondsim.errors import Problem, ScenarioError
from pondsim.jit.compiled import compiled
from pondsim.physics.oxygen import standard_pressure
from pondsim.physics.radiation import cloud_transmission
from pondsim.physics.water import vapour_pressure
from pondsim.records import Record
from pondsim.scenario.settings import Period, Place, Weather
from pondsim.site.clock_check import sunlight_clock
from pondsim.site.dated_head import Faults
from pondsim.site.series import WeatherSeries, lay_hot_spells, weather_bridged, wind_at_10_m
from pondsim.site.shelter import sheltered_share
from pondsim.site.sky import clear_sky, cloud_from_light
from pondsim.site.synthetic import synthetic_weather
from pondsim.site.typical_year import read_typical_year
from pondsim.site.weather_checks import bridge, check_dew_and_pressure, check_times
from pondsim.site.weather_fill import read_with_fill

FloatArray = NDArray[np.float64]

# Columns of the table the time loop reads.
(
    AIR_TEMPERATURE,
    VAPOUR_PRESSURE,
    SHORTWAVE,
    CLOUD_SHARE,
    WIND_SPEED,
    PRESSURE,
    RAIN,
) = range(7)

LONGEST_SAME = 2.0 * DAY  # s for which a value may stay the same without a word (judgement)


def weather_series(weather: Weather, period: Period, place: Place) -> WeatherSeries:
    """Weather of the run, from the source the scenario names, with its hot spells.

    Parameters
    ----------
    weather : Weather
        A file, or the synthetic generator.
    period : Period
        Limits of the run.
    place : Place
        For sunlight and pressure.

    Raises
    ------
    ScenarioError
        When no source is named, or the file wants mending.
    """
    if weather.file is not None and weather.layout == "typical year":
        series = read_typical_year(weather.file, period, place, weather)
    elif weather.file is not None:
        series = read_weather(weather.file, period, place, weather)
    elif weather.synthetic is not None:
        series = synthetic_weather(weather.synthetic, period, place, weather.wind_height)
    else:
        raise ScenarioError(Problem(None, None, "weather", "needs a file or a section [weather.synthetic]"))
    if weather.file is not None:
        series = series._replace(records=(*series.records, *_unchanging(series)))
    step = float(series.time[1] - series.time[0]) if series.time.size > 1 else HOUR
    return lay_hot_spells(
        series, weather.hot_spell, period, clear_sky(series.time, period.start, place, step)
    )


def _unchanging(series: WeatherSeries) -> Iterator[Record]:
    """A record of what stays the same to the last digit for days."""
    names = {"air temperature": series.air_temperature, "humidity": series.vapour_pressure}
    names |= {"wind speed": series.wind_speed, "sunlight": series.shortwave}
    same = [name for name, values in names.items() if np.ptp(values) == 0.0]
    if same and series.time[-1] - series.time[0] >= LONGEST_SAME:
        columns = {f"column_{place}": name for place, name in enumerate(same, 1)}
        yield Record("weather_stuck", "caution", names=columns)


def weather_table(series: WeatherSeries) -> FloatArray:
    """The series as (times, 7) numbers, columns as named above; for `weather_at`."""
    return np.ascontiguousarray(np.stack(series[1:8], axis=1))


@compiled
def weather_at(time: float, first: float, step: float, table: FloatArray, now: FloatArray) -> None:
    """Weather of one moment into `now`, straight lines between the times of the table.

    Parameters
    ----------
    time : float
        Seconds since the start of the period; before the first or after the last the end holds. [s]
    first, step : float
        First time of the table and distance between its rows. [s]
    table : (times, 7) array
        From `weather_table`.
    now : (7 or more,) array
        Takes the values.
    """
    last = table.shape[0] - 1
    place = min(max((time - first) / step, 0.0), float(last))
    row = min(int(place), max(last - 1, 0))
    share = place - row
    following = min(row + 1, last)
    for column in range(table.shape[1]):
        now[column] = table[row, column] + share * (table[following, column] - table[row, column])


def read_weather(path: Path, period: Period, place: Place, weather: Weather) -> WeatherSeries:
    """Read a weather file over the period.

    The header names columns with units: ``time``, ``air_temperature [degC]``, ``dew_point [degF]`` or
    ``relative_humidity [%]``, ``wind_speed [mph]``, ``solar_radiation [W/m2]`` or ``cloud_cover [%]`` or
    both, and, if there, ``pressure [kPa]`` at the station, ``rain [mm/h]`` and ``wind_direction [deg]``,
    which the sectors of shelter read. Times are local standard time, even, an hour apart or less; a value
    stands for its time, and a mean for the step around it.

    Parameters
    ----------
    path : Path
        CSV file.
    period : Period
        Limits of the run; the file must cover them.
    place : Place
        For what is not in the file: sunlight, cloud, pressure.
    weather : Weather
        Height of the anemometer, and up to which length gaps are bridged by straight lines.

    Returns
    -------
    WeatherSeries
        Remarks say how many values were bridged and what was estimated.

    Raises
    ------
    ScenarioError
        With every fault of the file, up to twenty, by line.
    """
    faults = Faults(path)
    length = (period.end - period.start).total_seconds()
    table, filled = read_with_fill(path, period, place, weather, faults)
    step = check_times(table, length, period, weather.fill_gaps, faults)
    count = round((table.time[-1] - table.time[0]) / step) + 1 if step else 0
    time = table.time[0] + step * np.arange(count)
    columns, bridged = bridge(table, time, step, weather.fill_gaps, faults)
    if weather.shelter and "wind_direction" not in table.columns:
        faults.add(None, "wind_direction", "is missing; weather.shelter needs a column wind_direction [deg]")
    faults.stop_if_any()
    check_dew_and_pressure(table, place, faults)
    faults.stop_if_any()
    series = _series(time, step, columns, bridged, period, place, weather)
    clock = _clock(columns, time, step, period, place, weather)
    return series._replace(records=(*filled, *series.records, *clock))


def _clock(
    columns: dict[str, FloatArray],
    time: FloatArray,
    step: float,
    period: Period,
    place: Place,
    weather: Weather,
) -> list[Record]:
    """A record of a clock that the sun contradicts."""
    if "solar_radiation" not in columns:
        return []
    found = sunlight_clock(time, columns["solar_radiation"], period.start, place, step)
    if found is None or (found.half_step and weather.time_is != "center"):
        return []
    stated = place.utc_offset if weather.utc_offset is None else weather.utc_offset
    numbers = {"offset": (found.seconds, "s"), "stated": (stated, "s"), "error": (found.error, "s")}
    if found.half_step:
        return [Record("stamps_off_center", "caution", "weather", numbers)]
    return [Record("clock_against_sun", "caution", "weather", numbers)]


def _series(
    time: FloatArray,
    step: float,
    columns: dict[str, FloatArray],
    bridged: int,
    period: Period,
    place: Place,
    weather: Weather,
) -> WeatherSeries:
    """What is not in the file is computed or estimated, and said."""
    records = [weather_bridged(bridged)] if bridged else []
    air, clear = columns["air_temperature"], clear_sky(time, period.start, place, step)
    if "relative_humidity" in columns:
        moist = np.minimum(columns["relative_humidity"], 1.0) * vapour_pressure(air)
    else:
        moist = vapour_pressure(np.minimum(columns["dew_point"], air))
    if "solar_radiation" not in columns:
        cloud = columns["cloud_cover"]
        sunlight = clear * cloud_transmission(cloud)
        records.append(Record("sunlight_from_cloud"))
    elif "cloud_cover" in columns:
        cloud, sunlight = columns["cloud_cover"], columns["solar_radiation"]
    else:
        sunlight = columns["solar_radiation"]
        cloud = cloud_from_light(sunlight, clear)
        records.append(Record("cloud_from_sunlight"))
    passing = sheltered_share(columns.get("wind_direction", np.zeros(time.size)), weather.shelter)
    return WeatherSeries(
        time=time,
        air_temperature=air,
        vapour_pressure=moist,
        shortwave=np.maximum(sunlight, 0.0),
        cloud_share=cloud,
        wind_speed=wind_at_10_m(columns["wind_speed"], weather.wind_height) * passing,
        pressure=columns.get("pressure", np.full(time.size, standard_pressure(place.elevation))),
        rain=columns.get("rain", np.zeros(time.size)),
        records=tuple(records),
        has_rain="rain" in columns,
    )
