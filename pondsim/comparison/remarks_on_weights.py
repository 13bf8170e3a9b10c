"""What makes weights of a calibration doubtful, in words."""

from __future__ import annotations

from collections.abc import Callable

from pondsim.records import Record


def _few_members(record: Record) -> str:
    return (
        f"before tempering the members that agree were worth {record.number('effective'):.1f} only: the "
        "readings lie where few draws come. Draw more members, or look for what the files say wrongly, "
        "before you rest on the weights."
    )


def _no_better(record: Record) -> str:
    return f"{record.where}: the held-out readings are predicted no better than by yesterday's hour."


def _few_memories(record: Record) -> str:
    return (
        f"{record.where}: the readings used last fewer than three error memories, so they are hardly more "
        "than one or two facts; read on for some weeks."
    )


def _above_members(record: Record) -> str:
    return (
        f"{record.where}: some readings lie above all that any member computed; no weight can mend that. "
        "Production, or what the logger shows, is outside the ranges drawn."
    )


def _at_edge(record: Record) -> str:
    return (
        f"{record.where}: the weights press it against an end of its range; the range may be too narrow, or "
        "another thing may be wrong."
    )


def _bed_from_top(record: Record) -> str:
    return (
        f"{record.where} seems learnt, but no instrument hung near the bed: a surface logger does not see "
        "the bed, and other unknowns of the top can stand in for it."
    )


WEIGHT_WORDS: dict[str, str | Callable[[Record], str]] = {
    "few_members": _few_members,
    "no_better": _no_better,
    "few_memories": _few_memories,
    "above_members": _above_members,
    "at_edge": _at_edge,
    "bed_from_top": _bed_from_top,
}
