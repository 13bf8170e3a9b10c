"""The answer of a comparison in a few sentences: who meets the criteria, who is best, at what price."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pondsim.comparison.bottom import bottom_text
from pondsim.comparison.cells import NO_INTERVAL
from pondsim.comparison.head import LEFT_OUT, REFUSED, events_text
from pondsim.comparison.idle import never_ran
from pondsim.comparison.lengths import days_text
from pondsim.comparison.limit_lines import failing_text, fails_by_limit
from pondsim.comparison.names import listed, money_text, name_of, quoted, range_text, title_of
from pondsim.comparison.row import Comparison, Row
from pondsim.measures.declared import Measure
from pondsim.measures.judged import LINE_WORDS
from pondsim.units import number_text

CRITERIA, OWN = "the oxygen criteria near the surface", "every limit"
JUDGED = "as far as this run can judge them"
LENT = (
    "No own limit is a 1-day minimum of oxygen for the whole run near the surface of every zone: days below "
    "it are counted by the federal {level:g} mg/L, which no design must meet here."
)
NONE_JUDGED = "No limit could be judged."
UNJUDGED = "Whether the oxygen criteria are met cannot be judged; see the notes."


@dataclass(frozen=True)
class _Design:
    """A design by its worst zone, and what it costs where that is known (money, else electricity)."""

    place: int
    name: str
    fails: tuple[str, ...]  # limits that are not met
    failing: float  # d, in the worst zone
    low: float  # mg/L
    price: float | None
    currency: str  # "" where `price` is in kWh
    below: str  # what a day that fails is
    worst: str  # " in the worst zone"; "" in a pond of one
    days: Measure  # how failing days and lowest dawns are held against those of others
    lows: Measure

    @property
    def low_text(self) -> str:
        return f"{self.low:.{self.lows.decimals}f} mg/L"

    @property
    def pays(self) -> str:
        return "costs" if self.currency else "uses"

    def more_than(self, other: _Design) -> str:
        """How much more it pays, as the printed numbers differ; "" where it does not."""
        if self.price is None or other.price is None:
            return ""
        more = round(self.price) - round(other.price)
        text = money_text(more, self.currency) if self.currency else f"{more:.0f} kWh"
        return f"{text} more" if more > 0 else ""

    def worse(self, other: _Design) -> list[str]:
        """In what it is worse than another, ties left out."""
        found = []
        if self.days.worse_by(self.failing, other.failing) > 1.0:
            days = days_text(self.failing)
            found.append(f"is {self.below} on {days} instead of {other.failing:.0f}")
        if self.lows.worse_by(self.low, other.low) > 1.0:
            found.append(f"falls to {self.low_text} at dawn instead of {other.low_text}")
        return found


def verdict(comparison: Comparison, interval: str = NO_INTERVAL) -> str:
    """Which designs meet the criteria, which is best, what a gain costs, which pays more for less.

    Parameters
    ----------
    comparison : Comparison
        As `compare` makes it.
    interval : str
        Where a reader finds intervals of these designs, or that there is none.

    Returns
    -------
    str
        A paragraph, the same in both systems of units. Each design is judged by its worst zone. Differences
        within the bands of the measures are called ties. A design whose file differs in more than equipment
        is left out, unless a verdict was asked for all the same; one whose equipment never ran is no cheaper
        way to anything. Limits are judged near the surface; what changes at the bottom is said apart.
    """
    count = len(comparison.titles)
    if count > 1 and sum(comparison.judged) == 1:
        return REFUSED
    designs = _designs(comparison)
    if not designs:
        return UNJUDGED
    events = [_event(comparison, design, designs) for design in designs]
    rivals = [d for d in designs if comparison.event_of[d.place] is None and comparison.judged[d.place]]
    out = [title_of(comparison, design) for design in range(count) if not comparison.judged[design]]
    lent = "" if comparison.lent is None else LENT.format(level=comparison.lent)
    last = (
        *events,
        LEFT_OUT.format(listed(out)) if out else "",
        lent,
        _doubt(comparison, interval) if count > 1 else "",
    )
    what = what_is_judged(comparison)
    if len(rivals) == 1:
        return " ".join(part for part in (_alone(comparison, rivals[0], what), *last) if part)
    prices = [_price_of(design, rivals) for design in rivals[1:]]
    ran = [design for design in rivals[1:] if not never_ran(comparison, design.place)]
    dearer = [_dearer(design, ran) for design in ran]
    deep = [bottom_text(comparison, design.place) for design in rivals[1:]]
    parts = (_met(comparison, rivals, what), _best(rivals), *prices, *dearer, *deep, *last)
    return " ".join(part for part in parts if part)


def _designs(comparison: Comparison) -> list[_Design]:
    """Every design; none where days failing or dawns could not be judged."""
    cost = comparison.row("cost")
    money = cost is not None and comparison.same_tariff and None not in cost.values[1:]
    below = f"below the {comparison.day_minimum}"
    worst = " in the worst zone" if len(comparison.zones) > 1 else ""
    held = [comparison.in_worst_zone(name) for name in ("days_failing_top", "dawn_lowest_top")]
    found = []
    for design in range(len(comparison.titles)):
        days, lows = (
            [comparison.value(f"{key}.{zone}", design) for zone in comparison.zones]
            for key in ("days_failing_top", "dawn_lowest_top")
        )
        failing, low = [v for v in days if v is not None], [v for v in lows if v is not None]
        if len(failing) < len(days) or len(low) < len(lows):
            return []
        price, currency = comparison.value("electricity", design), ""
        if cost is not None and money:
            price, currency = cost.values[design], cost.currency
        name = name_of(comparison, design)
        fails = fails_by_limit(comparison, design)
        numbers = max(failing), min(low), price
        found.append(_Design(design, name, fails, *numbers, currency, below, worst, *held))
    return found


def what_is_judged(comparison: Comparison) -> str:
    """What is met or not: the criteria, limits of the user's own, or both."""
    federal = set(LINE_WORDS.values())
    names = {one.limit.name for one in comparison.limits[0]}
    if not names & federal:
        return OWN
    where = " in every zone" if len(comparison.zones) > 1 else ""
    return f"{CRITERIA}{where}{' and every own limit' if names - federal else ''}"


def none_judged(comparison: Comparison, designs: Sequence[int]) -> bool:
    """Whether no limit could be judged in any of some designs."""
    return all(one.meets is None for design in designs for one in comparison.limits[design])


def _alone(comparison: Comparison, only: _Design, what: str) -> str:
    if none_judged(comparison, [only.place]):
        return NONE_JUDGED
    if only.fails:
        return f"{only.name} does not meet {what}. {failing_text(comparison, [only.place])}"
    return f"{only.name} meets {what}, {JUDGED}."


def _doubt(comparison: Comparison, interval: str) -> str:
    """What a tie is, and whether anybody measured its band."""
    band = _bands_text(comparison)
    said = f"One run of each design at its stated values, {interval}. A tie is a difference within"
    if comparison.bands is None:
        return f"{said} an assumed band: {band}. pondsim gridcheck measures the band of this pond."
    new = [title for title in comparison.titles if title not in comparison.bands.designs]
    beside = f" {quoted(new)} {'was' if len(new) == 1 else 'were'} not in that check." if new else ""
    ways = listed(comparison.bands.ways)
    return f"{said} the band that a grid check of this pond measured ({ways}): {band}.{beside}"


def _bands_text(comparison: Comparison) -> str:
    """The band of ties of each kind of number that is judged; of hours and windows the widest of any zone."""
    days, low = (comparison.in_worst_zone(name) for name in ("days_failing_top", "dawn_lowest_top"))

    def told(measure: Measure, words: str) -> str:
        bands = comparison.bands
        own = bands is not None and not bands.measured(measure)
        return f"{words} (assumed: nothing moved)" if own else words

    tie = f"{number_text(days.tie, 2)} {'day' if days.tie == 1.0 else 'days'}"
    said = [told(days, f"{tie} below the {comparison.day_minimum}")]
    windows = _widest(comparison, "windows_failing_")
    if windows is not None:
        many = "window" if windows.tie == 1.0 else "windows"
        said.append(told(windows, f"{number_text(windows.tie, 2)} {many}"))
    said.append(told(low, f"{number_text(low.tie, 2)} mg/L of the minimum dawn oxygen"))
    hours = _widest(comparison, "hours_below_")
    if hours is not None:
        share = f" or {100.0 * hours.tie_share:g} %" if hours.tie_share else ""
        said.append(told(hours, f"{number_text(hours.tie, 2)} h{share} of hours below a level"))
    return listed(said)


def _widest(comparison: Comparison, kind: str) -> Row | None:
    """The row of the main table with the widest band among those of a kind; None where there is none."""
    rows = [row for row in comparison.rows if row.key.startswith(kind) and row.is_main]
    return max(rows, key=lambda row: (row.tie, row.tie_share), default=None)


def _met(comparison: Comparison, designs: list[_Design], what: str) -> str:
    if none_judged(comparison, [design.place for design in designs]):
        return NONE_JUDGED
    met = [design for design in designs if not design.fails]
    if len(met) == len(designs):
        return f"Every design meets {what}, {JUDGED}, and so does the existing pond."
    which = failing_text(comparison, [design.place for design in designs])
    if not met:
        return f"No design meets {what}, nor does the existing pond. {which}"
    names = listed(design.name for design in met)
    return f"{names} {'meets' if len(met) == 1 else 'meet'} {what}, {JUDGED}; no other does. {which}"


def _best(designs: list[_Design]) -> str:
    """The designs with the fewest failing days and with the highest of the lowest dawns; ties together."""
    today = designs[0]
    few, high = min(d.failing for d in designs), max(d.low for d in designs)
    fewest = [d for d in designs if d.days.tied(d.failing, few)]
    highest = [d for d in designs if d.lows.tied(d.low, high)]
    days = _leaders(
        designs,
        fewest,
        (f"have the fewest days {today.below}", f"on days {today.below}{today.worst}"),
        range_text([d.failing for d in fewest], 0),
        f"{today.failing:.0f}",
    )
    lows = _leaders(
        designs,
        highest,
        ("have the highest minimum dawn oxygen", "on minimum dawn oxygen"),
        f"{range_text([d.low for d in highest], today.lows.decimals)} mg/L",
        today.low_text,
    )
    return f"{days} {lows}" if any(design.failing for design in designs) else lows


def _leaders(designs: list[_Design], best: list[_Design], what: tuple[str, str], value: str, now: str) -> str:
    """Who leads by one measure, against the existing pond; that all tie where nobody does."""
    against = "" if designs[0] in best else f" ({designs[0].name}: {now})"
    if len(best) == len(designs):
        return f"All tie {what[1]}: {value}."
    names = listed(design.name for design in best)
    if len(best) == 1:
        return f"{names} {what[0].replace('have', 'has', 1)}, {value}{against}."
    return f"{names} {what[0].replace('have', 'tie for', 1)}, {value}{against}."


def _price_of(design: _Design, designs: list[_Design]) -> str:
    """What one of those that fail least pays for the days it saves; of others whether they do harm."""
    today, least = designs[0], min(other.failing for other in designs)
    saved = today.failing - design.failing
    if today.days.tied(today.failing, design.failing):
        return ""
    if saved < 0.0:
        return f"{design.name} is {design.below} on {days_text(-saved)} more than {today.name}."
    more = design.more_than(today)
    if not more or not today.days.tied(design.failing, least):
        return ""
    fewer = f"{design.below} on {days_text(saved)} fewer"
    return f"{design.name} {design.pays} {more} than {today.name} and is {fewer}."


def _dearer(dear: _Design, designs: list[_Design]) -> str:
    """What a design pays more than the best of those that are cheaper and do better, or else as well."""
    cheaper = [other for other in designs if dear.more_than(other) and not other.worse(dear)]
    better = [other for other in cheaper if dear.worse(other)]
    if better:
        other = min(better, key=lambda design: (design.failing, -design.low))
        return (
            f"{dear.name} {dear.pays} {dear.more_than(other)} than {other.name} and performs "
            f"worse{dear.worst.replace(' the ', ' its ')}: it {' and '.join(dear.worse(other))}."
        )
    if cheaper:
        other = min(cheaper, key=lambda design: design.price or 0.0)
        more = f"{dear.name} {dear.pays} {dear.more_than(other)} than {other.name}"
        return f"{more} and ties with it{dear.worst}."
    return ""


def _event(comparison: Comparison, design: _Design, designs: list[_Design]) -> str:
    """What an event does to a design whose equipment stands in the comparison without it."""
    case = comparison.event_of[design.place]
    if case is None:
        return ""
    other = designs[case.design]
    days = (
        f"ties on days {design.below} ({range_text([design.failing, other.failing], 0)})"
        if design.days.tied(design.failing, other.failing)
        else f"is {design.below} on {days_text(design.failing)} instead of {other.failing:.0f}"
    )
    low = (
        f"ties on minimum dawn oxygen ({range_text([design.low, other.low], design.lows.decimals)} mg/L)"
        if design.lows.tied(design.low, other.low)
        else f"has a minimum dawn oxygen of {design.low_text} instead of {other.low_text}"
    )
    return (
        f"{title_of(comparison, design.place)} is {title_of(comparison, case.design)} with the same "
        f"equipment and other events ({events_text(case.events)}): it {days} and {low}."
    )
