"""When bottom water reached the surface, zone by zone: where and when it may have smelled."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pondsim.measures import Spell, smell_hours, smell_limit, smell_spells
from pondsim.reporting.blocks import Block, Cell, Group, Row, Table, alike, said, words

if TYPE_CHECKING:
    import numpy as np
    import xarray as xr

    from pondsim.reporting.study import Study


def smell_blocks(study: Study) -> tuple[Block, ...]:
    """What is counted, when it smelled longest, and a table of zones where it did in any design."""
    said_first = said(smell_words(study))
    rows = [
        row
        for title, dataset in zip(study.titles, study.datasets, strict=True)
        for row in smell_rows(title, dataset)
    ]
    if not rows:
        return (said_first,)
    heads = ("design", "zone", "hours", "times", "first", "longest")
    table = Table("smell", alike("Smell by zone"), heads, (Group(alike(""), tuple(rows)),))
    return said_first, table


def smell_words(study: Study) -> str:
    """When bottom water reached the surface, for every design."""
    limit = smell_limit(study.datasets[0])
    sentences = [
        f'With "{title}" {found}.'
        for title, dataset in zip(study.titles, study.datasets, strict=True)
        if (found := smell_sentence(dataset))
    ]
    head = f"Smell is counted where bottom oxygen debt above {limit:g} mg/L stands at the surface. "
    return head + (" ".join(sentences) or "In no run does it.")


def smell_sentence(dataset: xr.Dataset) -> str:
    """When bottom water reached the surface for longest, without a full stop; "" where it never did."""
    spells = smell_spells(dataset)
    if not spells:
        return ""
    longest = max(spells, key=_length)
    more = len(spells) - 1
    also = f"; {more} more {'time' if more == 1 else 'times'} there or elsewhere" if more else ""
    return f"bottom water reached the surface of {longest.zone} on {_from_to(longest)}{also}"


def smell_rows(title: str, dataset: xr.Dataset) -> list[Row]:
    """Zones of a design where it smelled."""
    every = smell_spells(dataset)
    rows: list[Row] = []
    if not every:
        return rows
    for zone, hours in zip(dataset["zone"].values, smell_hours(dataset), strict=True):
        spells = [spell for spell in every if spell.zone == str(zone)]
        if spells:
            cells = (
                words(str(zone)),
                Cell(alike(f"{hours:.0f}"), order=float(hours)),
                Cell(alike(f"{len(spells)}"), order=float(len(spells))),
                words(_from_to(spells[0])),
                words(_from_to(max(spells, key=_length))),
            )
            rows.append(Row(alike(title), cells))
    return rows


def _length(spell: Spell) -> np.timedelta64:
    return spell.end - spell.begin


def _from_to(spell: Spell) -> str:
    """A span of hours in words, such as "August 29, 04:00 to 11:00"."""
    first, last = (moment.astype("datetime64[m]").item() for moment in (spell.begin, spell.end))
    day = "" if first.date() == last.date() else f"{last:%B} {last.day}, "
    return f"{first:%B} {first.day}, {first:%H:%M} to {day}{last:%H:%M}"
