"""Hours a day of a pump or of aeration units as a size: one span around the middle hour of the timer."""

from __future__ import annotations

import re
from functools import partial
from pathlib import Path

from pondsim.errors import ScenarioError
from pondsim.scenario.settings import Scenario, Spans
from pondsim.scenario.values import value_at
from pondsim.scenario.vary import Change
from pondsim.sizing.size import PRACTICE, Size
from pondsim.sizing.size_air import chosen_units, without_units
from pondsim.sizing.size_loop import without_loop
from pondsim.units import DISPLAY, to_si

DAY = 86400.0  # s
MINUTE = 60.0  # s; timers are set to the minute
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})")


def hours_size(path: Path, scenario: Scenario, unit: str | None, middle: str | None) -> Size:
    """Hours a day of the pump's timer, or of one unit's or all units'."""
    timers = _timers(path, scenario, unit)
    around = {key: _middle(path, key, spans, middle) for key, spans in timers.items()}
    who = [key.removesuffix(".hours").removeprefix("aeration.") for key in timers]

    def changes(value: float, source: Path) -> tuple[Change, ...]:
        return tuple(Change(key, [span_text(at, value)], source) for key, at in around.items())

    least, most = (to_si(text, "s") for text in PRACTICE["hours"])
    return Size(
        "hours",
        f"number of hours a day of {', '.join(who)}",
        "s",
        *DISPLAY["hours"],
        _present(timers, around),
        (least, most),
        False,
        changes,
        partial(_hours_of, tuple(timers)),
        tuple(f"{name}: around {_clock(at)}." for name, at in zip(who, around.values(), strict=True)),
        without_loop if "pump.hours" in timers else partial(without_units, tuple(who)),
    )


def _present(timers: dict[str, Spans], around: dict[str, float]) -> float | None:
    """Hours of the design where its own timers are among those looked at, else None."""
    length = _length(timers[next(iter(timers))])
    own = all(
        len(spans) == 1 and abs(_length(spans) - length) < MINUTE and _is_around(spans[0], around[key])
        for key, spans in timers.items()
    )
    return length if own else None


def _is_around(span: tuple[float, float], middle: float) -> bool:
    start, end = span
    apart = (0.5 * (start + end) - middle) % DAY
    return end - start >= DAY - MINUTE or min(apart, DAY - apart) < MINUTE


def span_text(middle: float, length: float) -> str:
    """One span of the day around a moment [s after midnight], to the minute: "21:30-07:30"."""
    if length >= DAY - MINUTE:
        return "00:00-24:00"
    start = round((middle - 0.5 * length) / MINUTE) * MINUTE % DAY
    end = (start + max(1, round(length / MINUTE)) * MINUTE) % DAY
    return f"{_clock(start)}-{_clock(end)}"


def _clock(seconds: float) -> str:
    minutes = round(seconds / MINUTE)
    return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"


def _timers(path: Path, scenario: Scenario, unit: str | None) -> dict[str, Spans]:
    """Keys of the timers that are meant, and their spans."""
    if unit == "pump" or (unit is None and not scenario.aeration):
        if scenario.pump is None:
            raise ScenarioError(f"{path}: has no [pump] and no [[aeration]], so there are no hours to size")
        return {"pump.hours": scenario.pump.hours}
    if unit is None and scenario.pump is not None:
        names = ", ".join(one.name for one in scenario.aeration)
        raise ScenarioError(
            f"--unit: the design has a pump and air; write --unit pump, --unit air (all units together) or "
            f"the name of a unit: {names}"
        )
    return {f"aeration.{one.name}.hours": one.hours for one in chosen_units(path, scenario, unit)}


def _middle(path: Path, key: str, spans: Spans, given: str | None) -> float:
    """Middle of a timer's one span, or as given [s after midnight]."""
    if given is not None:
        match = _CLOCK.fullmatch(given.strip())
        if not match or int(match[1]) > 23 or int(match[2]) > 59:
            raise ScenarioError(f'--middle: "{given}" is not a time of day; write such as 02:30, in 24 hours')
        return 3600.0 * int(match[1]) + 60.0 * int(match[2])
    if len(spans) != 1:
        raise ScenarioError(
            f"{path}: {key} has {len(spans)} spans; say around which hour with --middle 02:30"
        )
    start, end = spans[0]
    if end - start >= DAY:
        raise ScenarioError(f"{path}: {key} is all day; say around which hour with --middle, such as 02:30")
    return (0.5 * (start + end)) % DAY


def _length(spans: Spans) -> float:
    return sum(end - start for start, end in spans)


def _hours_of(keys: tuple[str, ...], scenario: Scenario) -> float | None:
    spans = value_at(scenario, keys[0])
    return None if spans is None else _length(spans)
