"""The plan on the construction sheet: pipe run, well and lip, zones as circles of their area."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.patches import Circle

from pondsim.figures import style
from pondsim.figures.paper import Shown, scale_bar, scale_for

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from pondsim.design.elevations import Drawing

WATER, GRAVITY, PRESSURE = style.DESIGNS[0], style.INK, style.DESIGNS[1]
ROOM = 0.5  # in, kept round the drawing


def draw_plan(axes: Axes, drawing: Drawing, size: tuple[float, float], at: Shown) -> str:
    """Draw the plan; gives its scale in words.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        Of `size`.
    drawing : Drawing
    size : (wide, high)
        On paper. [in]
    at : Shown
        Units.
    """
    layout = drawing.layout
    lines: dict[str, tuple[tuple[float, ...], tuple[float, ...]]] = {}
    if layout is not None:
        lines = {
            "gravity line": (layout.gravity_east, layout.gravity_north),
            "discharge": (layout.discharge_east, layout.discharge_north),
        }
    x = [v for east, _ in lines.values() for v in east]
    y = [v for _, north in lines.values() for v in north]
    for _, middle_x, middle_y, radius in drawing.zones:
        x += [middle_x - radius, middle_x + radius]
        y += [middle_y - radius, middle_y + radius]
    wide, high = size
    spans = (at(max(x) - min(x)), at(max(y) - min(y)))
    across = scale_for(spans[0], wide - 2.0 * ROOM, at.system)
    up = scale_for(spans[1], high - 2.0 * ROOM, at.system)
    scale = max((across, up), key=lambda one: one.per_inch)
    middle = (at(0.5 * (max(x) + min(x))), at(0.5 * (max(y) + min(y))))
    axes.set_xlim(middle[0] - 0.5 * wide * scale.per_inch, middle[0] + 0.5 * wide * scale.per_inch)
    axes.set_ylim(middle[1] - 0.5 * high * scale.per_inch, middle[1] + 0.5 * high * scale.per_inch)
    axes.set_xticks([])
    axes.set_yticks([])
    _zones(axes, drawing, at)
    for (name, (east, north)), colour in zip(lines.items(), (GRAVITY, PRESSURE), strict=False):
        if east:
            _run(axes, name, [at(v) for v in east], [at(v) for v in north], colour, at)
    _signs(axes, drawing, at)
    _north(axes)
    ends = (axes.get_xlim(), axes.get_ylim())
    scale_bar(axes, scale, at.unit, ends[0][0] + 0.3 * scale.per_inch, ends[1][0] + 0.2 * scale.per_inch)
    return scale.words


def _zones(axes: Axes, drawing: Drawing, at: Shown) -> None:
    for name, east, north, radius in drawing.zones:
        axes.add_patch(
            Circle((at(east), at(north)), at(radius), facecolor=WATER, alpha=0.10, edgecolor="none", zorder=1)
        )
        axes.add_patch(
            Circle((at(east), at(north)), at(radius), facecolor="none", edgecolor=WATER, linewidth=0.7,
                   linestyle=(0, (4, 3)), zorder=1)
        )  # fmt: skip
        axes.text(at(east), at(north), name, fontsize=style.SIZE - 1, color=WATER, ha="center",
                  va="center", zorder=2)  # fmt: skip
    axes.text(
        0.99, 0.02, "zones as circles of their area at normal pool, not their shape",
        transform=axes.transAxes,
        fontsize=style.SIZE - 2.5, color=style.QUIET, ha="right", va="bottom",
    )  # fmt: skip


def _run(axes: Axes, name: str, x: list[float], y: list[float], colour: str, at: Shown) -> None:
    length = float(np.sum(np.hypot(np.diff(x), np.diff(y))))
    axes.plot(x, y, color=colour, linewidth=2.2, zorder=4, solid_joinstyle="round")
    longest = int(np.argmax(np.hypot(np.diff(x), np.diff(y))))
    place = (0.5 * (x[longest] + x[longest + 1]), 0.5 * (y[longest] + y[longest + 1]))
    axes.annotate(
        f"{name}, {length:.0f} {at.unit} in plan", place, xytext=(8, 8), textcoords="offset points",
        fontsize=style.SIZE - 1, color=style.INK, zorder=6,
        bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 1.0},
    )  # fmt: skip


def _signs(axes: Axes, drawing: Drawing, at: Shown) -> None:
    layout = drawing.layout
    if layout is None or not (layout.gravity_east or layout.discharge_east):
        axes.set_title("No pipe run: write [layout]", fontsize=style.SIZE, color=style.QUIET)
        return
    marks: list[tuple[str, float, float, str, int]] = []
    if layout.gravity_east:
        east, north = layout.gravity_east, layout.gravity_north
        first = -1 if east[0] <= east[-1] else 1  # names stand outward of the line's ends
        marks += [("intake", east[0], north[0], "o", first), ("well", east[-1], north[-1], "s", -first)]
    if layout.discharge_east:
        marks.append(("lip", layout.discharge_east[-1], layout.discharge_north[-1], "D", 1))
    for name, x, y, marker, side in marks:
        axes.plot([at(x)], [at(y)], marker=marker, markersize=7, color=style.INK, zorder=7)
        axes.annotate(
            name, (at(x), at(y)), xytext=(7 * side, -14), textcoords="offset points", fontsize=style.SIZE,
            color=style.INK, fontweight="bold", zorder=8, ha="left" if side > 0 else "right",
        )  # fmt: skip


def _north(axes: Axes) -> None:
    arrow = {"arrowstyle": "->", "color": style.INK}
    axes.annotate("", (0.965, 0.90), (0.965, 0.78), xycoords="axes fraction", arrowprops=arrow)
    axes.text(0.965, 0.91, "N", ha="center", va="bottom", transform=axes.transAxes, color=style.INK)
