"""Answers to questions of size as text, CSV and data."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from pondsim.comparison.entries import Entry
from pondsim.comparison.findings import money_text
from pondsim.sizing.one import Point, Sizing
from pondsim.spreadsheet import SheetWriter
from pondsim.units import convert, number_text

if TYPE_CHECKING:
    from pondsim.sizing.size import Size
    from pondsim.sizing.target import Target
    from pondsim.sizing.trial import Trial

PAGE = 80  # columns
LEAST_DIGITS, MOST_DIGITS = 4, 9  # of a value beside the limit it is held against

RENEWED = (
    "The renewed share is a threshold: near the nominal turnover time it jumps from low to high, and so "
    "does a size found by it. replaced_share is the steadier measure."
)


def measure_words(measure: str, entry: Entry, zones: Sequence[str]) -> str:
    """A measure in words: ``lowest oxygen at dawn, top, far_arm``."""
    section = entry.section[0].lower() + entry.section[1:]
    section = section.split(", of ")[0] if entry.section.startswith("Days below") else section
    if entry.label in zones:
        place = entry.label if measure.endswith(f".{entry.label}") else "worst zone"
        return f"{section}, {place}"
    return (
        entry.label if entry.section in ("Circulation", "Outlet and level") else f"{section}, {entry.label}"
    )


def unit_shown(entry: Entry, system: str) -> str:
    """Unit in which a measure is shown."""
    return entry.shown_in(system)


def number_shown(value: float | None, entry: Entry, system: str) -> float:
    """A measure in the unit shown; NaN where there is none."""
    if value is None:
        return math.nan
    unit = entry.us if system == "us" else entry.si
    return value if unit == entry.unit else float(convert(value, entry.unit, unit))


def value_text(value: float | None, entry: Entry, system: str, digits: int = 3) -> str:
    """A measure as people read it."""
    number = number_text(number_shown(value, entry, system), digits)
    return "nothing" if number == "-" else f"{number} {unit_shown(entry, system)}"


def target_words(target: Target, system: str, zones: Sequence[str]) -> str:
    """What must be reached, in words."""
    sign = {(1, False): ">=", (1, True): ">", (-1, False): "<=", (-1, True): "<"}[target.sign, target.strict]
    value = value_text(target.value, target.entry, system, 6)
    return f"{measure_words(target.measure, target.entry, zones)} {sign} {value}"


def reached_text(point: Point | None, target: Target, system: str) -> str:
    """What a run reached, with the digits that tell it from the limit."""
    value = point.value if point else None
    return value_text(value, target.entry, system, digits_beside(value, target, system))


def digits_beside(value: float | None, target: Target, system: str) -> int:
    """Digits at which the number shown lies on the same side of the limit as the number itself."""
    if value is None:
        return LEAST_DIGITS
    shown, limit = (number_shown(one, target.entry, system) for one in (value, target.value))
    for digits in range(LEAST_DIGITS, MOST_DIGITS):
        rounded = float(f"{shown:.{digits}g}")
        if (rounded > limit) == (shown > limit) and (rounded < limit) == (shown < limit):
            return digits
    return MOST_DIGITS


def cost_text(trial: Trial) -> str:
    """Electricity of a run, and what it costs where a tariff is given."""
    energy = f"{number_text(trial.energy, 4)} kWh"
    return energy if trial.money is None else f"{energy} ({money_text(trial.money, trial.currency)})"


def short(size: Size) -> str:
    """Head of a column of sizes."""
    return size.key.rpartition(".")[2].replace("_", " ")


def points_table(sizing: Sizing, size: Size, system: str) -> list[list[str]]:
    """One row per run, heads first."""
    entry = sizing.target.entry
    money = [point.trial.currency for point in sizing.points if point.trial.money is not None]
    rows = [
        [
            f"{short(size)} [{size.unit(system)}]",
            f"reached [{unit_shown(entry, system)}]",
            *("kWh", "mean kW", *money[:1], ""),
        ]
    ]
    for point in sizing.points:
        trial = point.trial
        mean = trial.energy / trial.days / 24.0 if trial.days else math.nan
        rows.append(
            [
                size.text(point.size, system).split(" ")[0],
                number_text(
                    number_shown(point.value, entry, system),
                    digits_beside(point.value, sizing.target, system),
                ),
                number_text(trial.energy, 4),
                number_text(mean),
                *([number_text(trial.money or math.nan, 4)] if money else []),
                "failed" if trial.failure else "meets" if point.meets else "misses",
            ]
        )
    return rows


def aligned(rows: list[list[str]], *, left: int = 0) -> str:
    """Rows as text in columns, the first `left` of them to the left, and the last.

    Where that is wider than a page columns stand one space apart; where the names of the first column are
    still too long, each stands on a line above its row.
    """
    lines = _in_columns(rows, left, "  ")
    if max(map(len, lines)) > PAGE:
        lines = _in_columns(rows, left, " ")
    if left and max(map(len, lines)) > PAGE:
        below = [f"  {line}" for line in _in_columns([row[1:] for row in rows], left - 1, "  ")]
        named = [([f"  {row[0]}"] if row[0] else []) + [line] for row, line in zip(rows, below, strict=True)]
        lines = [line for both in named for line in both]
    return "\n".join(lines)


def _in_columns(rows: list[list[str]], left: int, gap: str) -> list[str]:
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    last = len(widths) - 1
    lines = []
    for row in rows:
        cells = [
            cell.ljust(width) if i < left or i == last else cell.rjust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append(("  " + gap.join(cells)).rstrip())
    return lines


def rows_csv(rows: list[list[str]]) -> str:
    """Rows as CSV; "-" becomes empty."""
    out = io.StringIO()
    writer = SheetWriter(out)
    writer.writerows([["" if cell == "-" else cell for cell in row] for row in rows])
    return out.getvalue()


def plain(value: float | None) -> float | None:
    """A number for JSON: none where it is none or no number."""
    return None if value is None or not math.isfinite(value) else float(f"{value:.7g}")


def point_data(point: Point, entry: Entry, system: str) -> dict[str, Any]:
    """One run as plain data, in the units shown."""
    return {
        "value": plain(number_shown(point.value, entry, system)),
        "meets": point.meets,
        "kwh": plain(point.trial.energy),
        "money": plain(point.trial.money),
        "currency": point.trial.currency if point.trial.money is not None else None,
        "failure": point.trial.failure,
    }
