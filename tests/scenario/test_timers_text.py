"""Timer texts: exact seconds and days, and spans that overlap."""

from __future__ import annotations

import pytest

from pondsim.scenario.timers_text import read_hours, read_season


def test_spans_of_the_day():
    assert read_hours(["06:00-07:30", "20:00-06:00"]) == ((21600.0, 27000.0), (72000.0, 108000.0))
    assert read_hours(["00:00-24:00"]) == ((0.0, 86400.0),)


def test_spans_that_touch_do_not_overlap():
    read_hours(["20:00-24:00", "00:00-08:00", "08:00-09:00"])
    read_season(["05-15 to 06-30", "07-01 to 09-30", "10-01 to 05-14"])


@pytest.mark.parametrize(
    "texts", [["06:00-09:00", "08:00-10:00"], ["20:00-08:00", "07:59-09:00"], ["07:00-09:00", "20:00-08:00"]]
)
def test_overlapping_hours_are_refused(texts):
    with pytest.raises(ValueError, match=f'overlapping hours: "{texts[0]}" and "{texts[1]}"'):
        read_hours(texts)


@pytest.mark.parametrize(
    "texts", [["05-15 to 09-30", "09-30 to 10-15"], ["11-01 to 03-31", "03-01 to 04-30"]]
)
def test_overlapping_seasons_are_refused(texts):
    with pytest.raises(ValueError, match="overlapping season"):
        read_season(texts)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("8pm-8am", "is not a span of hours"),
        ("25:00-26:00", "is not within 00:00 and 24:00"),
        ("08:60-09:00", "is not within"),
        ("08:00-08:00", "ends when it starts"),
    ],
)
def test_bad_hours(text, words):
    with pytest.raises(ValueError, match=words):
        read_hours([text])


@pytest.mark.parametrize(
    ("text", "words"), [("May to June", "is not a season"), ("15-05 to 30-09", "a day that does not exist")]
)
def test_bad_seasons(text, words):
    with pytest.raises(ValueError, match=words):
        read_season([text])


def test_season_keeps_both_days():
    assert read_season(["05-15 to 09-30", "12-01 to 02-29"]) == ((5, 15, 9, 30), (12, 1, 2, 29))
