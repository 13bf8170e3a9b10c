"""Benefit against size and against electricity, and a map of two sizes. Drawing only."""

from __future__ import annotations

import math
import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from pondsim.figures import style
from pondsim.units import number_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

BESIDE_AXIS = 40  # letters of a label that have room along the height of an axis
WIDE_RANGE = 3.0  # largest over smallest size, above which the axis is in ratios


@dataclass(frozen=True)
class Curve:
    """What benefit a size brings, in the units shown.

    Attributes
    ----------
    finding : one sentence, the title
    size_label, unit : of the sizes
    measure, measure_unit : of the values
    sizes, values, energies : one per run [unit, measure_unit, kWh]; NaN where a run has no such number
    limit : what must be reached
    marks : places of the runs to name, and their names
    """

    finding: str
    size_label: str
    unit: str
    measure: str
    measure_unit: str
    sizes: tuple[float, ...]
    values: tuple[float, ...]
    energies: tuple[float, ...]
    limit: float
    marks: dict[int, str]


@dataclass(frozen=True)
class Map:
    """Values of a measure over two sizes, in the units shown.

    Attributes
    ----------
    finding : one sentence, the title
    first, second : labels with unit; the first goes up, the second to the right
    first_sizes, second_sizes : what stands at the cells
    values : by first, then second; NaN where there is none
    costs : one text per cell
    meets : whether each cell meets the target
    least : the cell of least cost that meets it, or None
    good : 1 when more is better, -1 when less is
    """

    finding: str
    first: str
    second: str
    first_sizes: tuple[str, ...]
    second_sizes: tuple[str, ...]
    values: np.ndarray
    costs: tuple[tuple[str, ...], ...]
    meets: np.ndarray
    least: tuple[int, int] | None
    good: int


def benefit_figure(curve: Curve) -> Figure:
    """Draw a measure against the size and against the electricity of the run.

    Parameters
    ----------
    curve : Curve
        One value per run.

    Returns
    -------
    matplotlib.figure.Figure
        Two panels side by side; nothing is written.
    """
    figure = style.new_figure(4.6)
    left, right = figure.subplots(1, 2, sharey=True)
    sizes, energies = np.array(curve.sizes), np.array(curve.energies)
    _line(left, curve, sizes, f"{curve.size_label} [{curve.unit}]")
    _line(right, curve, energies, "electricity over the run [kWh]")
    known = sizes[np.isfinite(sizes)]
    if known.size and known.min() > 0.0 and known.max() / known.min() > WIDE_RANGE:
        _in_ratios(left, float(known.min()), float(known.max()))
    style.dress(left, "", textwrap.fill(f"{curve.measure} [{curve.measure_unit}]", BESIDE_AXIS))
    style.dress(right, "", "")
    figure.suptitle(
        curve.finding,
        x=0.01,
        ha="left",
        fontsize=style.SIZE + 1,
        color=style.INK,
        fontweight="bold",
        wrap=True,
    )
    return figure


def _in_ratios(axes: Axes, low: float, high: float) -> None:
    """Steps of equal ratio, with plain numbers."""
    axes.set_xscale("log")
    ticks = [
        step * 10.0**power
        for power in range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
        for step in (1.0, 2.0, 5.0)
        if 0.95 * low <= step * 10.0**power <= 1.05 * high
    ]
    axes.set_xticks(ticks, [number_text(tick) for tick in ticks])
    axes.set_xticks([], minor=True)


def _line(axes: Axes, curve: Curve, places: np.ndarray, label: str) -> None:
    """Runs as points joined in the order of their size, the limit, and names of a few."""
    values = np.array(curve.values)
    axes.plot(places, values, color=style.colour(1), linewidth=1.6, marker="o", markersize=3.5)
    axes.axhline(curve.limit, color=style.LIMIT, linewidth=1.0)
    axes.annotate(
        f"target {number_text(curve.limit)} {curve.measure_unit}",
        (0.01, curve.limit),
        xycoords=("axes fraction", "data"),
        xytext=(0, 3),
        textcoords="offset points",
        color=style.LIMIT,
        fontsize=style.SIZE - 1,
    )
    for place, name in curve.marks.items():
        if not (math.isfinite(places[place]) and math.isfinite(values[place])):
            continue
        axes.plot(places[place], values[place], marker="o", markersize=7, color=style.colour(2))
        axes.annotate(
            name,
            (places[place], values[place]),
            xytext=(7, -11),
            textcoords="offset points",
            color=style.colour(2),
            fontsize=style.SIZE - 1,
        )
    axes.set_xlabel(label, fontsize=style.SIZE, color=style.INK)
    axes.margins(x=0.12, y=0.12)


def map_figure(drawn: Map) -> Figure:
    """Draw a measure over two sizes, cell by cell, with its cost; cells that meet the target are framed.

    Parameters
    ----------
    drawn : Map
        Values and words.

    Returns
    -------
    matplotlib.figure.Figure
        One panel; nothing is written.
    """
    rows = len(drawn.first_sizes)
    figure = style.new_figure(1.8 + 0.7 * rows)
    axes = figure.subplots()
    shade = drawn.good * drawn.values
    known = shade[np.isfinite(shade)]
    low, high = (float(known.min()), float(known.max())) if known.size else (0.0, 1.0)
    for i in range(rows):
        for j in range(len(drawn.second_sizes)):
            _cell(axes, drawn, i, j, (shade[i, j] - low) / max(high - low, 1e-12))
    axes.set_xlim(-0.5, len(drawn.second_sizes) - 0.5)
    axes.set_ylim(-0.5, rows - 0.5)
    axes.set_xticks(range(len(drawn.second_sizes)), drawn.second_sizes)
    axes.set_yticks(range(rows), drawn.first_sizes)
    style.dress(axes, drawn.finding, drawn.first)
    axes.grid(visible=False)
    axes.set_xlabel(drawn.second, fontsize=style.SIZE, color=style.INK)
    return figure


def _cell(axes: Axes, drawn: Map, i: int, j: int, share: float) -> None:
    """One run: paler where it does less, framed where it meets the target."""
    from matplotlib.patches import Rectangle  # noqa: PLC0415

    known = math.isfinite(share)
    alpha = 0.08 + 0.5 * share if known else 0.0
    axes.add_patch(
        Rectangle((j - 0.5, i - 0.5), 1.0, 1.0, facecolor=style.colour(3), alpha=alpha, linewidth=0)
    )
    least = drawn.least == (i, j)
    if drawn.meets[i, j]:
        axes.add_patch(
            Rectangle(
                (j - 0.46, i - 0.46),
                0.92,
                0.92,
                fill=False,
                edgecolor=style.colour(2) if least else style.colour(1),
                linewidth=3.0 if least else 1.2,
            )
        )
    value = number_text(float(drawn.values[i, j])) if known else "failed"
    text = f"{value}\n{drawn.costs[i][j]}" + ("\nleast cost" if least else "")
    axes.text(j, i, text, ha="center", va="center", fontsize=style.SIZE - 1, color=style.INK)
