"""Timer texts: spans of the day and of the year, and whether two of them overlap."""

from __future__ import annotations

import re
from datetime import date

DAY = 86400.0
YEAR = 366  # days are counted in a leap year, so that 29 February has a place

_HOURS = re.compile(r"\s*(\d{1,2}):(\d{2})\s*(?:-|–|to)\s*(\d{1,2}):(\d{2})\s*")
_SEASON = re.compile(r"\s*(\d{1,2})-(\d{1,2})\s*to\s*(\d{1,2})-(\d{1,2})\s*")


def read_hours(texts: list[str]) -> tuple[tuple[float, float], ...]:
    """Spans of the day as seconds after midnight; one that runs past midnight ends above 86400.

    Raises ValueError for a text that is no span, one of no length, and two that overlap.
    """
    spans = tuple(_hours(text) for text in texts)
    _check_apart(texts, [(start, end - start) for start, end in spans], DAY, "hours")
    return spans


def _hours(text: str) -> tuple[float, float]:
    match = _HOURS.fullmatch(text)
    if not match:
        raise ValueError(f'= "{text}" is not a span of hours; write such as "20:00-08:00", in 24 hours.')
    hour, minute, end_hour, end_minute = (int(part) for part in match.groups())
    start, end = 60 * hour + minute, 60 * end_hour + end_minute
    if minute > 59 or end_minute > 59 or start >= 1440 or end > 1440:
        raise ValueError(f'= "{text}" is not within 00:00 and 24:00.')
    if start == end:
        raise ValueError(f'= "{text}" ends when it starts; leave the key out for all day.')
    return start * 60.0, (end if end > start else end + 1440) * 60.0


def read_season(texts: list[str]) -> tuple[tuple[int, int, int, int], ...]:
    """Spans of the year as first month, day, last month, day; both days included; may run past New Year.

    Raises ValueError for a text that is no span of days, and for two that overlap.
    """
    spans = tuple(_season(text) for text in texts)
    lengths: list[tuple[float, float]] = []
    for month, day, end_month, end_day in spans:
        first, last = _day(month, day), _day(end_month, end_day)
        lengths.append((first, (last - first) % YEAR + 1))
    _check_apart(texts, lengths, YEAR, "season")
    return spans


def _season(text: str) -> tuple[int, int, int, int]:
    match = _SEASON.fullmatch(text)
    if not match:
        raise ValueError(
            f'= "{text}" is not a season; write month-day to month-day, such as "05-15 to 09-30".'
        )
    month, day, end_month, end_day = (int(part) for part in match.groups())
    try:
        _day(month, day), _day(end_month, end_day)
    except ValueError:
        raise ValueError(f'= "{text}" names a day that does not exist; month first, then day.') from None
    return month, day, end_month, end_day


def _day(month: int, day: int) -> int:
    return date(2024, month, day).timetuple().tm_yday


def _check_apart(texts: list[str], spans: list[tuple[float, float]], cycle: float, what: str) -> None:
    """Refuse two spans (start, length) that share a moment of the cycle they lie on."""
    for place, (start, length) in enumerate(spans):
        for other in range(place):
            first, first_length = spans[other]
            if (start - first) % cycle < first_length or (first - start) % cycle < length:
                raise ValueError(
                    f'has overlapping {what}: "{texts[other]}" and "{texts[place]}"; write them as one span.'
                )
