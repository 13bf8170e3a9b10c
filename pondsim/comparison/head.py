"""What stands first: in what files differ beside their equipment."""

from __future__ import annotations

from pondsim.comparison.givens import Change, Unlike, changes_text
from pondsim.comparison.names import listed, title_of
from pondsim.comparison.row import Comparison

REFUSED = (
    "No verdict: these files differ in more than equipment, so the differences below are not due to "
    "equipment alone. Use --allow-differences to get a verdict anyway."
)
LEFT_OUT = "Left out of the verdict for that: {}. Use --allow-differences to include it."


def head(comparison: Comparison, system: str = "us") -> list[str]:
    """Sentences on every design whose file differs from the first in more than equipment."""
    first = title_of(comparison, 0)
    said: dict[tuple[str, str], list[str]] = {}  # a difference in both systems: the designs that have it
    for design, apart in enumerate(comparison.unlike):
        for texts in zip(_differences(apart, "us"), _differences(apart, "si"), strict=True):
            said.setdefault(texts, []).append(title_of(comparison, design))
    at = 0 if system == "us" else 1
    return [
        f"{listed(titles)} {'differs' if len(titles) == 1 else 'differ'} from {first} {texts[at]}."
        for texts, titles in said.items()
    ]


def _differences(apart: Unlike, system: str) -> list[str]:
    """In what a file differs, by kind."""
    kinds = (
        ("in more than equipment", changes_text(apart.of_pond, system)),
        ("by events", events_text(apart.of_events, system)),
        ("in the tariff, so costs are not compared", changes_text(apart.of_tariff, system)),
    )
    return [f"{kind}: {changes}" for kind, changes in kinds if changes]


def events_text(changes: tuple[Change, ...], system: str | None = None) -> str:
    """Events that only one of two files has, or has otherwise, each once with its zone, start and depth.

    With no `system` of units a depth is given in both.
    """
    events: dict[str, dict[str, Change]] = {}
    for change in changes:
        kind, number, key = (*change.key.split(".", 2), "", "")[:3]
        events.setdefault(f"{kind}.{number}", {})[key] = change
    return "; ".join(_event_text(name.partition(".")[0], keys, system) for name, keys in events.items())


def _event_text(kind: str, keys: dict[str, Change], system: str | None) -> str:
    said = {key: change.other or change.first for key, change in keys.items()}
    text = kind.replace("_", " ")
    text += f" of {said['zone']}" if "zone" in said else ""
    moment = said.get("start") or said.get("date")
    text += f" from {moment}" if moment else ""
    if "depth" not in keys:
        return text
    depth = keys["depth"]
    shown = depth.values(system) if system else f"{depth.values('us')} ({depth.values('si')})"
    return f"{text} by {shown}"
