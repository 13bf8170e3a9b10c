"""Depth contours of a sounded pond, with its zones and the trench line."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.colors import ListedColormap
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline
from matplotlib.tri import Triangulation

from pondsim.figures import style
from pondsim.units import display, display_unit, from_si

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Array = np.ndarray[Any, Any]
Named = tuple[str, Array, Array]
SHALLOW, DEEP = np.array([0.87, 0.94, 0.97]), np.array([0.09, 0.25, 0.43])
TRENCH = style.DESIGNS[1]
MOST_BANDS = 14


def contour_map(
    bed: tuple[Array, Array, Array, Array],
    outlines: list[Named],
    pool: float,
    *,
    step: float,
    line: tuple[Array, Array] | None = None,
    system: str = "us",
) -> Figure:
    """Draw depths below normal pool.

    Parameters
    ----------
    bed : x, y, elevation of the points [m] and their triangles
    outlines : name and corners of each zone [m]
    pool : normal pool [m]
    step : between contours; doubled until there are few enough to read [m]
    line : corners of the trench, intake first [m]
    system : {"us", "si"}

    Returns
    -------
    matplotlib.figure.Figure
    """
    unit = display_unit("length", system)
    x, y, z, triangles = bed
    depth = np.asarray(from_si(pool - z, unit))
    step = float(from_si(step, unit))
    while depth.max() > MOST_BANDS * step:
        step *= 2.0
    levels = step * np.arange(0, int(np.ceil(depth.max() / step)) + 1)
    levels = levels if levels.size > 1 else np.array([0.0, step])
    wide, high = np.ptp(x), np.ptp(y)
    figure = style.new_figure(float(np.clip(style.WIDTH_IN * 0.8 * high / wide + 1.2, 4.0, 10.0)))
    axes = figure.subplots()
    mesh = Triangulation(from_si(x, unit), from_si(y, unit), triangles)
    shades = ListedColormap([SHALLOW + (DEEP - SHALLOW) * t for t in np.linspace(0.0, 1.0, levels.size - 1)])
    filled = axes.tricontourf(mesh, depth, levels=levels, cmap=shades)
    lines = axes.tricontour(mesh, depth, levels=levels[1:], colors="white", linewidths=0.7)
    clip = _clip(axes, outlines, unit)
    filled.set_clip_path(clip)
    lines.set_clip_path(clip)
    axes.clabel(lines, fmt="%g", fontsize=style.SIZE - 2)
    inside = clip.get_path().contains_points(
        np.column_stack([from_si(x, unit), from_si(y, unit)]), radius=1e-6
    )
    axes.plot(from_si(x[inside], unit), from_si(y[inside], unit), ".", color=style.INK, markersize=2.5)
    _names(axes, outlines, unit)
    if line is not None:
        _line(axes, line, unit)
    style.dress(axes, "", f"north [{unit}]", grid=None)
    axes.set_xlabel(f"east [{unit}]", fontsize=style.SIZE, color=style.INK)
    axes.set_aspect("equal")
    style.headline(
        figure,
        f"Depths below normal pool, {display(pool, 'length', system, 5)}: contours every {step:g} {unit}, "
        f"deepest {depth[inside].max():.1f} {unit}",
        "Dots: soundings. Straight lines between them; a hump between two soundings is not seen.",
    )
    return figure


def _clip(axes: Axes, outlines: list[Named], unit: str) -> PathPatch:
    """The outlines as one path, drawn as well."""
    rings = []
    for _, x, y in outlines:
        corners = np.column_stack([from_si(x, unit), from_si(y, unit)])
        rings.append(Outline(np.vstack([corners, corners[:1]]), closed=True))
    patch = PathPatch(
        Outline.make_compound_path(*rings), facecolor="none", edgecolor=style.INK, linewidth=1.1, zorder=4
    )
    axes.add_patch(patch)
    return patch


def _names(axes: Axes, outlines: list[Named], unit: str) -> None:
    if len(outlines) == 1:
        return
    for name, x, y in outlines:
        axes.text(
            float(from_si(x.mean(), unit)), float(from_si(y.mean(), unit)), name,
            ha="center", va="center", fontsize=style.SIZE, color=style.INK, zorder=6,
            bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 1.5},
        )  # fmt: skip


def _line(axes: Axes, line: tuple[Array, Array], unit: str) -> None:
    x, y = (np.asarray(from_si(one, unit)) for one in line)
    axes.plot(x, y, color=TRENCH, linewidth=2.0, zorder=7)
    axes.plot(x[0], y[0], "o", color=TRENCH, markersize=7, zorder=8)
    axes.plot(x[-1], y[-1], "s", color=TRENCH, markersize=7, zorder=8)
    for place, word in ((0, "intake"), (-1, "well")):
        axes.annotate(
            word, (x[place], y[place]), xytext=(6, 6), textcoords="offset points", color=style.INK,
            fontsize=style.SIZE, zorder=9, bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
        )  # fmt: skip
