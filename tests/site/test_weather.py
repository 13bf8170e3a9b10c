"""Weather files: what is read, what is filled in, and the words for what is wrong."""

from datetime import datetime, timedelta

import numpy as np
import pytest

from pondsim.errors import ScenarioError
from pondsim.physics.water import vapour_pressure
from pondsim.records import Record
from pondsim.scenario.settings import HotSpell
from pondsim.site.weather import (
    AIR_TEMPERATURE,
    WIND_SPEED,
    read_weather,
    weather_at,
    weather_series,
    weather_table,
)
from tests.site.common import PLACE, normals, period, weather

DAY = period("2025-07-01", "2025-07-02")
HEADER = (
    "time,air_temperature [degF],dew_point [degC],wind_speed [mph],cloud_cover [%],solar_radiation [W/m2]"
)
START = datetime(2025, 7, 1)


def rows(count=25, step=60):
    stamps = (START + timedelta(minutes=step * n) for n in range(count))
    return [f"{stamp:%Y-%m-%d %H:%M},68,10,10,50,{300 + n}" for n, stamp in enumerate(stamps)]


def written(folder, lines, header=HEADER):
    path = folder / "weather.csv"
    path.write_text("\n".join([header, *lines]) + "\n", encoding="utf-8")
    return path


def read(folder, lines, header=HEADER, **given):
    path = written(folder, lines, header)
    return read_weather(path, DAY, PLACE, weather(path, **given))


def faults(folder, lines, header=HEADER, **given):
    with pytest.raises(ScenarioError) as caught:
        read(folder, lines, header, **given)
    return [str(problem).removeprefix(f"{folder / 'weather.csv'}") for problem in caught.value.problems]


def test_units_of_the_header_are_read(tmp_path):
    """68 degF is 20 degC; 10 mph is 4.4704 m/s (exact)."""
    series = read(tmp_path, rows())
    assert series.time.tolist() == [3600.0 * n for n in range(25)]
    assert series.air_temperature == pytest.approx(np.full(25, 293.15), abs=1e-9)
    assert series.vapour_pressure == pytest.approx(np.full(25, vapour_pressure(283.15)), rel=1e-12)
    assert series.wind_speed == pytest.approx(np.full(25, 4.4704), abs=1e-12)
    assert series.cloud_share == pytest.approx(np.full(25, 0.5), abs=1e-12)
    assert series.shortwave == pytest.approx(300.0 + np.arange(25), abs=1e-9)
    assert series.records == ()


def test_optional_columns_and_anemometer_height(tmp_path):
    """Logarithmic profile by hand: ln(10/0.03)/ln(3/0.03) = 1.26144; 25.4 mm/h is an inch an hour."""
    lines = [f"{line},98.5,25.4" for line in rows()]
    series = read(tmp_path, lines, HEADER + ",pressure [kPa],rain [mm/h]", wind_height=3.0)
    assert series.pressure == pytest.approx(np.full(25, 98500.0), rel=1e-12)
    assert series.rain == pytest.approx(np.full(25, 0.0254 / 3600.0), rel=1e-12)
    assert series.wind_speed == pytest.approx(np.full(25, 4.4704 * 1.26144), rel=1e-5)


def test_pressure_from_elevation_when_there_is_no_barometer(tmp_path):
    """Standard atmosphere (ICAO) at 195 m by hand: 101325 (1 - 2.25577e-5 x 195)^5.25588 = 99003 Pa."""
    assert read(tmp_path, rows()).pressure == pytest.approx(np.full(25, 99003.0), abs=5.0)


def test_relative_humidity(tmp_path):
    header = "time,air_temperature [degC],relative_humidity [%],wind_speed [m/s],cloud_cover [1]"
    lines = [f"{line.split(',')[0]},25,60,1,0" for line in rows()]
    series = read(tmp_path, lines, header)
    assert series.vapour_pressure == pytest.approx(np.full(25, 0.6 * vapour_pressure(298.15)), rel=1e-12)


def test_sunlight_and_cloud_stand_in_for_each_other(tmp_path):
    short = "time,air_temperature [degF],dew_point [degC],wind_speed [mph],"
    cloudy = read(tmp_path, [",".join(line.split(",")[:5]) for line in rows()], short + "cloud_cover [%]")
    assert cloudy.shortwave[0] < 1e-9
    assert cloudy.shortwave[12] > 400.0
    assert [one.code for one in cloudy.records] == ["sunlight_from_cloud"]
    sun = [
        ",".join([*line.split(",")[:4], f"{light:.6f}"])
        for line, light in zip(rows(), cloudy.shortwave, strict=True)
    ]
    sunny = read(tmp_path, sun, short + "solar_radiation [W/m2]")
    assert sunny.cloud_share == pytest.approx(np.full(25, 0.5), abs=1e-6)
    assert [one.code for one in sunny.records] == ["cloud_from_sunlight"]


def test_small_negative_sunlight_of_the_night_is_zero(tmp_path):
    lines = rows()
    lines[2] = lines[2].rsplit(",", 1)[0] + ",-3"
    assert read(tmp_path, lines).shortwave[2] == 0.0


def test_only_the_rows_of_the_period_are_read(tmp_path):
    """A value that cannot be, a month away from the period, does not matter; the time before does."""
    lines = ["2025-06-30 23:00,680,10,10,50,0", *rows(30)]
    series = read(tmp_path, lines)
    assert series.time[0] == 0.0
    assert series.time[-1] == 86400.0


def test_finer_steps_and_comments(tmp_path):
    path = tmp_path / "fine.csv"
    path.write_text("\n".join(["# invented", "", HEADER, *rows(97, 15)]), encoding="utf-8-sig")
    series = read_weather(path, DAY, PLACE, weather(path))
    assert series.time[1] == 900.0
    assert series.time.size == 97


def test_gaps_are_bridged_when_asked(tmp_path):
    lines = rows()
    lines[5] = lines[5].replace(",68,", ",,")
    del lines[10:12]
    series = read(tmp_path, lines, hours_bridged=3)
    assert series.shortwave == pytest.approx(300.0 + np.arange(25), abs=1e-9)
    assert series.air_temperature == pytest.approx(np.full(25, 293.15), abs=1e-9)
    assert series.records == (Record("weather_bridged", numbers={"values": (11, "1")}),)


def test_gaps_are_faults_when_not_asked(tmp_path):
    lines = rows()
    lines[5] = lines[5].replace(",68,", ",NaN,")
    del lines[10:12]
    gap, empty = (
        faults(tmp_path, lines),
        faults(tmp_path, [*rows()[:5], rows()[5].replace("68", ""), *rows()[6:]]),
    )
    assert gap == [':12: time comes 3 h after the line before; weather.fill_gaps = "3 h" would bridge it']
    assert empty == [':7: air_temperature [degF] is empty for 2 h; weather.fill_gaps = "2 h" would bridge it']


@pytest.mark.parametrize(
    ("header", "words"),
    [
        (
            "time,air_temperature,",
            ':1: air_temperature has no unit; write a unit such as "air_temperature [degC]"',
        ),
        ("time,air_temperature [mph],", ":1: air_temperature [mph] "),
        ("time,air_temperature [delta_degC],", ":1: air_temperature [delta_degC] "),
        ("time,air_temperature [degX],", ":1: air_temperature [degX] "),
        (
            "time,air_temprature [degC],",
            ":1: air_temprature [degC] is not a column of a weather file; air_temperature is meant?",
        ),
        ("time,temp [degC],", "; air_temperature is meant?"),
        (
            "time,Temp (F),",
            'Write column = [{ header = "Temp (F)", holds = "air_temperature", unit = "F" }] into',
        ),
        ("date,air_temperature [degC],", 'time is meant? Write time_columns = ["date"] into the section'),
        ("date,air_temperature [degC],", ":1: date is not a column of a weather file; time is meant?"),
        ("time [h],air_temperature [degC],", ":1: time [h] takes no unit"),
        ("time,dew_point [degC],", ":1: dew_point stands twice in the header"),
        (
            "time,dew_point [degC],",
            ':1: air_temperature is missing; the header needs a column "air_temperature [degC]"',
        ),
    ],
)
def test_faults_of_the_header(tmp_path, header, words):
    rest = "dew_point [degC],wind_speed [mph],cloud_cover [%],solar_radiation [W/m2]"
    assert any(words in text for text in faults(tmp_path, rows(), header + rest))


def test_unit_of_another_kind(tmp_path):
    found = faults(tmp_path, rows(), HEADER.replace("[mph]", "[degC]"))
    assert found == [
        ':1: wind_speed [degC] "degC" is of another kind; write a unit such as "wind_speed [mph]"'
    ]


def test_moisture_once_and_some_light(tmp_path):
    header = "time,air_temperature [degC],dew_point [degC],relative_humidity [%],wind_speed [mph],rain [mm/h]"
    assert faults(tmp_path, rows(), header) == [
        ":1: needs one column of dew_point or relative_humidity, not both",
        ":1: needs solar_radiation or cloud_cover, or both",
    ]


@pytest.mark.parametrize(
    ("place", "line", "words"),
    [
        (
            3,
            "2025-07-01 03:00,680,10,10,50,0",
            ":5: air_temperature [degF] 680 is outside what can be, -76 to 131 degF",
        ),
        (
            3,
            "2025-07-01 03:00,68,10,-1,50,0",
            ":5: wind_speed [mph] -1 is outside what can be, 0 to 167.8 mph",
        ),
        (3, "2025-07-01 03:00,68,warm,10,50,0", ':5: dew_point [degC] "warm" is not a number'),
        (3, "2025-07-01 03:00,68,inf,10,50,0", ':5: dew_point [degC] "inf" is not a number'),
        (3, "2025-07-01 03:00,68,25,10,50,0", ":5: dew_point [degC] is above the air's temperature"),
        (3, "2025-07-01 03:00,68,10,10,50", ":5: has 5 values; the header has 6 columns"),
        (
            3,
            "2025-06-31 02:00,68,10,10,50,0",
            ':5: time "2025-06-31 02:00" does not exist: June 2025 has 30 days',
        ),
        (3, "July first,68,10,10,50,0", ':5: time "July first" is not a time; write it as 2025-06-03 14:00'),
        (
            3,
            "2025-07-01 03:00Z,68,10,10,50,0",
            ':5: time "2025-07-01 03:00Z" has a time zone; write local standard time',
        ),
        (3, "2025-07-01 02:00,68,10,10,50,0", ":5: time 2025-07-01 02:00 stands twice"),
        (3, "2025-07-01 01:00,68,10,10,50,0", ":5: time 2025-07-01 01:00 is not later than the line before"),
        (
            3,
            "2025-07-01 02:40,68,10,10,50,0",
            ":5: time is 40 min after the line before; even steps of 1 h needed",
        ),
        (0, "2025-07-01 00:00,,10,10,50,0", ":2: air_temperature [degF] is empty at the edge of the period"),
    ],
)
def test_faults_of_a_row(tmp_path, place, line, words):
    lines = rows()
    lines[place] = line
    assert any(text.startswith(words) for text in faults(tmp_path, lines)), faults(tmp_path, lines)


def test_period_not_covered(tmp_path):
    assert faults(tmp_path, rows(20)) == [
        ": time goes from 2025-07-01 00:00 to 2025-07-01 19:00; "
        "the period needs 2025-07-01 00:00 to 2025-07-02 00:00"
    ]


def test_a_file_of_another_year(tmp_path):
    lines = [line.replace("2025", "2019") for line in rows()]
    assert faults(tmp_path, lines) == [
        ": time goes from 2019-07-01 00:00 to 2019-07-02 00:00; "
        "the period needs 2025-07-01 00:00 to 2025-07-02 00:00"
    ]


def test_coarse_steps(tmp_path):
    assert faults(tmp_path, rows(9, 180)) == [
        ": time goes in steps of 3 h; hourly weather or finer is needed"
    ]


def test_sea_level_pressure_is_noticed(tmp_path):
    lines = [f"{line},30" for line in rows()]
    high = PLACE.__class__(PLACE.latitude, PLACE.longitude, elevation=1800.0, utc_offset=PLACE.utc_offset)
    path = written(tmp_path, lines, HEADER + ",pressure [inHg]")
    with pytest.raises(ScenarioError, match=r"pressure \[inHg\] is far from the 81\.5 kPa of this elevation"):
        read_weather(path, DAY, high, weather(path))


def test_many_problems_are_said_together_but_not_all(tmp_path):
    lines = [line.replace(",68,", ",999,") for line in rows()]
    found = faults(tmp_path, lines)
    assert len(found) == 21
    assert found[0].startswith(":2: air_temperature")
    assert found[-1].endswith("and 5 more problems in this file")


@pytest.mark.parametrize(
    ("content", "words"), [(b"", "is empty"), (b"time\xff", "not text in UTF-8"), (None, "cannot be read")]
)
def test_files_that_are_none(tmp_path, content, words):
    path = tmp_path / "weather.csv"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(ScenarioError, match=words):
        read_weather(path, DAY, PLACE, weather(path))


def test_header_without_rows(tmp_path):
    assert faults(tmp_path, []) == [":1: has no rows below its header"]


def test_hot_spell_lies_over_either_source(tmp_path):
    spell = HotSpell(start=START, duration=86400.0, warmer=6.0, wind_factor=0.5, clear_sky=True)
    path = written(tmp_path, rows())
    from_file = weather_series(weather(path, hot_spell=[spell]), DAY, PLACE)
    assert from_file.air_temperature[12] == pytest.approx(299.15, abs=1e-9)
    assert from_file.wind_speed[12] == pytest.approx(2.2352, abs=1e-9)
    plain = weather_series(weather(synthetic=normals()), DAY, PLACE)
    hot = weather_series(weather(synthetic=normals(), hot_spell=[spell]), DAY, PLACE)
    assert hot.air_temperature[12] - plain.air_temperature[12] == pytest.approx(6.0, abs=1e-9)
    assert hot.shortwave[12] >= plain.shortwave[12]


def test_no_source_is_refused():
    with pytest.raises(ScenarioError, match="needs a file or"):
        weather_series(weather(), DAY, PLACE)


def test_weather_of_a_moment_lies_between_its_neighbours():
    series = weather_series(
        weather(synthetic=normals()), period("2025-07-01 00:30", "2025-07-01 06:00"), PLACE
    )
    table, now = weather_table(series), np.zeros(8)
    assert table.shape == (series.time.size, 7)
    weather_at(900.0, series.time[0], 3600.0, table, now)
    air = series.air_temperature
    assert now[AIR_TEMPERATURE] == pytest.approx(0.25 * air[0] + 0.75 * air[1], rel=1e-12)
    for beyond, row in ((-9e9, 0), (9e9, -1)):
        weather_at(beyond, series.time[0], 3600.0, table, now)
        assert now[:7] == pytest.approx(table[row], rel=1e-12)
    assert now[WIND_SPEED] == series.wind_speed[-1]


@pytest.mark.parametrize("name", ["relative_humidity", "cloud_cover"])
def test_shares_in_a_column_of_percent_are_told(tmp_path, name):
    """A share of 0.6 read as 0.6 % is desert air, or a clear sky; a column of shares is read as one."""
    header = "time,air_temperature [degC],relative_humidity [%],wind_speed [mph],cloud_cover [%]"
    lines = [f"{START + timedelta(hours=n):%Y-%m-%d %H:%M},20,60,5,50" for n in range(25)]
    place = header.split(",").index(f"{name} [%]")
    shares = [",".join([*one.split(",")[:place], "0.6", *one.split(",")[place + 1 :]]) for one in lines]
    assert faults(tmp_path, shares, header) == [
        f':1: {name} [%] never exceeds 0.6 %: these look like shares; write "{name} [1]" at the head'
    ]
    read(tmp_path, shares, header.replace(f"{name} [%]", f"{name} [1]"))


def test_a_sky_that_is_clear_all_through_is_no_share(tmp_path):
    header = "time,air_temperature [degC],relative_humidity [%],wind_speed [mph],cloud_cover [%]"
    lines = [f"{START + timedelta(hours=n):%Y-%m-%d %H:%M},20,60,5,0" for n in range(25)]
    assert not read(tmp_path, lines, header).cloud_share.any()


def test_weather_that_never_changes_is_told(tmp_path):
    """A stuck sensor, or a file filled by hand: two days of one value; one day may be."""
    lines = [line.replace(",300,", f",{n},") for n, line in enumerate(rows(count=49))]
    said = Record(
        "weather_stuck",
        "caution",
        names={"column_1": "air temperature", "column_2": "humidity", "column_3": "wind speed"},
    )
    for end, records in (("2025-07-03", (said,)), ("2025-07-02", ())):
        path = written(tmp_path, lines)
        assert weather_series(weather(path), period("2025-07-01", end), PLACE).records == records
