"""How long a run or a stretch of it is, in sentences."""

from __future__ import annotations

SHORT_RUN = 2.0  # d, below which a run is told in hours
HARDLY = 0.02  # d, by which one may miss whole days


def days_text(count: float) -> str:
    """A number of days."""
    return f"{count:.0f} {'day' if round(count) == 1 else 'days'}"


def length_text(days: float) -> str:
    """The length of a run: in hours where it is short and of no whole days."""
    if days < SHORT_RUN and abs(days - round(days)) > HARDLY:
        return f"{24.0 * days:.0f} h"
    return days_text(days)
