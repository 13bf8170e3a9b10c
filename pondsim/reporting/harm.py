"""No harm line by line: over the whole run, in its largest storm, and in named design storms."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from pondsim.comparison.harm import HarmLine, harm_sentence, season_harm, storm_harm
from pondsim.errors import Problem, ScenarioError
from pondsim.reporting.blocks import Block, Both, Cell, Group, Part, Row, Table, alike, note, said, words
from pondsim.reporting.study import Study
from pondsim.reporting.tables import with_unit
from pondsim.units import display_unit

Storms = dict[str, Any]


def season_lines(study: Study) -> list[Block]:
    """What the pond owes downstream over the whole run, each line with its tolerance."""
    by_design = [season_harm(study.comparison, design) for design in range(len(study.titles))]
    table = harm_table(
        "harm", "Over the whole run: each line with its own tolerance", by_design, study.titles
    )
    return [] if table is None else [table, *sentences(by_design, study.titles)]


def sentences(by_design: Sequence[tuple[HarmLine, ...]], titles: Sequence[str]) -> list[Block]:
    """The verdict on harm for every design after the first."""
    return [
        said(Both(*(harm_sentence(lines, system) for system in ("us", "si"))), name=title)
        for title, lines in zip(titles[1:], by_design[1:], strict=True)
        if lines
    ]


def harm_table(
    name: str, caption: str, by_design: Sequence[tuple[HarmLine, ...]], titles: Sequence[str]
) -> Table | None:
    """Lines, their tolerances, and a column for each design; what is worse is marked. None without lines."""
    known = {line.key: line for lines in by_design for line in lines}
    if not known:
        return None
    rows = []
    for key, line in known.items():
        units = [display_unit(line.judged.kind, system) for system in ("us", "si")]
        tolerance = words(Both(*(line.tolerance_text(system) for system in ("us", "si"))))
        cells = [tolerance, _cell(line, line.existing, mark="", key=f"{name}.{key}#0")]
        for design in range(1, len(titles)):
            own = next((one for one in by_design[design] if one.key == key), None)
            if own is None:
                cells.append(Cell(alike("-")))
            else:
                mark = "!" if own.worse else ""
                cells.append(_cell(own, own.design, mark=mark, key=f"{name}.{key}#{design}"))
        rows.append(Row(with_unit(line.judged.words, *units), tuple(cells)))
    heads = ("line", "tolerance", *titles)
    return Table(
        name, alike(f"{caption}; ! worse than the existing pond"), heads, (Group(alike(""), tuple(rows)),)
    )


def _cell(line: HarmLine, value: float, *, mark: str, key: str) -> Cell:
    text = Both(*("-" if math.isnan(value) else line.shown(value, system) for system in ("us", "si")))
    return Cell(text, mark, order=None if math.isnan(value) else value, key=key)


def read_storms(path: Path) -> Storms:
    """Storms as `pondsim storm --json` writes them; ScenarioError for another file."""
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
        if not found["storms"]:
            raise ValueError
        for storm in found["storms"]:
            designs, measures = storm["designs"], storm["measures"]
            texts = [storm["name"], storm["begin"], storm["end"], *designs]
            if not all(isinstance(text, str) for text in texts) or len(designs) != len(measures):
                raise ValueError
            for one in measures:
                for key, value in one.items():
                    one[key] = math.nan if value is None else float(value)
    except OSError as error:
        raise ScenarioError(Problem(path, None, "", f"cannot be read: {error.strerror}")) from error
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        message = "holds no storms; write it with pondsim storm ... --json"
        raise ScenarioError(Problem(path, None, "", message)) from error
    return dict(found)


def storms_part(storms: Storms) -> Part:
    """Design storms from one stated pool: a table of lines for each."""
    blocks: list[Block] = []
    for place_, storm in enumerate(storms["storms"], 1):
        titles, measures = storm["designs"], storm["measures"]
        pool = storm.get("pool_m")
        word = str(storm.get("word", "storm"))
        name = f"{word.capitalize()} {storm['name']}" if storm["name"] else f"The {word}"
        head = f"{name} begins at {storm['begin']}; its inflow lasts until {storm['end']}"
        if pool is not None:
            head += ". Every design starts it at the same stated water surface"
        blocks.append(said(f"{head}."))
        by_design: list[tuple[HarmLine, ...]] = [()]
        by_design += [storm_harm(one, measures[0]) for one in measures[1:]]
        table = harm_table(f"storm_{place_}", f"{name}: each line with its own tolerance", by_design, titles)
        blocks += [table, *sentences(by_design, titles)] if table else []
    if not any(isinstance(block, Table) for block in blocks):
        blocks.append(note("These storms were run for one design alone, so nothing can be compared."))
    return Part("storms", "Design storms from one stated pool", tuple(blocks))
