"""A place, a period and normals that the tests of weather share; all invented."""

from datetime import datetime
from math import radians
from pathlib import Path

from pondsim.scenario.settings import Period, Place, SyntheticWeather, Weather

PLACE = Place(latitude=radians(40.0), longitude=radians(-60.0), elevation=195.0, utc_offset=-4 * 3600.0)

CELSIUS = (0, 1, 6, 12, 17, 22, 25, 24, 20, 13, 8, 2)
DEW = (-6, -5, -2, 3, 10, 16, 19, 18, 14, 8, 2, -3)
RANGE = (8.0, 8.0, 9.0, 10.0, 10.0, 10.0, 9.5, 9.5, 9.5, 10.0, 9.0, 8.0)
WIND = (3.8, 3.9, 4.0, 3.8, 3.2, 2.9, 2.6, 2.5, 2.6, 3.0, 3.4, 3.6)
CLOUD = (0.62, 0.60, 0.58, 0.57, 0.56, 0.53, 0.52, 0.50, 0.48, 0.48, 0.56, 0.62)


def normals(seed=1):
    return SyntheticWeather(
        seed=seed,
        air_temperature=tuple(t + 273.15 for t in CELSIUS),
        daily_range=RANGE,
        dew_point=tuple(t + 273.15 for t in DEW),
        wind_speed=WIND,
        cloud_cover=CLOUD,
    )


def period(start, end):
    return Period(start=datetime.fromisoformat(start), end=datetime.fromisoformat(end), output_step=3600.0)


def weather(file=None, hours_bridged=0, wind_height=10.0, synthetic=None, hot_spell=()):
    return Weather(
        file=None if file is None else Path(file),
        wind_height=wind_height,
        fill_gaps=hours_bridged * 3600.0,
        synthetic=synthetic,
        hot_spell=tuple(hot_spell),
    )
