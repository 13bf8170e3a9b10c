"""Rows of a comparison as tables of the page, and any table of the page as CSV."""

from __future__ import annotations

import io
from collections.abc import Callable

from pondsim.comparison import Comparison
from pondsim.comparison import Row as Measure
from pondsim.comparison.cells import cells
from pondsim.figures.style import unit_text
from pondsim.reporting.blocks import Both, Cell, Group, Row, Table, alike
from pondsim.spreadsheet import SheetWriter

SORTS = {1: min, -1: max}  # by what is good: how the worst of several zones is found


def unit_words(unit: str) -> str:
    """A unit as people read it; nothing for a plain number."""
    return "" if unit == "1" else unit_text(unit.removeprefix("delta_"))


def with_unit(text: str, us: str, si: str) -> Both:
    """Words and the unit behind them, in both systems."""
    return Both(
        *(f"{text}, {unit_words(unit)}" if unit_words(unit) else text for unit in (us, si)),
    )


def units_of(row: Measure) -> tuple[str, str]:
    """Units in which a measure is shown, US and SI."""
    return row.shown_in("us"), row.shown_in("si")


def measure_cells(row: Measure) -> tuple[Cell, ...]:
    """Cells of one measure, a cell for each design."""
    return tuple(
        Cell(
            Both(us.value, si.value),
            us.mark,
            Both(us.change, si.change),
            order=row.values[design],
            key=f"{row.key}#{design}",
        )
        for design, (us, si) in enumerate(zip(cells(row, "us"), cells(row, "si"), strict=True))
    )


def measure_table(
    comparison: Comparison,
    name: str,
    caption: str,
    keep: Callable[[Measure], bool],
    *,
    worst: bool = False,
) -> Table | None:
    """A table of measures, a group for each section; None where there is not a number to show.

    Parameters
    ----------
    comparison : Comparison
        All designs.
    name, caption : name of the CSV file, words above the table
    keep : which measures belong in it
    worst : whether a last row of each group names the worst zone
    """
    measures = [row for row in comparison.rows if keep(row) and any(v is not None for v in row.values)]
    groups = []
    for section in dict.fromkeys(row.section for row in measures):
        members = [row for row in measures if row.section == section]
        if all(row.good < 0 and not any(row.values) for row in members):
            groups.append(Group(alike(f"{section}: none in any design"), ()))
            continue
        one_unit = len({units_of(row) for row in members}) == 1
        rows = [_row(row, own_unit=not one_unit) for row in members]
        if worst and len(members) > 1 and all(row.label in comparison.zones for row in members):
            rows.append(Row(alike("worst zone"), worst_cells(members), last=True))
        title = with_unit(section, *units_of(members[0])) if one_unit else alike(section)
        groups.append(Group(title, tuple(rows)))
    head = "zone" if worst else "measure"
    return Table(name, alike(caption), (head, *comparison.titles), tuple(groups)) if groups else None


def _row(row: Measure, *, own_unit: bool) -> Row:
    label = row.label
    return Row(with_unit(label, *units_of(row)) if own_unit else alike(label), measure_cells(row))


def worst_cells(members: list[Measure]) -> tuple[Cell, ...]:
    """For each design the worst of several zones, with its name."""
    found = []
    for design in range(len(members[0].values)):
        worst = worst_of(members, design)
        if worst is None:
            found.append(Cell(alike("-")))
            continue
        row, name = worst
        cell = measure_cells(row)[design]
        mark = "!" if cell.mark == "!" else ""
        found.append(Cell(cell.text, mark, place=name, order=row.values[design], key=f"worst:{cell.key}"))
    return tuple(found)


def worst_of(members: list[Measure], design: int) -> tuple[Measure, str] | None:
    """The row with the worst value of a design, and its zone or that all are alike; None without a value.

    A zone is named by itself where it is the only one, or the only one that has a value.
    """
    known = {row.label: value for row in members if (value := row.values[design]) is not None}
    if not known:
        return None
    worst = SORTS[members[0].good](known.values())
    row = next(row for row in members if row.values[design] == worst)
    alike_all = 1 < len(known) == len(members) and set(known.values()) == {worst}
    return row, "all zones" if alike_all else row.label


def csv_text(table: Table, system: str) -> str:
    """A table as CSV: numbers as printed, places and differences in columns of their own."""
    out = io.StringIO()
    writer = SheetWriter(out)
    rows = [row for group in table.groups for row in group.rows]
    grouped = any(group.title.us for group in table.groups)
    places = any(cell.place for row in rows for cell in row.cells)
    changes = any(cell.change.us for row in rows for cell in row.cells)
    heads = table.heads[1:]
    writer.writerow(
        [
            *(["part"] if grouped else []),
            table.heads[0],
            *heads,
            *(f"{head}: zone" for head in heads if places),
            *(f"{head} minus {heads[0]}" for head in heads[1:] if changes),
        ]
    )
    for group in table.groups:
        if not group.rows:
            writer.writerow([group.title.in_(system)])
        for row in group.rows:
            writer.writerow(
                [
                    *([group.title.in_(system)] if grouped else []),
                    row.head.in_(system),
                    *(_plain(cell.text.in_(system)) for cell in row.cells),
                    *(cell.place for cell in row.cells if places),
                    *(_plain(cell.change.in_(system)) for cell in row.cells[1:] if changes),
                ]
            )
    return out.getvalue()


def _plain(text: str) -> str:
    """A cell for a spreadsheet: nothing for what is missing, 0 for no difference, no plus sign."""
    return {"-": "", "=": "0"}.get(text, text.removeprefix("+"))
