"""A comparison as text for a terminal of 80 columns, as CSV and as data for JSON."""

from __future__ import annotations

import io
from typing import Any

from pondsim.cli._common import wrapped
from pondsim.comparison import Comparison, Row
from pondsim.comparison.cells import LEGEND, LIMITS, cells, differences, letter
from pondsim.comparison.findings import findings
from pondsim.comparison.givens import Unlike, changes_text
from pondsim.comparison.head import events_text, head
from pondsim.comparison.lengths import length_text
from pondsim.comparison.limit_lines import limit_lines, limits_data, limits_heading
from pondsim.comparison.verdict import verdict
from pondsim.records import plain
from pondsim.spreadsheet import SheetWriter
from pondsim.words import CAUTIONS

WIDTH = 80


def comparison_text(comparison: Comparison, system: str = "us", *, full: bool = False) -> str:
    """The whole answer: what differs beside equipment, findings, the table, what a reader must know."""
    said = [*head(comparison, system), verdict(comparison), *findings(comparison, system)]
    parts = [wrapped(paragraph, WIDTH) for paragraph in said]
    parts.append(f"{comparison.start} to {comparison.end}, {length_text(comparison.days)}")
    parts.append("\n".join(_named(comparison, design) for design in range(len(comparison.titles))))
    parts += [table(comparison, designs, system, full=full) for designs in _blocks(comparison, system, full)]
    parts += _limits(comparison, system)
    parts += [wrapped(LEGEND, WIDTH), *(wrapped(f"Note: {note}", WIDTH) for note in comparison.notes)]
    return "\n\n".join([*parts, wrapped(LIMITS, WIDTH), wrapped(CAUTIONS, WIDTH)]) + "\n"


def _limits(comparison: Comparison, system: str) -> list[str]:
    """Every limit apart, with an answer for each design."""
    lines = limit_lines(comparison, system)
    if not lines:
        return []
    parts = [wrapped(limits_heading(comparison), WIDTH)]
    for line in lines:
        said = [wrapped(line.title, WIDTH)]
        said += [
            wrapped(f"{letter(design)}  {text}", WIDTH - 4, "  ").replace("\n  ", "\n     ")
            for design, text in enumerate(line.answers)
        ]
        parts.append("\n".join(said))
    return parts


def _named(comparison: Comparison, design: int) -> str:
    """Letter and title of a design, and how its design sheet came out."""
    sheet = comparison.sheets[design]
    line = f"  {letter(design)}  {comparison.titles[design]}"
    if sheet is None or not sheet.count:
        return line
    said = f"(design sheet: {sheet.count})"
    return f"{line}  {said}" if len(line) + 2 + len(said) <= WIDTH else f"{line}\n     {said}"


def _blocks(comparison: Comparison, system: str, full: bool) -> list[tuple[int, ...]]:
    """Designs shown together, so that no line passes the width; the existing pond opens every block."""
    rows = [row for row in comparison.rows if full or row.is_main]
    label = _label_width(rows, system)
    texts = {row.key: _cells(row, system) for row in rows}
    widths = [2 + max((len(c[i]) for c in texts.values()), default=8) for i in range(len(comparison.titles))]
    blocks: list[tuple[int, ...]] = []
    block: tuple[int, ...] = (0,)
    used = label + widths[0]
    for design in range(1, len(widths)):
        if used + widths[design] > WIDTH and len(block) > 1:
            blocks.append(block)
            block, used = (0,), label + widths[0]
        block, used = (*block, design), used + widths[design]
    return [*blocks, block]


def table(comparison: Comparison, designs: tuple[int, ...], system: str, *, full: bool = False) -> str:
    """Rows of some designs as aligned text."""
    rows = [row for row in comparison.rows if full or row.is_main]
    label = _label_width(rows, system)
    texts = {row.key: _cells(row, system) for row in rows}
    widths = [2 + max(len(c[i]) for c in texts.values()) for i in designs]
    lines = [" " * label + "".join(letter(i).rjust(w) for i, w in zip(designs, widths, strict=True))]
    for section in dict.fromkeys(row.section for row in rows):
        part = [row for row in rows if row.section == section]
        if all(value is None for row in part for value in row.values):
            continue
        if all(row.good < 0 and not any(row.values) for row in part):
            line = f"{_head(section, part, system)}: none in any design"
            lines += [line] if len(line) <= WIDTH else line.replace(": none", ":\n  none").split("\n")
            continue
        lines.append(_head(section, part, system))
        for row in part:
            row_cells = (texts[row.key][i].rjust(w) for i, w in zip(designs, widths, strict=True))
            lines.append(f"  {_label(row, part, system)}".ljust(label) + "".join(row_cells))
    return "\n".join(line.rstrip() for line in lines)


def _one_unit(part: list[Row], system: str) -> bool:
    return len({row.shown_in(system) for row in part}) == 1


def _head(section: str, part: list[Row], system: str) -> str:
    unit = part[0].shown_in(system)
    return f"{section} [{unit}]" if unit != "1" and _one_unit(part, system) else section


def _label(row: Row, part: list[Row], system: str) -> str:
    return row.label if _one_unit(part, system) else f"{row.label} [{row.shown_in(system)}]"


def _label_width(rows: list[Row], system: str) -> int:
    return 2 + max((len(row.label) + 3 + len(row.shown_in(system)) for row in rows), default=10)


def _cells(row: Row, system: str) -> list[str]:
    """Value, mark and difference of every design."""
    width = 4 + max(row.places(system), 0)
    return [
        f"{cell.value}{cell.mark or ' '}" + (f" {f'({cell.change})':>{width}}" if cell.change else "")
        for cell in cells(row, system)
    ]


def comparison_data(comparison: Comparison, system: str = "us") -> dict[str, Any]:
    """Every row as plain data; a number that does not exist is null."""
    return {
        "start": comparison.start,
        "end": comparison.end,
        "days": comparison.days,
        "units": system,
        "designs": list(comparison.titles),
        "differs_beside_equipment": [_unlike(one, system) for one in comparison.unlike],
        "design_sheets": [
            None if one is None else {"fail": list(one.fails), "warn": list(one.warns), "pass": one.passes}
            for one in comparison.sheets
        ],
        "judged": list(comparison.judged),
        "verdict": verdict(comparison),
        "findings": findings(comparison, system),
        "limits": limits_data(comparison),
        "measures": [
            {
                "key": row.key,
                "measure": row.section,
                "place": row.label,
                "unit": row.shown_in(system),
                "values": [_rounded(v) for v in row.shown(system)],
                "differences": [_rounded(d) for d in differences(row, system)],
                "ties": list(row.ties),
                "falls_short": list(row.failing),
                "best": list(row.best),
                "better": {1: "more", -1: "less"}.get(row.good),
            }
            for row in comparison.rows
        ],
        "notes": [*comparison.notes, LIMITS],
        "remarks": [
            [plain(one.record) | {"text": one.text} for one in of_design] for of_design in comparison.remarks
        ],
        "cautions": CAUTIONS,
    }


def _unlike(one: Unlike, system: str) -> dict[str, str]:
    return {
        "pond": changes_text(one.of_pond, system),
        "events": events_text(one.of_events, system),
        "tariff": changes_text(one.of_tariff, system),
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.7g}")


def comparison_csv(comparison: Comparison, system: str = "us") -> str:
    """Every row as CSV: values of all designs, then their differences to the existing pond."""
    out = io.StringIO()
    writer = SheetWriter(out)
    others = comparison.titles[1:]
    writer.writerow(
        [
            "key",
            "measure",
            "place",
            "unit",
            *comparison.titles,
            *(f"{t} minus {comparison.titles[0]}" for t in others),
        ]
    )
    for row in comparison.rows:
        numbers = [*row.shown(system), *differences(row, system)[1:]]
        texts = ["" if n is None else f"{n:.7g}" for n in numbers]
        writer.writerow([row.key, row.section, row.label, row.shown_in(system), *texts])
    return out.getvalue()
