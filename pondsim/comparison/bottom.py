"""What a design changes at the bottom: hours below 3 mg/L, by more than a tie and enough to matter."""

from __future__ import annotations

from pondsim.comparison.failing import coarser, printed, worse_places
from pondsim.comparison.names import listed, name_of
from pondsim.comparison.row import Comparison, Row

HOURS = "hours_below_3_bottom"
MOST_OF_IT = 0.5  # of the run, for which a zone lies below 3 mg/L and is named (judgement)
NAMED = 2  # zones; more are counted


def bottom_text(comparison: Comparison, design: int, who: str = "") -> str:
    """Zones whose bottom gains or loses enough to matter, in a sentence; "" where none does.

    `who` stands for the design where its title would be said twice. Limits are judged
    near the surface, so that a design that helps at the bottom alone would go unnamed.
    """
    rows = [coarser(row, comparison.days) for row in comparison.rows if row.key.startswith(f"{HOURS}.")]
    fewer = [row for row in rows if row.worse(design) < -1.0]
    worse = worse_places(rows, design)
    said = []
    if fewer:
        most = max(fewer, key=lambda row: (row.values[0] or 0.0) - (row.values[design] or 0.0))
        was, now = (printed(most, most.values[place]) for place in (0, design))
        every = f"in {len(fewer)} of {len(rows)} zones, most in" if len(fewer) > 1 else "in"
        said.append(f"cuts the hours below 3 mg/L {every} {most.label} ({was} to {now} h)")
    if worse:
        said.append(f"raises {'them' if fewer else 'the hours below 3 mg/L'} in {worse}")
    who = who or name_of(comparison, design)
    left = _left(rows, design, 24.0 * comparison.days) if fewer else ""
    return f"At the bottom, {who} {' and '.join(said)}{left}." if said else ""


def _left(rows: list[Row], design: int, hours: float) -> str:
    """Zones whose bottom lies below 3 mg/L most of the time all the same, as the end of the sentence."""
    low = [row.label for row in rows if (row.values[design] or 0.0) > MOST_OF_IT * hours]
    if not low:
        return ""
    zones = f"{len(low)} of {len(rows)} zones" if len(low) > NAMED else listed(low)
    lie = "lies" if len(low) == 1 else "lie"
    return f"; with it {zones} {lie} below 3 mg/L for more than half of the time"
