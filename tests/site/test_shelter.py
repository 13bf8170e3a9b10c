"""Wind by direction, past trees: sectors written out by hand."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

import numpy as np
import pytest

from pondsim.errors import ScenarioError
from pondsim.scenario.check_water import shelter as faults_of_shelter
from pondsim.scenario.settings import Period, Place, Shelter, Weather
from pondsim.site.shelter import sheltered_share
from pondsim.site.weather import weather_series

PLACE = Place(latitude=0.7, longitude=0.0, utc_offset=0.0)
PERIOD = Period(start=datetime(2025, 6, 1), end=datetime(2025, 6, 1, 3))


def sector(first, last, share):
    return Shelter(from_direction=math.radians(first), to_direction=math.radians(last), wind_share=share)


def test_each_sector_passes_its_share():
    """Trees from northwest over north to northeast leave 40 %, a hall in the south 70 %."""
    degrees = [0.0, 45.0, 46.0, 180.0, 200.0, 314.0, 315.0, 360.0]
    found = sheltered_share(np.radians(degrees), (sector(315, 45, 0.4), sector(170, 190, 0.7)))
    assert list(found) == [0.4, 0.4, 1.0, 0.7, 1.0, 1.0, 0.4, 0.4]
    assert list(sheltered_share(np.radians(degrees), (sector(0, 360, 0.5),))) == [0.5] * 8


def weather_file(tmp_path, *, direction=True):
    head = "time,air_temperature [degC],dew_point [degC],wind_speed [m/s],cloud_cover [%]"
    rows = [head + (",wind_direction [deg]" if direction else "")]
    for hour, degrees in enumerate([10, 100, 350, 180, 90]):
        time = PERIOD.start - timedelta(hours=1) + timedelta(hours=hour)
        rows.append(f"{time:%Y-%m-%d %H:%M},20,10,4,50" + (f",{degrees}" if direction else ""))
    path = tmp_path / "weather.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_the_wind_of_a_file_passes_its_trees(tmp_path):
    weather = Weather(file=weather_file(tmp_path), shelter=(sector(315, 45, 0.25),))
    assert list(weather_series(weather, PERIOD, PLACE).wind_speed) == pytest.approx([4, 1, 4, 4])


def test_a_shelter_wants_directions(tmp_path):
    weather = Weather(file=weather_file(tmp_path, direction=False), shelter=(sector(315, 45, 0.25),))
    with pytest.raises(ScenarioError, match=r"wind_direction.* is missing; weather.shelter needs a column"):
        weather_series(weather, PERIOD, PLACE)


@pytest.mark.parametrize(
    ("sectors", "count"),
    [
        (((315, 45), (46, 90)), 0),
        (((315, 45), (40, 90)), 1),
        (((40, 90), (315, 45)), 1),
        (((0, 90), (20, 30)), 1),
        (((20, 30), (0, 90)), 1),
        (((0, 90), (180, 270)), 0),
    ],
)
def test_sectors_that_overlap_are_faults(sectors, count, tmp_path):
    class Given:
        weather = Weather(
            file=tmp_path / "weather.csv", shelter=tuple(sector(*ends, 0.5) for ends in sectors)
        )

    assert len(list(faults_of_shelter(Given))) == count
