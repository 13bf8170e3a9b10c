"""Readings that ride along with results: where the run is read, what it misses by, and the words for it."""

from __future__ import annotations

import json

import numpy as np
import pytest

from pondsim.comparison.readings_words import flag_words, miss_words
from pondsim.comparison.remarks import sentence
from pondsim.measures import at_elevation, misses_of, read_series
from pondsim.records import Record
from pondsim.results import load, save
from tests.results.ponds import small_pond

HOURS = np.arange(24 * 40 + 1)


def wave(mean, swing, peak=17.0):
    """A daily wave by the hour."""
    return mean + swing * np.cos(2.0 * np.pi * (HOURS - peak) / 24.0)


def with_readings(pond, values, *, depth=0.5, elevation=None, flags=(), variable="dissolved_oxygen"):
    """A pond with an hourly logger in its arm."""
    times = pond["time"].values
    about = {
        "name": "logger",
        "zone": "arm",
        "depth_m": depth,
        "elevation_m": elevation,
        "step_s": 3600.0,
        "quantities": [variable],
        "services": [],
        "gap_codes": {},
        "outside_period": 0,
    }
    return pond.assign(
        {
            f"read_{variable}": ("reading", np.broadcast_to(values, times.shape).astype(float)),
            "reading_instrument": ("reading", np.zeros(times.size, dtype=np.int32)),
        }
    ).assign_coords(reading_time=("reading", times)).assign_attrs(
        instruments=json.dumps([about]), reading_flags=json.dumps(list(flags))
    )  # fmt: skip


def flag(kind, first, last, **more):
    named = {"kind": kind, "instrument": "logger", "variable": "dissolved_oxygen", "count": 5}
    return named | {"first": first, "last": last, "size": None, "error": None} | more


PROFILE = np.array([2.0, 4.0, 6.0])  # at 97.5, 98.5 and 99.5 m, deepest first


@pytest.mark.parametrize(
    ("place", "computed"),
    [
        ({"depth": 1.0}, 5.0),  # between the middles of two layers
        ({"depth": 0.2}, 6.0),  # above the middle of the highest
        ({"depth": None, "elevation": 98.75}, 4.5),
        ({"depth": None}, None),  # nothing said: the top metre
    ],
)
def test_the_run_is_read_where_the_instrument_hangs(place, computed):
    """By straight lines between the middles of layers, by hand; the bias is computed less read."""
    pond = small_pond(oxygen=PROFILE)
    (miss,) = misses_of(with_readings(pond, wave(1.0, 0.0), **place))
    expected = 5.9875 if computed is None else computed  # mean at ten depths of the top metre: 6 above 99.5 m
    assert miss.run.bias == pytest.approx(expected - 1.0, abs=0.3 if computed is None else 1e-6)


def test_an_elevation_above_the_water_or_in_the_bed_is_read_nowhere():
    pond = small_pond(oxygen=PROFILE)
    for elevation in (100.5, 97.5):  # the bed of the arm is at 98 m
        assert np.isnan(at_elevation(pond, "dissolved_oxygen", elevation).sel(zone="arm").values).all()
    assert not misses_of(with_readings(pond, wave(1.0, 0.0), depth=None, elevation=100.5))


def test_a_level_too_low_with_the_right_timing_is_said_so():
    """The run is 3.8 mg/L too low all the time; yesterday's hour of a steady wave is right to a digit."""
    oxygen = wave(3.01, 1.5)[:, None, None]
    held = with_readings(small_pond(oxygen=oxygen), wave(6.81, 1.5))
    (miss,) = misses_of(held)
    assert (miss.run.bias, miss.run.rmse) == pytest.approx((-3.8, 3.8), abs=1e-9)
    assert miss.rivals["same hour yesterday"].rmse == pytest.approx(0.0, abs=1e-9)
    assert miss.rivals["mean day"].rmse == pytest.approx(0.0, abs=1e-9)
    assert miss.rivals["saturation"].bias == pytest.approx(8.0 - 6.81, abs=0.01)
    assert miss.count == 24 * 39 + 1  # the first day has no yesterday
    assert (miss.days, miss.complete_days) == (41, 40)
    assert (miss.swing_read, miss.swing_computed) == pytest.approx((3.0, 3.0), abs=1e-9)
    # the wave is lowest at 05:00, sunrise in June at 40 degrees north is about 04:35 standard time
    assert (miss.dawn_read, miss.dawn_computed) == pytest.approx((5.31, 1.51), abs=1e-6)
    # below 3.0 mg/L are the 11 hours from 00:00 to 10:00 of 39 days and the last midnight; none was read
    assert miss.limit == 3.0
    assert miss.hours_below_read == 0.0
    assert miss.hours_below_computed == pytest.approx(11.0 * 39.0 + 1.0)
    assert miss_words(miss, "us") == (
        "The computed level is 3.8 mg/L too low; the timing is right. Its RMSE is 3.8 mg/L; a simple "
        "guess, same hour yesterday, has 0.0: the run is no better."
    )


def test_a_cycle_that_comes_late_and_is_too_small_is_said_so():
    random = np.random.default_rng(1).normal(0.0, 3.0, 41).repeat(24)[: HOURS.size]
    oxygen = (wave(6.0, 1.0, peak=21.0) + random)[:, None, None]
    (miss,) = misses_of(with_readings(small_pond(oxygen=oxygen), wave(6.0, 2.0) + random))
    assert miss.hours_late == pytest.approx(4.0, abs=0.2)
    said = miss_words(miss, "us")
    assert said.startswith(
        "The computed level is right, within 0.1 mg/L; the daily cycle comes 4.0 h too late."
    )
    assert "The computed daily range is 2.0 mg/L; 4.0 was read." in said
    assert "the run is better" in said


def test_differences_of_temperature_are_not_read_off_the_zero_of_a_scale():
    """2 degC too warm are 3.6 degF too warm."""
    pond = small_pond(temperature=27.0)
    (miss,) = misses_of(with_readings(pond, wave(25.0, 1.0), variable="water_temperature"))
    assert "3.6 degF too high" in miss_words(miss, "us")
    assert "2.0 degC too high" in miss_words(miss, "si")


def test_a_secchi_disc_is_held_against_the_light_that_was_computed():
    """1.7 over an extinction of 2 1/m (Poole and Atkins 1929) is 0.85 m, 2.79 ft; 1.05 m was read."""
    pond = small_pond()
    light = np.where(np.isfinite(pond["box_volume"].values), 2.0, np.nan)
    pond = pond.assign(light_extinction=(("time", "zone", "layer"), light))
    (miss,) = misses_of(with_readings(pond, wave(1.05, 0.0), depth=None, variable="secchi_depth"))
    assert miss.run.bias == pytest.approx(-0.2, abs=1e-9)
    assert miss_words(miss, "si").startswith("The computed level is 0.20 m too low.")


def test_flagged_readings_are_kept_and_not_scored():
    values = wave(8.0, 0.0)
    values[100:105] = 20.0
    times = small_pond()["time"].values.astype("datetime64[s]")
    spoiled = flag("spike", str(times[100]), str(times[104]))
    told = flag("step", str(times[300]), str(times[301]), size=-2.0)
    (one,) = read_series(with_readings(small_pond(), values, flags=(spoiled, told)))
    assert one.left_out.sum() == 5
    assert one.values[102] == 20.0
    (miss,) = misses_of(with_readings(small_pond(), values, flags=(spoiled, told)))
    assert (miss.left_out, miss.run.rmse) == (5, 0.0)
    lines = [flag_words(each, one.variable, "us") for each in one.flags]
    assert lines == [
        "spike: 2025-06-05 04:00 to 08:00, 5 readings *",
        "step: 2025-06-13 12:00 to 13:00, -2 mg/L",
    ]


def test_a_clock_of_readings_is_said_with_the_key_that_mends_it():
    """A logger in universal time taken as UTC-4 h."""
    numbers = {"offset": (14400.0, "s"), "error": (9000.0, "s"), "stated": (-14400.0, "s")}
    said = sentence(
        Record("clock_against_sun", "caution", "logger", numbers, names={"variable": "dissolved_oxygen"})
    )
    assert said == (
        "Check the clock: the daily swing of dissolved oxygen of logger comes about 4 h later than the sun "
        'allows. It was taken as UTC-4 h; UTC+0 h would fit: write readings.logger.utc_offset = "0 h" (good '
        "to 2.5 h)."
    )
    off = flag("clock", "2025-06-01", "2025-06-20", size=14400.0, error=9000.0, suggested=0.0)
    (one,) = read_series(with_readings(small_pond(), 7.0, flags=(off,)))
    assert 'utc_offset = "0 h" would fit' in flag_words(one.flags[0], one.variable, "us")


def test_readings_come_back_from_a_results_file(tmp_path):
    held = with_readings(small_pond(), wave(7.0, 1.0))
    save(held, tmp_path / "held.nc")
    (one,) = read_series(load(tmp_path / "held.nc"))
    (before,) = read_series(held)
    assert one.values == pytest.approx(before.values, abs=1e-12)
    assert (one.times == before.times).all()
    assert (one.instrument, one.zone, one.depth) == ("logger", "arm", 0.5)


@pytest.mark.parametrize("damage", [{"instruments": "[1]"}, {"reading_flags": '[{"kind": 3}]'}])
def test_damaged_words_on_readings_do_not_spoil_the_run(damage):
    assert read_series(with_readings(small_pond(), 7.0).assign_attrs(damage)) == []
    assert read_series(small_pond()) == []
