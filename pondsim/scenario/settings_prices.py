# ruff: noqa: RUF009 (each call makes one dataclass field)
"""The file of unit prices: what the user pays for each item, for keeping it, and for dredging instead."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.scenario.fields import integer, number, quantity, section, sections, text

MOST = 1e9  # of an amount of money


def _money(doc: str, default: float | None = None) -> float | None:
    found: float | None = number(default=default, least=0.0, most=MOST, doc=doc)
    return found


@dataclass(frozen=True)
class Price:
    """What one unit of an item costs, in place."""

    item: str = text(doc="as `pondsim quantities` names it")
    unit: str = text(doc='what the price is for: "ft", "yd3", "each"')
    price: float | None = _money("of one unit; an item without one is listed as not priced")


@dataclass(frozen=True)
class Extra:
    """Something the design file does not know: stone of the waterfall, planting, permit."""

    item: str = text(doc="what it is")
    amount: float = number(default=1.0, least=0.0, most=1e6, doc="how many")
    price: float | None = _money("of one")


@dataclass(frozen=True)
class Replacement:
    """Something that wears out."""

    item: str = text(doc="such as pump or membranes")
    every: float = quantity("s", least="0.25 yr", most="100 yr", doc="years between replacements")
    price: float | None = _money("each time")


@dataclass(frozen=True)
class FirstCost:
    """What stands over the items."""

    mobilization: float | None = _money("bringing machines and people")
    contingency: float = quantity(
        "1", default="0 %", least="0 %", most="100 %", doc="on items, extras and mobilization"
    )


@dataclass(frozen=True)
class YearlyCost:
    """What it takes each year beside electricity."""

    cleaning: float | None = _money("grate, well and sump")
    other: float | None = _money("anything else")
    electricity: float | None = _money("of a year, where no run is given")
    runs_a_year: float = number(
        default=1.0, least=0.0, most=12.0, doc="how often a year costs what the run's bill says"
    )


@dataclass(frozen=True)
class Worth:
    """How later money counts. A nominal rate goes with growing prices, a real rate with constant ones."""

    rate: float = quantity("1", least="0 %", most="30 %", doc="interest of a year")
    growth: float = quantity(
        "1", default="0 %", least="-10 %", most="30 %", doc="of the yearly cost, from year to year"
    )
    years: int = integer(default=10, least=1, most=50, doc="length of the period")
    left: float = number(default=0.0, least=0.0, most=MOST, doc="its salvage value at the end")


@dataclass(frozen=True)
class Dredging:
    """Taking the muck out instead."""

    volume: float = quantity("m3", least="0 yd3", most="1e7 yd3", doc="in place, as surveyed")
    price: float | None = _money("of a cubic yard in place")
    bulking: float = quantity(
        "1", default="25 %", least="0 %", most="200 %", doc="more when placed; 10 to 40 % is reported"
    )
    truck: float = quantity("m3", default="12 yd3", least="0.5 yd3", most="100 yd3", doc="of one load")
    mobilization: float | None = _money("of the dredge")


@dataclass(frozen=True)
class Prices:
    """The whole file."""

    currency: str = text(default="$", doc="as in [tariff]")
    price: tuple[Price, ...] = sections(Price)
    extra: tuple[Extra, ...] = sections(Extra)
    first: FirstCost = section(FirstCost, default={})
    yearly: YearlyCost = section(YearlyCost, default={})
    replacement: tuple[Replacement, ...] = sections(Replacement)
    worth: Worth | None = section(Worth, default=None)
    dredging: Dredging | None = section(Dredging, default=None)
