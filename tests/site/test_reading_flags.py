"""Flags on a made series of a logger: each trouble put in is said, and an untroubled one raises none."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pondsim.site.reading_flags import flags_of
from pondsim.site.readings import Instrument
from tests.site.common import PLACE

STEP = 900.0
DAYS = 24
TIMES = np.datetime64("2025-07-01", "s") + np.arange(DAYS * 96) * np.timedelta64(15, "m")
HOURS = np.arange(DAYS * 96) / 4.0


def made(seed=5, noise=0.1):
    """Three and a half weeks of a pond's top: a daily swing, weather of some days, noise; invented."""
    random = np.random.default_rng(seed)
    weather = np.interp(HOURS, np.arange(0, DAYS * 24 + 24, 24), random.normal(0.0, 1.0, DAYS + 1))
    oxygen = 7.0 + 2.0 * np.cos(2.0 * np.pi * (HOURS - 17.0) / 24.0) + 0.7 * weather
    warmth = 24.0 + 2.0 * np.cos(2.0 * np.pi * (HOURS - 16.0) / 24.0) + weather
    oxygen += random.normal(0.0, noise, HOURS.size)
    warmth += random.normal(0.0, 0.05, HOURS.size)
    return {"dissolved_oxygen": np.round(oxygen, 2), "water_temperature": np.round(warmth, 2)}


def logger(values, services=(), times=TIMES, depth=0.5, step=STEP):
    return Instrument(
        name="logger",
        zone="cove",
        depth=depth,
        elevation=None,
        time=times,
        values=values,
        impossible={name: np.zeros(times.size, dtype=bool) for name in values},
        coded={},
        step=step,
        services=np.array(services, dtype="datetime64[s]"),
        lines=np.arange(times.size),
        clock=-4.0 * 3600.0,
    )


def flagged(values, kind, **given):
    return [one for one in flags_of(logger(values, **given), PLACE) if one.kind == kind]


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_an_untroubled_logger_raises_no_flag(seed):
    assert flags_of(logger(made(seed), services=["2025-07-10 10:00"]), PLACE) == []


def test_readings_of_the_air_are_out_of_the_water():
    """A logger that lay on the bank from noon to dusk reads sun-warmed air."""
    values = made()
    bank = slice(9 * 96 + 48, 9 * 96 + 76)
    values["water_temperature"][bank] = 24.0 + 12.0 * np.sin(np.pi * (np.arange(28) + 1.0) / 29.0)
    found = flagged(values, "out_of_water")
    assert {one.variable for one in found} == {"dissolved_oxygen", "water_temperature"}
    warm = next(one for one in found if one.variable == "water_temperature")
    assert np.datetime64("2025-07-10T12:00") <= warm.first <= np.datetime64("2025-07-10T14:00")
    assert warm.count >= 18


def test_a_spike_and_a_step_are_told_apart():
    values = made()
    values["dissolved_oxygen"][500:502] += 6.0
    values["dissolved_oxygen"][1200:] -= 4.0
    (spike,) = flagged(values, "spike")
    assert (spike.first, spike.count) == (TIMES[500], 2)
    (step,) = flagged(values, "step")
    assert (step.first, step.last) == (TIMES[1199], TIMES[1200])
    assert step.size == pytest.approx(-4.0, abs=0.8)


def test_a_flat_line_is_said_but_not_of_water_without_oxygen():
    values = made()
    values["dissolved_oxygen"][700:760] = 6.31
    (flat,) = flagged(values, "flat")
    assert (flat.first, flat.last, flat.count) == (TIMES[700], TIMES[759], 60)
    values["dissolved_oxygen"][600:800] = 0.0
    assert flagged({"dissolved_oxygen": values["dissolved_oxygen"]}, "flat") == []


@pytest.mark.parametrize("drift", [-1.5, 1.0])
def test_drift_between_services_is_the_jump_beyond_what_those_hours_do(drift):
    """A sensor that fouled evenly over 14 days and was cleaned at noon, when oxygen rises anyway."""
    values = made()
    service = np.datetime64("2025-07-15T12:05", "s")
    before = service > TIMES
    values["dissolved_oxygen"] = values["dissolved_oxygen"] + np.where(
        before, drift * HOURS / (14.5 * 24.0), 0.0
    )
    (found,) = flagged(values, "drift", services=[service])
    assert found.size == pytest.approx(drift, abs=0.35)
    assert (found.first, found.last) == (TIMES[0], service)


def test_a_gap_is_told_with_its_length():
    keep = np.ones(TIMES.size, dtype=bool)
    keep[300:340] = False
    values = {name: one[keep] for name, one in made().items()}
    (gap,) = flagged(values, "gap", times=TIMES[keep])
    assert (gap.size, gap.count, gap.first) == (41 * STEP, 40, TIMES[299])


def test_a_clock_of_universal_time_is_seen_by_oxygen_and_temperature():
    late = TIMES + np.timedelta64(4, "h")
    found = flagged(made(), "clock", times=late)
    assert [one.variable for one in found] == ["dissolved_oxygen", "water_temperature"]
    assert [abs(one.size / 3600.0 - 4.0) <= 2.0 for one in found] == [True, True]
    # taken as UTC-4 h, it is universal time
    assert [abs(one.suggested / 3600.0) <= 2.0 for one in found] == [True, True]
    on_a_stake = replace(logger(made(), times=late), depth=None, elevation=99.0)
    assert [one.kind for one in flags_of(on_a_stake, PLACE, pool=100.0)] == ["clock", "clock"]
    assert flags_of(replace(on_a_stake, elevation=95.0), PLACE, pool=100.0) == []


def test_a_notebook_of_days_is_only_held_against_what_can_be():
    days = TIMES[::96]
    values = {"dissolved_oxygen": np.where(np.arange(DAYS) % 2, 9.0, 3.0)}
    assert flags_of(logger(values, times=days, step=86400.0), PLACE) == []
