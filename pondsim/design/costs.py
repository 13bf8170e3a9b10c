"""Quantities times the user's prices, and what building and keeping costs over the years."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pondsim.design.pond_work import DREDGING
from pondsim.design.quantities import EACH, Item
from pondsim.errors import ScenarioError
from pondsim.physics.money import capital_recovery_factor, plan_worth
from pondsim.scenario.settings import Price, Prices
from pondsim.units import convert, same_kind

LEAST_DAYS = 60.0  # d: a run, times runs_a_year, that may stand for what a year gains (judgement)
YEAR = 365.25 * 86400.0  # s
UNITS = {
    "m": ("ft", "m"),
    "m2": ("yd2", "m2"),
    "m3": ("yd3", "m3"),
    "kg": ("ton", "tonne"),
    EACH: (EACH, EACH),
}


@dataclass(frozen=True)
class Line:
    """One row of the estimate; price and cost are None where the user gave none."""

    group: str
    name: str
    amount: float  # in `unit`
    unit: str
    price: float | None
    cost: float | None


@dataclass(frozen=True)
class Run:
    """What a run adds to an estimate; None where it does not know.

    Attributes
    ----------
    energy, demand : of its bill, in the tariff's currency
    days : length of the run
    oxygen : given by waterfall and bubbles over it, what the waterfall takes out taken off [kg]
    days_saved : days failing in the worst zone of the existing pond, less those of the design
    currency : of the bill
    minimum : what a day fails by, in words
    """

    energy: float | None
    demand: float | None
    days: float
    oxygen: float | None
    days_saved: float | None
    currency: str
    minimum: str = "1-day minimum"


@dataclass(frozen=True)
class Estimate:
    """First cost, yearly cost, and both over the years; in the currency of the prices.

    Attributes
    ----------
    lines : items and extras
    not_priced : names without a price
    items, mobilization, contingency, first : sums
    yearly : name and amount, electricity first
    replacements : year from today, name and amount
    years : looked at
    plain : all of it added up without interest
    worth : present worth; None where no rate is given
    equal_yearly : as equal yearly costs
    per_oxygen : equal yearly cost for each kilogram of oxygen in a year; None for a run of a few days
    per_day, minimum : equal yearly cost for each day of failure saved in a year, and what it fails by
    short_of_year : days that the run's bill stands for, where they are too few to divide a year's cost by
        what they gain; None where they serve
    electricity_days : days of a year whose electricity its yearly cost holds; None where it is stated or left
        out
    dredging : volume placed [m3], loads, cost of dredging instead; None where it is not asked for, or the
        design dredges itself
    """

    lines: tuple[Line, ...]
    not_priced: tuple[str, ...]
    items: float
    mobilization: float
    contingency: float
    first: float
    yearly: tuple[tuple[str, float], ...]
    replacements: tuple[tuple[float, str, float], ...]
    years: int
    plain: float
    worth: float | None
    equal_yearly: float | None
    per_oxygen: float | None
    per_day: float | None
    dredging: tuple[float, int, float | None] | None
    short_of_year: float | None = None
    electricity_days: float | None = None
    minimum: str = ""

    @property
    def each_year(self) -> float:
        """Yearly cost at first."""
        return sum(amount for _, amount in self.yearly)

    @property
    def has_electricity(self) -> bool:
        """Whether the yearly cost holds electricity, of a run's bill or as stated."""
        return any(name.startswith("electricity") for name, _ in self.yearly)


def shown_unit(item: Item, system: str) -> str:
    """Unit in which an item is counted in a bid."""
    return UNITS[item.unit][0 if system == "us" else 1]


def amount_in(item: Item, unit: str) -> float:
    """Amount of an item in a unit; ScenarioError where it measures something else."""
    if EACH in (item.unit, unit):
        if item.unit == unit:
            return item.amount
        raise ScenarioError(f'price of "{item.name}": unit = "{unit}"; it is counted by {item.unit}')
    if not same_kind(item.unit, unit):
        known = " or ".join(UNITS[item.unit])
        raise ScenarioError(f'price of "{item.name}": unit = "{unit}" does not measure it; write {known}')
    return float(convert(item.amount, item.unit, unit))


def check_names(designs: list[tuple[Item, ...]], prices: Prices) -> None:
    """Refuse a price of an item that no design has, or that is given twice. Raises: ScenarioError."""
    named = [one.item for one in prices.price]
    twice = [name for place, name in enumerate(named) if name in named[:place]]
    if twice:
        raise ScenarioError(f'price of "{twice[0]}": given twice; keep one of the two')
    have = dict.fromkeys(item.name for items in designs for item in items)
    strange = [one.item for one in prices.price if one.item not in have]
    if strange:
        names = "; ".join(f'"{name}"' for name in have)
        raise ScenarioError(f'price of "{strange[0]}": the design has no such item; it has {names}')


def estimate(items: tuple[Item, ...], prices: Prices, run: Run | None, system: str = "us") -> Estimate:
    """Put prices on quantities.

    Parameters
    ----------
    items : tuple of Item
        From `quantities`.
    prices : Prices
        The user's file.
    run : Run or None
        Energy, oxygen and days of a run of the design.
    system : {"us", "si"}
        Units of items without a price.

    Raises
    ------
    ScenarioError
        A price has a unit of another kind; the run's currency is another.
    """
    lines = _lines(items, prices, system)
    costs = sum(line.cost or 0.0 for line in lines)
    mobilization = prices.first.mobilization or 0.0
    contingency = prices.first.contingency * (costs + mobilization)
    first = costs + mobilization + contingency
    yearly = _yearly(prices, run)
    each = sum(amount for _, amount in yearly)
    worth = prices.worth
    years, growth = (10, 0.0) if worth is None else (worth.years, worth.growth)
    later = _replacements(prices, years)
    pairs = tuple((year, amount) for year, _, amount in later)
    left = 0.0 if worth is None else worth.left
    value = None if worth is None else plan_worth(first, each, worth.rate, years, pairs, left, growth)
    equal = None if worth is None or value is None else value * capital_recovery_factor(worth.rate, years)
    often = prices.yearly.runs_a_year
    covered = math.inf if run is None else run.days * often
    whole = run if covered >= LEAST_DAYS else None
    missing = [line.name for line in lines if line.cost is None]
    missing += [one.item for one in prices.replacement if one.price is None]
    return Estimate(
        lines=lines,
        not_priced=tuple(missing),
        items=costs,
        mobilization=mobilization,
        contingency=contingency,
        first=first,
        yearly=yearly,
        replacements=later,
        years=years,
        plain=plan_worth(first, each, 0.0, years, pairs, left, growth),
        worth=value,
        equal_yearly=equal,
        per_oxygen=_per(equal, None if whole is None else whole.oxygen, often),
        per_day=_per(equal, None if whole is None else whole.days_saved, often),
        dredging=None if _digs(items) else _dredging(prices),
        short_of_year=covered if covered < LEAST_DAYS else None,
        electricity_days=None if run is None or run.energy is None else covered,
        minimum="" if run is None else run.minimum,
    )


def short_text(days: float) -> str:
    """Why a year's cost is not divided by what a short run gains."""
    return (
        f"The runs stand for {days:.0f} days of a year: their electricity is that of these days alone, and "
        "cost is not divided by their oxygen or days saved. Run a season, or write yearly.runs_a_year so "
        f"that it covers {LEAST_DAYS:.0f} days or more."
    )


def _per(cost: float | None, gain: float | None, often: float) -> float | None:
    if cost is None or gain is None or gain * often <= 0.0:
        return None
    return cost / (gain * often)


def _lines(items: tuple[Item, ...], prices: Prices, system: str) -> tuple[Line, ...]:
    known = {one.item: one for one in prices.price}
    dredge = prices.dredging if _digs(items) else None
    if dredge is not None and dredge.price is not None:
        of_dredge = [one.name for one in items if one.group == DREDGING and one.name not in known]
        known |= {name: Price(item=name, unit="yd3", price=dredge.price) for name in of_dredge}
    found = []
    for item in items:
        own = known.get(item.name)
        unit = shown_unit(item, system) if own is None else own.unit
        amount = amount_in(item, unit)
        price = None if own is None else own.price
        found.append(
            Line(item.group, item.name, amount, unit, price, None if price is None else price * amount)
        )
    if dredge is not None and dredge.mobilization is not None:
        brought = dredge.mobilization
        found.append(Line(DREDGING, "mobilization of the dredge", 1.0, EACH, brought, brought))
    for extra in prices.extra:
        cost = None if extra.price is None else extra.price * extra.amount
        found.append(Line("extra", extra.item, extra.amount, EACH, extra.price, cost))
    return tuple(found)


def _yearly(prices: Prices, run: Run | None) -> tuple[tuple[str, float], ...]:
    found: list[tuple[str, float]] = []
    if run is not None and run.energy is not None:
        if run.currency != prices.currency:
            raise ScenarioError(
                f'the prices are in "{prices.currency}", the bill of the run in "{run.currency}"; '
                "write the tariff's currency"
            )
        often = prices.yearly.runs_a_year
        found.append(("electricity, energy", run.energy * often))
        found.append(("electricity, demand", (run.demand or 0.0) * often))
    elif prices.yearly.electricity is not None:
        found.append(("electricity", prices.yearly.electricity))
    for name, amount in (("cleaning", prices.yearly.cleaning), ("other", prices.yearly.other)):
        if amount is not None:
            found.append((name, amount))
    return tuple(found)


def _replacements(prices: Prices, years: int) -> tuple[tuple[float, str, float], ...]:
    """Dates before the end of the time looked at; at its end nothing is bought any more."""
    found = []
    for one in prices.replacement:
        if one.price is None:
            continue
        every = one.every / YEAR
        for count in range(1, math.ceil(years / every - 1e-9)):
            found.append((count * every, one.item, one.price))
    return tuple(sorted(found))


def _digs(items: tuple[Item, ...]) -> bool:
    return any(one.group == DREDGING for one in items)


def _dredging(prices: Prices) -> tuple[float, int, float | None] | None:
    """Volume placed, truck loads and cost; what is paid is the volume in place."""
    if prices.dredging is None:
        return None
    one = prices.dredging
    placed = one.volume * (1.0 + one.bulking)
    loads = math.ceil(placed / one.truck - 1e-9)
    cost = None
    if one.price is not None:
        cost = one.price * float(convert(one.volume, "m3", "yd3")) + (one.mobilization or 0.0)
    return placed, loads, cost
