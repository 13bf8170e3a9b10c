"""A comparison again and again: named variants of all designs, and storms of each, in one answer."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pondsim.cli._batch_run import Task, run_tasks_of
from pondsim.cli._common import check_weather, wrapped
from pondsim.cli._idle import Told, refuse_idle
from pondsim.cli._storms import StormTable, check_storms, names_of, pool_of, storm_notes, storms_data
from pondsim.cli._tables import comparison_data
from pondsim.cli._variants import Variant, read_with
from pondsim.comparison import Comparison, Row, compare
from pondsim.comparison.cells import fixed, letter, signed
from pondsim.comparison.harm import STORM, HarmLine, harm_sentence, season_harm
from pondsim.comparison.verdict import verdict
from pondsim.spreadsheet import SheetWriter
from pondsim.units import display_unit

if TYPE_CHECKING:
    import xarray as xr

    from pondsim.scenario.vary import Change

WIDTH = 80
SHOWN = (  # measures of the short table; of one by zone the worst zone
    *("days_failing_top", "dawn_lowest_top", "outlet_oxygen_mean", "outlet_oxygen_lowest"),
    *("outlet_temperature_mean", "solids_removed", "outlet_peak", "electricity", "cost"),
)
STORM_SHOWN = ("peak_out", "rise", "drawdown", "solids_out", "outlet_oxygen_lowest", "outlet_temperature")


@dataclass(frozen=True)
class Answered:
    """One variant with its comparison and its storms."""

    variant: Variant
    comparison: Comparison
    storms: tuple[StormTable, ...]


def run_batch(
    paths: Sequence[Path],
    variants: Sequence[Variant],
    changes: Sequence[Change],
    storms: str | None,
    pool: str,
    how: str,
    keep: Path | None,
    *,
    allow_differences: bool,
) -> list[Answered]:
    """Every variant of every design, and its storms; as many runs at once as `how` says.

    All files are read with all values before anything is run. Of a run only measures are held; with `keep`
    finished runs stand in that folder and are taken from there the next time.
    """
    readings = [read_with(paths, [*changes, *variant.changes]) for variant in variants]
    names = tuple(names_of(storms, readings[0])) if storms is not None else ()
    for of_variant in readings:
        for reading in of_variant:
            check_storms(reading, names)
            check_weather(reading.scenario)
    told: Told = set()
    for variant, of_variant in zip(variants, readings, strict=True):
        scenarios = [one.scenario for one in of_variant]
        refuse_idle(paths, scenarios, [*changes, *variant.changes], told, storms=bool(names))
    tasks = []
    for of_variant in readings:
        level = pool_of(pool, of_variant[0].scenario) if names else 0.0
        tasks.append([Task(one.scenario, one.text, names, level, one is of_variant[0]) for one in of_variant])
    found: dict[int, Answered] = {}

    def take(place: int, results: list[xr.Dataset], tables: list[StormTable]) -> None:
        comparison = compare(results, allow_differences=allow_differences)
        found[place] = Answered(variants[place], comparison, tuple(tables))

    run_tasks_of(tasks, how, keep, take)
    return [found[place] for place in range(len(variants))]


def batch_text(found: Sequence[Answered], changes: Sequence[Change], system: str) -> str:
    """Verdicts, the short table, and harm by variant and storm."""
    first = found[0].comparison
    parts = [f"  {letter(k)}  {title}" for k, title in enumerate(first.titles)]
    parts = ["\n".join(parts)]
    if changes:
        parts.append(
            wrapped(f"Set in every design: {'; '.join(f'{one.key} = {one.value}' for one in changes)}")
        )
    for one in found:
        parts.append(wrapped(f"{one.variant.name}: {verdict(one.comparison)}"))
    parts += [text for key in SHOWN if (text := _block(found, key, system))]
    for storm in range(len(found[0].storms)):
        parts += [text for key in STORM_SHOWN if (text := _storm_block(found, storm, key, system))]
    parts += _harm(found, system)
    parts.append(
        wrapped(
            "Each cell: the value, then the difference to A. Of a measure by zone the worst zone is shown. "
            "--csv and --json hold every measure."
        )
    )
    parts += [
        wrapped(f"Note: {note}") for note in (*first.notes, *storm_notes(found[0].storms, first.remarks))
    ]
    if len(found) > 1:
        parts.append(wrapped(f"Notes: of {found[0].variant.name}; --json holds those of every variant."))
    return "\n\n".join(parts) + "\n"


def _block(found: Sequence[Answered], key: str, system: str) -> str:
    """One measure: a row for each variant, a column for each design; "" where no run has it."""
    rows = [_worst_row(one.comparison, key) for one in found]
    known = next((row for row in rows if row is not None), None)
    if known is None:
        return ""
    zones = known.label in found[0].comparison.zones
    label = known.section if not known.label or zones else f"{known.section}, {known.label}"
    head = f"{label}{', worst zone' if zones else ''} [{known.shown_in(system)}]"
    values = [row.shown(system) if row is not None else () for row in rows]
    places = max((row.places(system) for row in rows if row is not None), default=0)
    return _rows(head, [one.variant.name for one in found], values, [()] * len(found), places)


def _worst_row(comparison: Comparison, key: str) -> Row | None:
    """A measure of every design; of one by zone the row of each design's worst zone, put together."""
    from dataclasses import replace  # noqa: PLC0415

    keys = {key, *(f"{key}.{zone}" for zone in comparison.zones)}
    rows = [row for row in comparison.rows if row.key in keys]
    if not rows:
        return None
    values = []
    for design in range(len(comparison.titles)):
        known = [value for row in rows if (value := row.values[design]) is not None]
        values.append((max(known) if rows[0].good < 0 else min(known)) if known else None)
    return replace(rows[0], values=tuple(values))


def _storm_block(found: Sequence[Answered], storm: int, key: str, system: str) -> str:
    """One measure of one storm: a row for each variant; what is worse than the existing pond is marked."""
    from pondsim.comparison.storms import storm_value  # noqa: PLC0415

    tables = [one.storms[storm] for one in found]
    values = [tuple(storm_value(own, key, system)[0] for own in table.measures) for table in tables]
    if all(math.isnan(value) for row in values for value in row):
        return ""
    marks = [
        tuple(any(line.worse and line.key == key for line in table.harm(k)) for k in range(len(table.titles)))
        for table in tables
    ]
    unit = storm_value(tables[0].measures[0], key, system)[1]
    head = f'Storm "{tables[0].name}": {STORM[key].words} [{unit}]'
    shown = [tuple(None if math.isnan(value) else value for value in row) for row in values]
    return _rows(head, [one.variant.name for one in found], shown, marks, 2)


def _rows(
    head: str,
    names: Sequence[str],
    values: Sequence[tuple[float | None, ...]],
    marks: Sequence[tuple[bool, ...]],
    places: int,
) -> str:
    """A heading and aligned rows, with the difference to the first column behind each value."""
    texts = []
    for row, worse in zip(values, marks, strict=True):
        cells = []
        for design, value in enumerate(row):
            cell = fixed(value, places) + ("!" if worse and worse[design] else " ")
            first = row[0]
            if design and value is not None and first is not None:
                cell += f"({signed(round(value, places) - round(first, places), places)})"
            cells.append(cell)
        texts.append(cells)
    designs = max(len(row) for row in texts)
    widths = [2 + max((len(row[k]) for row in texts if k < len(row)), default=1) for k in range(designs)]
    label = 4 + max(len(name) for name in names)
    lines = [wrapped(head), " " * label + "".join(letter(k).rjust(w) for k, w in enumerate(widths))]
    for name, own in zip(names, texts, strict=True):
        lines.append(
            f"  {name}".ljust(label) + "".join(cell.rjust(w) for cell, w in zip(own, widths, strict=False))
        )
    return "\n".join(line.rstrip() for line in lines)


def _harm(found: Sequence[Answered], system: str) -> list[str]:
    """What each design makes worse at the outlet, by variant, over the run and in each storm."""
    said = []
    for one in found:
        for design, title in enumerate(one.comparison.titles[1:], 1):
            parts = [("the whole run", season_harm(one.comparison, design))]
            parts += [(f"storm {storm.name}", storm.harm(design)) for storm in one.storms]
            told = [f"{when}: {harm_sentence(lines, system)}" for when, lines in parts if _any_worse(lines)]
            if told:
                said.append(wrapped(f'{one.variant.name}, "{title}", {" ".join(told)}'))
    return said or ["No harm at the outlet in any variant: no line is worse by more than its tolerance."]


def _any_worse(lines: Sequence[HarmLine]) -> bool:
    return any(line.worse for line in lines)


def batch_csv(found: Sequence[Answered], system: str) -> str:
    """Every measure of every variant and storm, a row each, a column for each design."""
    from pondsim.comparison.storms import storm_value, storm_words  # noqa: PLC0415

    out = io.StringIO()
    writer = SheetWriter(out)
    writer.writerow(["variant", "storm", "key", "measure", "place", "unit", *found[0].comparison.titles])
    for one in found:
        for row in one.comparison.rows:
            texts = ["" if value is None else f"{value:.7g}" for value in row.shown(system)]
            writer.writerow(
                [one.variant.name, "", row.key, row.section, row.label, row.shown_in(system), *texts]
            )
        for storm in one.storms:
            for key in dict.fromkeys(key for measures in storm.measures for key in measures):
                words = storm_words(key)
                if words is None:
                    continue
                values = [storm_value(measures, key, system)[0] for measures in storm.measures]
                texts = ["" if math.isnan(value) else f"{value:.7g}" for value in values]
                unit = display_unit(words[1], system)
                writer.writerow([one.variant.name, storm.name, key, words[0], "", unit, *texts])
    return out.getvalue()


def batch_data(found: Sequence[Answered], changes: Sequence[Change], system: str) -> dict[str, Any]:
    """Every variant with what was laid over the designs, its comparison and its storms."""
    return {
        "set": {change.key: change.value for change in changes},
        "variants": [
            {
                "name": one.variant.name,
                "set": {change.key: change.value for change in one.variant.changes},
                "comparison": comparison_data(one.comparison, system),
                **storms_data(one.storms, system),
            }
            for one in found
        ],
    }
