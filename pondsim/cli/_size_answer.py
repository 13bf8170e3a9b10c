"""The answer to a question of size in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pondsim.cli._size_text import cost_text, digits_beside, reached_text, value_text
from pondsim.comparison.lengths import length_text
from pondsim.sizing.one import Point, Sizing
from pondsim.sizing.search import NOISE
from pondsim.sizing.size import refused_past

if TYPE_CHECKING:
    from collections.abc import Callable

    from pondsim.sizing.size import Size


def past_end(scenario_at: Callable[[float], object], size: Size, end: float, way: int) -> str:
    """How to search past an end, above it (`way` 1) or below (-1); that a key allows nothing there."""
    key = refused_past(scenario_at, size, end, way)
    more, where, option = ("more", "above", "--to") if way > 0 else ("less", "below", "--from")
    return f"{key} allows no {more}." if key else f"To search {where} it, give {option}."


def answer_sentences(
    sizing: Sizing, size: Size, system: str, scenario_at: Callable[[float], object]
) -> list[str]:
    """The answer in plain sentences, the finding first; `scenario_at` reads the design at a size."""
    answer, target = sizing.answer, sizing.target

    def reached(point: Point | None) -> str:
        return reached_text(point, target, system)

    said: list[str] = []
    found = sizing.point(answer.size)
    ends = [size.text(sizing.points[end].size, system) for end in (0, -1)]
    if answer.kind == "never":
        said.append(_never(sizing, size, system, ends, scenario_at))
    elif answer.kind == "already":
        said.append(
            f"The lower search bound, {ends[0]}, already meets it: {reached(found)}. "
            f"{past_end(scenario_at, size, sizing.points[0].size, -1)}"
        )
    elif found and answer.below is not None:
        below = sizing.point(answer.below)
        said.append(
            f"{size.text(found.size, system)} is the smallest {size.noun} that meets it: {reached(found)} "
            f"there, {reached(below)} at {size.text(answer.below, system)}. Both were run."
        )
    if found and not _is_electricity(sizing):
        said.append(
            f"With it the equipment uses {cost_text(found.trial)} in {length_text(found.trial.days)}."
        )
    if answer.largest:
        most, over = (size.text(one, system) for one in answer.largest)
        said.append(
            f"More is not always better here: {reached(sizing.point(answer.largest[1]))} at {over}, which "
            "misses it. "
            f"What meets it runs from {size.text(answer.size or 0.0, system)} to {most}"
            + (", and larger sizes meet it again: see the table." if answer.others else ".")
        )
    elif not answer.rises and answer.kind != "never":
        said.append(
            f"The measure does not improve all the way up: {course(sizing, size, system)}. Do not "
            f"interpolate in the table."
        )
    said += _as_it_stands(sizing, size, system)
    if sizing.failed:
        places = ", ".join(size.text(point.size, system) for point in sizing.failed)
        said.append(f"Failed runs, counted as not meeting it: {places} ({sizing.failed[0].trial.failure}).")
    return said


def _never(
    sizing: Sizing, size: Size, system: str, ends: list[str], scenario_at: Callable[[float], object]
) -> str:
    best = sizing.answer.best
    words = f"No {size.noun} from {ends[0]} to {ends[1]} meets it."
    if best is None:
        return f"{words} No run has a value for it."
    reached = reached_text(sizing.point(best.size), sizing.target, system)
    every = {reached_text(point, sizing.target, system) for point in sizing.points if point.value is not None}
    if every == {reached}:
        return f"{words} It reaches {reached} at every size that was run."
    if best.size == sizing.points[-1].size and sizing.answer.rises:
        more = past_end(scenario_at, size, best.size, 1)
        return f"{words} The best is {reached} at the upper search bound; {more.replace('To', 'to', 1)}"
    at = size.text(best.size, system)
    return f"{words} The best is {reached} at {at}: {course(sizing, size, system)}."


def course(sizing: Sizing, size: Size, system: str) -> str:
    """How the measure goes from the smallest size to the largest, by its turns."""
    known = [point for point in sizing.points if point.value is not None]
    values = [point.value for point in known if point.value is not None]
    slack = NOISE * (max(values) - min(values))
    turns, heads = [0], [0]  # places at which it turns, the way it went before each
    far = 0  # the extreme since the last turn
    for place in range(1, len(values)):
        way = heads[-1]
        step = values[place] - values[far]
        if way == 0 and abs(step) > slack:
            heads[-1], far = (1 if step > 0.0 else -1), place
        elif way * step >= 0.0 and way:
            far = place
        elif abs(step) > slack and way:
            turns.append(far)
            heads.append(-way)
            far = place
    places = [*turns, len(values) - 1]
    steps = [
        f"{reached_text(known[p], sizing.target, system)} at {size.text(known[p].size, system)}"
        for p in places
    ]
    verbs = ["it rises to" if way > 0 else "it falls to" if way < 0 else "it stays at" for way in heads]
    told = [f"from {steps[0]}", *(f"{verb} {step}" for verb, step in zip(verbs, steps[1:], strict=True))]
    return f"{told[0]} " + ", then ".join(told[1:])


def _is_electricity(sizing: Sizing) -> bool:
    return sizing.target.measure == "electricity"


def _as_it_stands(sizing: Sizing, size: Size, system: str) -> list[str]:
    if size.present is None or sizing.point(size.present) is None:
        return []
    point = sizing.point(size.present)
    assert point is not None
    reached = reached_text(point, sizing.target, system)
    cost = "" if _is_electricity(sizing) else f" with {cost_text(point.trial)}"
    return [f"As the design stands, {size.text(size.present, system)}: {reached}{cost}."]


def without_sentence(value: float | None, sizing: Sizing, system: str) -> str:
    """What the pond does with what is sized taken out; "" where it has no such number."""
    if value is None:
        return ""
    target = sizing.target
    shown = value_text(value, target.entry, system, digits_beside(value, target, system))
    fate = "meets" if target.met(value) else "misses"
    return f"Without it, by one more run with the equipment taken out: {shown}, which {fate} it."
