"""What a design changes at the bottom: hours below 3 mg/L, by more than the band of ties."""

from __future__ import annotations

from pondsim.comparison.failing import printed, where_worse
from pondsim.comparison.names import name_of
from pondsim.comparison.row import Comparison

HOURS = "hours_below_3_bottom"


def bottom_text(comparison: Comparison, design: int, who: str = "") -> str:
    """Zones whose bottom gains or loses by more than a tie, in a sentence; "" where none does.

    `who` stands for the design where its title would be said twice. Limits are judged
    near the surface, so that a design that helps at the bottom alone would go unnamed.
    """
    rows = [row for row in comparison.rows if row.key.startswith(f"{HOURS}.")]
    fewer = [row for row in rows if row.worse(design) < -1.0]
    worse = where_worse(comparison, design, rows[0]) if rows else ""
    said = []
    if fewer:
        most = max(fewer, key=lambda row: (row.values[0] or 0.0) - (row.values[design] or 0.0))
        was, now = (printed(most, most.values[place]) for place in (0, design))
        every = f"in {len(fewer)} of {len(rows)} zones, most in" if len(fewer) > 1 else "in"
        said.append(f"cuts the hours below 3 mg/L {every} {most.label} ({was} to {now} h)")
    if worse:
        said.append(f"raises {'them' if fewer else 'the hours below 3 mg/L'} in {worse}")
    who = who or name_of(comparison, design)
    return f"At the bottom, {who} {' and '.join(said)}." if said else ""
