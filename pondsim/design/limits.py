"""What a part of the equipment is held against."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Limit:
    """One thing a part of the equipment is held against."""

    code: str  # what it is, for machines; one code for each limit that the program knows
    part: str  # "intake", "gravity line", "wet well", "pump", "discharge", "waterfall", or the unit's name
    what: str  # "velocity in the pipe at normal pool"
    value: float | None  # SI; None where it cannot be computed
    kind: str  # kind of units.display: "speed", "length" ...
    least: float | None  # SI
    most: float | None  # SI
    verdict: str  # "pass", "warn", "fail" or "reported" (shown, not judged)
    source: str  # "common practice, no source", or the reference
    note: str = ""  # one plain sentence
