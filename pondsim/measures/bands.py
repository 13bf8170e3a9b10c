"""How far measures of a pond moved when it was computed more finely: a file of `pondsim gridcheck`, read."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from pondsim.errors import ScenarioError
from pondsim.measures.declared import Measure

KIND = "pondsim gridcheck"
M = TypeVar("M", bound=Measure)


@dataclass(frozen=True)
class Band:
    """How far one measure moved, in its own unit.

    Attributes
    ----------
    value : the value of any design
    difference : the difference between any two designs
    """

    value: float
    difference: float


@dataclass(frozen=True)
class Bands:
    """What a grid check found, for the ties and the digits of a comparison.

    Attributes
    ----------
    zones, start, end : the pond and the period it was made for
    designs : titles of the designs that were computed
    ways : in which ways the pond was computed more finely, in words
    moved : by key of the measure; `days_failing_top` and `dawn_lowest_top` with no zone are of the worst zone
    """

    zones: tuple[str, ...]
    start: str
    end: str
    designs: tuple[str, ...]
    ways: tuple[str, ...]
    moved: Mapping[str, Band]

    def laid_on(self, measure: M) -> M:
        """The measure with its measured band in place of the assumed one, where there is one."""
        band = self.moved.get(measure.key)
        if band is None:
            return measure
        return replace(measure, tie=band.difference, tie_share=0.0, moved=band.value)

    def refuse_other(self, zones: Sequence[str], start: str, end: str) -> None:
        """Raise ScenarioError where the runs are of another pond or period."""
        if (tuple(zones), start, end) != (self.zones, self.start, self.end):
            raise ScenarioError(
                f"these bands are of another pond or period: {', '.join(self.zones)}, {self.start} to "
                f"{self.end}; the results are of {', '.join(zones)}, {start} to {end}"
            )


def read_bands(text: str, name: str) -> Bands:
    """Bands from the text of a JSON file of `pondsim gridcheck`; `name` is for messages.

    Raises
    ------
    ScenarioError
        The text is no such file.
    """
    try:
        data = json.loads(text)
        if data["kind"] != KIND:
            raise ValueError(data["kind"])
        moved = {
            str(row["key"]): Band(_length(row["largest_move"]), _length(row["band"]))
            for row in data["measures"]
        }
        return Bands(
            zones=tuple(map(str, data["zones"])),
            start=str(data["start"]),
            end=str(data["end"]),
            designs=tuple(map(str, data["designs"])),
            ways=tuple(str(way["words"]) for way in data["ways"]),
            moved=moved,
        )
    except (ValueError, KeyError, TypeError, AttributeError):
        raise ScenarioError(
            f"{name}: is no grid check; wanted is a file that was made by: pondsim gridcheck EXISTING "
            "DESIGN... --json FILE"
        ) from None


def _length(value: float) -> float:
    found = float(value)
    if not (math.isfinite(found) and found >= 0.0):
        raise ValueError(value)
    return found
