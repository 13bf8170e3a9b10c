"""The weather of a run: from a CSV file or invented around normals, with hot spells laid over it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import pairwise
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
from pondsim.site.series import WeatherSeries, lay_hot_spells, weather_bridged, wind_at_10_m
from pondsim.site.sky import clear_sky, cloud_from_light
from pondsim.site.synthetic import synthetic_weather
from pondsim.site.typical_year import read_typical_year
from pondsim.site.weather_file import Faults, Table, read_table

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

SUNDAY = 6
CLOCK_MONTHS = (3, 4, 9, 10)  # clocks go forward, north and south
LONGEST_SAME = 2.0 * DAY  # s for which a value may stay the same without a word (judgement)
EVEN = 1.0  # s by which a time may be off its place
DEW_ABOVE_AIR = 1.0  # K that rounding may put the dew point over the air's temperature
PRESSURE_SPREAD = 0.08  # share by which station pressure may differ from the standard atmosphere


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
        said = " and ".join(filter(None, (", ".join(same[:-1]), same[-1])))
        yield Record("weather_stuck", "caution", where=said)


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
    both, and, if there, ``pressure [kPa]`` at the station and ``rain [mm/h]``. Times are local standard
    time, even, an hour apart or less; a value stands for its time, and a mean for the step around it.

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
    table = read_table(path, period.start, (0.0, length), faults)
    step = _check_times(table, length, period, weather.fill_gaps, faults)
    count = round((table.time[-1] - table.time[0]) / step) + 1 if step else 0
    time = table.time[0] + step * np.arange(count)
    columns, bridged = _bridge(table, time, step, weather.fill_gaps, faults)
    faults.stop_if_any()
    _check_dew_and_pressure(table, place, faults)
    faults.stop_if_any()
    return _series(time, step, columns, bridged, period, place, weather)


def _check_times(table: Table, length: float, period: Period, longest: float, faults: Faults) -> float:
    """Step between the times; notes order, gaps, uneven steps and what is not covered."""
    first, last = (period.start + timedelta(seconds=float(table.time[end])) for end in (0, -1))
    if table.time[0] > 0.0 or table.time[-1] < length:
        faults.add(
            None,
            "time",
            f"goes from {first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M}; "
            f"the period needs {period.start:%Y-%m-%d %H:%M} to {period.end:%Y-%m-%d %H:%M}",
        )
        faults.stop_if_any()
    steps = np.diff(table.time)
    rising = steps[steps > 0.0]
    step = float(np.median(rising)) if rising.size else 0.0
    if step > HOUR + EVEN:
        faults.add(None, "time", f"goes in steps of {_hours(step)}; hourly weather or finer is needed")
        faults.stop_if_any()
    for place, found in enumerate(steps):
        line, text = (
            int(table.line[place + 1]),
            period.start + timedelta(seconds=float(table.time[place + 1])),
        )
        if found <= 0.0:
            again = "stands twice" if found == 0.0 else "is not later than the line before"
            faults.add(
                line, "time", f"{text:%Y-%m-%d %H:%M} {again}; standard time has no hour of summer time"
            )
        elif abs(found / step - round(found / step)) * step > EVEN:
            faults.add(
                line, "time", f"is {_hours(found)} after the line before; even steps of {_hours(step)} wanted"
            )
        elif found > step + EVEN and found > longest + EVEN:
            faults.add(line, "time", f"comes {_hours(found)} after the line before; {_cure(found, text)}")
    faults.stop_if_any()
    return step


def _hours(seconds: float) -> str:
    return f"{seconds / HOUR:.3g} h" if seconds >= HOUR else f"{seconds / 60.0:.3g} min"


def _is_spring_clock_change(gap: float, after: datetime) -> bool:
    """Whether one hour of an hourly file is lacking where clocks go forward, 02:00 on a Sunday in spring."""
    missing = after - timedelta(hours=1)
    return (
        abs(gap - 2.0 * HOUR) < EVEN
        and missing.hour == 2
        and missing.weekday() == SUNDAY
        and missing.month in CLOCK_MONTHS
    )


def _cure(gap: float, after: datetime | None = None) -> str:
    if after is not None and _is_spring_clock_change(gap, after):
        return (
            "the hour lacking is that of the change to summer time; write local standard time, "
            "without summer time, all through"
        )
    if gap > 12.0 * HOUR:
        return "too long a gap to bridge; fill it from another station"
    return f'weather.fill_gaps = "{math.ceil(gap / HOUR)} h" would bridge it'


def _bridge(
    table: Table, time: FloatArray, step: float, longest: float, faults: Faults
) -> tuple[dict[str, FloatArray], int]:
    """Columns at even times, and how many values were set by straight lines; notes gaps too long."""
    filled: dict[str, FloatArray] = {}
    bridged = 0
    for name, values in table.columns.items():
        good = np.flatnonzero(~np.isnan(values))
        if good.size == 0 or good[0] > 0 or good[-1] < values.size - 1:
            edge = 0 if good.size == 0 or good[0] > 0 else int(good[-1]) + 1
            faults.add(int(table.line[edge]), table.headers[name], "is empty at the edge of the period")
            continue
        for before, after in pairwise(good):
            gap = table.time[after] - table.time[before]
            if after > before + 1 and gap > longest + EVEN:
                line = int(table.line[before + 1])
                faults.add(line, table.headers[name], f"is empty for {_hours(gap)}; {_cure(gap)}")
        bridged += time.size - good.size
        if not faults.problems:
            filled[name] = np.interp(time, table.time[good], values[good])
    return filled, bridged


def _check_dew_and_pressure(table: Table, place: Place, faults: Faults) -> None:
    columns, headers = table.columns, table.headers
    if "dew_point" in columns:
        for row in np.flatnonzero(columns["dew_point"] > columns["air_temperature"] + DEW_ABOVE_AIR):
            faults.add(int(table.line[row]), headers["dew_point"], "is above the air's temperature")
    if "pressure" in columns:
        standard = standard_pressure(place.elevation)
        for row in np.flatnonzero(np.abs(columns["pressure"] / standard - 1.0) > PRESSURE_SPREAD):
            message = f"is far from the {standard / 1e3:.1f} kPa of this elevation; "
            message += "the station's own pressure is needed, not that of sea level"
            faults.add(int(table.line[row]), headers["pressure"], message)


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
    return WeatherSeries(
        time=time,
        air_temperature=air,
        vapour_pressure=moist,
        shortwave=np.maximum(sunlight, 0.0),
        cloud_share=cloud,
        wind_speed=wind_at_10_m(columns["wind_speed"], weather.wind_height),
        pressure=columns.get("pressure", np.full(time.size, standard_pressure(place.elevation))),
        rain=columns.get("rain", np.zeros(time.size)),
        records=tuple(records),
        has_rain="rain" in columns,
    )
