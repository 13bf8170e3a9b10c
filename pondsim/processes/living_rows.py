"""Which rows of phosphorus, grown algae, binder and dye the boxes of a pond have, and those of its bed.

They come after the settling classes and only where a scenario asks for them: every row costs memory and time.
"""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.jit.bundle import Bundle
from pondsim.processes.constituents import (
    ALGAE,
    BED,
    BED_SOLIDS,
    BINDER,
    BOXES,
    DYE,
    FIRST_CLASS,
    LIVING_BED,
    PHOSPHORUS,
    SOLIDS,
    ZONES,
    Kept,
)
from pondsim.scenario.settings import Algae, AlgaeKind, Scenario

GROWN = "grown"
MOST_KINDS = 4  # of grown algae, the ordinary one among them


@dataclass(frozen=True, eq=False)
class LivingRows(Bundle):
    """Places among the rows of boxes; -1 where there is no such row."""

    grown: int  # whether algae grow, with phosphorus and the stores of the bed: 0 or 1
    first: int  # of the rows after the settling classes
    dissolved: int  # phosphorus
    detrital: int
    on_solids: int
    algae: int  # first kind
    kinds: int
    binder: int  # and what it has bound in the row after it
    dye: int
    end: int  # of all rows


def living_rows(scenario: Scenario) -> LivingRows:
    """Rows of a scenario."""
    first = FIRST_CLASS + len(scenario.solids.share)
    grown = scenario.algae.mode == GROWN
    kinds = 1 + len(scenario.algae.kind) if grown else 0
    algae = first + (len(PHOSPHORUS) if grown else 0)
    binder = grown and bool(scenario.treatment)
    after = algae + kinds
    dye = after + (len(BINDER) if binder else 0)
    return LivingRows(
        grown=int(grown),
        first=first,
        dissolved=first if grown else -1,
        detrital=first + 1 if grown else -1,
        on_solids=first + 2 if grown else -1,
        algae=algae if grown else -1,
        kinds=kinds,
        binder=after if binder else -1,
        dye=dye if scenario.dye else -1,
        end=dye + int(bool(scenario.dye)),
    )


def kinds_of(algae: Algae) -> list[Algae | AlgaeKind]:
    """The ordinary kind, then the others."""
    return [algae, *algae.kind]


def box_table(rows: LivingRows) -> tuple[Kept, ...]:
    """All rows of the boxes, in their order."""
    table = [*BOXES, *[SOLIDS] * (rows.first - FIRST_CLASS)]
    if rows.grown:
        table += [*PHOSPHORUS, *[ALGAE] * rows.kinds]
    table += [*BINDER] if rows.binder >= 0 else []
    return (*table, *([DYE] if rows.dye >= 0 else []))


def bed_table(rows: LivingRows) -> tuple[Kept, ...]:
    """All rows of the bed, in their order."""
    return (*BED, *(LIVING_BED if rows.grown else ()))


def name_of(place: int, rows: LivingRows) -> str:
    """Name, for messages, of a place in the list of states of boxes, of the bed and of zones."""
    boxes = [
        f"{kept.name} {place - FIRST_CLASS + 1}" if kept is SOLIDS else kept.name
        for place, kept in enumerate(box_table(rows))
    ]
    zones = [kept.name for kept in ZONES]
    zones += [f"{BED_SOLIDS.name}, class {k + 1}" for k in range(rows.first - FIRST_CLASS)]
    return [*boxes, *(kept.name for kept in bed_table(rows)), *zones][place]
