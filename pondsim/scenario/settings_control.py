"""What switches equipment on and off, and what its electricity costs."""

from __future__ import annotations

Spans = tuple[tuple[float, float], ...]  # seconds after midnight, start and end; may run past midnight
