"""Colours, sizes and small helpers of every figure: safe for colour-blind readers and readable in grey.

Designs differ by colour, lightness and dash at once; the existing pond is always grey.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    from matplotlib.axes import Axes

INK = "#1c2b33"  # words and axes
FAINT = "#c9d2d6"  # grid
LIMIT = "#7a1f3d"  # thresholds
EXISTING = "#8a9499"
# Blue and orange, dark and light in turn: apart for every kind of colour vision and in grey.
DESIGNS = ("#123f6d", "#c8641b", "#6db6d6", "#7a2e0e", "#e0a75e", "#2f2a5b")
DASHES = ("solid", (0, (6, 2)), (0, (2, 1.5)), (0, (8, 2, 2, 2)))
HATCHES = ("", "///", "...", "\\\\\\", "xx", "--")
WIDTH_IN = 9.5
SIZE = 9.0  # points
DPI = 150


def colour(design: int) -> str:
    """Colour of a design; 0 is the existing pond."""
    return EXISTING if design == 0 else DESIGNS[(design - 1) % len(DESIGNS)]


def dash(design: int) -> str | tuple[int, tuple[float, ...]]:
    """Line style of a design."""
    return "solid" if design == 0 else DASHES[(design - 1) % len(DASHES)]


def hatch(design: int) -> str:
    """Hatch of a design's bars."""
    return "" if design == 0 else HATCHES[(design - 1) % len(HATCHES)]


def new_figure(height_in: float) -> Figure:
    """An empty figure of the common width."""
    figure = Figure(figsize=(WIDTH_IN, height_in), layout="constrained")
    FigureCanvasAgg(figure)
    return figure


def dress(axes: Axes, title: str, unit: str) -> None:
    """Title on the left, unit above the axis, no box."""
    axes.set_title(title, loc="left", fontsize=SIZE + 1, color=INK, fontweight="bold", wrap=True)
    axes.set_ylabel(unit, fontsize=SIZE, color=INK)
    axes.tick_params(labelsize=SIZE - 1, colors=INK, length=3)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set_color(INK)
    axes.grid(axis="y", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)


def spread(places: list[float], gap: float) -> list[float]:
    """Heights for labels wanted at `places`, moved apart to at least `gap`, their order and middle kept."""
    if not places:
        return []
    order = sorted(range(len(places)), key=lambda i: places[i])
    moved = [places[i] for i in order]
    for k in range(1, len(moved)):
        moved[k] = max(moved[k], moved[k - 1] + gap)
    shift = (sum(places) - sum(moved)) / len(moved)
    result = [0.0] * len(places)
    for place, i in zip(moved, order, strict=True):
        result[i] = place + shift
    return result


def write_figure(figure: Figure, path: Path) -> None:
    """Write a figure whole or not at all; the kind is that of the ending.

    Raises
    ------
    ScenarioError
        Nothing can be written there.
    """
    partial = path.with_name(f".{path.stem}.{os.getpid()}.part{path.suffix}")
    try:
        figure.savefig(partial, dpi=DPI)
        os.replace(partial, path)
    except OSError as error:
        raise ScenarioError(f"{path}: could not be written ({error.strerror})") from error
    finally:
        partial.unlink(missing_ok=True)
