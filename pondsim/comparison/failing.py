"""Failing days and windows in sentences: the worst zone before and after, and every zone that gets worse."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pondsim.comparison.lengths import days_text
from pondsim.comparison.limit_lines import fails_by_limit
from pondsim.comparison.names import listed
from pondsim.comparison.row import Comparison, Row
from pondsim.measures.declared import Measure, declarations

MATTERS, MATTERS_SHARE = 24.0, 0.10  # h, or so much of them or of the run: less is not told (judgement)
GROWS = {  # measure by zone: words of a sentence on the zones in which it grows
    "days_failing_top": "Days below the {minimum}",
    "windows_failing_mean_minimum_7_day_top": "Failing 7-day windows (mean minimum)",
    "windows_failing_mean_7_day_top": "Failing 7-day windows (mean)",
    "windows_failing_mean_30_day_top": "Failing 30-day windows",
}


def _failing(comparison: Comparison, design: int) -> tuple[str, float]:
    """The zone with most failing days near the surface, and how many."""
    days = {zone: comparison.value(f"days_failing_top.{zone}", design) or 0.0 for zone in comparison.zones}
    worst = max(days, key=lambda zone: days[zone])
    return worst, days[worst]


def failing_today(comparison: Comparison) -> str:
    """Which limits the existing pond fails, and on how many days in its worst zone."""
    fails = fails_by_limit(comparison, 0)
    if comparison.limits and all(one.meets is None for one in comparison.limits[0]):
        return "No limit could be judged."
    if not fails:
        of_every = " of every zone" if len(comparison.zones) > 1 else ""
        return f"The surface water{of_every} meets the criteria that this run can judge."
    zone, days = _failing(comparison, 0)
    said = f"It fails the {listed(fails)}."
    if days:
        said += (
            f" Its surface water falls below the {comparison.day_minimum} on {days:.0f} of "
            f"{days_text(comparison.days)} in {zone}."
        )
    return said


def days_sentence(comparison: Comparison, design: int) -> str:
    """Failing days of the worst zones, today's and the design's, and every zone that gets worse."""
    (zone, was), (now, days) = _failing(comparison, 0), _failing(comparison, design)
    low, several = comparison.day_minimum, len(comparison.zones) > 1
    if not was and not days:
        text = f"No zone falls below the {low} near the surface on any day, today or with it."
    elif comparison.in_worst_zone("days_failing_top").tied(was, days):
        where = " in the worst zone" if several else ""
        both = f"{_in_zone(was, 'today', zone)}, {_in_zone(days, 'with it', now)}"
        text = f"Days below the {low}{where} are a tie: {both}."
    else:
        old, new = (f"the worst zone ({zone})", f"the worst ({now})") if several else (zone, zone)
        falls = f"{old} falls below the {low} on {days_text(was)}"
        today = falls if was else f"no zone falls below the {low}"
        then = f"{new} does on {days:.0f}" if days else "no zone does"
        text = f"Today {today}; with it {then}."
    return " ".join(part for part in (text, *_zones_worse(comparison, design)) if part)


def _in_zone(days: float, when: str, zone: str) -> str:
    """A number of days and its zone; none is the worst where there are no days."""
    return f"{days:.0f} {when} ({zone})" if days else f"0 {when}"


def _zones_worse(comparison: Comparison, design: int) -> list[str]:
    """Zones in which failing days, or failing windows of another line, grow by more than a tie."""
    said = []
    for key, words in GROWS.items():
        row = next((one for one in comparison.rows if one.key.startswith(f"{key}.")), None)
        zones = where_worse(comparison, design, row) if row else ""
        if zones:
            said.append(f"{words.format(minimum=comparison.day_minimum)} grow in number in {zones}.")
    return said


def coarser(row: Row, days: float) -> Row:
    """Hours with a band that holds what is too little to matter, where that of ties is narrower.

    A grid check may measure a band of an hour, and that of a short run is no wider: a change of less than
    24 h (a tenth of a run of less than ten days) or a tenth of the hours is not told all the same.
    """
    if row.unit != "h":
        return row
    matters = min(MATTERS, MATTERS_SHARE * 24.0 * days)
    return replace(row, tie=max(row.tie, matters), tie_share=max(row.tie_share, MATTERS_SHARE))


def where_worse(comparison: Comparison, design: int, one: Row) -> str:
    """Zones where the measures of a section are worse by enough to matter, the worst first."""
    rows = [coarser(row, comparison.days) for row in comparison.rows if row.section == one.section]
    return worse_places(rows, design)


def worse_places(rows: Sequence[Row], design: int) -> str:
    """Places where measures of one section are worse by more than a tie, the worst first."""
    by = {row.label: row.worse(design) for row in rows}
    beyond = [row for row in rows if by[row.label] > 1.0 and not row.ties[design]]
    worse = sorted(beyond, key=lambda row: -by[row.label])
    return listed(
        f"{row.label} ({printed(row, row.values[0])} to {printed(row, row.values[design])}"
        f"{'' if row.unit in ('d', '1') else f' {row.unit}'})"
        for row in worse
    )


def printed(measure: Measure, value: float | None) -> str:
    """A value with the digits of its measure, "-" where there is none."""
    return "-" if value is None else f"{value:.{max(measure.decimals, 0)}f}"


def low_text(value: float | None) -> str:
    """A lowest dawn oxygen as printed. [mg/L]"""
    return printed(declarations()["dawn_lowest_top"].template, value)
