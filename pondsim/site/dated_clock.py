"""Time stamps of a table to seconds since a start; their clock is stated, never guessed."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import HOUR
from pondsim.scenario.settings import DatedFile
from pondsim.words import no_such_day

FloatArray = NDArray[np.float64]
EVEN = 1.0  # s by which steps may differ and be alike


class ClockError(ValueError):
    """A time stamp that cannot be read; the message continues a sentence that begins with "time"."""


@dataclass
class Clock:
    """Reads the stamps of one table in their order.

    Attributes
    ----------
    given : how the table is written
    start : local standard time from which seconds are counted
    utc_offset : local standard time of the pond minus UTC [s]
    """

    given: DatedFile
    start: datetime
    utc_offset: float

    def __post_init__(self) -> None:
        standard = timezone(timedelta(seconds=self.utc_offset))
        self._start = self.start.replace(tzinfo=standard)
        own = self.given.utc_offset
        fixed = standard if own is None else timezone(timedelta(seconds=own))
        self._zone: ZoneInfo | timezone = fixed
        if self.given.time_zone is not None:
            self._zone = zone_of(self.given.time_zone)
        self._last = -math.inf
        self._first, self._leading, self._apart = (
            0,
            True,
            0.0,
        )  # stamps that begin within an hour that comes twice
        self._aware: bool | None = None

    def seconds(self, text: str) -> float:
        """Seconds since the start of one stamp, which follows the one read before it.

        Raises
        ------
        ClockError
            It is no time, or there is no such hour on a clock with daylight saving time.
        """
        moment = self._moment(text)
        aware = moment.tzinfo is not None
        if self._aware not in (None, aware):
            raise ClockError(
                f'"{text}" {"has a" if aware else "lacks the"} time zone; '
                + ("write local standard time without one" if aware else "write it in every line, or in none")
            )
        self._aware = aware
        found = (moment if aware else self._placed(moment, text)) - self._start
        self._last = found.total_seconds()
        return self._last

    def _moment(self, text: str) -> datetime:
        form = self.given.time_format
        try:
            return datetime.fromisoformat(text) if form is None else datetime.strptime(text, form)
        except ValueError as error:
            if said := no_such_day(text):
                raise ClockError(f'"{text}" does not exist: {said}') from None
            if "out of range" in str(error) or "must be in range" in str(error):  # a day of another form
                raise ClockError(f'"{text}" names a day that its month does not have') from None
            if form is not None:
                raise ClockError(f'"{text}" is not a time of the form "{form}"') from None
            hint = '; for dates of another form write time_format, such as "%m/%d/%Y %H:%M"'
            shown = hint if "/" in text or "." in text else ""
            raise ClockError(f'"{text}" is not a time; write it as 2025-06-03 14:00{shown}') from None

    def _placed(self, moment: datetime, text: str) -> datetime:
        """A stamp on the file's own clock; where an hour comes twice, the order of lines tells which."""
        first = moment.replace(tzinfo=self._zone)
        if not isinstance(self._zone, ZoneInfo):
            return first
        back = first.astimezone(UTC).astimezone(self._zone).replace(tzinfo=None)
        if back != moment:
            raise ClockError(
                f'"{text}" does not exist in {self.given.time_zone}: clocks skip that hour in spring; '
                "is this file in standard time?"
            )
        second = moment.replace(tzinfo=self._zone, fold=1)
        early = (first - self._start).total_seconds() <= self._last
        twice = second.utcoffset() != first.utcoffset()
        if self._leading:  # an hour seen twice is in order; one seen once is looked at when all are read
            self._leading = twice and not early
            self._first = self._first + 1 if self._leading else 0 if twice else self._first
            self._apart = (second.astimezone(UTC) - first.astimezone(UTC)).total_seconds() or self._apart
        return second if early and twice else first

    def settled(self, seconds: FloatArray) -> FloatArray:
        """All stamps as read; those that begin within an hour that comes twice are of its second turn where
        only that makes the first step as long as the others.
        """
        first = self._first
        if 0 < first < seconds.size:
            gap = seconds[first] - seconds[first - 1]
            if abs(gap - self._apart - median_step(seconds)) < EVEN:
                return np.concatenate([seconds[:first] + self._apart, seconds[first:]])
        return seconds


def zone_of(name: str) -> ZoneInfo:
    """A time zone by its IANA name; ClockError where there is none."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise ClockError(f'"{name}" is no time zone; write an IANA name such as "America/Chicago"') from None


def shift_to_center(time_is: str, step: float) -> float:
    """What to add to a stamp so that it stands at the center of its step. [s]"""
    return {"start": 0.5, "center": 0.0, "end": -0.5}[time_is] * step


def median_step(times: Iterable[float]) -> float:
    """Median of the steps forward between stamps; 0 where there are fewer than two. [s]"""
    steps = np.diff(np.asarray(list(times), dtype=float))
    forward = steps[steps > 0.0]
    return float(np.median(forward)) if forward.size else 0.0


def span_text(seconds: float) -> str:
    """A span of time as people write it."""
    return f"{seconds / HOUR:.3g} h" if seconds >= HOUR else f"{seconds / 60.0:.3g} min"
