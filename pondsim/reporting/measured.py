"""What was read in the pond beside what its run computed: scores, rivals, a picture, what looks wrong."""

from __future__ import annotations

import math

from pondsim.comparison import readings_words as words
from pondsim.figures.readings import readings_figure
from pondsim.measures import Miss, ReadSeries, misses_of, read_series
from pondsim.reporting.blocks import (
    Block,
    Both,
    Cell,
    Fold,
    Group,
    Items,
    Part,
    Row,
    Table,
    alike,
    note,
    said,
)
from pondsim.reporting.pictures import picture
from pondsim.reporting.study import Study

HEADS = ("readings and rivals", "bias", "RMSE")
MOST_FLAGS = 60  # lines of the list


def readings_parts(study: Study) -> list[Part]:
    """The part on readings that the results of the existing pond hold; none where they hold none."""
    held = study.datasets[0]
    found = read_series(held)
    if not found:
        return []
    misses = misses_of(held)
    blocks: list[Block] = [
        said(Both(*(_sentence(one, system) for system in ("us", "si"))), name=_name(one)) for one in misses
    ]
    if misses:
        blocks.append(_table(misses))
    blocks.append(
        picture(
            "read-series",
            lambda system: readings_figure(found, [held], [study.titles[0]], system=system),
            "What was read, and what the run of the existing pond computed at the same place.",
            study.titles,
        )
    )
    blocks.append(note(words.CAVEAT))
    flags = tuple(_flags(one) for one in found)
    listed = tuple(item for items in flags for item in items)[:MOST_FLAGS]
    if listed:
        how = "Every value is kept; those of kinds with a star are not scored."
        blocks.append(Fold("What looks wrong in the readings", (said(how), Items(listed))))
    return [Part("readings", "Readings of the pond", tuple(blocks))]


def _name(miss: Miss) -> str:
    return f"{words.quantity(miss.series.variable)}, {miss.series.instrument}".capitalize()


def _sentence(miss: Miss, system: str) -> str:
    where = words.place_words(miss.series, system)
    return f"{miss.count:,} readings ({where}). {words.miss_words(miss, system)}"


def _flags(one: ReadSeries) -> list[tuple[str, str]]:
    what = f"{one.instrument}, {words.quantity(one.variable)}"
    return [(what, words.flag_words(flag, one.variable, "us")) for flag in one.flags]


def _table(misses: list[Miss]) -> Table:
    groups = tuple(Group(_title(one), tuple(_rows(one))) for one in misses)
    caption = alike(
        "Bias: computed less read, on average. Rivals know nothing but the readings, on the same hours."
    )
    return Table("readings", caption, HEADS, groups)


def _title(miss: Miss) -> Both:
    variable = miss.series.variable
    texts = (f"{_name(miss)} [{words.unit_shown(variable, system)}]" for system in ("us", "si"))
    return Both(*texts)


def _rows(miss: Miss) -> list[Row]:
    variable = miss.series.variable
    return [
        Row(alike(name), (_cell(score.bias, variable, signed=True), _cell(score.rmse, variable)))
        for name, score in words.score_rows(miss)
    ]


def _cell(value: float, variable: str, *, signed: bool = False) -> Cell:
    texts = (words.score_text(value, variable, system, signed=signed) for system in ("us", "si"))
    return Cell(Both(*texts), order=value if math.isfinite(value) else None)
