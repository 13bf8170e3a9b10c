"""The picture of a study: mean oxygen at dawn, or the measure that is promised, by zone and design."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from pondsim.cli._promise_text import chance_text
from pondsim.cli._promise_words import decimals, shown
from pondsim.ensemble.answer import Answer
from pondsim.ensemble.promise import deciding

if TYPE_CHECKING:
    import xarray as xr


def draw(study: xr.Dataset, answer: Answer, path: Path, system: str) -> None:
    """Draw the ranked measure of the first design, for all designs and places that have it."""
    from pondsim.figures.members import MemberRow, members_figure  # noqa: PLC0415
    from pondsim.figures.style import write_figure  # noqa: PLC0415

    stem = answer.designs[0].key.partition(".")[0]
    found = [
        (one, row)
        for one in answer.designs
        for row in one.rows
        if row.measure.key.partition(".")[0] == stem and row.compared
    ]
    places = list(dict.fromkeys(row.measure.label for _, row in found))
    found.sort(key=lambda pair: (places.index(pair[1].measure.label), pair[0].design))
    rows = []
    for one, row in found:
        measure = row.measure
        low, middle, high = (
            shown(measure, v, system, apart=True) for v in (row.low, row.difference, row.high)
        )
        apart = deciding(study, one.design, measure.key)[1]
        scale = shown(measure, 1.0, system, apart=True)
        letter = chr(65 + one.design)
        rows.append(
            MemberRow(
                f"{measure.label} {letter}",
                one.design,
                apart * scale,
                low,
                middle,
                high,
                chance_text(row.better),
            )
        )
    _, first = found[0]
    best_design, best = max(found, key=lambda pair: pair[1].better.share if pair[1].better else 0.0)
    places_shown = max(decimals(best, system), 1)
    unit = best.measure.shown_in(system)
    finding = (
        f'{best.measure.label}: "{best_design.title}" changes it by '
        f"{shown(best.measure, best.low, system, apart=True):+z.{places_shown}f} to "
        f"{shown(best.measure, best.high, system, apart=True):+z.{places_shown}f} {unit} "
        f"(5 to 95 % of {answer.members} {'member' if answer.members == 1 else 'members'})"
    )
    titles = [answer.existing, *(one.title for one in answer.designs)]
    band = abs(shown(first.measure, first.measure.band(first.existing, first.value), system, apart=True))
    write_figure(members_figure(rows, titles, finding, first.measure.section, unit, band), path)
