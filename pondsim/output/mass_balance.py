"""The mass balance of a run: what is there at the end against what came and went."""

from __future__ import annotations

from typing import Any

import numpy as np

from pondsim.errors import RunError
from pondsim.processes import constituents as s
from pondsim.processes.state import State

CLOSES = 1e-6  # largest relative gap of a run that may be called computed


def closures(start: State, end: State) -> dict[str, Any]:
    """Relative gap of each balance: the unexplained change over all that came, went or was there.

    Raises
    ------
    RunError
        One of them is above CLOSES, or a number is not finite.
    """
    change = end.amounts.sum(axis=0) - start.amounts.sum(axis=0)
    there = np.abs(start.amounts).sum(axis=0)
    pathways = end.pathways - start.pathways
    solids_change = change[s.FIRST_CLASS :] + (end.bed_mass - start.bed_mass).sum(axis=0)
    solids_there = there[s.FIRST_CLASS :] + start.bed_mass.sum(
        axis=0
    )  # the bed's too, of a run before this one
    came, went = end.solids_in - start.solids_in, end.solids_out - start.solids_out
    gaps = {
        **{f"balance_{book}": _book_gap(book, start, end) for book in s.BOOKS},
        "balance_oxygen": _gap(change[s.OXYGEN], list(pathways.ravel()), there[s.OXYGEN]),
        "balance_solids": np.array(
            [_gap(solids_change[k], [came[k], -went[k]], solids_there[k]) for k in range(came.size)]
        ),
        "balance_redox": _redox_gap(start, end),
    }
    for name, gap in gaps.items():
        worst = float(np.asarray(gap, dtype=float).max())
        if not worst <= CLOSES:
            raise RunError(
                f"{name.replace('_', ' of ')} does not close: {worst:.1e} is missing, allowed is {CLOSES:.0e}"
            )
    return gaps


def _book_gap(book: str, start: State, end: State) -> float:
    """Gap of the balance of all states of one book of the table against its lines."""
    change, there = 0.0, 0.0
    for table, before, after in (
        (s.BOXES, start.rows, end.rows),
        (s.BED, start.bed, end.bed),
        (s.ZONES, start.zones, end.zones),
    ):
        for row, kept in enumerate(table):
            share = 1.0 if kept.book == book else kept.heat if book == "heat" else 0.0
            if share != 0.0:
                change += share * float(after[row].sum() - before[row].sum())
                there += abs(share) * float(np.abs(before[row]).sum())
    lines = end.lines - start.lines
    parts = [line.sign * lines[row] for row, line in enumerate(s.LINE_TABLE) if line.book == book]
    return _gap(change, parts, there)


def _gap(change: float, parts: list[float], there: float) -> float:
    scale = there + float(np.sum(np.abs(parts)))
    return abs(float(change - np.sum(parts))) / scale if scale > 0.0 else 0.0


def _redox_gap(start: State, end: State) -> float:
    """Oxygen less everything that will take oxygen changes only by what crosses the boundary or is named."""

    def books(state: State) -> float:
        a = state.amounts.sum(axis=0)
        return float(a[s.OXYGEN] - a[s.BOD] - a[s.DEBT] - a[s.DETRITUS] - state.bed_organics.sum())

    lines = end.lines - start.lines
    pathways = (end.pathways - start.pathways).sum(axis=0)
    exchanged = (s.SURFACE_EXCHANGE, s.WATERFALL, s.BUBBLES, s.OXYGEN_IN, s.OXYGEN_OUT, s.NITRIFICATION)
    parts = [pathways[p] for p in exchanged]
    parts += [
        -lines[s.REDUCING_CARRIED],
        -lines[s.REDUCING_OLD_BED],
        -lines[s.OXYGEN_OLD_BED],
        -lines[s.REDUCING_SOLIDS],
        lines[s.REDUCING_LOST],
        -lines[s.REDUCING_KILLED],
        -lines[s.OXYGEN_HELD_ALGAE],
    ]
    return _gap(books(end) - books(start), parts, abs(books(start)))
