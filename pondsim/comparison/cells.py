"""Rows of a comparison as the texts of table cells: one way to print a number, for screen, page and file."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.comparison.row import Row

FAILS, BEST, TIE = "!", "*", "tie"
LEGEND = (
    "Each cell: the value, then the difference to A. ! fails the criteria; * best of the row, or a "
    "tie with the best; costs have none. (=): the same number as printed; (tie): within the band of ties, "
    "assumed unless a grid check measured it. top: mean of the top meter (3.3 ft); mid: half depth; "
    "bottom: 0.3 m (1 ft) above the deepest bed, on a straight line between the middles of layers. "
    "Dawn: from two hours before sunrise to three after."
)
NO_INTERVAL = "with no interval"


def limits_text(interval: str) -> str:
    """What one run of each design leaves open; `interval` where a reader finds one, or NO_INTERVAL."""
    return (
        f"One run of each design at its stated values, {interval}; sediment oxygen demand and the mixing "
        "between layers are the least certain of all. Water moves by continuity and density; a jet counts "
        "only as extra exchange, it has no momentum."
    )


LIMITS = limits_text(NO_INTERVAL)


@dataclass(frozen=True)
class CellText:
    """One number of a table.

    Attributes
    ----------
    value : as printed, "-" where there is none
    mark : FAILS, BEST or ""
    change : difference to the existing pond, "=" for none, TIE within the band, "" where it does not apply
    """

    value: str
    mark: str
    change: str


def letter(design: int) -> str:
    """Head of a design's column."""
    return chr(ord("A") + design) if design < 26 else f"D{design + 1}"


def differences(row: Row, system: str) -> tuple[float | None, ...]:
    """Each design less the existing pond, in the unit shown; None where the two are not compared."""
    values = row.shown(system)
    first = values[0]
    return tuple(
        None if v is None or first is None or row.apart(design) else v - first
        for design, v in enumerate(values)
    )


def cells(row: Row, system: str) -> tuple[CellText, ...]:
    """Value, mark and difference of every design, all with the same number of decimals."""
    values, best, ties, decimals = row.shown(system), row.best, row.ties, row.places(system)
    made = []
    first = values[0]
    for design, value in enumerate(values):
        mark = FAILS if row.failing[design] else BEST if best[design] else ""
        changed = ""
        if (
            design and value is not None and first is not None and not row.apart(design)
        ):  # of the printed numbers, so that they agree
            changed = signed(round(value, decimals) - round(first, decimals), decimals)
            if ties[design] and changed != "=":
                changed = TIE
        made.append(CellText(fixed(value, decimals), mark, changed))
    return tuple(made)


def fixed(value: float | None, decimals: int) -> str:
    """A number with so many decimals, tens at -1; "-" where there is none."""
    return "-" if value is None else f"{round(value, decimals) + 0.0:.{max(decimals, 0)}f}"


def signed(value: float, decimals: int) -> str:
    """A difference with its sign, "=" where nothing of it is left."""
    rounded = round(value, decimals) + 0.0
    return f"{rounded:+.{max(decimals, 0)}f}" if rounded else "="
