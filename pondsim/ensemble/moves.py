"""How far each measure of designs moves where they are computed more finely."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from pondsim.measures.bands import Band
from pondsim.measures.criteria import DAY_MINIMUM
from pondsim.measures.declared import Measure


@dataclass(frozen=True, kw_only=True)
class Moves(Measure):
    """One measure of every design, as it is and as computed more finely.

    Attributes
    ----------
    values : by design, None where there is no such number
    finer : by way of being finer, the same
    elsewhere : by design, whether it is read at another elevation than in the existing pond
    """

    values: tuple[float | None, ...]
    finer: dict[str, tuple[float | None, ...]]
    elsewhere: tuple[bool, ...] = ()

    def move(self, way: str) -> float:
        """How far the value of any design moves in one way."""
        return max((abs(b - a) for a, b in _both(self.values, self.finer[way])), default=0.0)

    @property
    def largest_move(self) -> float:
        """How far the value of any design moves in any way."""
        return max((self.move(way) for way in self.finer), default=0.0)

    def differences(self, values: tuple[float | None, ...]) -> tuple[float | None, ...]:
        """Each design less the existing pond; None where the two are not compared."""
        first, apart = values[0], self.elsewhere or (False,) * len(values)
        return tuple(
            None if first is None or v is None or other else v - first
            for v, other in zip(values, apart, strict=True)
        )

    @property
    def paired_move(self) -> float:
        """How far the difference between any two designs moves; of one design alone, its value."""
        if len(self.values) < 2:
            return self.largest_move
        moves = [0.0]
        for values in self.finer.values():
            for one, other in combinations(_both(self.values, values), 2):
                moves.append(abs((other[1] - one[1]) - (other[0] - one[0])))
        return max(moves)

    @property
    def survives(self) -> tuple[bool | None, ...]:
        """Whether each difference to the first is larger than the band and keeps its sign in every way.

        The band is the assumed one where no difference moved.

        None for the existing pond, and where there is no difference to keep.
        """
        base, band = self.differences(self.values), self.paired_move or self.assumed
        every = [self.differences(values) for values in self.finer.values()]
        return tuple(
            None
            if not design or not d
            else abs(d) > band and all((one[design] or 0.0) * d > 0.0 for one in every)
            for design, d in enumerate(base)
        )

    @property
    def assumed(self) -> float:
        """The band of ties that is assumed where nobody checked."""
        known = [abs(value) for value in self.values if value is not None]
        return self.band(max(known, default=0.0), 0.0)

    @property
    def is_main(self) -> bool:
        """Whether it belongs in the short table."""
        return self.main == "always" or (self.main == "nonzero" and any(self.values))


@dataclass(frozen=True)
class GridCheck:
    """Designs as they are and more finely.

    Attributes
    ----------
    titles : one per design, existing pond first
    zones, start, end : of the pond and the run
    shape : by zone its area [m2] and volume [m3] at normal pool
    ways : name and words of each way of being finer
    moves : every measure; those of the worst zone come first
    dawns : by way, over all designs: mean move of the zone whose mean dawn moves most, what 95 % of single
        dawns stay within, and the largest move of one [mg/L]
    minimum : what days are counted by, in words
    """

    titles: tuple[str, ...]
    zones: tuple[str, ...]
    start: str
    end: str
    shape: dict[str, tuple[float, float]]
    ways: dict[str, str]
    moves: tuple[Moves, ...]
    dawns: dict[str, tuple[float, float, float]]
    minimum: str = DAY_MINIMUM

    def bands(self) -> dict[str, Band]:
        """How far each measure moved, by key."""
        return {one.key: Band(one.largest_move, one.paired_move) for one in self.moves}


def _both(values: tuple[float | None, ...], others: tuple[float | None, ...]) -> list[tuple[float, float]]:
    """Designs that have a number in both."""
    return [(a, b) for a, b in zip(values, others, strict=True) if a is not None and b is not None]
