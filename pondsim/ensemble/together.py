"""Tasks that share work, done one after the other in one place: designs of a member find one bed."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from pondsim.ensemble.kept import Kept
from pondsim.ensemble.runner import each_result

Task = TypeVar("Task")
Result = TypeVar("Result")


@dataclass(frozen=True)
class Together(Generic[Task, Result]):
    """Does some tasks in their order; travels to other processes."""

    function: Callable[[Task], Result]

    def __call__(self, tasks: tuple[Task, ...]) -> tuple[Result, ...]:
        """The result of each."""
        return tuple(self.function(task) for task in tasks)


def each_together(
    function: Callable[[Task], Result],
    tasks: Sequence[Task],
    groups: Sequence[Hashable],
    take: Callable[[int, Result], None],
    how: str = "threads",
    *,
    kept: Kept | None = None,
    report: Callable[[float], None] | None = None,
) -> None:
    """As `each_result`, with the tasks of a group done one after the other by one thread or process.

    Results are kept one by one, so that a study with another design takes what it has; one that is broken off
    loses the groups at hand.
    """
    left: dict[Hashable, list[int]] = {}
    for place, (task, group) in enumerate(zip(tasks, groups, strict=True)):
        found = None if kept is None else kept.read(task)
        if found is None:
            left.setdefault(group, []).append(place)
        else:
            take(place, found)
    places = list(left.values())
    waiting = sum(map(len, places))

    def got(group: int, results: tuple[Result, ...]) -> None:
        for place, result in zip(places[group], results, strict=True):
            if kept is not None:
                kept.write(tasks[place], result)
            take(place, result)

    def tell(share: float) -> None:
        if report and tasks:
            report(1.0 - (1.0 - share) * waiting / len(tasks))

    bundles: list[Any] = [tuple(tasks[place] for place in own) for own in places]
    each_result(Together(function), bundles, got, how, report=tell)
