"""Costs beside runs: what a run adds to an estimate, sums of several designs side by side."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim import measures
from pondsim.cli._common import of_file, wrapped
from pondsim.design.costs import Estimate, Run, check_names, estimate, short_text
from pondsim.design.quantities import Item, quantities
from pondsim.errors import ScenarioError
from pondsim.measures.books import run_days
from pondsim.scenario.read import read_scenario, read_section
from pondsim.scenario.settings import Prices
from pondsim.words import electricity_of

if TYPE_CHECKING:
    import xarray as xr

HOW = "Give the site a [tariff], or write yearly.electricity into the prices."
POUND = 0.45359237  # kg
WIDE, COLUMN = 42, 14


def run_of(dataset: xr.Dataset, existing: xr.Dataset | None) -> Run:
    """What runs say of money, oxygen and days."""
    money, budget = measures.money(dataset), measures.oxygen_budget(dataset)
    given = sum(budget.get(name, 0.0) for name in ("waterfall", "bubbles")) * run_days(dataset)
    saved = None
    if existing is not None:
        days = [float(np.max(measures.judge(one).failing)) for one in (existing, dataset)]
        saved = days[0] - days[1]
    return Run(
        money.get("energy"),
        money.get("demand"),
        run_days(dataset),
        given if given > 0.0 else None,
        saved,
        str(dataset.attrs.get("currency", "$")),
        measures.day_minimum(dataset),
    )


def cost_data(title: str, found: Estimate, currency: str) -> dict[str, Any]:
    """Sums of an estimate as plain values, for a page; null where they are not known."""
    return {
        "title": title,
        "currency": currency,
        "years": found.years,
        "first": found.first,
        "each_year": found.each_year,
        "without_interest": found.plain,
        "present_worth": found.worth,
        "equal_yearly": found.equal_yearly,
        "per_kg_oxygen": found.per_oxygen,
        "per_day_of_failure_avoided": found.per_day,
        "not_priced": list(found.not_priced),
        "electricity": found.has_electricity,
        "electricity_days": found.electricity_days,
    }


Priced = tuple[Prices, dict[int, tuple[Item, ...]]]


def priced_designs(paths: list[Path], price_file: Path) -> Priced:
    """Prices, and the quantities of each design after the first that is given as a design file.

    Raises
    ------
    ScenarioError
        A fault of the price file, or no design is given as a design file.
    """
    prices = read_section(price_file, Prices)
    counted = {
        place: quantities(read_scenario(path))
        for place, path in enumerate(paths)
        if path.suffix != ".nc" and place
    }
    counted = {place: items for place, items in counted.items() if items}
    if not counted:
        raise ScenarioError(
            "--prices: give at least one design as a .toml file; results files hold no quantities"
        )
    with of_file(price_file):
        check_names(list(counted.values()), prices)
        for items in counted.values():
            estimate(items, prices, None)  # units of prices, before anything is simulated
    return prices, counted


def costs_beside(priced: Priced, results: list[xr.Dataset], system: str) -> str:
    """The sums of each design that was counted, to stand under the comparison."""
    prices, counted = priced
    found = {
        place: estimate(items, prices, run_of(results[place], results[0]), system)
        for place, items in counted.items()
    }
    names = [str(results[place].attrs.get("title", "")) for place in found]
    often = f"{prices.yearly.runs_a_year:g}"
    lines = [f"Cost at your prices, in {prices.currency}; a year counts the bill of a run {often} times"]
    lines.append(" " * WIDE + "".join(name[: COLUMN - 1].rjust(COLUMN) for name in names))
    years = next(iter(found.values())).years
    per, unit = (POUND, "lb") if system == "us" else (1.0, "kg")
    minimum = measures.day_minimum(results[0])
    rows: list[tuple[str, list[float | None]]] = [
        ("first cost", [one.first for one in found.values()]),
        ("each year", [one.each_year for one in found.values()]),
        (f"{years} years, without interest", [one.plain for one in found.values()]),
        ("present worth", [one.worth for one in found.values()]),
        ("as equal yearly costs", [one.equal_yearly for one in found.values()]),
        (
            f"for each {unit} of oxygen",
            [None if one.per_oxygen is None else one.per_oxygen * per for one in found.values()],
        ),
        (
            f"per day below the {minimum} avoided",
            [one.per_day for one in found.values()],
        ),
        ("items without a price", [float(len(one.not_priced)) for one in found.values()]),
    ]
    for name, values in rows:
        cells = (
            "-" if v is None else f"{v:,.2f}" if 0.0 < v < 100.0 and v % 1 else f"{v:,.0f}" for v in values
        )
        lines.append(f"  {name}".ljust(WIDE) + "".join(cell.rjust(COLUMN) for cell in cells))
    return "\n".join([*lines, *(wrapped(text) for text in _lacking(names, list(found.values())))])


def _lacking(names: list[str], found: list[Estimate]) -> Iterator[str]:
    """What the sums leave out: electricity not known or of a part of a year, gains of too short a run."""
    without = [name for name, one in zip(names, found, strict=True) if not one.has_electricity]
    if without:
        yield f"LEFT OUT of every sum of {', '.join(without)}: electricity. {HOW}"
    days = {one.electricity_days for one in found if one.electricity_days is not None}
    yield from (f"Each year counts {text}." for text in map(electricity_of, sorted(days)) if text)
    short = next((one.short_of_year for one in found if one.short_of_year is not None), None)
    if short is not None:
        yield short_text(short)
