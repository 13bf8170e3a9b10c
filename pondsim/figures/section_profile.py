"""The profile on the construction sheet: pond, trench, pipe and well, lengths and heights to scale."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pondsim.figures import style
from pondsim.figures.paper import Scale, Shown, round_step, scale_bar, scale_for

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from pondsim.design.elevations import Drawing

WATER, STEEL, GROUND, MUCK = style.DESIGNS[0], style.INK, "#d9d2c4", "#9c8f77"
STONE, CONCRETE = "#b9bfc2", "#8f979b"
LEFT, RIGHT = 2.4, 3.6  # in, kept for labels
LABEL = 0.155  # in, between labels
MOST_TALLER = 5  # times that heights may be drawn larger than lengths
KNOWN = 0.25  # share of the line along which the bed of the zone is drawn where there is no profile
BEYOND = 1.5  # m of bed drawn beyond the intake


def draw_section(axes: Axes, drawing: Drawing, size: tuple[float, float], at: Shown) -> tuple[Scale, Scale]:
    """Draw the profile; gives the scales across and up.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        Of `size`.
    drawing : Drawing
    size : (wide, high)
        Of the axes on paper. [in]
    at : Shown
        Units.
    """
    wide, high = size
    breadth = 0.0 if drawing.well is None else drawing.well.breadth + 2.0 * _wall(drawing)
    low, top = _reach(drawing)
    across = scale_for(at(drawing.length + breadth + 2.0 * BEYOND), wide - LEFT - RIGHT, at.system)
    up = scale_for(at(top - low), high - 0.35, at.system)
    if across.per_inch / up.per_inch > MOST_TALLER:
        up = scale_for(at(top - low), high * across.per_inch / up.per_inch / MOST_TALLER, at.system)
    if up.per_inch > across.per_inch:
        across = up
    left = -at(BEYOND) - LEFT * across.per_inch
    axes.set_xlim(left, left + wide * across.per_inch)
    axes.set_ylim(at(low), at(low) + high * up.per_inch)
    _ground(axes, drawing, at)
    _pipe(axes, drawing, at)
    _well(axes, drawing, at)
    _discharge(axes, drawing, at, across)
    _levels(axes, drawing, at)
    _labels(axes, drawing, at, across, up)
    style.dress(axes, "", f"elevation [{at.unit}]", grid=None)
    axes.set_xlabel(f"station along the gravity line from the intake [{at.unit}]", fontsize=style.SIZE)
    axes.set_xticks(np.arange(0.0, at(drawing.length) + 1e-9, round_step(across.per_inch)))
    axes.set_yticks(_round(axes.get_ylim(), round_step(0.5 * up.per_inch)))
    scale_bar(axes, across, at.unit, left + 0.3 * across.per_inch, at(low) + 0.10 * up.per_inch)
    return across, up


def _round(ends: tuple[float, float], step: float) -> np.ndarray:
    """Multiples of a step between two ends."""
    return np.asarray(step * np.arange(np.ceil(ends[0] / step), np.floor(ends[1] / step) + 1))


def _wall(drawing: Drawing) -> float:
    structure = None if drawing.well is None else drawing.well.structure
    return 0.10 if structure is None else structure.wall


def _reach(drawing: Drawing) -> tuple[float, float]:
    """Lowest and highest elevation drawn. [m]"""
    found = [mark.elevation for mark in drawing.marks if mark.part != "waterfall"]
    return min(found) - 0.3, max(*found, drawing.bank_top + 0.3, drawing.lip or drawing.bank_top) + 0.3


def _bed(drawing: Drawing) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Station, top and hard bottom of the ground drawn. [m]"""
    sheet = drawing.trench
    if sheet is None:
        bed = next(m.elevation for m in drawing.marks if m.what == "deepest bed of its zone")
        station, top = np.array([0.0, KNOWN * drawing.length]), np.array([bed, bed])
        return station, top, top
    return sheet.station, sheet.bed, sheet.hard


def _ground(axes: Axes, drawing: Drawing, at: Shown) -> None:
    """Bed, muck, trench and water."""
    station, bed, hard = _bed(drawing)
    x0, x1 = axes.get_xlim()
    y0 = axes.get_ylim()[0]
    end = x1 - 0.20 * (x1 - x0) if drawing.trench is not None else at(station[-1])
    x = np.array([x0 + 0.16 * (x1 - x0), *(at(s) for s in station), end])
    tops = np.array([at(v) for v in (bed[0], *bed, bed[-1])])
    firm = np.array([at(v) for v in (hard[0], *hard, hard[-1])])
    axes.fill_between(x, y0, firm, color=GROUND, linewidth=0, zorder=1)
    axes.fill_between(x, firm, tops, color=MUCK, alpha=0.55, linewidth=0, zorder=1)
    axes.plot(x, tops, color=STEEL, linewidth=1.2, zorder=3)
    pool = at(drawing.normal_pool)
    axes.fill_between(x, tops, pool, where=list(tops < pool), interpolate=True, color=WATER, alpha=0.10,
                      linewidth=0, zorder=1)  # fmt: skip
    if drawing.trench is None:
        axes.text(
            1.1 * end, at(drawing.start) - 0.6 * at(max(drawing.inside, 0.3)),
            "ground along the line not known: write [trench]", fontsize=style.SIZE - 1, color=style.QUIET,
            ha="left", va="top",
        )  # fmt: skip
    if drawing.sump is not None:
        deep, long = drawing.sump
        edges = [-0.5 * at(long), 0.5 * at(long)]
        axes.fill_between(edges, tops[0] - at(deep), tops[0], facecolor="white", edgecolor=STEEL, zorder=2)
        axes.fill_between(edges, tops[0] - at(deep), tops[0], color=WATER, alpha=0.10, zorder=2.1)
    if drawing.trench is not None:
        s = np.array([at(v) for v in drawing.trench.station])
        floor, invert = (
            np.array([at(v) for v in row]) for row in (drawing.trench.floor, drawing.trench.invert)
        )
        top = np.array([at(v) for v in drawing.trench.bed])
        axes.fill_between(s, floor, np.minimum(top, invert), where=list(top > floor), interpolate=True,
                          color=STONE, linewidth=0, zorder=2)  # fmt: skip
        axes.plot(s, np.where(top > floor, floor, np.nan), color=STEEL, linestyle=(0, (6, 3)), linewidth=0.9,
                  zorder=3)  # fmt: skip


def _levels(axes: Axes, drawing: Drawing, at: Shown) -> None:
    """Pool levels over the water, from the left to the shore."""
    station, bed, _ = _bed(drawing)
    x0 = axes.get_xlim()[0] + 0.16 * np.ptp(axes.get_xlim())
    for level, dash in ((drawing.normal_pool, "solid"), (drawing.low_pool, (0, (2, 1.5)))):
        if level is None:
            continue
        dry = np.flatnonzero(bed > level)
        end = float(station[-1]) if not dry.size or dry[0] == 0 else float(
            np.interp(level, [bed[dry[0] - 1], bed[dry[0]]], [station[dry[0] - 1], station[dry[0]]])
        )  # fmt: skip
        axes.plot([x0, at(end)], [at(level)] * 2, color=WATER, linestyle=dash, linewidth=1.2, zorder=4)


def _pipe(axes: Axes, drawing: Drawing, at: Shown) -> None:
    """Gravity pipe with its wall, riser, grate and valve."""
    bottom = np.array([drawing.start, drawing.end])
    x = np.array([0.0, at(drawing.length)])
    for off in (0.0, drawing.inside):
        axes.plot(x, [at(v + off) for v in bottom], color=STEEL, linewidth=1.3, zorder=6)
    axes.fill_between(
        x,
        [at(v) for v in bottom],
        [at(v + drawing.inside) for v in bottom],
        color="white",
        zorder=5,
        linewidth=0,
    )
    half = at(0.5 * drawing.inside)
    if drawing.riser > 0.0:
        foot, head = at(drawing.start), at(drawing.opening)
        axes.fill_between(
            [-half, half], foot, head, facecolor="white", edgecolor=STEEL, linewidth=1.3, zorder=5.5
        )
    if drawing.grate:
        y, tall = at(drawing.opening), at(max(drawing.inside, 0.3))
        for x_bar in np.linspace(-2.4 * half, -1.0 * half if not drawing.riser else 2.4 * half, 6):
            axes.plot([x_bar] * 2, [y - 0.8 * tall, y + 0.8 * tall], color=STEEL, linewidth=0.8, zorder=6)
    if drawing.valve:
        place = at(drawing.length - _wall(drawing)) - 3.0 * half
        middle = at(drawing.end + 0.5 * drawing.inside)
        axes.plot([place], [middle], marker=r"$\bowtie$", markersize=12, color=STEEL, zorder=7)
        axes.annotate(
            drawing.valve, (place, middle), xytext=(-8, 16), textcoords="offset points", ha="right",
            fontsize=style.SIZE - 1, color=STEEL, zorder=8,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
            arrowprops={"arrowstyle": "-", "color": STEEL, "linewidth": 0.6},
        )  # fmt: skip
    axes.annotate(
        f"{drawing.pipe.split(',')[0] or 'gravity line'}, {at(drawing.length):.4g} {at.unit}",
        (0.22 * at(drawing.length), at(0.78 * drawing.start + 0.22 * drawing.end + drawing.inside)),
        xytext=(0, 14), textcoords="offset points", ha="center", fontsize=style.SIZE - 1, color=STEEL,
        zorder=8,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
    )  # fmt: skip


def _well(axes: Axes, drawing: Drawing, at: Shown) -> None:
    """Walls, slabs, stone, floats and the water at rest."""
    well = drawing.well
    if well is None:
        return
    structure, x = well.structure, at(drawing.length)
    inner = at(well.breadth)
    wall, floor = at(_wall(drawing)), at(well.bottom)
    top = at(drawing.bank_top if structure is None else structure.top)
    slab = 0.0 if structure is None else at(structure.top_thickness)
    axes.fill_between([x, x + inner], floor, top - slab, color="white", zorder=4, linewidth=0)
    parts = [(x - wall, x, floor, top), (x + inner, x + inner + wall, floor, top)]
    if structure is not None:
        lip = at(structure.base_lip)
        under = floor - at(structure.base_thickness)
        parts += [
            (x - wall - lip, x + inner + wall + lip, under, floor),
            (x - wall, x + inner + wall, top - slab, top),
        ]
        if structure.gravel > 0.0:
            stone = at(structure.gravel)
            axes.fill_between(
                [x - wall - lip - stone, x + inner + wall + lip + stone], under - stone, under,
                facecolor=STONE,
                edgecolor=STEEL, linewidth=0.6, hatch="oo", zorder=3,
            )  # fmt: skip
    for left, right, low, high in parts:
        axes.fill_between(
            [left, right], low, high, facecolor=CONCRETE, edgecolor=STEEL, linewidth=0.9, zorder=4.5
        )
    water = at(drawing.normal_pool)
    axes.fill_between([x, x + inner], floor, water, color=WATER, alpha=0.12, zorder=4.2, linewidth=0)
    axes.plot([x, x + inner], [water] * 2, color=WATER, linewidth=1.0, zorder=4.3)
    for elevation, face in ((well.pump_off, style.LIMIT), (well.alarm, "white"), (well.pump_on, style.LIMIT)):
        if elevation is not None:
            axes.plot([x + 0.25 * inner], [at(elevation)], "o", color=style.LIMIT, markerfacecolor=face,
                      markersize=6, zorder=7)  # fmt: skip


def _discharge(axes: Axes, drawing: Drawing, at: Shown, across: Scale) -> None:
    """Pump and the start of the discharge, which leaves the picture."""
    well = drawing.well
    if well is None:
        return
    x = at(drawing.length) + 0.62 * at(well.breadth)
    bottom = at(well.bottom) + 0.35 * (at(well.pump_off) - at(well.bottom))
    bore = at(drawing.discharge_bore or 0.15)
    run = at(drawing.normal_pool + 0.55 * (drawing.bank_top - drawing.normal_pool))
    end = at(drawing.length + well.breadth + 2.0 * _wall(drawing)) + 0.9 * across.per_inch
    axes.plot([x, x, end], [bottom, run, run], color=STEEL, linewidth=max(2.0, 72.0 * bore / across.per_inch),
              solid_capstyle="butt", alpha=0.75, zorder=5)  # fmt: skip
    words = f"{drawing.discharge_pipe.split(',')[0] or 'discharge'} to the lip"
    if drawing.discharge_length is not None:
        words = f"{words}, {at(drawing.discharge_length):.4g} {at.unit}"
    axes.text(
        end, run + 0.006 * np.ptp(axes.get_ylim()), words, fontsize=style.SIZE - 1.5, ha="left",
        va="bottom", color=style.INK, zorder=8,
    )  # fmt: skip
    axes.plot([x], [bottom], marker="s", markersize=15, color="white", markeredgecolor=STEEL, zorder=6)
    axes.plot([x], [bottom], marker="^", markersize=7, color=STEEL, zorder=7)


def _labels(axes: Axes, drawing: Drawing, at: Shown, across: Scale, up: Scale) -> None:
    """Elevations of the pond and intake on the left, of the well on the right, each at its height."""
    gap = LABEL * up.per_inch
    left = axes.get_xlim()[0] + 0.08 * across.per_inch
    outside = [m for m in drawing.marks if m.part in ("pond", "intake") or m.what == "invert at the intake"]
    _column(axes, [(m.what, m.elevation) for m in outside], left, -at(BEYOND) * 0.9, gap, at)
    breadth = 0.0 if drawing.well is None else drawing.well.breadth + 2.0 * _wall(drawing)
    edge = at(drawing.length + breadth)
    well = [m for m in drawing.marks if m.part in ("well", "waterfall") or m.what == "invert in the well"]
    words = [(m.what if m.part != "waterfall" else f"{m.what} (off the sheet)", m.elevation) for m in well]
    _column(axes, words, edge + 1.05 * across.per_inch, edge, gap, at)


def _column(
    axes: Axes, marks: list[tuple[str, float]], x: float, from_x: float, gap: float, at: Shown
) -> None:
    """Labels in a column, moved apart, with leaders from what they name."""
    places = style.spread([at(elevation) for _, elevation in marks], gap)
    right = x > from_x
    lowest = axes.get_ylim()[0] + 0.6 * gap
    shift = max(lowest - min(places), 0.0) if places else 0.0
    for (words, elevation), y in zip(marks, places, strict=True):
        axes.text(x, y + shift, f"{at(elevation):.2f}  {words}", fontsize=style.SIZE - 1.5, color=style.INK,
                  ha="left", va="center", zorder=8)  # fmt: skip
        if right:
            axes.plot([from_x, x - 0.06 * abs(x - from_x)], [at(elevation), y + shift], color=style.QUIET,
                      linewidth=0.5, zorder=4)  # fmt: skip
