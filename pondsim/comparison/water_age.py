"""Ages of the water since the waterfall in words: as they went in the run, where results hold them."""

from __future__ import annotations

from pondsim.comparison.names import listed
from pondsim.comparison.row import Comparison
from pondsim.measures.circulation import AgeAt, RunningAges
from pondsim.units import number_text

OPTIMISTIC = "optimistic where water is stratified"  # ages and shares at the run's mean flows
OLDER = 1.25  # a zone whose steady age is so many times the pond's mean is named as left out
DEAD = 1.5  # a place whose water is so many times older than the pond's mean is a dead zone (judgement)


def age_text(days: float) -> str:
    """An age with its digits. [d]"""
    return f"{number_text(days, 2 if days < 10.0 else 3)} d"


def dead_places(running: RunningAges) -> list[AgeAt]:
    """Places whose water is far older than the pond's mean, oldest first."""
    return [one for one in running.places if one.days > DEAD * running.pond]


def place_age(one: AgeAt) -> str:
    """A place with its age: "far_arm near the bed (15 d)"."""
    return f"{one.zone} {one.depth} ({age_text(one.days)})"


def old_water_text(comparison: Comparison, design: int) -> str:
    """The dead zone with the oldest water of the run, and how many more there are; "" where there is none."""
    running = comparison.ages[design]
    dead = dead_places(running) if running else []
    if not running or not dead:
        return ""
    more = f", and of {len(dead) - 1} more" if len(dead) > 1 else ""
    return (
        f"Dead zones: the water of {place_age(dead[0])}{more} is much older than the pond's mean, "
        f"{age_text(running.pond)} since the waterfall."
    )


def circulation_text(comparison: Comparison, design: int) -> str:
    """Nominal turnover time beside the age of the water and the share replaced; "" without a waterfall.

    The age is that of the run where results hold it. Ages and shares at the run's mean flows are told as
    that: they take stratified water as better mixed than it is.
    """
    turnover = comparison.value("nominal_turnover", design)
    share, age = (comparison.value(key, design) for key in ("replaced_share", "days_since_waterfall"))
    row = comparison.row("replaced_share")
    if turnover is None or row is None or share is None or age is None:
        return ""
    begun = f"Its nominal turnover time is {age_text(turnover)}"
    replaced = f"{100.0 * share:.0f} % of the water is {row.label}"
    running = comparison.ages[design]
    if running is None:
        ages = {
            zone: comparison.value(f"days_since_waterfall.{zone}", design) or 0.0 for zone in comparison.zones
        }
        left = [f"{zone} ({age_text(old)})" for zone, old in ages.items() if old > OLDER * age]
        older = f"; older than the rest: {', '.join(left)}" if left else ""
        return (
            f"{begun}. At the run's mean flows, {OPTIMISTIC}, mean water age "
            f"since the waterfall is {age_text(age)}, and {replaced}{older}."
        )
    dead = dead_places(running)
    zones = f"; dead zones: {listed(place_age(one) for one in dead)}" if dead else ""
    return (
        f"{begun}; mean water age since the waterfall is {age_text(running.pond)} (median of the run)"
        f"{zones}. At the run's mean flows, {OPTIMISTIC}, {replaced}."
    )
