"""One size of one design: the search with real runs, and what each run came to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from pondsim.errors import RunError
from pondsim.scenario.settings import Scenario
from pondsim.sizing.search import PRECISION, SCAN, Answer, Sample, find_smallest
from pondsim.sizing.target import Target, Wish, entry_of, target_of
from pondsim.sizing.trial import Trial, try_all, try_out

ScenarioAt = Callable[[float], Scenario]


@dataclass(frozen=True)
class Point:
    """One size that was run.

    Attributes
    ----------
    size : SI
    value : the measure, in the target's unit; None where the run has none
    meets : whether it meets the target
    trial : all the run came to
    """

    size: float
    value: float | None
    meets: bool
    trial: Trial


@dataclass(frozen=True)
class Sizing:
    """The answer to one question of size.

    Attributes
    ----------
    target : what was to be reached
    answer : what the search found
    points : every run, by size
    """

    target: Target
    answer: Answer
    points: tuple[Point, ...]

    def point(self, size: float | None) -> Point | None:
        """The run of that size."""
        return next((point for point in self.points if point.size == size), None)

    @property
    def failed(self) -> tuple[Point, ...]:
        """Runs that could not be finished."""
        return tuple(point for point in self.points if point.trial.failure)


class Judge:
    """Runs scenarios and holds them against a wish, which is read in full once a run tells the measures."""

    def __init__(self, wish: Wish) -> None:
        self.wish = wish
        self.target: Target | None = None

    def point(self, size: float, trial: Trial) -> Point:
        """One run held against the target; a failed one does not meet it."""
        if not trial.measures:
            return Point(size, None, False, trial)
        if self.target is None:
            self.target = target_of(self.wish, trial.measures, trial.zones)
        value = value_in(trial, self.target.measure)
        return Point(size, value, self.target.met(value), trial)

    def settled(self, points: tuple[Point, ...]) -> Target:
        """The target; RunError when no run was finished."""
        if self.target is None:
            raise RunError(f"no run could be finished; the first: {points[0].trial.failure}")
        return self.target


def value_in(trial: Trial, measure: str) -> float | None:
    """A measure of a run; None where the run has none, or not in this design."""
    stem = measure.partition(".")[0]
    if not any(key.partition(".")[0] == stem for key in trial.measures):
        return None
    return entry_of(measure, trial.measures, trial.zones).value


def size_one(
    scenario_at: ScenarioAt,
    low: float,
    high: float,
    wish: Wish,
    *,
    precision: float = PRECISION,
    scan: int = SCAN,
    whole: bool = False,
    also: tuple[float, ...] = (),
    told: Callable[[Point], None] | None = None,
) -> Sizing:
    """The smallest size that meets a wish.

    Parameters
    ----------
    scenario_at : the scenario of a size [SI]
    low, high : sizes looked at [SI]
    wish : from `read_wish`
    precision, scan, whole, also : see `find_smallest`
    told : called with every run as it is done

    Raises
    ------
    ScenarioError : an unknown measure or a wrong unit; a size that makes no scenario
    RunError : not one run could be finished
    """
    judge = Judge(wish)
    points: dict[float, Point] = {}
    trials: dict[float, Trial] = {}

    def ahead(sizes: list[float]) -> None:
        trials.update(zip(sizes, try_all([scenario_at(size) for size in sizes]), strict=True))

    def run(size: float) -> Sample:
        point = judge.point(size, trials[size] if size in trials else try_out(scenario_at(size)))
        points[size] = point
        if told:
            told(point)
        margin = judge.target.margin(point.value) if judge.target else None
        return Sample(size, margin, point.meets)

    answer = find_smallest(
        run, low, high, precision=precision, scan=scan, whole=whole, also=also, ahead=ahead
    )
    ordered = tuple(points[size] for size in sorted(points))
    return Sizing(judge.settled(ordered), answer, ordered)
