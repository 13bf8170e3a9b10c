"""What stands first: in what files differ beside their equipment."""

from __future__ import annotations

from pondsim.comparison.givens import Change, changes_text
from pondsim.comparison.names import title_of
from pondsim.comparison.row import Comparison

REFUSED = (
    "No verdict: these files differ in more than equipment, so the differences below are not due to "
    "equipment alone. Use --allow-differences to get a verdict anyway."
)
LEFT_OUT = "Left out of the verdict for that: {}. Use --allow-differences to include it."


def head(comparison: Comparison, system: str = "us") -> list[str]:
    """Sentences on every design whose file differs from the first in more than equipment."""
    first, found = title_of(comparison, 0), []
    for design, apart in enumerate(comparison.unlike):
        title = title_of(comparison, design)
        if apart.of_pond:
            changes = changes_text(apart.of_pond, system)
            found.append(f"{title} differs from {first} in more than equipment: {changes}.")
        if apart.of_events:
            found.append(f"{title} has other events than {first}: {events_text(apart.of_events)}.")
        if apart.of_tariff:
            changes = changes_text(apart.of_tariff, system)
            found.append(f"{title} has another tariff than {first}, so costs are not compared: {changes}.")
    return found


def events_text(changes: tuple[Change, ...]) -> str:
    """Events that only one of two files has, or has otherwise, each once with its start."""
    events: dict[str, str] = {}
    for change in changes:
        kind, number, key = (*change.key.split(".", 2), "", "")[:3]
        moment = f" from {change.other or change.first}" if key == "start" else ""
        events[f"{kind}.{number}"] = events.get(f"{kind}.{number}") or moment
    return "; ".join(f"{name.partition('.')[0].replace('_', ' ')}{moment}" for name, moment in events.items())
