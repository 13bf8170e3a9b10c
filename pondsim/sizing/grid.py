"""Two sizes at once: a map of runs, and the least cost among those that meet the target."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from pondsim.scenario.settings import Scenario
from pondsim.sizing.one import Judge, Point
from pondsim.sizing.target import Target, Wish
from pondsim.sizing.trial import try_all


@dataclass(frozen=True)
class SizeMap:
    """Runs of every pair of two sizes.

    Attributes
    ----------
    target : what was to be reached
    first, second : sizes along both ways [SI]
    points : by first, then second
    """

    target: Target
    first: tuple[float, ...]
    second: tuple[float, ...]
    points: tuple[tuple[Point, ...], ...]

    @property
    def by_money(self) -> bool:
        """Whether cost is money: every run that meets the target has a bill; else it is electricity."""
        meeting = [point for row in self.points for point in row if point.meets]
        return bool(meeting) and all(point.trial.money is not None for point in meeting)

    @property
    def cost_unit(self) -> str:
        """What costs are shown in: the currency of the tariff, or kWh."""
        return self.currency if self.by_money else "kWh"

    @property
    def currency(self) -> str:
        """What the money of the tariff is called."""
        return next(
            (point.trial.currency for row in self.points for point in row if point.trial.measures), "$"
        )

    def cost(self, point: Point) -> float:
        """Cost of a run: money, or kWh."""
        return float(point.trial.money or 0.0) if self.by_money else point.trial.energy

    @property
    def least(self) -> tuple[int, int] | None:
        """Place of the least cost among those that meet the target; the smaller where costs are alike."""
        meeting = [
            (self.cost(point), i, j)
            for i, row in enumerate(self.points)
            for j, point in enumerate(row)
            if point.meets
        ]
        return min(meeting)[1:] if meeting else None

    @property
    def best(self) -> tuple[int, int] | None:
        """Place of the run that comes nearest to the target, or passes it by most."""
        known = [
            (-margin, i, j)
            for i, row in enumerate(self.points)
            for j, point in enumerate(row)
            if (margin := self.target.margin(point.value)) is not None
        ]
        return min(known)[1:] if known else None


def size_map(
    scenario_at: Callable[[float, float], Scenario],
    first: tuple[float, ...],
    second: tuple[float, ...],
    wish: Wish,
    report: Callable[[float], None] | None = None,
) -> SizeMap:
    """Run every pair of sizes.

    Parameters
    ----------
    scenario_at : the scenario of a pair [SI]
    first, second : sizes along both ways [SI]
    wish : what must be reached
    report : called with the share done, 0 to 1

    Raises
    ------
    ScenarioError : an unknown measure or a wrong unit, or sizes that make no scenario
    RunError : not one run could be finished
    """
    judge = Judge(wish)
    trials = try_all([scenario_at(a, b) for a in first for b in second], report)
    points = [judge.point(float(place), trial) for place, trial in enumerate(trials)]
    wide = len(second)
    rows = tuple(tuple(points[i * wide : (i + 1) * wide]) for i in range(len(first)))
    return SizeMap(judge.settled(tuple(points)), first, second, rows)
