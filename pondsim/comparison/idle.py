"""Equipment that stands in a design and never runs."""

from __future__ import annotations

from pondsim.comparison.names import listed
from pondsim.comparison.row import Comparison

PUMPS = ("circulation pump", "pump")


def _hours_run(comparison: Comparison, design: int) -> dict[str, float | None]:
    """Hours that each of a design's own systems ran."""
    return {
        row.label: row.values[design]
        for row in comparison.rows
        if row.key.startswith("hours_run.") and row.label in comparison.systems[design]
    }


def never_ran(comparison: Comparison, design: int) -> bool:
    """Whether a design has equipment and none of it ran: such a run is that of the pond alone."""
    hours = _hours_run(comparison, design)
    return bool(hours) and not any(hours.values())


def idle_text(comparison: Comparison, design: int) -> str:
    """Which equipment of a design never ran in the period, in a sentence; "" where all of it did."""
    hours = _hours_run(comparison, design)
    idle = [system for system, ran in hours.items() if not ran]
    if not idle:
        return ""
    aerators = [system for system in hours if system not in PUMPS]
    if idle != aerators:
        return f"Of its equipment, {listed(idle)} never ran in this period."
    return f"Its aerator{'s' if len(idle) > 1 else ''} never ran in this period: {listed(idle)}."
