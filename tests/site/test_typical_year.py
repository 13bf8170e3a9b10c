"""Typical-year weather, read from the sample that the solar library carries; it is a real file."""

import csv
import math
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pandas
import pvlib
import pytest

from pondsim.errors import ScenarioError
from pondsim.scenario.settings import Place, Weather
from pondsim.site.typical_year import read_typical_year
from pondsim.site.weather import weather_series
from tests.site.common import period

SAMPLE = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
HERE = Place(
    latitude=math.radians(36.1), longitude=math.radians(-79.95), elevation=273.0, utc_offset=-5 * 3600.0
)
SUMMER = period("2025-06-01", "2025-06-11")


def read(when=SUMMER, place=HERE, path=SAMPLE, **given):
    return read_typical_year(path, when, place, Weather(**({"file": path} | given)))


def table():
    """Columns as they stand, by (month, day, hour ending)."""
    with SAMPLE.open(encoding="utf-8") as file:
        next(file)
        rows = list(csv.DictReader(file))
    return {(*map(int, r["Date (MM/DD/YYYY)"].split("/")[:2]), int(r["Time (HH:MM)"][:2])): r for r in rows}


def changed(folder, *changes):
    """The sample with texts replaced."""
    text = SAMPLE.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    path = folder / "year.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_values_stand_at_the_middle_of_their_hours():
    rows, series = table(), read()
    start = datetime(2025, 6, 1)
    assert series.time[0] <= 0.0
    assert series.time[-1] >= 10 * 86400.0
    for place, seconds in enumerate(series.time):
        begin = start + timedelta(seconds=float(seconds) - 1800.0)
        before = begin - timedelta(hours=1)
        now, earlier = (
            rows[begin.month, begin.day, begin.hour + 1],
            rows[before.month, before.day, before.hour + 1],
        )
        assert series.shortwave[place] == float(now["GHI (W/m^2)"])
        assert series.cloud_share[place] == pytest.approx(float(now["TotCld (tenths)"]) / 10.0)
        air = 0.5 * (float(now["Dry-bulb (C)"]) + float(earlier["Dry-bulb (C)"])) + 273.15
        assert series.air_temperature[place] == pytest.approx(air)
        wind = 0.5 * (float(now["Wspd (m/s)"]) + float(earlier["Wspd (m/s)"]))
        assert series.wind_speed[place] == pytest.approx(wind)
        mean = 50.0 * (float(now["Pressure (mbar)"]) + float(earlier["Pressure (mbar)"]))
        assert series.pressure[place] == pytest.approx(mean)
    assert not series.has_rain
    assert not series.rain.any()


def test_the_sun_shines_when_it_is_up():
    """The hour that ends, and standard time: sunlight goes with the sun of the solar library."""
    series = read(period("2025-01-01", "2025-12-31"))
    stamps = np.datetime64("2025-01-01") + (series.time + 5 * 3600.0).astype("timedelta64[s]")
    position = pvlib.solarposition.get_solarposition(pandas.DatetimeIndex(stamps, tz="UTC"), 36.1, -79.95)
    height = position["elevation"].to_numpy()
    assert series.shortwave[height < -8.0].max() == 0.0
    assert series.shortwave[height > 8.0].min() > 0.0
    morning, evening = ((height > 0) & (np.gradient(height) * side > 0) for side in (1, -1))
    clear = 1000.0 * np.sin(np.radians(np.maximum(height, 0.0)))
    ratio = [series.shortwave[part].sum() / clear[part].sum() for part in (morning, evening)]
    assert ratio[0] == pytest.approx(ratio[1], rel=0.12)  # judgement: an hour off would make 0.3


def test_a_leap_day_and_the_turn_of_the_year():
    leap = read(period("2024-02-28", "2024-03-01"))
    assert leap.shortwave[1:25] == pytest.approx(leap.shortwave[25:49])
    turn = read(period("2024-12-31", "2025-01-02"))
    assert np.all(np.diff(turn.time) == 3600.0)


def test_what_is_said():
    (only,) = read().records
    assert only.code == "typical_year"
    assert "Greensboro" in only.where
    far = read(place=replace(HERE, latitude=math.radians(40.0)))
    assert far.records[1].code == "station_far"
    metres, unit = far.records[1].numbers["distance"]
    assert unit == "m"
    assert metres == pytest.approx(3.9 * 111e3, rel=0.02)  # degrees of latitude of 111 km
    high = read(place=replace(HERE, elevation=1273.0))
    assert high.pressure / read().pressure == pytest.approx(np.full(high.time.size, 0.886), abs=0.003)


def test_the_layout_is_named_in_the_scenario():
    series = weather_series(Weather(file=SAMPLE, layout="typical year"), SUMMER, HERE)
    assert series.shortwave.max() > 800.0


@pytest.mark.parametrize(
    ("changes", "place", "said"),
    [
        ([("-5.0,36.100", "-6.0,36.100")], HERE, "year.csv:1: keeps standard time of UTC-6 h"),
        ([("Dry-bulb (C)", "Dry-bulb (F)")], HERE, "year.csv:2: Dry-bulb (C) is missing"),
        (
            [('723170,"GREENSBORO PIEDMONT TRIAD INT",NC,-5.0', "time,air")],
            HERE,
            "year.csv:1: is not of the typical",
        ),
        ([("Dew-point (C)", "Dew"), ("GHI (W/m^2)", "GHI")], HERE, "GHI (W/m^2) is missing"),
    ],
)
def test_what_is_wrong_is_said(tmp_path, changes, place, said):
    with pytest.raises(ScenarioError) as caught:
        read(path=changed(tmp_path, *changes), place=place)
    assert said in str(caught.value)


def test_gaps_are_told_and_short_ones_bridged_when_asked(tmp_path):
    text = SAMPLE.read_text(encoding="utf-8").splitlines()
    at = next(n for n, line in enumerate(text) if line.startswith("06/03/") and ",05:00," in line)
    path = tmp_path / "year.csv"
    path.write_text("\n".join(text[:at] + text[at + 2 :]) + "\n", encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        read(path=path)
    assert "has no value for 2 h before 03 June 07:00" in str(caught.value)
    bridged = read(path=path, fill_gaps=4 * 3600.0)
    assert bridged.records[-1].numbers == {"values": (12, "1")}
