"""What `pondsim quantities` prints and writes: rows of a bid, sums, a file of blank prices."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from pondsim.cli._common import wrapped
from pondsim.spreadsheet import SheetWriter
from pondsim.units import display, number_text
from pondsim.words import electricity_of

if TYPE_CHECKING:
    from pondsim.design.costs import Estimate, Line
    from pondsim.design.quantities import Item
    from pondsim.scenario.settings import Prices, Scenario

NAME, AMOUNT = 50, 16
NOT_COUNTED = (
    "Counted only where [[extra]] of the prices names it: stone and masonry of the waterfall, electric "
    "panel, planting, permits, restoration. Not counted: overdig and waste."
)
NO_ELECTRICITY = (
    "LEFT OUT of every sum: electricity. Add --results FILE.nc of a run with a [tariff], or write "
    "yearly.electricity into the prices."
)


def _money(value: float, currency: str) -> str:
    return f"${value:,.0f}" if currency == "$" else f"{value:,.0f} {currency}"


def items_text(title: str, items: tuple[Item, ...], system: str) -> str:
    """Quantities alone."""
    from pondsim.design.costs import amount_in, shown_unit  # noqa: PLC0415

    lines = [f"{title}: quantities, in place"]
    group = ""
    for item in items:
        if item.group != group:
            group = item.group
            lines.append(group)
        unit = shown_unit(item, system)
        amount = f"{number_text(amount_in(item, unit))} {unit}"
        lines.append(f"  {item.name}".ljust(NAME) + amount.rjust(AMOUNT))
    return "\n".join([*lines, wrapped(NOT_COUNTED)])


def cost_text(title: str, found: Estimate, prices: Prices, system: str) -> str:
    """Rows with prices, and the sums."""
    currency = prices.currency
    lines = [f"{title}: at your prices, in {currency}"]
    group = ""
    for line in found.lines:
        if line.group != group:
            group = line.group
            lines.append(group)
        lines.append(_row(line, currency))
    lines.append("First cost")
    sums = [
        ("items and extras", found.items),
        ("mobilization", found.mobilization),
        ("contingency", found.contingency),
        ("first cost", found.first),
    ]
    lines += [f"  {name}".ljust(NAME) + _money(value, currency).rjust(AMOUNT) for name, value in sums]
    lines.append("Each year")
    lines += [f"  {name}".ljust(NAME) + _money(value, currency).rjust(AMOUNT) for name, value in found.yearly]
    lines.append("  together".ljust(NAME) + _money(found.each_year, currency).rjust(AMOUNT))
    if found.electricity_days is not None and (days := electricity_of(found.electricity_days)):
        lines.append(wrapped(f"({days})", indent="  "))
    if found.replacements:
        lines.append("Replaced (shift the years to your own)")
        for year, name, cost in found.replacements:
            lines.append(
                f"  year {number_text(year)}: {name}".ljust(NAME) + _money(cost, currency).rjust(AMOUNT)
            )
    lines += _worth(found, prices, system)
    if found.not_priced:
        lines.append(wrapped(f"NOT PRICED, so every sum is too low: {'; '.join(found.not_priced)}."))
    if not found.has_electricity:
        lines.append(wrapped(NO_ELECTRICITY))
    return "\n".join([*lines, wrapped(_not_counted(found))])


def _not_counted(found: Estimate) -> str:
    """What the sums lack: what the file does not know and no extra names."""
    extras = [line.name for line in found.lines if line.group == "extra"]
    given = f" Named there: {'; '.join(extras)}." if extras else ""
    return NOT_COUNTED + given


def _row(line: Line, currency: str) -> str:
    amount = f"{number_text(line.amount)} {line.unit}"
    name = f"  {line.name}".ljust(NAME - 14)
    if line.cost is None or line.price is None:
        return f"{name}{amount.rjust(14)}{'no price'.rjust(AMOUNT)}"
    return f"{name}{amount.rjust(14)}{_money(line.cost, currency).rjust(AMOUNT)}"


def _worth(found: Estimate, prices: Prices, system: str) -> list[str]:
    currency = prices.currency
    rows = [(f"{found.years} years, added up without interest", _money(found.plain, currency))]
    if found.worth is None or found.equal_yearly is None or prices.worth is None:
        rows.append(("present worth", "no [worth] rate given"))
    else:
        rate = number_text(100.0 * prices.worth.rate)
        rows.append((f"present worth at {rate} % a year", _money(found.worth, currency)))
        rows.append(("as equal yearly costs", _money(found.equal_yearly, currency)))
    if found.per_oxygen is not None:
        factor, unit = (0.45359237, "lb") if system == "us" else (1.0, "kg")
        price = f"{found.per_oxygen * factor:,.2f}"
        rows.append((f"for each {unit} of oxygen supplied", f"${price}" if currency == "$" else price))
    if found.per_day is not None:
        rows.append((f"per day below the {found.minimum} avoided", _money(found.per_day, currency)))
    if found.dredging is not None:
        placed, loads, cost = found.dredging
        rows.append(("dredging instead: volume placed", display(placed, "deposit", system)))
        rows.append(("  truck loads", str(loads)))
        rows.append(
            ("  cost, paid by volume in place", "no price" if cost is None else _money(cost, currency))
        )
    return ["Over the years", *(f"  {name}".ljust(NAME) + text.rjust(AMOUNT) for name, text in rows)]


def rows_csv(found: Estimate, currency: str) -> str:
    """The rows as CSV; blank where there is no price."""
    out = io.StringIO()
    writer = SheetWriter(out)
    writer.writerow(["group", "item", "amount", "unit", f"unit price [{currency}]", f"cost [{currency}]"])
    for line in found.lines:
        price, cost = ("" if v is None else f"{v:.2f}" for v in (line.price, line.cost))
        writer.writerow([line.group, line.name, number_text(line.amount, 6), line.unit, price, cost])
    if any(line.cost is not None for line in found.lines):
        for name in ("mobilization", "contingency", "first"):
            writer.writerow(["sum", name, "", "", "", f"{getattr(found, name):.2f}"])
    return out.getvalue()


def price_starter(scenario: Scenario, items: tuple[Item, ...], currency: str, system: str) -> str:
    """A commented file of blanks: take the mark off a line and write your price."""
    from pondsim.design.costs import shown_unit  # noqa: PLC0415

    lines = [
        f"# Prices for {scenario.title}. Blank until you enter yours.",
        "# Take the # off a price and write the amount in the currency below: material, labor, machine.",
        "# A line without a price is listed as not priced.",
        f'currency = "{currency}"          # as in [tariff]',
        "",
        "[first]",
        "# mobilization =                # bringing machines and people",
        '# contingency = "15 %"          # on items, extras and mobilization: your own share',
        "",
        "[yearly]",
        "# cleaning =                    # grate, well and sump, of a year",
        "# other =",
        "# electricity =                 # of a year; left out where --results gives the bill of a run",
        "# runs_a_year = 1               # how often a year costs what the bill of that run says",
        "",
        "# [worth]",
        '# rate = "5 %"                  # interest: real with constant prices, nominal with growing',
        '# growth = "0 %"                # of the yearly cost',
        "# years = 10",
        "# left = 0                      # its salvage value at the end",
        "",
        "# [[replacement]]               # lives are opinions: pump 10 years is tabled, membranes 5 to 10",
        '# item = "pump"',
        '# every = "10 yr"',
        "# price =",
        "",
        "# [dredging]                    # taking the muck out instead",
        '# volume = "300 yd3"            # in place, from your soundings',
        "# price =                       # of a cubic yard in place",
        '# bulking = "25 %"              # 10 to 40 % is reported for mechanical dredging',
        '# truck = "12 yd3"',
        "",
        "# [[extra]]                     # what the design file does not know",
        '# item = "stone of the waterfall"',
        "# amount = 1",
        "# price =",
    ]
    for item in {item.name: item for item in items}.values():
        unit = shown_unit(item, system)
        word = "one" if unit == "each" else f"a {unit}"
        name = item.name.replace('"', "'")
        lines += ["", "[[price]]", f'item = "{name}"', f'unit = "{unit}"', f"# price =    # of {word}"]
    return "\n".join(lines) + "\n"
