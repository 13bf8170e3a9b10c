"""One page on a comparison: dawn oxygen where it is lowest, hours below by zone, oxygen budget."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pondsim.comparison import Comparison, compare
from pondsim.comparison.findings import worst_zone
from pondsim.figures import style
from pondsim.measures import dawn_oxygen, day_minimum, minimum_limit
from pondsim.units import convert, number_text

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

BELOW = 3  # mg/L, of the bars by zone
LEAST_LINE = 0.01  # share of the largest budget line; smaller ones are not drawn


def comparison_figure(datasets: list[xr.Dataset], *, system: str = "us") -> Figure:
    """Draw what designs change against the existing pond.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results, the existing pond first.
    system : {"us", "si"}
        Units.

    Returns
    -------
    matplotlib.figure.Figure
        Three parts, one below the other; nothing is written.

    Raises
    ------
    ScenarioError
        The runs cannot be compared.
    """
    datasets, left = style.drawn(datasets)
    comparison = compare(datasets)
    figure = style.new_figure(9.6)
    axes = figure.subplots(3, 1, height_ratios=[1.25, 1.0, 1.25])
    zone = worst_zone(comparison)
    if zone is None:
        axes[0].text(0.5, 0.5, "the run is shorter than one day", ha="center", transform=axes[0].transAxes)
        style.dress(axes[0], "Oxygen at dawn", "mg/L")
    else:
        _dawn(axes[0], datasets, comparison, zone)
    _hours(axes[1], comparison)
    _budget(axes[2], comparison, system)
    if left:
        style.small_print(figure, left)
    return figure


def _dawn(axes: Axes, datasets: list[xr.Dataset], comparison: Comparison, zone: str) -> None:
    """A line per design, named at its end, with the limit of the criterion."""
    limit = minimum_limit(datasets[0])
    column = comparison.zones.index(zone)
    ends, below = [], []
    for design, dataset in enumerate(datasets):
        days, oxygen = dawn_oxygen(dataset)
        line = oxygen[:, column]
        axes.plot(days, line, color=style.colour(design), linestyle=style.dash(design), linewidth=1.6)
        ends.append(float(line[np.isfinite(line)][-1]))
        below.append(int(np.sum(line < limit)))
    low, high = axes.get_ylim()
    axes.set_ylim(min(0.0, low), max(high, limit + 1.0))
    inks = [style.ink(design) for design in range(len(datasets))]
    style.name_ends(axes, ends, list(comparison.titles), inks)
    style.limit_line(axes, limit, f"criterion, {day_minimum(datasets[0])} {limit:g}")
    counts = ", ".join(f'"{title}" {n}' for n, title in zip(below, comparison.titles, strict=True))
    style.dress(
        axes,
        f"Dawns below {limit:g} mg/L in {zone}, surface, where they are lowest: {counts}",
        "mg/L",
    )
    style.time_axis(axes)


def _hours(axes: Axes, comparison: Comparison) -> None:
    """Bars by zone: hours below 3 mg/L at the bottom, its share at the top filled solid."""
    count = len(comparison.titles)
    wide = 0.8 / count
    most = 1.0
    for design in range(count):
        at = np.arange(len(comparison.zones)) - 0.4 + wide * (design + 0.5)
        hours = [_hours_of(comparison, "bottom", zone, design) for zone in comparison.zones]
        axes.bar(
            at,
            hours,
            0.9 * wide,
            facecolor="white",
            edgecolor=style.colour(design),
            linewidth=1.2,
        )
        top = [_hours_of(comparison, "top", zone, design) for zone in comparison.zones]
        axes.bar(
            at,
            top,
            0.9 * wide,
            color=style.colour(design),
            edgecolor="white",
            hatch=style.hatch(design),
            linewidth=0.0,
        )
        most = max(most, *hours, *top)
    axes.set_xticks(range(len(comparison.zones)), list(comparison.zones))
    axes.set_ylim(0.0, 1.12 * most)
    _name_bars(axes, comparison)
    total = [sum(_hours_of(comparison, "top", zone, d) for zone in comparison.zones) for d in range(count)]
    style.dress(
        axes, f"Hours below {BELOW} mg/L: filled near the surface, outlined at the bottom; {_top(total)}", "h"
    )


def _top(total: list[float]) -> str:
    """The finding of the bars."""
    if not any(total):
        return "never near the surface"
    if total[0] == 0.0:
        return "never near the surface of the existing pond"
    best = min(total[1:], default=total[0])
    return (
        f"near the surface at best {100.0 * (1.0 - best / total[0]):.0f} % fewer"
        if best < total[0]
        else "none fewer"
    )


def _hours_of(comparison: Comparison, station: str, zone: str, design: int) -> float:
    return comparison.value(f"hours_below_{BELOW}_{station}.{zone}", design) or 0.0


def _name_bars(axes: Axes, comparison: Comparison) -> None:
    """Titles beside the axes, in the order and colour of the bars."""
    for design, title in enumerate(comparison.titles):
        axes.annotate(
            f"{design + 1}  {title}",
            (1.005, 0.92 - 0.11 * design),
            xycoords="axes fraction",
            color=style.ink(design),
            fontsize=style.SIZE,
            va="center",
            annotation_clip=False,
        )


def _budget(axes: Axes, comparison: Comparison, system: str) -> None:
    """Bars by budget line, in above zero and out below."""
    unit = "lb/d" if system == "us" else "kg/d"
    rows = [row for row in comparison.rows if row.key.startswith("oxygen_budget.")]
    largest = max((abs(v or 0.0) for row in rows for v in row.values), default=0.0)
    rows = [row for row in rows if max(abs(v or 0.0) for v in row.values) > LEAST_LINE * largest]
    count = len(comparison.titles)
    wide = 0.8 / count
    for design in range(count):
        at = np.arange(len(rows)) - 0.4 + wide * (design + 0.5)
        rates = [convert(row.values[design] or 0.0, "kg/d", unit) for row in rows]
        axes.bar(
            at,
            rates,
            0.9 * wide,
            color=style.colour(design),
            edgecolor="white",
            hatch=style.hatch(design),
            linewidth=0.0,
        )
    axes.axhline(0.0, color=style.INK, linewidth=0.8)
    words = [row.label for row in rows]
    words = [word.replace(" ", "\n").replace("photosynthesis", "photo-\nsynthesis") for word in words]
    axes.set_xticks(range(len(rows)), words, fontsize=style.SIZE - 1.5)
    _name_bars(axes, comparison)
    supplies = [
        f'"{title}": {number_text(convert(rate, "kg/d", unit), 2)} {unit}'
        for design, title in enumerate(comparison.titles)
        if (rate := _equipment(comparison, design)) != 0.0
    ]
    finding = f"equipment brings {'; '.join(supplies)}" if supplies else "no equipment brings any"
    style.dress(axes, f"Oxygen into the water, mean of the run: {finding}", unit)


def _equipment(comparison: Comparison, design: int) -> float:
    return sum(comparison.value(f"oxygen_budget.{line}", design) or 0.0 for line in ("waterfall", "bubbles"))
