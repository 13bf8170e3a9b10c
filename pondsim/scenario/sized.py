"""What can be sized: flow, air, drop, hours, or any number of a design, as keys to lay over it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from pondsim.errors import Problem, ScenarioError
from pondsim.scenario.convert import likely, limits_of, si_unit
from pondsim.scenario.read import read
from pondsim.scenario.settings import Aeration, Scenario
from pondsim.scenario.vary import Change, find, laid_value, set_aside, value_at
from pondsim.units import DISPLAY, UnitError, show, split, to_si

WORDS = ("flow", "air", "drop", "hours")
SPAN = (0.1, 10.0)  # times what the design says, within practice; judgement
# Within which sizes are looked for when nothing else is said: common practice, no source.
PRACTICE = {"flow": ("100 gpm", "1500 gpm"), "drop": ("1 ft", "8 ft"), "hours": ("1 h", "24 h")}
KINDS = {  # SI unit: kind of units.display
    "m3/s": "flow",
    "m": "length",
    "standard_m3/s": "air_flow",
    "s": "hours",
    "W": "power",
    "m2": "area",
    "m3": "volume",
    "kg/m3": "concentration",
    "m/s": "speed",
    "K": "temperature",
    "delta_K": "temperature_difference",
    "Pa": "pressure",
}


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


@dataclass(frozen=True)
class Gives:
    """What a design gives at normal pool, whether the file states it or a curve and a line decide it.

    Attributes
    ----------
    flow : of the loop, from a scenario; None where there is none [m3/s]
    air : through each diffuser, from a unit and its scenario [standard m3/s]
    pump_efficiency : wire to water where a curve and a line decide it, else None [1]
    source_efficiency : of a unit's air source where its curve decides it, else None [1]
    """

    flow: Callable[[Scenario], float | None]
    air: Callable[[Aeration, Scenario], float]
    pump_efficiency: Callable[[Scenario], float | None] = lambda _: None
    source_efficiency: Callable[[Aeration, Scenario], float | None] = lambda _unit, _scenario: None


STATED = Gives(lambda scenario: value_at(scenario, "pump.flow"), lambda unit, _: unit.air_flow or 0.0)


def size_of(
    path: Path, what: str, unit: str | None = None, middle: str | None = None, gives: Gives = STATED
) -> Size:
    """What a word or a dotted key stands for in a design.

    Parameters
    ----------
    path : design file
    what : "flow", "air", "drop", "hours" or a dotted key such as ``waterfall.width``
    unit : for air and hours: name of an aeration unit; for hours also "pump" or "air" (all units)
    middle : for hours: clock time around which they lie, such as "02:30"
    gives : what the design delivers; as stated when left out

    Raises
    ------
    ScenarioError : faults of the files; a design without such equipment
    """
    scenario = read(path).scenario
    if what not in ("air", "hours") and unit:
        raise ScenarioError(f"--unit: goes with air and hours, not with {what}")
    if what != "hours" and middle:
        raise ScenarioError(f"--middle: goes with hours, not with {what}")
    if what == "flow":
        from pondsim.scenario.sized_loop import flow_size  # noqa: PLC0415

        return flow_size(path, scenario, gives)
    if what == "drop":
        from pondsim.scenario.sized_loop import drop_size  # noqa: PLC0415

        return drop_size(path, scenario)
    if what == "air":
        from pondsim.scenario.sized_air import air_size  # noqa: PLC0415

        return air_size(path, scenario, unit, gives)
    if what == "hours":
        from pondsim.scenario.sized_hours import hours_size  # noqa: PLC0415

        return hours_size(path, scenario, unit, middle)
    return _any_key(path, scenario, what)


def limits(size: Size, start: str | None, end: str | None) -> tuple[float, float]:
    """Least and largest size looked at [SI]: as typed, else from what the design says, within practice."""
    low = size.read(start, "--from") if start else _default(size, 0)
    high = size.read(end, "--to") if end else _default(size, 1)
    if size.whole and {low, high} != {round(low), round(high)}:
        raise ScenarioError(f"--from, --to: {size.key} is a whole number")
    if not low < high:
        shown = f"{size.text(low, 'us')} to {size.text(high, 'us')}"
        raise ScenarioError(f"--from: the sizes looked at run from {shown}; the first must be the smaller")
    return low, high


def _default(size: Size, end: int) -> float:
    if size.practice is None:
        option = ("--from", "--to")[end]
        raise ScenarioError(f"{option}: is needed, since the design says nothing of {size.key} to start from")
    return size.practice[end]


def within(present: float, least: float, most: float) -> tuple[float, float]:
    """A range about what the design says, cut to practice but never so that the design falls outside."""
    low, high = SPAN[0] * present, SPAN[1] * present
    return min(max(low, least), present), max(min(high, most), present)


def _any_key(path: Path, scenario: Scenario, key: str) -> Size:
    if "." not in key:
        hint = likely(key, [*WORDS, "places", "measures"])
        raise ScenarioError(
            f"{key}: cannot be sized{hint or ';'} write flow, air, drop, hours or a key, such as "
            "waterfall.width or aeration.NAME.air_flow"
        )
    found = find(path, key, Path(f"size {key}"))
    declared = found.declared
    if declared.kind not in ("quantity", "integer"):
        raise ScenarioError(f"{key}: is no number ({declared.doc or declared.kind}), so it cannot be sized")
    kept, present = si_unit(declared), value_at(scenario, key)
    written = split(found.entry.value)[1] if found.entry and isinstance(found.entry.value, str) else ""
    shown = DISPLAY[KINDS[kept]] if kept in KINDS else (kept, kept)
    practice = None
    if present:
        ends = (-float("inf"), float("inf"))
        given = [
            end if limit is None else to_si(str(limit), kept)
            for limit, end in zip(limits_of(declared), ends, strict=True)
        ]
        practice = within(abs(present), *given) if present > 0.0 else None
    whole = declared.kind == "integer"
    if whole and practice:
        practice = (max(1.0, float(round(practice[0]))), float(round(practice[1])))
    return Size(
        key,
        declared.doc or key,
        kept,
        written or shown[0],
        shown[1],
        present,
        practice,
        whole,
        lambda value, source: (laid_value(key, value, kept, written or shown[0], source, whole=whole),),
        lambda scenario_read: value_at(scenario_read, key),
        _without_curve(path, key),
    )


def _without_curve(path: Path, key: str) -> tuple[str, ...]:
    """What a key sets aside, and the word that keeps the efficiency of the design."""
    word = {"pump.flow": "flow"}.get(key, "air" if key.endswith(".air_flow") else "")
    taken = set_aside(path, key)
    if not (word and taken):
        return ()
    return (
        f"{key} takes the place of {', '.join(taken)}: the electricity is by the efficiency stated or by "
        f"default, not that of the design. pondsim size {word} keeps the design's.",
    )


def metered(path: Path, key: str) -> tuple[str, ...]:
    """A word of warning where a metered power would not follow the size."""
    if find(path, key, path).entry is None:
        return ()
    return (f"{key} is stated, so the electricity shown does not follow the size.",)
