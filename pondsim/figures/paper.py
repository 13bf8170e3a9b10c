"""Drawings to scale on a sheet of paper: scales of the trade, axes of an exact size."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from pondsim.figures import style
from pondsim.units import display_unit, from_si

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SHEET = (17.0, 11.0)  # in, ANSI B across
MARGIN = 0.5  # in
# Feet to the inch on paper, and the metric scales.
FEET = (1, 2, 3, 4, 5, 8, 10, 15, 20, 30, 40, 50, 60, 80, 100, 150, 200, 300, 400, 500, 1000)
METRIC = (10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 2500, 5000, 10000)
INCH = 0.0254  # m


@dataclass(frozen=True)
class Scale:
    """A scale: units shown for each inch of paper, and in words."""

    per_inch: float
    words: str


def scale_for(span: float, inches: float, system: str) -> Scale:
    """The largest scale of the trade at which a span [shown unit] fits into so many inches of paper."""
    if system == "us":
        feet = next((n for n in FEET if span <= n * inches), FEET[-1])
        return Scale(float(feet), f"1 in = {feet} ft")
    ratio = next((n for n in METRIC if span <= n * INCH * inches), METRIC[-1])
    return Scale(ratio * INCH, f"1 : {ratio}")


def new_sheet() -> Figure:
    """An empty sheet with its border."""
    figure = Figure(figsize=SHEET)
    FigureCanvasAgg(figure)
    frame = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    frame.set_axis_off()
    frame.set_xlim(0.0, SHEET[0])
    frame.set_ylim(0.0, SHEET[1])
    edge = 0.5 * MARGIN
    frame.plot(
        [edge, SHEET[0] - edge, SHEET[0] - edge, edge, edge],
        [edge, edge, SHEET[1] - edge, SHEET[1] - edge, edge],
        color=style.INK,
        linewidth=1.2,
    )
    return figure


def axes_at(figure: Figure, left: float, bottom: float, wide: float, high: float) -> Axes:
    """Axes of an exact size and place on the sheet [in]."""
    return figure.add_axes((left / SHEET[0], bottom / SHEET[1], wide / SHEET[0], high / SHEET[1]))


def round_step(most: float) -> float:
    """The largest of 1, 2, 5, 10, 20 ... that is not above `most`."""
    power = 10.0 ** math.floor(math.log10(most) + 1e-9)
    return max(step * power for step in (1.0, 2.0, 5.0) if step * power <= most * (1.0 + 1e-9))


def scale_bar(axes: Axes, scale: Scale, unit: str, left: float, bottom: float) -> None:
    """Two round steps of about an inch as a bar with its length, at data coordinates."""
    step = round_step(scale.per_inch)
    for part in (0, 1):
        axes.fill_between(
            [left + part * step, left + (part + 1) * step],
            bottom,
            bottom + 0.06 * step,
            facecolor=style.INK if part == 0 else "white",
            edgecolor=style.INK,
            linewidth=0.7,
            zorder=9,
        )
    for part in (0, 1, 2):
        axes.text(
            left + part * step, bottom + 0.10 * step, f"{part * step:g}", fontsize=style.SIZE - 2,
            ha="center", va="bottom", color=style.INK, zorder=9,
        )  # fmt: skip
    axes.text(
        left + 2.12 * step, bottom, unit, fontsize=style.SIZE - 2, ha="left", va="bottom", color=style.INK
    )


class Shown:
    """Lengths in the unit shown."""

    def __init__(self, system: str) -> None:
        self.system, self.unit = system, display_unit("length", system)

    def __call__(self, metres: float) -> float:
        """SI to the unit shown."""
        return float(from_si(metres, self.unit))
