"""Where the oxygen of a run came from and where it went, in pounds or kilograms."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pondsim.figures import bars, style
from pondsim.figures.words import over
from pondsim.measures import oxygen_budget as rates_of
from pondsim.measures.books import run_days
from pondsim.measures.declared import place_words
from pondsim.units import convert, display_unit, number_text

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.figure import Figure

LEAST_LINE = 0.002  # share of the largest budget line; smaller ones are named in the note
TAKERS = ("bed_demand", "bottom_debt_oxidation")
SUPPLIES = ("waterfall", "bubbles")


def oxygen_budget(datasets: list[xr.Dataset], *, system: str = "us") -> Figure:
    """Draw the oxygen budget over the run.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results, the existing pond first; one alone is drawn by itself.
    system : {"us", "si"}
        Units.

    Returns
    -------
    matplotlib.figure.Figure
        A bar for each line and design, into the water to the right, out of it to the left.
    """
    unit = display_unit("mass", system)
    totals = [_totals(dataset, unit) for dataset in datasets]
    lines = list(dict.fromkeys(line for total in totals for line in total))
    most = {line: max((total.get(line, 0.0) for total in totals), key=abs) for line in lines}
    largest = max((abs(amount) for amount in most.values()), default=0.0)
    drawn = sorted((x for x in lines if abs(most[x]) > LEAST_LINE * largest), key=lambda x: -most[x])
    figure = style.new_figure(1.4 + bars.height(len(drawn), len(datasets)))
    axes = figure.subplots()
    names, kinds = style.titles(datasets), style.numbers(len(datasets))
    if drawn:
        bars.lying(axes, [[total.get(line, 0.0) for line in drawn] for total in totals], kinds)
        style.panel(axes, "", grid="x")
        bars.name_places(axes, [_words(line) for line in drawn], f"out of the water  ←   {unit}   →  into it")
        axes.axvline(0.0, color=style.INK, linewidth=0.8)
        axes.margins(x=0.1)
        bars.name_designs(axes, names, kinds)
    else:
        style.in_words(axes, "No oxygen came or went in this run.")
    left = [_words(line) for line in lines if line not in drawn]
    style.headline(figure, _finding(names, totals, unit, run_days(datasets[0])), _note(left))
    return figure


def _words(line: str) -> str:
    return place_words("oxygen_pathway", line)


def _totals(dataset: xr.Dataset, unit: str) -> dict[str, float]:
    """Oxygen into the water by budget line over the run, in `unit`."""
    days = run_days(dataset)
    return {line: float(convert(rate * days, "kg", unit)) for line, rate in rates_of(dataset).items()}


def _finding(names: list[str], totals: list[dict[str, float]], unit: str, days: float) -> str:
    """What equipment brings beside what the sediment consumes."""
    span = f"in {over(days)}"
    found = []
    for name, total in zip(names, totals, strict=True):
        brought = sum(total.get(line, 0.0) for line in SUPPLIES)
        if brought != 0.0:
            found.append(f'"{name}" brings {number_text(brought)} {unit} of oxygen, {_taken(total)}')
    if found:
        return f"{span} {'; '.join(found)}"
    return f"no equipment brings oxygen; {span} {_taken(totals[0], unit)}"


def _taken(total: dict[str, float], unit: str = "") -> str:
    taken = 0.0 - sum(total.get(line, 0.0) for line in TAKERS)
    return f"the sediment consumes {number_text(taken)} {unit}".strip()


def _note(left: list[str]) -> str:
    missing = f" Too small to draw: {', '.join(left)}." if left else ""
    return (
        "Sums over the run and the pond. What the sediment consumes: sediment oxygen demand and bottom "
        f"oxygen debt.{missing}"
    )
