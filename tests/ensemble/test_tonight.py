"""Tonight: what is taken off, past nights, the range of their errors, what is withheld, the command."""

from __future__ import annotations

import json
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from pondsim.cli._tonight_run import Coming, Corner
from pondsim.cli._tonight_text import correction_text, night_text
from pondsim.ensemble.tonight import Outlook, chance_inside, first_below, outlook, past_range
from tests.cli.common import call, weather_rows, write_weather
from tests.ensemble.twins import twin
from tests.scenarios_for_tests import minimal_design

START = np.datetime64("2025-07-01T00:00", "s")
HOUR = np.timedelta64(3600, "s")
DAWN = (2.0, 3.0)


def hours(days):
    return START + np.arange(24 * days + 1) * HOUR


def rises(days):
    return START + np.arange(days + 1) * 24 * HOUR + 5 * HOUR


def oxygen(times, level):
    """A daily course with its low at sunrise, over a level that changes from day to day."""
    hour = (times - times.astype("M8[D]")) / HOUR
    day = (times.astype("M8[D]") - START.astype("M8[D]")).astype(int)
    return np.asarray(level)[day] - 2.0 * np.cos((hour - 5.0) * np.pi / 12.0)


def told(level, bias, days=20, hour=18, after=None):
    """Tonight of the last day but one, for a run that is off by `bias` each day."""
    times = hours(days)
    read = oxygen(times, level)
    if after is not None:
        read[times > times[-1] - 24 * HOUR] = after
    by_hour = np.append(np.repeat(np.broadcast_to(bias, days + 1), 24), 0.0)[: times.size]
    computed = oxygen(times, level) + by_hour
    now = START + ((days - 1) * 24 - 24 + hour) * HOUR
    return outlook(times, computed, times, read, computed, now, rises(days), DAWN), now, read, times


def test_a_level_that_is_off_by_a_constant_is_taken_off():
    """The run is 1.5 mg/L too high for ever: each past night is told exactly, and so is the next."""
    level = 5.0 + np.sin(np.arange(21))
    found, now, read, times = told(level, 1.5)
    coming = (times > now) & (times <= now + 18 * HOUR)
    assert found.correction == pytest.approx(1.5) and found.told
    assert found.dawn == pytest.approx(read[coming].min()) == pytest.approx(found.low)
    assert found.rmse == pytest.approx(0.0, abs=1e-9) and found.rival > 0.3
    assert len(found.nights) == 18  # every night that half a day of readings comes before


@pytest.mark.parametrize(
    ("correction", "days", "said"),
    [
        (
            1.5,
            1.0,
            "Over the last day the run lay 1.50 mg/L above these readings on average; the forecast is lower",
        ),
        (
            -1.02,
            3.0,
            "Over the last 3 days the run lay 1.02 mg/L below these readings on average; the forecast is r",
        ),
        (0.3, 1.5, "Over the last 36 h the run lay 0.30 mg/L above"),
        (-0.004, 1.0, "Over the last day the run lay where these readings do, on average."),
    ],
)
def test_what_is_taken_off_is_told_in_plain_words(correction, days, said):
    """It is the run less the readings, so a run that lies too high has its forecast lowered."""
    assert correction_text(correction, days).startswith(said)


def test_what_is_read_later_changes_nothing():
    level = 5.0 + np.sin(np.arange(21))
    found, *_ = told(level, 1.5)
    other, *_ = told(level, 1.5, after=0.0)
    assert found.dawn == other.dawn and found.nights == other.nights


def test_it_is_withheld_where_yesterdays_hour_is_as_good():
    """A pond alike every day is told by yesterday; a run whose error jumps from day to day is not better."""
    found, *_ = told(np.full(21, 5.0), 1.5 * (-1.0) ** np.arange(21))
    assert not found.told and found.why == "no better" and found.rival < found.rmse
    few, *_ = told(np.full(6, 5.0), 1.0, days=5)
    assert few.why == "few nights" and np.isnan(few.low)


def test_it_is_withheld_without_readings_of_the_last_day():
    times = hours(10)
    computed = oxygen(times, np.full(11, 5.0))
    read = np.where(times < times[-1] - 72 * HOUR, computed, np.nan)
    found = outlook(times, computed, times, read, computed, times[-1] - 24 * HOUR, rises(10), DAWN)
    assert found.why == "no readings" and not found.told


@pytest.mark.parametrize(("nights", "chance"), [(9, 0.8), (19, 0.9), (39, 0.9), (100, 0.9)])
def test_the_range_of_past_errors_holds_the_next_as_often_as_it_says(nights, chance):
    """Order statistics, exact: 1 - 2 k/(n + 1); tried out with errors of a skew law."""
    assert chance_inside(nights) == pytest.approx(chance, abs=0.011)
    rng = np.random.default_rng(2)
    drawn = rng.exponential(size=(4000, nights + 1))
    inside = [low <= row[-1] <= high for row in drawn for low, high in [past_range(row[:-1])]]
    assert np.mean(inside) == pytest.approx(chance_inside(nights), abs=0.015)


def test_the_hour_of_crossing_is_between_two_times():
    times = hours(1)[:4]
    assert first_below(times, np.array([5.0, 4.0, 2.0, 1.0]), 3.0) == START + 5400 * np.timedelta64(1, "s")
    assert first_below(times, np.array([2.0, 4.0, 4.0, 4.0]), 3.0) == START
    assert first_below(times, np.full(4, 5.0), 3.0) is None


@pytest.mark.parametrize(
    ("fall", "unit", "danger", "said"),
    [
        (0.5, "night_air", 2.0, "power cut now: below 3 after 4 h, at 22:00; below 2 after 6 h, at 00:00"),
        (0.1, "night_air", 2.0, "power cut now: below 3 after 20 h, at 14:00; below 2 not within 24 h"),
        (0.5, "", 3.0, "power cut now: below 3 after 4 h, at 22:00\n"),
    ],
)
def test_a_power_cut_is_told_at_both_levels_and_that_its_end_is_the_danger(fall, unit, danger, said):
    """From 5 mg/L at 18:00 the line falls by `fall` an hour; air that comes back stirs up the bottom."""
    now = START + 18 * HOUR
    times = now + np.arange(25) * HOUR
    known = Outlook(0.0, 5.0, 5.0, 5.0, (), 0.1, 0.2, True, "", times, np.full(25, 5.0))
    cut = replace(known, line=5.0 - fall * np.arange(25))
    series = SimpleNamespace(zone="cove", instrument="logger")
    text = night_text(Coming(now, 1.0, (Corner(series, known, cut, None),), (), unit), 3.0, danger)
    assert said in text and max(map(len, text.splitlines())) <= 80
    assert ("first AFTER the power is back" in " ".join(text.split())) == bool(unit)


@pytest.fixture(scope="module")
def pond(tmp_path_factory):
    """The small pond with readings of nine days, a weather file that ends on the eighth, a forecast."""
    folder = tmp_path_factory.mktemp("tonight")
    path, _ = twin(folder, days=9, level=0.1, noise=0.05)
    site = (folder / "site.toml").read_text()
    before, rest = site.split("[weather.synthetic]")
    after = rest[rest.index("[[inflow]]") :]
    (folder / "site.toml").write_text(f'{before}[weather]\nfile = "weather.csv"\n\n{after}')
    rows = weather_rows(24 * 10 + 1)
    write_weather(folder, rows[: 24 * 8 + 1])
    (folder / "forecast.csv").write_text(
        "\n".join(
            ["time,air_temperature [degF],dew_point [degF],wind_speed [mph],cloud_cover [%]", *rows[24 * 7 :]]
        )
    )
    text = path.read_text().replace('title = "as it is"', 'title = "with air"')
    air = minimal_design().partition("[[aeration]]")[2].replace('hours = ["20:00-08:00"]', "")
    air = f"\n[[aeration]]{air}"
    (folder / "air.toml").write_text(text + air)
    return folder


def test_the_command_tells_or_withholds(pond):
    files = ("--forecast", pond / "forecast.csv", "--now", "2025-07-09 00:00", "--json", pond / "n.json")
    found = call("tonight", pond / "air.toml", *files)
    assert found.exit_code == 0, found.stderr
    assert max(map(len, found.stdout.splitlines())) <= 80
    said = " ".join(found.stdout.split())
    assert (
        "A safety call for fish needs a reading at dawn" in said
        and "No readings, so no forecast: cove" in said
    )
    row = json.loads((pond / "n.json").read_text())["corners"][0]
    assert row["past_nights"] >= 5
    assert (row["dawn"] is not None) == row["told"] == (row["rmse"] < row["yesterdays_hour_rmse"])
    assert ("first AFTER the power is back" in said) == row["told"]
    assert ("power cut now" in said) == row["told"] and ("no forecast: on past nights" in said) != row["told"]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--now", "tomorrow"], "is not a time; write such as"),
        (["--now", "2025-07-08 18:00-04:00"], "with no offset"),
        (["--now", "2030-01-01"], "the last reading of oxygen is 2025-07-"),
        (["--now", "2025-06-01"], '--now "2025-06-01": 2025-06-01 00:00 is not after period.start'),
        (["--below", "40"], "write oxygen between 0 and 15"),
        (["--danger", "0.1 g/L"], "--danger 100: write oxygen between 0 and 15"),
        (["--danger", "3 ft"], '"3 ft" is a length; write a concentration'),
        (["--danger", "low"], '"low" does not begin with a number'),
        (["--days", "8"], '"8" is too high; write 7 d or less'),
        (["--danger", "3 mg/L", "--below", "3000 ug/L", "--days", "12 h"], "the period needs"),  # all read
        ([], "the period needs"),
    ],
)
def test_what_cannot_be_told_is_refused(pond, options, said):
    found = call("tonight", pond / "air.toml", *options)
    assert found.exit_code == 2 and said in found.stderr, found.stderr


def test_a_design_without_readings_is_refused(pond):
    found = call("tonight", pond / "existing.toml")
    assert found.exit_code == 2 and "has no [[readings]]" in found.stderr
