"""What a comparison says of each design, in plain sentences with numbers."""

from __future__ import annotations

from pondsim.comparison.failing import coarser, days_sentence, failing_today, low_text, where_worse
from pondsim.comparison.idle import PUMPS, idle_text
from pondsim.comparison.lengths import length_text
from pondsim.comparison.names import listed, money_text, section_words, title_of
from pondsim.comparison.row import Comparison, Row
from pondsim.comparison.water_age import circulation_text
from pondsim.measures.declared import place_words
from pondsim.units import convert, number_text

ONCE_A_DAY = 2.0  # starts may differ by so many from the days of the run where a timer starts it once a day
TRIPPED = "pump_tripped"  # code of the remark on a pump that its float stopped
SEDIMENT = ("bed_demand", "bottom_debt_oxidation")  # lines of the oxygen budget that are the sediment's
SUPPLY = {"waterfall": "waterfall", "aeration": "bubbles"}  # equipment: its line of the oxygen budget
DEADLY, A_DAY, SEVERAL, FEW_HOURS = "hours_below_3_top", 24.0, 3.0, 6.0  # h, and so many times (judgement)
UNJUDGED = "Dawns and days below the 1-day minimum cannot be judged; see the notes."


def findings(comparison: Comparison, system: str = "us") -> list[str]:
    """A paragraph on every design against the existing pond, each with its title in quotes before it.

    Parameters
    ----------
    comparison : Comparison
        As `compare` makes it.
    system : {"us", "si"}
        Units.

    Returns
    -------
    list of str
        The existing pond first.
    """
    texts = paragraphs(comparison, system)
    return [f"{title_of(comparison, design)}: {text}" for design, text in enumerate(texts)]


def paragraphs(comparison: Comparison, system: str = "us") -> list[str]:
    """The paragraphs of `findings` without their titles."""
    return [_existing(comparison)] + [
        " ".join(
            part
            for part in (
                _trips(comparison, design),
                _sheet(comparison, design),
                _oxygen(comparison, design),
                harm_text(comparison, design),
                _supply(comparison, design, system),
                circulation_text(comparison, design),
                _electricity(comparison, design),
                idle_text(comparison, design),
                *_remarks(comparison, design),
            )
            if part
        )
        for design in range(1, len(comparison.titles))
    ]


def worst_zone(comparison: Comparison, design: int = 0) -> str | None:
    """Zone whose top water has the lowest oxygen at dawn."""
    known = {
        zone: value
        for zone in comparison.zones
        if (value := comparison.value(f"dawn_lowest_top.{zone}", design)) is not None
    }
    return min(known, key=lambda zone: known[zone]) if known else None


def _existing(comparison: Comparison) -> str:
    zone = worst_zone(comparison)
    if zone is None:
        parts = [UNJUDGED]
    else:
        low = comparison.value(f"dawn_lowest_top.{zone}", 0)
        parts = [f"Lowest dawn oxygen: {zone}, surface, {low_text(low)} mg/L.", failing_today(comparison)]
    first = [_trips(comparison, 0), _sheet(comparison, 0)]
    alone = _remarks(comparison, 0)
    return " ".join(
        part for part in (*first, *parts, _meter(comparison), idle_text(comparison, 0), *alone) if part
    )


def _oxygen(comparison: Comparison, design: int) -> str:
    """The lowest dawn of today's worst zone and days below the 1-day minimum, before and after."""
    zone = worst_zone(comparison)
    if zone is None:
        return UNJUDGED
    row = comparison.row(f"dawn_lowest_top.{zone}")
    assert row is not None
    before, after = row.values[0], row.values[design]
    if low_text(before) == low_text(after):
        text = f"The lowest dawn oxygen in {zone} stays {low_text(before)} mg/L"
    elif row.ties[design]:
        text = f"The lowest dawn oxygen in {zone} is a tie: {low_text(before)} and {low_text(after)} mg/L"
    else:
        text = f"The lowest dawn oxygen in {zone} goes from {low_text(before)} to {low_text(after)} mg/L"
    worst = worst_zone(comparison, design)
    if worst != zone:
        low = comparison.value(f"dawn_lowest_top.{worst}", design)
        text += f"; the lowest is now in {worst}, {low_text(low)} mg/L"
    return f"{text}. {days_sentence(comparison, design)}"


def harm_text(comparison: Comparison, design: int) -> str:
    """The lowest dawns where they fell, since they kill fish, and the measure that moved by most bands.

    Of hours a change that is too little to matter is none, see `coarser`; nor is one that prints alike.
    """
    moved = [
        row
        for row in comparison.rows
        if row.harm and not row.ties[design] and coarser(row, comparison.days).worse(design) > 1.0
    ]
    worst = max(moved, key=lambda row: row.worse(design), default=None)
    beside = _few_but_deadly(comparison, design)
    if worst is None:
        return beside
    what = f"{section_words(worst.section)}, in {where_worse(comparison, design, worst)}"
    lows = next((row for row in comparison.rows if row.key.startswith("dawn_lowest_top.")), None)
    fallen = where_worse(comparison, design, lows) if lows and lows.section != worst.section else ""
    text = f"Largest change for the worse: {what}."
    if fallen:
        text = f"It lowers the lowest dawn oxygen in {fallen}. Also worse: {what}."
    return f"{text} {beside}".rstrip()


def _few_but_deadly(comparison: Comparison, design: int) -> str:
    """Hours of water that kills fish that grow from less than a day to several times as many, yet are few."""
    grown = [
        (row, was, now)
        for row in comparison.rows
        if row.key.startswith(f"{DEADLY}.")
        and (was := row.values[0]) is not None
        and (now := row.values[design]) is not None
        and coarser(row, comparison.days).tied(now, was)
        and was < A_DAY
        and now >= max(SEVERAL * was, FEW_HOURS)
    ]
    if not grown:
        return ""
    tied = all(row.tied(now, was) for row, was, now in grown)
    named = listed(f"{row.label} ({was:.0f} to {now:.0f} h)" for row, was, now in grown)
    return (
        f"{'Within the band of ties' if tied else 'Few'}, but hours that can kill fish: below 3 mg/L near "
        f"the surface {named}; look at these days one by one."
    )


def _supply(comparison: Comparison, design: int, system: str) -> str:
    unit = "lb/d" if system == "us" else "kg/d"
    bed = -sum(comparison.value(f"oxygen_budget.{line}", design) or 0.0 for line in SEDIMENT)
    rates = {name: comparison.value(f"oxygen_budget.{line}", design) or 0.0 for name, line in SUPPLY.items()}
    amounts = {
        name: f"{number_text(convert(abs(rate), 'kg/d', unit))} {unit}" for name, rate in rates.items()
    }
    supplies = [name for name, rate in rates.items() if rate > 0.0 and bed > 0.0]
    sentences = []
    if supplies:
        first, *others = supplies
        what = [f"the {first} supplies {amounts[first]} of oxygen"]
        what += [f"the {name} {amounts[name]}" for name in others]
        shares = listed(f"{number_text(100.0 * rates[name] / bed, 2)} %" for name in supplies)
        whose = (
            "their other effects come from the water they move"
            if others
            else "its other effects come from the water it moves"
        )
        taken = f"{number_text(convert(bed, 'kg/d', unit))} {unit} ({_sediment(comparison, design, unit)})"
        sentences.append(f"T{listed(what)[1:]}, {shares} of what the sediment consumes, {taken}; {whose}.")
    sentences += [
        f"The {name} removes {amounts[name]} of oxygen, since the water is supersaturated most of the time."
        for name, rate in rates.items()
        if rate < 0.0
    ]
    return " ".join(sentences)


def _sediment(comparison: Comparison, design: int, unit: str) -> str:
    """What the sediment consumes, by the names of its lines in the budget; amounts where there are two."""
    rates = {line: comparison.value(f"oxygen_budget.{line}", design) for line in SEDIMENT}
    found = {place_words("oxygen_pathway", line): -rate for line, rate in rates.items() if rate}
    if len(found) == 1:
        return next(iter(found))
    return ", ".join(f"{words} {number_text(convert(rate, 'kg/d', unit))}" for words, rate in found.items())


def _sheet(comparison: Comparison, design: int) -> str:
    sheet = comparison.sheets[design]
    return sheet.sentence if sheet else ""


def _remarks(comparison: Comparison, design: int) -> list[str]:
    """Remarks of the run that change how its numbers are read."""
    return [remark.text for remark in comparison.remarks[design] if remark.in_paragraph]


def _meter(comparison: Comparison) -> str:
    """That the existing pond pays for a meter it hardly needs, where it does."""
    row = comparison.row("cost.fixed")
    if row is None or not row.values[0] or comparison.value("electricity", 0):
        return ""
    charge = money_text(row.values[0], row.currency)
    return f"It uses no electricity; the fixed charge of the meter, {charge}, applies either way."


def _electricity(comparison: Comparison, design: int) -> str:
    """What it uses and costs, and starts that no timer makes."""
    used = comparison.value("electricity", design)
    if not used:
        return ""
    row = comparison.row("cost")
    cost = ""
    if row is not None and row.values[design] is not None:
        parts = [part for part in ("demand", "fixed") if comparison.value(f"cost.{part}", design)]
        charges = f" with {listed(parts)} charges" if parts else ""
        cost = f", {money_text(row.values[design] or 0.0, row.currency)}{charges}"
    hard = "".join(f"; {words}" for words in _starts(comparison, design))
    return f"It uses {used:.0f} kWh in {length_text(comparison.days)}{cost}{hard}."


def _starts(comparison: Comparison, design: int) -> list[str]:
    """Systems that start more or less often than a timer would have them do; those that trip come first."""
    told = []
    for row in _rows(comparison, "starts"):
        starts, system = row.values[design], row.label
        by_timer = starts == 1.0 or abs((starts or 0.0) - comparison.days) <= ONCE_A_DAY
        if starts and not by_timer and not comparison.value(f"trips.{system}", design):
            told.append(
                f"{system} starts {_times(starts)}{_hours(comparison, design, system, ', runs {} h')}"
            )
    return told


def _trips(comparison: Comparison, design: int) -> str:
    """Systems that tripped: how often, and how long they ran; a remark on trips is not repeated."""
    by_remark = any(remark.code == TRIPPED for remark in comparison.remarks[design])
    found = []
    for row in _rows(comparison, "trips"):
        trips, system = row.values[design], row.label
        if not trips:
            continue
        starts = comparison.value(f"starts.{system}", design)
        told = [] if by_remark and system in PUMPS else [f"trips {_times(trips)}"]
        told += [f"starts {_times(starts)}"] if starts else []
        ran = f" and runs {{}} of {24.0 * comparison.days:.0f} h"
        found.append(
            f"{system[0].upper()}{system[1:]} {', '.join(told)}{_hours(comparison, design, system, ran)}."
        )
    return " ".join(found)


def _hours(comparison: Comparison, design: int, system: str, words: str) -> str:
    hours = comparison.value(f"hours_run.{system}", design)
    return "" if hours is None else words.format(f"{hours:.0f}")


def _rows(comparison: Comparison, name: str) -> list[Row]:
    return [row for row in comparison.rows if row.key.startswith(f"{name}.")]


def _times(count: float) -> str:
    return "once" if count == 1.0 else f"{count:.0f} times"
