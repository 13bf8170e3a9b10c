"""How far measures of a pond moved when it was computed more finely: a file of `pondsim gridcheck`, read."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from pondsim.errors import ScenarioError
from pondsim.measures.declared import Measure

KIND = "pondsim gridcheck"
ONE_POND = 0.01  # areas and volumes that differ by no more are of one pond (judgement)
Shape = Mapping[str, tuple[float, float]]
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
    name : of the file, for messages
    zones, start, end : the pond and the period it was made for
    shape : by zone its area [m2] and volume [m3] at normal pool; None where the file does not hold them
    designs : titles of the designs that were computed
    ways : in which ways the pond was computed more finely, in words
    moved : by key of the measure; `days_failing_top` and `dawn_lowest_top` with no zone are of the worst zone
    """

    name: str
    zones: tuple[str, ...]
    start: str
    end: str
    shape: Shape | None
    designs: tuple[str, ...]
    ways: tuple[str, ...]
    moved: Mapping[str, Band]

    def laid_on(self, measure: M) -> M:
        """The measure with its measured band in place of the assumed one, where there is one.

        A difference that did not move at all gives no band: the assumed one stays.
        """
        band = self.moved.get(measure.key)
        if band is None:
            return measure
        if not band.difference:
            return replace(measure, moved=band.value)
        return replace(measure, tie=band.difference, tie_share=0.0, moved=band.value)

    def measured(self, measure: Measure) -> bool:
        """Whether the band of a measure is a measured one."""
        band = self.moved.get(measure.key)
        return band is not None and band.difference > 0.0

    def refuse_other(self, zones: Sequence[str], start: str, end: str, shape: Shape | None) -> None:
        """Raise ScenarioError where the runs are of another pond or period."""
        if (tuple(zones), start, end) != (self.zones, self.start, self.end):
            raise ScenarioError(
                f"{self.name}: these bands are of another pond or period: {', '.join(self.zones)}, "
                f"{self.start} to {self.end}; the results are of {', '.join(zones)}, {start} to {end}"
            )
        for zone, (what, mine, theirs, unit) in _unlike_shapes(self.shape, shape):
            raise ScenarioError(
                f"{self.name}: these bands are of another pond: at normal pool the {what} of {zone} is "
                f"{mine:.4g} {unit} there, {theirs:.4g} {unit} in the results; check the grid of this pond"
            )


def _unlike_shapes(
    mine: Shape | None, theirs: Shape | None
) -> Iterator[tuple[str, tuple[str, float, float, str]]]:
    """Zones of another area or volume; none where one of the two is not known."""
    for zone, sizes in (mine or {}).items():
        for what, unit, a, b in zip(
            ("area", "volume"), ("m2", "m3"), sizes, (theirs or {}).get(zone, sizes), strict=True
        ):
            if abs(a - b) > ONE_POND * max(abs(a), abs(b)):
                yield zone, (what, a, b, unit)


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
        shape = data.get("shape")
        return Bands(
            name=name,
            zones=tuple(map(str, data["zones"])),
            start=str(data["start"]),
            end=str(data["end"]),
            shape=None if shape is None else {str(zone): _pair(sizes) for zone, sizes in shape.items()},
            designs=tuple(map(str, data["designs"])),
            ways=tuple(str(way["words"]) for way in data["ways"]),
            moved=moved,
        )
    except (ValueError, KeyError, TypeError, AttributeError):
        raise ScenarioError(
            f"{name}: is no grid check; wanted is a file that was made by: pondsim gridcheck EXISTING "
            "DESIGN... --json FILE"
        ) from None


def _pair(sizes: Mapping[str, float]) -> tuple[float, float]:
    return _length(sizes["area_m2"]), _length(sizes["volume_m3"])


def _length(value: float) -> float:
    found = float(value)
    if not (math.isfinite(found) and found >= 0.0):
        raise ValueError(value)
    return found
