"""The mass balance of a run: what is there at the end against what came and went."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from pondsim.errors import RunError
from pondsim.processes import constituents as s
from pondsim.processes.state import State

FloatArray = NDArray[np.float64]

CLOSES = 1e-6  # largest relative gap of a run that may be called computed


def closures(start: State, end: State, worth: FloatArray | None = None) -> dict[str, Any]:
    """Relative gap of each balance: the unexplained change over all that came, went or was there.

    `worth` says what a unit of each row of the boxes holds of phosphorus and of oxygen demand, where algae
    grow: then the balances of phosphorus and of organic matter are among them.

    Raises
    ------
    RunError
        One of them is above CLOSES, or a number is not finite.
    """
    grown = worth is not None and start.bed.shape[0] > len(s.BED)
    demand = worth[1] if grown and worth is not None else np.zeros(end.rows.shape[0])
    change = end.amounts.sum(axis=0) - start.amounts.sum(axis=0)
    there = np.abs(start.amounts).sum(axis=0)
    pathways = end.pathways - start.pathways
    solids = slice(s.FIRST_CLASS, s.FIRST_CLASS + end.bed_mass.shape[1])
    solids_change = change[solids] + (end.bed_mass - start.bed_mass).sum(axis=0)
    # the bed's too, of a run before this one
    solids_there = there[solids] + start.bed_mass.sum(axis=0)
    came, went = end.solids_in - start.solids_in, end.solids_out - start.solids_out
    gaps = {
        **{f"balance_{book}": _book_gap(book, start, end) for book in s.BOOKS},
        "balance_oxygen": _gap(change[s.OXYGEN], list(pathways.ravel()), there[s.OXYGEN]),
        "balance_solids": np.array(
            [_gap(solids_change[k], [came[k], -went[k]], solids_there[k]) for k in range(came.size)]
        ),
        "balance_redox": _redox_gap(start, end, demand),
    }
    if grown and worth is not None:
        gaps["balance_phosphorus"] = _phosphorus_gap(start, end, worth[0])
        gaps["balance_organic_matter"] = _organic_gap(start, end, demand)
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


def _organic(state: State, demand: FloatArray) -> float:
    """All organic matter, as the oxygen it can take [kg]."""
    a = state.amounts.sum(axis=0)
    stores = state.bed[s.BED_ORGANICS] + state.bed[s.FAST : s.INERT + 1].sum(axis=0)
    return float(a[s.BOD] + a[s.DETRITUS] + a @ demand + stores.sum())


def _phosphorus_gap(start: State, end: State, worth: FloatArray) -> float:
    """Phosphorus of water, algae and bed changes only by what is carried, stated or dredged."""

    def held(state: State) -> float:
        return float(state.amounts.sum(axis=0) @ worth + state.bed[s.FAST_P : s.BURIED_P + 1].sum())

    lines = end.lines - start.lines
    parts = [line.sign * lines[row] for row, line in enumerate(s.LINE_TABLE) if line.book == s.LIVING_BOOK]
    return _gap(held(end) - held(start), parts, held(start))


def _organic_gap(start: State, end: State, demand: FloatArray) -> float:
    """Organic carbon, as oxygen: what grows, is carried and settles with solids against what decays."""
    lines = end.lines - start.lines
    pathways = (end.pathways - start.pathways).sum(axis=0)
    used = (s.PHOTOSYNTHESIS, s.RESPIRATION, s.ORGANIC_DECAY, s.BED_DEMAND)
    parts = [pathways[p] for p in used]
    parts += [lines[s.REDUCING_CARRIED], lines[s.REDUCING_SOLIDS], lines[s.ORGANIC_LOADS]]
    parts += [-lines[s.ORGANIC_ANOXIC], -lines[s.ORGANIC_DREDGED]]
    before = _organic(start, demand)
    return _gap(_organic(end, demand) - before, parts, before)


def _redox_gap(start: State, end: State, demand: FloatArray) -> float:
    """Oxygen less everything that will take oxygen changes only by what crosses the boundary or is named."""

    def books(state: State) -> float:
        a = state.amounts.sum(axis=0)
        return float(a[s.OXYGEN] - a[s.DEBT]) - _organic(state, demand)

    lines = end.lines - start.lines
    pathways = (end.pathways - start.pathways).sum(axis=0)
    exchanged = (s.SURFACE_EXCHANGE, s.WATERFALL, s.BUBBLES, s.OXYGEN_IN, s.OXYGEN_OUT, s.NITRIFICATION)
    parts = [pathways[p] for p in exchanged]
    parts += [
        -lines[s.REDUCING_CARRIED],
        -lines[s.DEBT_CARRIED],
        -lines[s.REDUCING_OLD_BED],
        -lines[s.OXYGEN_OLD_BED],
        -lines[s.REDUCING_SOLIDS],
        lines[s.REDUCING_LOST],
        -lines[s.REDUCING_KILLED],
        -lines[s.OXYGEN_HELD_ALGAE],
        -lines[s.ORGANIC_LOADS],
        lines[s.ORGANIC_DREDGED],
    ]
    return _gap(books(end) - books(start), parts, abs(books(start)))
