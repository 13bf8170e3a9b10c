"""The board's page: several ponds with a proposed design each, ranked by what a dollar gains."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from pondsim.comparison.lengths import days_text
from pondsim.errors import ScenarioError
from pondsim.measures.criteria import DAY_MINIMUM
from pondsim.measures.declared import declarations
from pondsim.reporting.costs import Sums, check_sums, electricity_text, money
from pondsim.reporting.starter_values import starter_notice
from pondsim.reporting.study import pond_name, study_of
from pondsim.reporting.summary import Summary
from pondsim.reporting.summary_table import PROPOSED, worst_zone_value
from pondsim.reporting.text import rendered
from pondsim.words import CAUTIONS, counted

if TYPE_CHECKING:
    import xarray as xr

PER = 1000.0  # of money a year, for which the gain is told
SIGNATURES = ("Manager", "Board")
HEADS = (
    *("rank", "pond", "design", "days below the {minimum}, today", "with the design"),
    "lowest dawn oxygen, mg/L",
    *("first cost", "cost a year", f"days avoided per {PER:.0f} a year"),
)


@dataclass(frozen=True)
class BoardEntry:
    """One pond as given: its name (or ""), results of existing pond and design, costs of the design."""

    name: str
    existing: xr.Dataset
    design: xr.Dataset
    sums: Sums | None


@dataclass(frozen=True)
class _Ranked:
    """A pond by its worst zone; `cost` is the equal yearly cost, None where it is not priced."""

    name: str
    title: str
    days: tuple[float, float]
    dawn: tuple[float, float]
    zone: str
    first: float | None
    cost: float | None
    run_days: float
    minimum: str
    electricity: str  # whether its cost holds it, in words; "" where it is not priced

    @property
    def saved(self) -> float:
        """Days below the 1-day minimum avoided in the worst zone; a tie counts as none."""
        measure = declarations()["days_failing_top"].template
        return 0.0 if measure.tied(*self.days) else self.days[0] - self.days[1]

    @property
    def gain(self) -> float | None:
        """Days avoided for each `PER` of money a year; None where it is not priced."""
        return None if not self.cost else PER * self.saved / self.cost


def board(entries: list[BoardEntry], system: str = "us") -> str:
    """Make the page.

    Parameters
    ----------
    entries : list of BoardEntry
        The ponds, in any order.
    system : {"us", "si"}
        Units.

    Returns
    -------
    str
        A page in HTML; nothing is written. Ponds without costs come last, without a rank.

    Raises
    ------
    ScenarioError
        Results of a pond cannot be compared or judged, or costs are in several currencies.
    """
    ranked = [_ranked(entry, system) for entry in entries]
    ranked.sort(key=lambda one: (one.gain is None, -(one.gain or 0.0), one.dawn[0] - one.dawn[1], one.name))
    currency = next((str(entry.sums["currency"]) for entry in entries if entry.sums), "$")
    notices = [text for entry in entries for text in starter_notice(entry.existing)]
    return rendered("summary", sheet=_page(ranked, currency, tuple(dict.fromkeys(notices))))


def _ranked(entry: BoardEntry, system: str) -> _Ranked:
    study = study_of([entry.existing, entry.design], system)
    sums = entry.sums
    check_sums(study, [sums] if sums else [])
    name = entry.name or pond_name(entry.existing) or study.titles[0]
    found = [
        worst_zone_value(study, key, design)
        for key in ("days_failing_top", "dawn_lowest_top")
        for design in (0, PROPOSED)
    ]
    known = [one for one in found if one is not None]
    if len(known) < len(found):
        words = "days below the 1-day minimum cannot be judged from these results; run with hourly output"
        raise ScenarioError(f"{name}: {words}")
    (_, before), (row, after), (_, low), (_, new_low) = known
    return _Ranked(
        name,
        study.titles[PROPOSED],
        (before, after),
        (low, new_low),
        row.label,
        sums["first"] if sums else None,
        sums["equal_yearly"] if sums else None,
        study.comparison.days,
        study.comparison.day_minimum,
        electricity_text(sums) if sums else "",
    )


def _page(ranked: list[_Ranked], currency: str, notices: tuple[str, ...]) -> Summary:
    rows = tuple(_row(one, number, currency) for number, one in enumerate(ranked, start=1))
    found = {one.minimum for one in ranked}
    minimum = found.pop() if len(found) == 1 else f"{DAY_MINIMUM} of its pond, own or federal"
    unpriced = [one.name for one in ranked if one.gain is None]
    notes = [
        ("", f"Gain: days on which the worst zone falls below the {minimum}, today less with the design."),
        ("", "Cost a year: first cost and each year as equal yearly amounts, at your own prices."),
        ("", "A difference within the numerical error of a run counts as no gain."),
        ("", "One run of each pond at its stated values; ponds differ in how well they are known."),
    ]
    for text in dict.fromkeys(one.electricity for one in ranked if one.electricity):
        names = ", ".join(one.name for one in ranked if one.electricity == text)
        notes.append(("", f"{names}: {text}"))
    if unpriced:
        notes.append(("", f"Not priced, so not ranked: {', '.join(unpriced)}."))
    return Summary(
        heading="Ponds ranked by gain per dollar",
        about=f"{counted(len(ranked), 'pond')}, each simulated for its own period.",
        notices=notices,
        question="Where does the next dollar do most for the water?",
        answer=(_answer(ranked[0], currency),),
        heads=tuple(head.format(minimum=minimum) for head in HEADS),
        rows=rows,
        lists=(("How to read it", tuple(notes)),),
        safety=CAUTIONS,
        signatures=SIGNATURES,
    )


def _answer(first: _Ranked, currency: str) -> str:
    if not first.gain:
        return (
            f"No priced design here lessens the days below the {first.minimum} by more than the numerical "
            "error."
        )
    return (
        f"{first.name}, \u201c{first.title}\u201d: {days_text(first.saved)} fewer below the {first.minimum} "
        f"in {days_text(first.run_days)} for {money(first.cost, currency)} a year."
    )


def _row(one: _Ranked, number: int, currency: str) -> tuple[str, ...]:
    cost, first = money(one.cost, currency), money(one.first, currency)
    low = declarations()["dawn_lowest_top"].template.decimals
    return (
        "-" if one.gain is None else str(number),
        one.name,
        one.title,
        f"{one.days[0]:.0f}",
        f"{one.days[1]:.0f}{f' {one.zone}' if one.days[1] else ''}",
        f"{one.dawn[0]:.{low}f} to {one.dawn[1]:.{low}f}",
        first,
        cost,
        "-" if one.gain is None else f"{one.gain:.1f}",
    )
