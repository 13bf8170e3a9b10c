"""The answer of a comparison in a few sentences: who meets the criteria, who is best, at what price."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from pondsim.units import number_text

if TYPE_CHECKING:
    from pondsim.comparison import Comparison

LOWER = 0.2  # mg/L; a smaller difference of the lowest dawn oxygen does not make a design worse
WHAT = "the oxygen criteria at the top of every zone"
JUDGED = "as far as this run can judge them"
UNJUDGED = "Whether the oxygen criteria are met cannot be judged; see the notes."
DOUBT = "One run of each at its stated values, with no interval: small differences may mean nothing."


@dataclass(frozen=True)
class _Design:
    """A design by its worst zone, and what it costs where that is known (money, else electricity)."""

    title: str
    failing: float  # d
    low: float  # mg/L
    price: float | None
    currency: str  # "" where `price` is in kWh

    @property
    def low_text(self) -> str:
        return f"{number_text(self.low, 2)} mg/L"

    @property
    def pays(self) -> str:
        return "costs" if self.currency else "uses"

    def amount(self, price: float) -> str:
        """A price as text."""
        return f"${price:.0f}" if self.currency == "$" else f"{price:.0f} {self.currency or 'kWh'}"


def verdict(comparison: Comparison) -> str:
    """Which designs meet the criteria, which is best, what a gain costs, which pays more for less.

    Parameters
    ----------
    comparison : Comparison
        As `compare` makes it.

    Returns
    -------
    str
        A paragraph, the same in both systems of units. Each design is judged by its worst zone.
    """
    designs = _designs(comparison)
    if not designs:
        return UNJUDGED
    if len(designs) == 1:
        only = designs[0]
        if only.failing:
            return f"{only.title} does not meet {WHAT}: in the worst it fails on {_days(only.failing)}."
        return f"{only.title} meets {WHAT}, {JUDGED}."
    prices = [_price_of(design, designs) for design in designs[1:]]
    dearer = [_dearer(design, designs[1:]) for design in designs[1:]]
    return " ".join(text for text in (_met(designs), _best(designs), *prices, *dearer, DOUBT) if text)


def _designs(comparison: Comparison) -> list[_Design]:
    """Every design; none where days failing or dawns could not be judged."""
    cost = comparison.row("cost")
    money = cost is not None and all(value is not None for value in cost.values[1:])
    found = []
    for design, title in enumerate(comparison.titles):
        days, lows = (
            [comparison.value(f"{key}.{zone}", design) for zone in comparison.zones]
            for key in ("days_failing_top", "dawn_lowest_top")
        )
        failing, low = [v for v in days if v is not None], [v for v in lows if v is not None]
        if len(failing) < len(days) or len(low) < len(lows):
            return []
        price, currency = comparison.value("electricity", design), ""
        if cost is not None and money:
            currency = cost.section.rpartition(", ")[2] if cost.unit == "1" else cost.unit
            price = cost.values[design]
        found.append(_Design(title, max(failing), min(low), price, currency))
    return found


def _days(count: float) -> str:
    return f"{count:.0f} {'day' if round(count) == 1 else 'days'}"


def _joined(designs: list[_Design]) -> str:
    names = [design.title for design in designs]
    return " and ".join(part for part in (", ".join(names[:-1]), names[-1]) if part)


def _met(designs: list[_Design]) -> str:
    met = [design for design in designs if not design.failing]
    if not met:
        return f"No design meets {WHAT}, nor does the pond as it is."
    if len(met) == len(designs):
        return f"Every design meets {WHAT}, {JUDGED}, and so does the pond as it is."
    return f"Of all, {_joined(met)} {'meets' if len(met) == 1 else 'meet'} {WHAT}, {JUDGED}."


def _best(designs: list[_Design]) -> str:
    """The designs with the fewest failing days and with the highest of the lowest dawns."""
    today = designs[0]
    few, high = min(d.failing for d in designs), max(designs, key=lambda design: design.low).low_text
    fewest, highest = [d for d in designs if d.failing == few], [d for d in designs if d.low_text == high]
    against = "" if today in fewest else f" ({today.title}: {today.failing:.0f})"
    days = f"fails least, on {_days(few)} in its worst zone{against}"
    against = "" if today in highest else f" ({today.title}: {today.low_text})"
    lows = f"keeps most oxygen at the poorest dawn, {high}{against}"
    if len(fewest) == len(designs):
        days = f"fail on {_days(few)} in their worst zone"
    if len(highest) == len(designs):
        lows = f"keep {high} at the poorest dawn"
    who_days = "All" if len(fewest) == len(designs) else _joined(fewest)
    who_lows = "all" if len(highest) == len(designs) else _joined(highest)
    if len(highest) > 1 and who_lows != "all":
        lows = lows.replace("keeps", "keep", 1)
    if len(fewest) > 1 and who_days != "All":
        days = days.replace("fails", "fail", 1).replace("its worst", "their worst", 1)
    if who_days == who_lows:
        return f"{who_days} {days}, and {lows}."
    return f"{who_days} {days}; {who_lows} {lows}."


def _price_of(design: _Design, designs: list[_Design]) -> str:
    """What a design that fails least uses or costs for the days it saves; of others whether they do harm."""
    today = designs[0]
    saved = today.failing - design.failing
    if saved < 0.0:
        return f"{design.title} fails on {_days(-saved)} more than {today.title}."
    least = min(other.failing for other in designs)
    if not saved or design.failing > least or design.price is None or today.price is None:
        return ""
    more = round(design.price) - round(today.price)  # as the printed numbers differ
    if more <= 0:
        return ""
    paid = f"{design.title} {design.pays} {design.amount(more)} more than {today.title}"
    return f"{paid} and fails on {_days(saved)} fewer."


def _dearer(dear: _Design, designs: list[_Design]) -> str:
    """What a design pays more than the best of those that are cheaper and do better."""
    better = [
        other
        for other in designs
        if dear.price is not None
        and other.price is not None
        and dear.price > other.price
        and (dear.failing > other.failing or dear.low < other.low - LOWER)
    ]
    if not better or dear.price is None:
        return ""
    other = min(better, key=lambda design: (design.failing, -design.low))
    worse = []
    if dear.failing > other.failing:
        worse.append(f"fails on {_days(dear.failing)} in place of {other.failing:.0f}")
    if dear.low < other.low - LOWER:
        worse.append(f"falls to {dear.low_text} at dawn in place of {other.low_text}")
    more = dear.amount(round(dear.price) - round(other.price or 0.0))  # as the printed numbers differ
    return (
        f"Dearer, yet worse at the top: {dear.title} {dear.pays} {more} more than {other.title} and "
        f"{' and '.join(worse)}."
    )
