"""Electricity over the run by system, and by month: kWh, or money where a tariff is given."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.figures import bars, style
from pondsim.figures.words import over
from pondsim.measures import electricity as used_by
from pondsim.measures.books import run_days
from pondsim.measures.months import bill_by_month, electricity_by_month

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Bill = tuple[list[str], dict[str, Any]] | None
SHADES = ("#1f4b5e", "#7fa8b0", "#d7c8a0", "#a0643c", "#c3a6b8", "#5a5f8c")  # of systems, in order
CHARGES = (1.0, 0.55, 0.25)  # how solid energy, demand and fixed charges are
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
MOST_MONTHS = 8  # that can be written out with their year


def electricity(datasets: list[xr.Dataset], *, system: str = "us") -> Figure:
    """Draw the electricity used.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results, the existing pond first; one alone is drawn by itself.
    system : {"us", "si"}
        Units; kWh in both.

    Returns
    -------
    matplotlib.figure.Figure
        kWh by design and system, and by month kWh, or money where the results have a bill.
    """
    names, kinds = style.titles(datasets), style.numbers(len(datasets))
    used = [used_by(dataset) for dataset in datasets]
    if not any(one["all"] for one in used):
        figure = style.new_figure(2.0)
        style.in_words(figure.subplots(), "No pump and no air source runs in these results.")
        style.headline(figure, "no electricity is used")
        return figure
    bills = [bill_by_month(dataset) for dataset in datasets]
    paid = any(bill is not None for bill in bills)
    figure = style.new_figure(3.9 + 0.32 * len(datasets))
    above, below = figure.subplots(2, 1, height_ratios=[0.6 + 0.32 * len(datasets), 2.2])
    _systems(above, used, names, kinds)
    if paid:
        _money(below, bills, kinds, _currency(datasets))
    else:
        _months(below, datasets, kinds)
    bars.name_designs(below, names, kinds)
    found = _finding(used, bills, names, run_days(datasets[0]), _currency(datasets))
    style.headline(figure, found, _note(paid=paid))
    return figure


def _systems(axes: Axes, used: list[dict[str, float]], names: list[str], kinds: list[int]) -> None:
    """A bar for each design, in pieces by system, which are named behind it in their order."""
    systems = list(dict.fromkeys(key for one in used for key in one if key != "all")) or ["all"]
    most = max(one["all"] for one in used)
    several = False
    for row, one in enumerate(used):
        left = 0.0
        for number, key in enumerate(systems):
            amount = one.get(key, 0.0)
            axes.barh(row, amount, 0.62, left=left, color=SHADES[number % len(SHADES)], edgecolor="white")
            left += amount
        parts = [f"{key} {one[key]:.0f}" for key in systems if one.get(key, 0.0)]
        several_shown = len(parts) > 1 and style.names_beside()
        several = several or several_shown
        words = f"{one['all']:.0f} kWh" + (f"\n{' + '.join(parts)}" if several_shown else "")
        axes.text(left + 0.01 * most, row, words, va="center", fontsize=style.SIZE - 1.5, color=style.INK)
    style.panel(axes, "over the run, by system", grid="x")
    bars.name_places(axes, [style.wrapped(name) for name in names], "kWh")
    axes.set_ylim(len(names) - 0.5, -0.5)
    axes.set_xlim(0.0, (1.55 if several else 1.2 if style.names_beside() else 1.4) * most)
    for tick, kind in zip(axes.get_yticklabels(), kinds, strict=True):
        tick.set_color(style.ink(kind))


def _months(axes: Axes, datasets: list[xr.Dataset], kinds: list[int]) -> None:
    """kWh by month, a column for each design."""
    by_month = [electricity_by_month(dataset) for dataset in datasets]
    bars.standing(axes, [values for _, values in by_month], kinds)
    style.panel(axes, "by month", "kWh")
    _month_axis(axes, by_month[0][0])


def _currency(datasets: list[xr.Dataset]) -> str:
    """Of the designs that have a tariff; they share one."""
    named = (dataset.attrs.get("currency") for dataset in datasets)
    return str(next((name for name in named if name), "$"))


def _amount(value: float, currency: str) -> str:
    """An amount of money; what is not the dollar is named once, on the axis."""
    return f"${value:.0f}" if currency == "$" else f"{value:.0f}"


def _money(axes: Axes, bills: list[Bill], kinds: list[int], currency: str) -> None:
    """Money by month, a column for each design in pieces by charge."""
    months = sorted({month for bill in bills if bill is not None for month in bill[0]})
    most = max(float(np.max(sum(bill[1].values()), initial=0.0)) for bill in bills if bill is not None)
    for bill, kind, offset in zip(bills, kinds, bars.offsets(len(kinds)), strict=True):
        if bill is None:
            continue
        places = np.array([months.index(month) for month in bill[0]]) + offset
        foot = np.zeros(len(places))
        for alpha, amounts in zip(CHARGES, bill[1].values(), strict=False):
            wide = 0.9 * bars.THICK / len(kinds)
            axes.bar(places, amounts, wide, foot, color=style.colour(kind), alpha=alpha, edgecolor="white")
            foot = foot + amounts
        for at, value in (
            zip(places, foot, strict=True) if len(months) * len(kinds) <= bars.most_numbers() else ()
        ):
            bars.number(axes, at, value + 0.015 * most, _amount(value, currency))
    axes.set_ylim(0.0, 1.12 * (most or 1.0))
    style.panel(axes, "electric bill by month", currency)
    _month_axis(axes, months)


def _month_axis(axes: Axes, months: list[str]) -> None:
    beside = len(months) <= MOST_MONTHS and style.names_beside()
    year = " {}" if beside else "\n{}"
    words = [MONTHS[int(month[5:7]) - 1] + year.format(month[:4]) for month in months]
    axes.set_xticks(range(len(months)), words)
    axes.set_xlim(-0.6, len(months) - 0.4)


def _finding(
    used: list[dict[str, float]], bills: list[Bill], names: list[str], days: float, currency: str
) -> str:
    found = []
    for one, bill, name in zip(used, bills, names, strict=True):
        if one["all"]:
            cost = ""
            if bill is not None:
                amount = _amount(float(sum(map(np.sum, bill[1].values()))), currency)
                cost = f" and {amount}" if currency == "$" else f" and {amount} {currency}"
            found.append(f'"{name}" uses {one["all"]:.0f} kWh{cost}')
    return f"in {over(days)} {'; '.join(found)}"


def _note(*, paid: bool) -> str:
    ends = "The first and the last month may be cut by the run."
    if paid:
        return f"Bill at the tariff of the design: energy (solid), demand (paler), fixed (palest). {ends}"
    return f"{ends} With a tariff in the design file this shows money."
