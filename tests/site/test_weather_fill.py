"""Weather as stations and loggers write it, what another station fills, and clocks the sun contradicts."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest

from pondsim.comparison.remarks import sentence
from pondsim.errors import ScenarioError
from pondsim.physics.water import vapour_pressure
from pondsim.scenario.settings import Column, FillFrom, Weather
from pondsim.site.clock_check import swing_clock, swing_peak
from pondsim.site.sky import clear_sky
from pondsim.site.weather import read_weather, weather_series
from tests.site.common import PLACE, normals, period, weather

FIVE_DAYS = period("2025-07-01", "2025-07-06")
START = datetime(2025, 7, 1)
HOURS = np.arange(121)
AIR = 20.0 + 5.0 * np.sin(2.0 * np.pi * (HOURS - 9.0) / 24.0)
HEADER = "time,air_temperature [degC],dew_point [degC],wind_speed [m/s],cloud_cover [%]"


def written(folder, name, header, rows):
    path = folder / name
    path.write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
    return path


def station(folder, name="station.csv", *, warmer=0.0, windier=1.0, without=(), header=HEADER):
    """Five days by the hour; `without` are hours whose line is missing."""
    rows = [
        f"{START + timedelta(hours=int(n)):%Y-%m-%d %H:%M},{AIR[n] + warmer:.6f},10,{3.0 * windier},40"
        for n in HOURS
        if n not in without
    ]
    return written(folder, name, header, rows)


def by_code(series):
    return {" from ".join(one.names.values()) or one.code: one for one in series.records}


def test_a_station_file_with_us_dates_codes_millimetres_of_mercury_and_rain_by_depth(tmp_path):
    """750 mmHg are 99,992 Pa (133.322 Pa each); 0.1 in of rain in an hour is 2.54 mm/h."""
    header = "Date,Temp F,Dew F,Wind mph,Baro,Sun,Precip,Gust"
    rows = [
        f"{START + timedelta(hours=n):%m/%d/%Y %H:%M},68,50,{10 if n != 7 else -9999},750,0,0.1,22"
        for n in range(25)
    ]
    columns = [("Temp F", "air_temperature", "degF"), ("Dew F", "dew_point", "degF")]
    columns += [("Wind mph", "wind_speed", "mph"), ("Baro", "pressure", "mmHg")]
    columns += [("Sun", "solar_radiation", "W/m2"), ("Precip", "rain", "in")]
    given = Weather(
        file=written(tmp_path, "w.csv", header, rows),
        time_columns=("Date",),
        time_format="%m/%d/%Y %H:%M",
        gap_codes=("-9999",),
        ignore=("Gust",),
        column=tuple(Column(*one) for one in columns),
        fill_gaps=7200.0,
    )
    series = read_weather(given.file, period("2025-07-01", "2025-07-02"), PLACE, given)
    assert series.air_temperature == pytest.approx(np.full(25, 293.15), abs=1e-9)
    assert series.wind_speed == pytest.approx(np.full(25, 4.4704), abs=1e-9)
    assert series.pressure == pytest.approx(np.full(25, 750 * 133.322), rel=1e-5)
    assert series.rain == pytest.approx(np.full(25, 2.54e-3 / 3600.0), rel=1e-9)
    with pytest.raises(ScenarioError, match=r'-9999 is outside .* write gap_codes = \["-9999"\]'):
        read_weather(given.file, FIVE_DAYS, PLACE, replace(given, gap_codes=()))


def test_stamps_at_the_end_of_their_step_are_moved_to_its_center(tmp_path):
    path = written(
        tmp_path, "w.csv", HEADER, [f"2025-07-0{1 + n // 24} {n % 24:02d}:00,20,10,3,4" for n in range(50)]
    )
    given = replace(weather(path), time_is="end")
    series = read_weather(path, period("2025-07-01", "2025-07-02"), PLACE, given)
    assert series.time[:2].tolist() == [-1800.0, 1800.0]
    assert series.time[-1] == 88200.0


def test_a_gap_of_a_day_is_filled_from_another_station_less_its_difference(tmp_path):
    """The other station is 2 K warmer and has twice the wind: moved by that, it gives the first one's own."""
    path = station(tmp_path, without=range(30, 54))
    other = station(tmp_path, "airport.csv", warmer=2.0, windier=2.0)
    with pytest.raises(ScenarioError, match=r"too long a gap to bridge; .*fill_from"):
        read_weather(path, FIVE_DAYS, PLACE, weather(path))
    given = replace(weather(path), fill_from=(FillFrom(other),))
    series = read_weather(path, FIVE_DAYS, PLACE, given)
    assert series.air_temperature == pytest.approx(AIR + 273.15, abs=1e-5)
    assert series.wind_speed == pytest.approx(np.full(121, 3.0), abs=1e-9)
    found = by_code(series)["air_temperature from airport.csv"]
    assert found.number("values") == 24
    assert found.number("difference") == pytest.approx(2.0, abs=1e-5)
    assert found.number("overlap") == 97 * 3600.0
    assert "reads +3.6 degF more over the 97 h that both files have; its values were adj" in sentence(found)
    assert by_code(series)["wind_speed from airport.csv"].number("factor") == pytest.approx(2.0)
    unmoved = replace(given, fill_from=(FillFrom(other, match_means=False),))
    warm = read_weather(path, FIVE_DAYS, PLACE, unmoved).air_temperature
    assert warm[30:54] == pytest.approx(AIR[30:54] + 275.15, abs=1e-5)


def test_a_dead_anemometer_is_taken_from_another_station_at_its_own_height(tmp_path):
    """Logarithmic profile by hand: ln(10/0.03)/ln(2/0.03) = 1.38322 from 2 m to 10 m."""
    header = HEADER.replace("wind_speed [m/s]", "gust [m/s]")
    path = station(tmp_path, header=header)
    other = FillFrom(station(tmp_path, "airport.csv"), wind_height=2.0)
    given = replace(weather(path), ignore=("gust [m/s]",), fill_from=(other,))
    series = read_weather(path, FIVE_DAYS, PLACE, given)
    assert series.wind_speed == pytest.approx(np.full(121, 3.0 * 1.38322), rel=1e-5)
    found = by_code(series)["wind_speed from airport.csv"]
    assert (found.number("values"), found.number("overlap")) == (121, 0.0)
    assert "too little to compare stations" in sentence(found)
    with pytest.raises(ScenarioError, match="wind_speed is missing"):
        read_weather(path, FIVE_DAYS, PLACE, replace(given, fill_from=()))


def test_days_before_a_station_began_and_moisture_in_another_form(tmp_path):
    """Dew point 10 degC in air of 20 degC is a relative humidity of e(10)/e(20)."""
    path = station(tmp_path, without=range(30))
    rows = [f"{START + timedelta(hours=int(n)):%Y-%m-%d %H:%M},20,50,3,40" for n in HOURS]
    moist = HEADER.replace("dew_point [degC]", "relative_humidity [%]")
    given = replace(weather(path), fill_from=(FillFrom(written(tmp_path, "b.csv", moist, rows)),))
    series = read_weather(path, FIVE_DAYS, PLACE, given)
    assert series.time[0] == 0.0
    assert series.vapour_pressure[60] == pytest.approx(vapour_pressure(283.15), rel=1e-9)
    assert by_code(series)["relative_humidity from b.csv"].number("values") == 30


def sunny(folder, *, late=0.0, seed=40, step=60, days=20):
    """A file of the generator's sunlight whose clock runs `late` hours ahead."""
    when = period("2025-07-01", "2025-07-31")
    made = weather_series(weather(synthetic=normals(seed)), when, PLACE)
    rows = []
    for n in range(days * 24 * 60 // step + 1):
        light = float(np.interp(n * step * 60.0 - late * 3600.0, made.time, made.shortwave))
        rows.append(f"{START + timedelta(minutes=n * step):%Y-%m-%d %H:%M},20,10,3,{light:.3f}")
    header = HEADER.replace("cloud_cover [%]", "solar_radiation [W/m2]")
    return written(folder, "sun.csv", header, rows)


@pytest.mark.parametrize("seed", [1, 40, 7])
@pytest.mark.parametrize(
    ("late", "words"),
    [
        (0.0, None),
        (
            1.0,
            r'comes 1 h later .* UTC-3 h would fit: write weather.utc_offset = "-3 h".*time_zone',
        ),
        (4.0, r'comes 4 h later .* weather.utc_offset = "0 h"'),
        (-1.0, r'comes 1 h earlier .* weather.utc_offset = "-5 h"'),
        (0.5, r'comes 30 min later than the sun, half a step: .* weather.time_is = "end"'),
    ],
)
def test_a_clock_that_sunlight_contradicts_is_said_with_the_offset(tmp_path, late, words, seed):
    when = period("2025-07-02", "2025-07-20")
    path = sunny(tmp_path, late=late, seed=seed)
    said = [sentence(one) for one in read_weather(path, when, PLACE, weather(path)).records]
    clock = [one for one in said if "than the sun" in one]
    assert len(clock) == (words is not None)
    if words:
        assert len([one for one in clock if re.search(words, one)]) == 1, clock


def leaky(rate_per_day, hours, late=0.0):
    """A store filled by a bare wave of light and emptied at a rate: its exact response after long."""
    angle = 2.0 * np.pi
    lag = np.arctan2(angle, rate_per_day) / angle * 24.0
    return 8.0 + 1.5 * np.cos(2.0 * np.pi * (hours - late - 12.0 - lag) / 24.0), lag


def test_the_wave_of_a_leaky_store_is_found_where_theory_has_it():
    """d(c)/dt = light - k c answers cos(w t) with a lag of atan(w/k)/w: 5.39 h at k = 1/d, by hand."""
    hours = np.arange(0.0, 240.0, 0.5)
    values, lag = leaky(1.0, hours)
    assert lag == pytest.approx(5.397, abs=0.001)
    peak, swing, explained = swing_peak(hours * 3600.0, values)
    assert peak / 3600.0 == pytest.approx(12.0 + lag, abs=0.1)
    assert swing == pytest.approx(1.5, abs=0.03)
    assert explained > 0.98


@pytest.mark.parametrize("rate", [0.2, 1.0, 2.0])
@pytest.mark.parametrize("late", [0.0, 1.0, 4.0, 12.0, -5.0])
def test_a_clock_that_the_swing_of_oxygen_contradicts(rate, late):
    """Four hours (universal time here) and twelve (a. m. for p. m.) are seen; one hour cannot be."""
    hours = np.arange(0.0, 240.0, 0.25)
    noisy = leaky(rate, hours, late)[0] + np.random.default_rng(3).normal(0.0, 0.2, hours.size)
    found = swing_clock("dissolved_oxygen", hours * 3600.0, noisy, 0.5, PLACE)
    if abs(late) <= 1.0:
        assert found is None
    else:
        apart = (found.seconds / 3600.0 - late + 12.0) % 24.0 - 12.0
        assert abs(apart) <= found.error / 3600.0
    assert swing_clock("dissolved_oxygen", hours * 3600.0, noisy, 3.0, PLACE) is None


def test_clear_days_alone_tell_the_clock_of_a_winter(tmp_path):
    when = period("2025-12-01", "2025-12-06")
    time = 3600.0 * HOURS
    light = clear_sky(time - 3600.0, when.start, PLACE, 3600.0)
    rows = [
        f"{when.start + timedelta(hours=int(n)):%Y-%m-%d %H:%M},2,1,3,{value:.3f}"
        for n, value in zip(HOURS, light, strict=True)
    ]
    path = written(tmp_path, "w.csv", HEADER.replace("cloud_cover [%]", "solar_radiation [W/m2]"), rows)
    records = read_weather(path, when, PLACE, weather(path)).records
    assert [one.number("offset") for one in records if one.code == "clock_against_sun"] == [3600.0]
