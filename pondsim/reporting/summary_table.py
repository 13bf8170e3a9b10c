"""The table of the owner's summary: the proposed design beside the existing pond, in few rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pondsim.comparison.water_age import OPTIMISTIC
from pondsim.figures.style import unit_text
from pondsim.measures import minimum_limit
from pondsim.reporting.answer import worst_words
from pondsim.reporting.promise import Interval, Promise
from pondsim.reporting.study import Study
from pondsim.reporting.tables import measure_cells, worst_of
from pondsim.units import convert, number_text

if TYPE_CHECKING:
    from pondsim.comparison import Row

PROPOSED = 1  # place of the design that the page is for
WHOLE = (
    ("replaced_share", ""),
    ("cost", "electricity cost over the run"),
    ("electricity", "electricity over the run"),
)


def worst_zone_value(study: Study, prefix: str, design: int) -> tuple[Row, float] | None:
    """The measure of the worst zone and its value; None where it is not known."""
    worst = worst_of(_members(study, prefix), design)
    if worst is None:
        return None
    value = worst[0].values[design]
    return None if value is None else (worst[0], value)


def _members(study: Study, prefix: str) -> list[Row]:
    return [row for row in study.comparison.rows if row.key.startswith(f"{prefix}.")]


def summary_table(
    study: Study, promise: Promise | None
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """The numbers an owner asks for, a column for each design and one for the interval of the proposed."""
    rows = []
    known = promise is not None and study.titles[PROPOSED] in promise.intervals
    for prefix, text in worst_words(study.comparison):
        words = _with_limit(text, prefix, study)
        members = _members(study, prefix)
        worst = [worst_of(members, design) for design in range(len(study.titles))]
        if worst[0] is None:
            continue
        several = len(members) > 1
        cells = [
            "-" if one is None else f"{_text(one[0], design, study.system)}{f' {one[1]}' if several else ''}"
            for design, one in enumerate(worst)
        ]
        where = "worst zone" if several else members[0].label
        rows.append(_row(f"{words}, {where}", worst[0][0], cells, study, promise, prefix))
    for key, words in WHOLE:
        measure = study.comparison.row(key)
        if measure is not None and any(measure.values):
            cells = [_text(measure, design, study.system) for design in range(len(study.titles))]
            named = words or f"{measure.label} at mean flows, {OPTIMISTIC}"
            rows.append(_row(named, measure, cells, study, promise, key))
    heads = ("", *study.titles, *([f"5 to 95 % of {promise.members} members"] if known and promise else []))
    return heads, tuple(row if known else row[: len(study.titles) + 1] for row in rows)


def _with_limit(words: str, prefix: str, study: Study) -> str:
    """The words of a row; of days below the 1-day minimum with its value, which stands nowhere else."""
    if prefix != "days_failing_top":
        return words
    return words.replace(" of oxygen,", f" of oxygen, {minimum_limit(study.datasets[0]):g} mg/L,")


def _text(row: Row, design: int, system: str) -> str:
    return measure_cells(row)[design].text.in_(system)


def _row(
    words: str, measure: Row, cells: list[str], study: Study, promise: Promise | None, key: str
) -> tuple[str, ...]:
    unit = unit_text(measure.shown_in(study.system).removeprefix("delta_"))
    interval = promise.interval(study.titles[PROPOSED], key) if promise else None
    shown = f"{words}, {unit}" if unit != "1" else words
    return (shown, *cells, _interval_text(interval, measure, study.system))


def _interval_text(interval: Interval | None, measure: Row, system: str) -> str:
    if interval is None:
        return "-"
    unit = measure.shown_in(system)
    ends = [
        number_text(float(value if unit == measure.unit else convert(value, measure.unit, unit)))
        for value in (interval.low, interval.high)
    ]
    return " to ".join(ends)
