"""How much of a day equipment runs: by its timer, and whether sensors or outages make it less."""

from __future__ import annotations

from pondsim.constants import DAY
from pondsim.scenario.settings import Aeration, Pump, Scenario

PUMP = "pump"  # name of the circulation pump in an outage


def share_of_day(equipment: Pump | Aeration) -> float:
    """Share of a day in season that the timer lets it run (no two spans overlap: the reader checks)."""
    if not equipment.hours:
        return 1.0
    return sum(end - start for start, end in equipment.hours) / DAY


def is_at_most(equipment: Pump | Aeration, scenario: Scenario) -> bool:
    """Whether a set point or an outage makes it run less than its timer lets it."""
    name = PUMP if isinstance(equipment, Pump) else equipment.name
    out = any(not outage.systems or name in outage.systems for outage in scenario.outage)
    return out or equipment.set_point is not None
