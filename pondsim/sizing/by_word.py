"""What can be sized: flow, air, drop, hours, or any number of a design by its key."""

from __future__ import annotations

from pathlib import Path

from pondsim.errors import ScenarioError
from pondsim.scenario.convert import si_unit
from pondsim.scenario.keys import Key
from pondsim.scenario.read import read
from pondsim.scenario.settings import Scenario
from pondsim.scenario.unreadable import likely
from pondsim.scenario.values import value_at
from pondsim.scenario.vary import find, laid_value, set_aside
from pondsim.sizing.size import Size, within
from pondsim.sizing.size_air import air_size
from pondsim.sizing.size_hours import hours_size
from pondsim.sizing.size_loop import drop_size, flow_size
from pondsim.units import DISPLAY, split, to_si

WORDS = ("flow", "air", "drop", "hours")
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


def size_of(path: Path, what: str, unit: str | None = None, middle: str | None = None) -> Size:
    """What a word or a dotted key stands for in a design.

    Parameters
    ----------
    path : design file
    what : "flow", "air", "drop", "hours" or a dotted key such as ``waterfall.width``
    unit : for air and hours: name of an aeration unit; for hours also "pump" or "air" (all units)
    middle : for hours: clock time around which they lie, such as "02:30"

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
        return flow_size(path, scenario)
    if what == "drop":
        return drop_size(path, scenario)
    if what == "air":
        return air_size(path, scenario, unit)
    if what == "hours":
        return hours_size(path, scenario, unit, middle)
    return _any_key(path, scenario, what)


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
        raise ScenarioError(
            f"{key}: is not a number ({declared.doc or declared.kind}), so it cannot be sized"
        )
    kept, present = si_unit(declared), value_at(scenario, key)
    written = split(found.entry.value)[1] if found.entry and isinstance(found.entry.value, str) else ""
    shown = DISPLAY[KINDS[kept]] if kept in KINDS else (_unit_of(declared, kept),) * 2
    practice = None
    if present:
        ends = (-float("inf"), float("inf"))
        given = [
            end if limit is None else to_si(str(limit), kept)
            for limit, end in zip((declared.least, declared.most), ends, strict=True)
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


def _unit_of(declared: Key, kept: str) -> str:
    """The unit in which a key is declared, as in "0 g/m2/d"; the SI unit where nothing tells it."""
    texts = [one for one in (declared.default, declared.most, declared.least) if isinstance(one, str)]
    return next((unit for text in texts if (unit := split(text)[1])), kept)


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
