"""Every limit in force, design by design, in words: met, or where it fails, how often, from when to when."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondsim.comparison.names import listed, name_of
from pondsim.comparison.row import Comparison, number
from pondsim.measures.judged import LINE_WORDS, AtPlace, LimitResult
from pondsim.measures.limits import MONTHS, Limit


@dataclass(frozen=True)
class LimitLine:
    """A limit and what becomes of it in each design.

    Attributes
    ----------
    title : its name and what is judged
    answers : one per design; "" where the design's results were not judged
    meets : one per design; None where it could not be judged
    """

    title: str
    answers: tuple[str, ...]
    meets: tuple[bool | None, ...]


def limit_lines(comparison: Comparison, system: str = "us") -> list[LimitLine]:
    """Every limit with an answer for each design; none where no run could be judged."""
    found = []
    for at, result in enumerate(comparison.limits[0] if comparison.limits else ()):
        results = [own[at] for own in comparison.limits]
        found.append(
            LimitLine(
                f"{result.limit.name}: {result.limit.words(system)}",
                tuple(answer(one, system) for one in results),
                tuple(one.meets for one in results),
            )
        )
    return found


def limits_heading(comparison: Comparison) -> str:
    """Words above the limits: whose criteria they are, and how they are judged."""
    names = {one.limit.name for one in comparison.limits[0]} if comparison.limits else set()
    federal = f" ({comparison.criterion})" if names & set(LINE_WORDS.values()) else ""
    return f"Criteria{federal} and limits, each judged apart; windows are dated by their last day"


def answer(result: LimitResult, system: str) -> str:
    """What becomes of a limit in one design."""
    limit = result.limit
    low = "lowest" if limit.least else "highest"
    if result.meets is None:
        return f"not judged: {_why_not(result)}"
    if result.meets:
        worst = result.worst
        extreme = f"{low} {_at(worst, result)}{limit.shown(worst.judged.worst, system)}"
        return f"met: {extreme}" + ("" if limit.statistic == "whole run" else f", {_share(worst, limit)}")
    worst, failing = result.failing[0], result.failing
    several = len(result.places) > 1
    where = f"fails in {len(failing)} of {len(result.places)} zones, worst " if several else "fails "
    judged = worst.judged
    if limit.statistic == "whole run":
        return f"{where}{_at(worst, result)}{limit.shown(judged.worst, system)}"
    days = _day(judged.first)
    days += f" to {_day(judged.last)}" if judged.first != judged.last else ""
    extreme = limit.shown(judged.worst, system)
    return f"{where}{_at(worst, result)}{_share(worst, limit)}, {days}, {low} {extreme}"


def _at(one: AtPlace, result: LimitResult) -> str:
    return f"{one.place}: " if len(result.places) > 1 else ""


def _share(one: AtPlace, limit: Limit) -> str:
    """How many of how many, those not judged, and the chance of the test."""
    judged = one.judged
    what = "days" if limit.days == 1 else "windows"
    what = "results" if limit.statistic == "instantaneous" else what
    text = f"{judged.failing} of {judged.judged} {what}"
    if judged.not_judged:
        text += f" ({judged.not_judged} not judged)"
    if not np.isnan(one.chance):
        text += (
            f", {100.0 * judged.share:.1f} %, worth {judged.effective:.0f} independent; chance "
            f"{one.chance:.2g} if {100.0 * limit.allowed_share:g} % were true"
        )
    return text


def _why_not(result: LimitResult) -> str:
    limit = result.limit
    if not result.places:
        return "the results do not hold it"
    if any(one.judged.not_judged for one in result.places):
        return f"values are missing in every {limit.days}-day window"
    return "no whole window of it in this run"


def _day(day: np.datetime64) -> str:
    month, rest = day.astype("datetime64[M]"), day - day.astype("datetime64[M]").astype("datetime64[D]")
    return f"{MONTHS[int(month.astype(int)) % 12]} {int(rest.astype(int)) + 1}"


def fails_by_limit(comparison: Comparison, design: int) -> tuple[str, ...]:
    """Names of the limits that a design does not meet."""
    return tuple(one.limit.name for one in comparison.limits[design] if one.meets is False)


def failing_text(comparison: Comparison, designs: Sequence[int]) -> str:
    """Which limits fail, designs that fail the same ones together; "" where none does."""
    by_names: dict[tuple[str, ...], list[int]] = {}
    for design in designs:
        by_names.setdefault(fails_by_limit(comparison, design), []).append(design)
    by_names.pop((), None)
    said = []
    for names, found in by_names.items():
        who = "All" if len(found) == len(designs) > 1 else listed(name_of(comparison, one) for one in found)
        said.append(f"{who} {'fails' if len(found) == 1 else 'fail'} the {listed(names)}.")
    return " ".join(said)


def limits_data(comparison: Comparison) -> list[dict[str, Any]]:
    """Every limit, design and place as plain data; a number that does not exist is null."""
    return [
        {
            "design": title,
            "limit": result.limit.name,
            "judged": result.limit.words("si"),
            "place": one.place,
            "meets": one.meets,
            "windows": one.judged.judged,
            "failing": one.judged.failing,
            "not_judged": one.judged.not_judged,
            "worst": number(one.judged.worst),
            "first": None if np.isnat(one.judged.first) else str(one.judged.first),
            "last": None if np.isnat(one.judged.last) else str(one.judged.last),
            "effective_number": number(one.judged.effective),
            "chance": number(one.chance),
        }
        for title, own in zip(comparison.titles, comparison.limits, strict=True)
        for result in own
        for one in result.places
    ]
