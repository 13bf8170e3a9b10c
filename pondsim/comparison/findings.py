"""What a comparison says, in plain sentences with numbers."""

from __future__ import annotations

from pondsim.comparison import Comparison
from pondsim.comparison.verdict import verdict
from pondsim.units import convert, number_text

__all__ = ["bed_takes", "findings", "verdict", "worst_zone"]

NOTABLE = 0.2  # mg/L; a smaller change of the lowest dawn oxygen is not spoken of
OLDER = 1.25  # a zone whose water is so many times older than the pond's mean is named as left out
ONCE_A_DAY = 2.0  # starts may differ by so many from the days of the run where a timer starts it once a day


def worst_zone(comparison: Comparison, design: int = 0) -> str | None:
    """Zone whose top water has the lowest oxygen at dawn."""
    known = {
        zone: value
        for zone in comparison.zones
        if (value := comparison.value(f"dawn_lowest_top.{zone}", design)) is not None
    }
    return min(known, key=lambda zone: known[zone]) if known else None


def bed_takes(comparison: Comparison, design: int) -> float:
    """Oxygen the bed takes, its bottom oxygen debt included. [kg/d]"""
    lines = ("oxygen_budget.bed_demand", "oxygen_budget.bottom_debt_oxidation")
    return -sum(comparison.value(line, design) or 0.0 for line in lines)


def findings(comparison: Comparison, system: str = "us") -> list[str]:
    """Sentences on every design against the existing pond.

    Parameters
    ----------
    comparison : Comparison
        As `compare` makes it.
    system : {"us", "si"}
        Units.

    Returns
    -------
    list of str
        One paragraph for each design, the existing pond first.
    """
    return [_existing(comparison)] + [
        " ".join(
            part
            for part in (
                _oxygen(comparison, design),
                _supply(comparison, design, system),
                _circulation(comparison, design),
                _harm(comparison, design),
                _electricity(comparison, design),
                *_said(comparison, design),
            )
            if part
        )
        for design in range(1, len(comparison.titles))
    ]


def _existing(comparison: Comparison) -> str:
    zone = worst_zone(comparison)
    if zone is None:
        return f"{comparison.titles[0]}: dawns and failing days cannot be judged; see the notes."
    low = comparison.value(f"dawn_lowest_top.{zone}", 0)
    failing = _failing(comparison, 0)
    return (
        f"{comparison.titles[0]}: poorest at dawn is the top of {zone}, {_text(low)} mg/L at the lowest. "
        f"{_failing_words(failing, comparison)}{_meter(comparison)}"
    )


def _failing(comparison: Comparison, design: int) -> dict[str, float]:
    return {zone: comparison.value(f"days_failing_top.{zone}", design) or 0.0 for zone in comparison.zones}


def _failing_words(failing: dict[str, float], comparison: Comparison) -> str:
    zone = max(failing, key=lambda name: failing[name])
    if not failing[zone]:
        return "The top water of every zone meets those lines of the criteria that the run can judge."
    return f"Its top water fails the criteria on {failing[zone]:.0f} of {_days(comparison.days)} in {zone}."


def _oxygen(comparison: Comparison, design: int) -> str:
    title, zone = comparison.titles[design], worst_zone(comparison)
    if zone is None:
        return f"{title}: dawns and failing days cannot be judged; see the notes."
    before, after = (comparison.value(f"dawn_lowest_top.{zone}", i) for i in (0, design))
    poorest = worst_zone(comparison, design)
    was, is_ = _failing(comparison, 0), _failing(comparison, design)
    text = f"{title}: the lowest dawn oxygen in {zone} {_goes(before, after)} mg/L"
    if poorest != zone:
        low = comparison.value(f"dawn_lowest_top.{poorest}", design)
        text += f"; the poorest zone is then {poorest} with {_text(low)}"
    worst_was, worst_is = (max(days, key=lambda name: days[name]) for days in (was, is_))
    with_it = "no zone fails"
    if was[worst_was]:
        today = f"the worst zone ({worst_was}) fails the criteria on {_days(was[worst_was])}"
    elif not is_[worst_is]:
        return f"{text}. Today and with it no zone fails the criteria on any day."
    else:
        today = "no zone fails the criteria"
    if is_[worst_is]:
        with_it = f"the worst ({worst_is}) fails on {is_[worst_is]:.0f}"
    return f"{text}. Today {today}; with it {with_it}."


def _days(count: float) -> str:
    return f"{count:.0f} {'day' if round(count) == 1 else 'days'}"


def _goes(before: float | None, after: float | None) -> str:
    """From one number to another, or that it stays."""
    if _text(before) != _text(after) or before is None:
        return f"goes from {_text(before)} to {_text(after)}"
    return f"stays at {before:.1f}"


def _supply(comparison: Comparison, design: int, system: str) -> str:
    unit, bed = "lb/d" if system == "us" else "kg/d", bed_takes(comparison, design)
    sentences = []
    for line, name in (("waterfall", "waterfall"), ("bubbles", "aeration")):
        rate = comparison.value(f"oxygen_budget.{line}", design) or 0.0
        amount = f"{number_text(convert(abs(rate), 'kg/d', unit))} {unit} of oxygen"
        if rate < 0.0:
            sentences.append(
                f"The {name} takes out {amount}: the water is supersaturated more than it lacks."
            )
        elif rate > 0.0 and bed > 0.0:
            sentences.append(
                f"The {name} supplies {amount}, {number_text(100.0 * rate / bed, 2)} % of what the bed takes "
                f"({number_text(convert(bed, 'kg/d', unit))} {unit}); the rest of what it changes comes from "
                "the water it moves."
            )
    return " ".join(sentences)


def _circulation(comparison: Comparison, design: int) -> str:
    turnover = comparison.value("nominal_turnover", design)
    share, age = (comparison.value(key, design) for key in ("replaced_share", "days_since_waterfall"))
    row = comparison.row("replaced_share")
    if turnover is None or row is None or share is None or age is None:
        return ""
    ages = {
        zone: comparison.value(f"days_since_waterfall.{zone}", design) or 0.0 for zone in comparison.zones
    }
    left = [f"{zone} ({_text(old)} d)" for zone, old in ages.items() if old > OLDER * age]
    older = f"; older than the rest: {', '.join(left)}" if left else ""
    return (
        f"Its nominal turnover time is {_text(turnover)} d; the water is on the mean {_text(age)} d from the "
        f"waterfall, so that {100.0 * share:.0f} % of it is {row.label}{older}."
    )


def _said(comparison: Comparison, design: int) -> list[str]:
    """Remarks of the run that change how its numbers are to be read."""
    return [remark.text for remark in comparison.remarks[design] if remark.in_paragraph]


def _harm(comparison: Comparison, design: int) -> str:
    worse = []
    for zone in comparison.zones:
        before, after = (comparison.value(f"dawn_lowest_top.{zone}", i) for i in (0, design))
        if before is not None and after is not None and after < before - NOTABLE:
            worse.append(f"{zone} ({_text(before)} to {_text(after)} mg/L)")
    return f"It lowers the lowest dawn oxygen of {', '.join(worse)}." if worse else ""


def _meter(comparison: Comparison) -> str:
    """That the existing pond pays for a meter it hardly needs, where it does."""
    fixed, row = comparison.value("cost.fixed", 0), comparison.row("cost")
    if not fixed or row is None or comparison.value("electricity", 0):
        return ""
    currency = row.section.rpartition(", ")[2] if row.unit == "1" else row.unit
    charge = money_text(fixed, currency)
    return f" It uses no electricity; the fixed charge of the meter, {charge}, is paid anyway."


def _electricity(comparison: Comparison, design: int) -> str:
    """What it uses and costs, and how hard that is on motors."""
    used = comparison.value("electricity", design)
    if not used:
        return ""
    hard = "".join(f"; {words}" for words in _switched(comparison, design))
    return f"It uses {used:.0f} kWh in {_days(comparison.days)}{_cost(comparison, design)}{hard}."


def _cost(comparison: Comparison, design: int) -> str:
    """What that costs, where there is a tariff."""
    row = comparison.row("cost")
    if row is None or row.values[design] is None:
        return ""
    currency = row.section.rpartition(", ")[2] if row.unit == "1" else row.unit
    return f", {money_text(row.values[design] or 0.0, currency)} with demand and fixed charges"


def money_text(amount: float, currency: str) -> str:
    """An amount as people write it: $1186, 1186 EUR."""
    return f"${amount:.0f}" if currency == "$" else f"{amount:.0f} {currency}"


def _switched(comparison: Comparison, design: int) -> list[str]:
    """Systems that start more or less often than a timer would have them do, or that trip."""
    told = []
    for row in comparison.rows:
        starts, system = row.values[design], row.label
        if not row.key.startswith("starts.") or not starts:
            continue
        trips = comparison.value(f"trips.{system}", design) or 0.0
        by_timer = starts == 1.0 or abs(starts - comparison.days) <= ONCE_A_DAY
        if by_timer and not trips:
            continue
        hours = comparison.value(f"hours_run.{system}", design)
        words = f"{system} starts {_times(starts)}"
        if hours is not None:
            words += f", runs {hours:.0f} h"
        told.append(f"{words} and trips {_times(trips)}" if trips else words)
    return told


def _times(count: float) -> str:
    return "once" if count == 1.0 else f"{count:.0f} times"


def _text(value: float | None) -> str:
    return "-" if value is None else number_text(value, 2 if abs(value) < 10.0 else 3)
