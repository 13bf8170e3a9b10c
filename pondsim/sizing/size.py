"""A number of a design that is to be found, as keys to lay over it, and the range it is looked for in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from pondsim.errors import Problem, ScenarioError
from pondsim.scenario.settings import Scenario
from pondsim.scenario.vary import Change, find
from pondsim.units import UnitError, show, split, to_si

SPAN = (0.1, 10.0)  # times what the design says, within practice; judgement
HAIR = 1e-4  # of a size, by which one lies past it in a trial of what is allowed
# Within which sizes are looked for when nothing else is said: common practice, no source.
PRACTICE = {"flow": ("100 gpm", "1500 gpm"), "drop": ("1 ft", "8 ft"), "hours": ("1 h", "24 h")}


@dataclass(frozen=True)
class Size:
    """One number of a design that is to be found.

    Attributes
    ----------
    key : word or dotted key, as the user gave it
    words : what it is, in words
    si_unit : SI unit of its values
    us, si : units it is shown in
    present : what the design says [SI], or None
    practice : sizes looked at when no others are asked for [SI], or None
    whole : whether it is a whole number
    changes : keys to lay over the design for a value; the second argument is where the value comes from
    value_of : the size of a design that was read [SI], or None where it has none
    notes : what the reader must know of this size
    without : a scenario with what is sized taken out, or None where nothing can be
    """

    key: str
    words: str
    si_unit: str
    us: str
    si: str
    present: float | None
    practice: tuple[float, float] | None
    whole: bool
    changes: Callable[[float, Path], tuple[Change, ...]]
    value_of: Callable[[Scenario], float | None]
    notes: tuple[str, ...] = ()
    without: Callable[[Scenario], Scenario] | None = None

    @property
    def noun(self) -> str:
        """What it is called in a sentence: a key by its key."""
        return self.key if "." in self.key else self.words

    def unit(self, system: str) -> str:
        """Unit shown in a unit system."""
        return self.us if system == "us" else self.si

    def text(self, value: float, system: str, digits: int = 3) -> str:
        """A value as people read it."""
        return show(value, self.unit(system), digits)

    def read(self, text: str, option: str) -> float:
        """A value typed at the command line [SI]; ScenarioError names the option."""
        try:
            return to_si(text.strip(), self.si_unit)
        except UnitError as error:
            raise ScenarioError(Problem(Path(option), None, self.key, f"= {error}")) from None


def limits(size: Size, start: str | None, end: str | None) -> tuple[float, float]:
    """Least and largest size looked at [SI]: as typed, else from what the design says, within practice."""
    low = size.read(start, "--from") if start else _default(size, 0)
    high = size.read(end, "--to") if end else _default(size, 1)
    if size.whole and {low, high} != {round(low), round(high)}:
        raise ScenarioError(f"--from, --to: {size.key} is a whole number")
    if not low < high:
        unit = split((start or end or "").strip())[1] if start or end else size.us
        ends = [(text or show(value, unit)).strip() for text, value in ((start, low), (end, high))]
        raise ScenarioError(f"--from: the search range is {' to '.join(ends)}; the first must be the smaller")
    return low, high


def refused_past(scenario_at: Callable[[float], object], size: Size, end: float, way: int) -> str:
    """Key that allows nothing past an end of the search, above it (`way` 1) or below (-1); "" for none."""
    step = 1.0 if size.whole else HAIR * (abs(end) or 1.0)
    try:
        scenario_at(end + way * step)
    except ScenarioError as error:
        return error.problems[0].key or size.key
    return ""


def _default(size: Size, end: int) -> float:
    if size.practice is None:
        option = ("--from", "--to")[end]
        raise ScenarioError(f"{option}: is needed, since the design says nothing of {size.key} to start from")
    return size.practice[end]


def within(present: float, least: float, most: float) -> tuple[float, float]:
    """A range about what the design says, cut to practice but never so that the design falls outside."""
    low, high = SPAN[0] * present, SPAN[1] * present
    return min(max(low, least), present), max(min(high, most), present)


def metered(path: Path, key: str) -> tuple[str, ...]:
    """A word of warning where a metered power would not follow the size."""
    if find(path, key, path).entry is None:
        return ()
    return (f"{key} is stated, so the electricity shown does not follow the size.",)
