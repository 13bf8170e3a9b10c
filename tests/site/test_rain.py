"""Rain from files, design storms and the generator; all invented."""

from dataclasses import replace
from datetime import datetime

import numpy as np
import pytest

from pondsim.errors import ScenarioError
from pondsim.records import Record
from pondsim.scenario.settings import DesignStorm, Rain, SyntheticRain
from pondsim.site.rain import design_storm_rain, rain_series
from pondsim.site.rain_series import RainSeries, rain_of_weather, storms_of
from pondsim.site.series import WeatherSeries
from tests.site.common import period

DAY = period("2025-06-01", "2025-06-01 06:00")
TWO_DAYS = period("2025-06-01", "2025-06-03")
TEXT = """\
# an invented gauge
time,rain [in]
2025-06-01 01:00,0.10
2025-06-01 02:00,0
2025-06-01 03:00,0.25
2025-06-01 04:00,0.00
2025-06-01 05:00,0
2025-06-01 06:00,0.02
"""
INCHES = np.array([0.10, 0.0, 0.25, 0.0, 0.0, 0.02]) * 0.0254


@pytest.fixture
def gauge(tmp_path):
    def write(text=TEXT, **given):
        path = tmp_path / "rain.csv"
        path.write_text(text, encoding="utf-8")
        return Rain(file=path, **given)

    return write


def test_depths_stand_at_the_end_of_their_step(gauge):
    rain = rain_series(gauge(), DAY)
    assert (rain.first, rain.step) == (0.0, 3600.0)
    assert rain.depth == pytest.approx(INCHES, abs=1e-12)
    assert rain.records == ()


def test_intensities_and_steps_by_their_start(gauge):
    text = TEXT.replace("[in]", "[in/h]").replace("01:00", "00:00").replace("06:00", "05:30")
    text = "time,rain [in/h]\n2025-06-01 00:00,0.2\n2025-06-01 00:30,0.4\n"
    rain = rain_series(gauge(text, time_is="start"), period("2025-06-01", "2025-06-01 01:00"))
    assert (rain.first, rain.step) == (0.0, 1800.0)
    assert rain.depth == pytest.approx(np.array([0.1, 0.2]) * 0.0254, abs=1e-12)


def test_the_period_may_begin_within_a_step(gauge):
    rain = rain_series(gauge(), period("2025-06-01 00:30", "2025-06-01 05:30"))
    assert (rain.first, rain.step) == (-1800.0, 3600.0)
    assert rain.depth == pytest.approx(INCHES, abs=1e-12)


def test_missing_lines_are_dry_where_asked_and_empty_values_told_apart(gauge):
    """A gauge that writes wet steps leaves lines out; an empty value may be a gauge that failed."""
    text = TEXT.replace("2025-06-01 02:00,0\n", "").replace("05:00,0\n", "05:00,\n")
    rain = rain_series(gauge(text, dry_gaps=2 * 3600.0), DAY)
    assert rain.depth == pytest.approx(INCHES, abs=1e-12)
    assert rain.records == (
        Record("rain_gaps", numbers={"steps": (1, "1")}),
        Record("rain_empty", "caution", numbers={"values": (1, "1"), "line": (6, "1")}),
    )
    with pytest.raises(ScenarioError, match=r'4: time comes 2 h after .* rain.dry_gaps = "2 h"'):
        rain_series(gauge(TEXT.replace("2025-06-01 02:00,0\n", "")), DAY)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("03:00,0.25", "03:00,-0.25", r":5: rain \[in\] -0.25 is outside what can be, 0 to"),
        ("03:00,0.25", "03:00,99", r":5: rain \[in\] 99 is outside"),
        ("03:00,0.25", "03:00,wet", r':5: rain \[in\] "wet" is not a number'),
        ("03:00,0.25", "03:00,0.25,1", r":5: has 3 values; the header has 2"),
        ("2025-06-01 03:00", "3 June", r':5: time "3 June" is not a time'),
        ("2025-06-01 03:00", "2025-06-01 03:00Z", r":5: time .* has a time zone"),
        ("2025-06-01 03:00", "2025-06-01 02:00", r":5: time 2025-06-01 02:00 stands twice; standard time"),
        ("2025-06-01 03:00", "2025-06-01 01:30", r":5: time 2025-06-01 01:30 is not later"),
        (
            "2025-06-01 02:00",
            "2025-06-01 01:40",
            r":4: time is 40 min after the line before; even steps of 1 h needed",
        ),
        ("2025-06-01 06:00,0.02\n", "", r"time goes from 2025-06-01 00:00 to 2025-06-01 05:00; the period"),
        ("rain [in]", "rain", r":2: rain has no unit; write a unit such as"),
        ("rain [in]", "rain [F]", r'"F" is of another kind'),
        ("rain [in]", "rain [inn]", r'rain \[inn\] .*"inn"'),
        ("rain [in]", "snow [in]", r"snow \[in\] is not a column of a rain file"),
        ("rain [in]", "time", r"stands twice in the header"),
    ],
)
def test_faults_are_told_with_their_line(gauge, old, new, message):
    with pytest.raises(ScenarioError, match=message):
        rain_series(gauge(TEXT.replace(old, new)), DAY)


def test_a_file_in_days_is_refused(gauge):
    text = "time,rain [mm]\n2025-06-01,3\n2025-06-02,0\n2025-06-03,1\n"
    with pytest.raises(ScenarioError, match="steps of 24 h; hourly rain or finer"):
        rain_series(gauge(text), period("2025-05-31", "2025-06-03"))


@pytest.mark.parametrize("text", ["", "time,rain [in]\n", "time,rain [in]\n2025-06-01 01:00,0\n"])
def test_a_file_with_nothing_in_it_is_refused(gauge, text):
    with pytest.raises(ScenarioError, match=r"is empty|no rows below|needs a header and two lines"):
        rain_series(gauge(text), DAY)


def test_no_source_is_an_error():
    with pytest.raises(ScenarioError, match="needs a file"):
        rain_series(Rain(), DAY)


STORM = DesignStorm(start=datetime(2025, 6, 2), depth=3.0 * 0.0254)


def test_design_storm_of_type_ii():
    """Share between hours 11 and 13 by the SCS distribution: 0.537, check 8.12."""
    rain = design_storm_rain(STORM, TWO_DAYS)
    assert rain.first == 86400.0
    assert rain.depth.size == 240
    assert rain.depth.sum() == pytest.approx(3.0 * 0.0254, rel=1e-12)
    assert rain.depth[110:130].sum() / rain.depth.sum() == pytest.approx(0.537, abs=0.001)
    assert rain_series(Rain(design_storm=STORM), TWO_DAYS).depth.tolist() == rain.depth.tolist()


def test_design_storm_of_an_own_curve():
    own = replace(
        STORM,
        distribution="own",
        curve_time=(0.0, 1800.0, 7200.0),
        curve_share=(0.0, 0.5, 1.0),
        duration=7000.0,
    )
    rain = design_storm_rain(own, TWO_DAYS)
    assert rain.depth.sum() == pytest.approx(STORM.depth, rel=1e-12)
    assert rain.depth[0] == pytest.approx(STORM.depth * 0.5 * 360.0 / (1800.0 * 7000.0 / 7200.0), rel=1e-12)


@pytest.mark.parametrize("share", [(0.0, 0.5, 0.9), (0.1, 0.5, 1.0), (0.0, 1.1, 1.0), (0.0, 1.0)])
def test_a_curve_that_does_not_rise_from_0_to_1_is_refused(share):
    own = replace(STORM, distribution="own", curve_time=(0.0, 1800.0, 7200.0), curve_share=share)
    with pytest.raises(ScenarioError, match="must rise from 0 to 1"):
        design_storm_rain(own, TWO_DAYS)


def test_storms_are_parted_by_dry_hours():
    depth = np.array([0, 1, 1, *[0] * 6, 2, *[0] * 7, 3, 0], dtype=float)
    storms = storms_of(RainSeries(0.0, 3600.0, depth))
    assert [(s.begin, s.end, s.depth) for s in storms] == [(1, 10, 4.0), (17, 18, 3.0)]
    assert storms_of(RainSeries(0.0, 3600.0, np.zeros(4))) == []


def test_rain_of_a_weather_file_is_centred():
    rain = np.array([0.0, 1e-6, 0.0])
    series = WeatherSeries(np.array([0.0, 3600.0, 7200.0]), *[np.zeros(3)] * 6, rain)
    found = rain_of_weather(series)
    assert (found.first, found.step) == (-1800.0, 3600.0)
    assert found.depth.tolist() == [0.0, 0.0036, 0.0]


TOTALS = tuple(0.0254 * inches for inches in (3.1, 2.8, 3.9, 4.0, 4.4, 3.8, 0.0, 3.6, 3.9, 3.5, 3.3, 3.4))
COUNTS = (9.0, 8.0, 10.0, 11.0, 11.0, 9.0, 0.0, 8.0, 7.0, 7.0, 8.0, 9.0)
NORMALS = SyntheticRain(total=TOTALS, storms=COUNTS, seed=4)


@pytest.mark.parametrize("step", [3600.0, 300.0])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_synthetic_rain_keeps_totals_and_numbers_of_storms(step, seed):
    """By definition of the generator: every month of two years, of which one is a leap year."""
    rain = rain_series(
        Rain(synthetic=replace(NORMALS, step=step, seed=seed)), period("2024-01-01", "2026-01-01")
    )
    assert np.all(rain.depth >= 0.0)
    month = (
        np.datetime64("2024-01-01") + np.arange(rain.depth.size) * np.timedelta64(int(step), "s")
    ).astype("datetime64[M]").astype(int) - 54 * 12
    assert np.bincount(month, rain.depth) == pytest.approx(np.tile(TOTALS, 2), rel=1e-9)
    begins = month[[storm.begin for storm in storms_of(rain)]]
    assert np.bincount(begins, minlength=24).tolist() == [*COUNTS, *COUNTS]


def test_synthetic_rain_of_a_day_does_not_hang_on_the_period():
    whole = rain_series(Rain(synthetic=NORMALS), period("2025-01-01", "2026-01-01"))
    part = rain_series(Rain(synthetic=NORMALS), period("2025-05-03 00:30", "2025-06-01"))
    skip = (31 + 28 + 31 + 30 + 2) * 24
    assert part.first == -1800.0
    assert part.depth.tolist() == whole.depth[skip : skip + part.depth.size].tolist()
    other = rain_series(Rain(synthetic=replace(NORMALS, seed=5)), period("2025-01-01", "2026-01-01"))
    assert not np.array_equal(other.depth, whole.depth)


def test_fractions_of_storms_add_up_over_the_year():
    half = replace(NORMALS, total=(0.05,) * 12, storms=(2.5,) * 12)
    rain = rain_series(Rain(synthetic=half), period("2025-01-01", "2026-01-01"))
    assert len(storms_of(rain)) == 30


def test_more_storms_than_find_room_are_shortened():
    long = replace(NORMALS, storms=(40.0,) * 12, total=(0.1,) * 12, duration=(86400.0,) * 12)
    rain = rain_series(Rain(synthetic=long), period("2025-01-01", "2026-01-01"))
    assert len(storms_of(rain)) == 480
    assert rain.depth.sum() == pytest.approx(1.2, rel=1e-9)
