"""Bars of several designs side by side, lying or standing, with their numbers and the designs' names."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.figures import style
from pondsim.units import number_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Row = Sequence[float] | np.ndarray[Any, Any]
MOST_NUMBERS = 24  # on standing bars across a page
THICK = 0.8  # of the bars of one place together
EACH_IN, GAP_IN = 0.15, 0.13  # height of a lying bar, and between two places


def most_numbers() -> int:
    """How many numbers have room on standing bars."""
    return MOST_NUMBERS if style.names_beside() else MOST_NUMBERS // 2


def height(places: int, designs: int) -> float:
    """Height that lying bars need. [in]"""
    return (EACH_IN * designs + GAP_IN) * max(places, 2)


def offsets(designs: int) -> list[float]:
    """Where the bars of each design stand about a place."""
    wide = THICK / designs
    return [-0.5 * THICK + wide * (design + 0.5) for design in range(designs)]


def lying(
    axes: Axes,
    values: Sequence[Row],
    kinds: Sequence[int],
    words: Callable[[float], str] | None = None,
) -> None:
    """Bars to the right of zero, or to the left, by design and place; what is not finite is words alone."""
    longest = max((abs(v) for row in values for v in row if np.isfinite(v)), default=0.0) or 1.0
    for row, kind, offset in zip(values, kinds, offsets(len(kinds)), strict=True):
        places = np.arange(len(row)) + offset
        drawn = np.where(np.isfinite(row), row, 0.0)
        axes.barh(
            places,
            drawn,
            0.9 * THICK / len(kinds),
            color=style.colour(kind),
            hatch=style.hatch(kind),
            edgecolor="white",
            linewidth=0.0,
        )
        for at, value, end in zip(places, row, drawn, strict=True):
            left = value < 0.0
            axes.text(
                end + (-0.008 if left else 0.008) * longest,
                at,
                words(value) if words else number_text(value),
                ha="right" if left else "left",
                va="center",
                fontsize=style.SIZE - 2,
                color=style.INK,
                bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.2},
            )


def standing(axes: Axes, values: Sequence[Row], kinds: Sequence[int]) -> None:
    """Bars upwards by design and place, with a number on each."""
    longest = max((abs(v) for row in values for v in row if np.isfinite(v)), default=0.0) or 1.0
    for row, kind, offset in zip(values, kinds, offsets(len(kinds)), strict=True):
        places = np.arange(len(row)) + offset
        axes.bar(
            places,
            row,
            0.9 * THICK / len(kinds),
            color=style.colour(kind),
            hatch=style.hatch(kind),
            edgecolor="white",
            linewidth=0.0,
        )
        for at, value in zip(places, row, strict=True):
            if value > 0.0 and len(row) * len(kinds) <= most_numbers():
                number(axes, at, value + 0.015 * longest, number_text(value))
    axes.set_ylim(0.0, 1.12 * longest)


def number(axes: Axes, at: float, value: float, words: str) -> None:
    """A number on a standing bar."""
    axes.text(at, value, words, ha="center", fontsize=style.SIZE - 2, color=style.INK)


def name_places(axes: Axes, names: Sequence[str], unit: str) -> None:
    """Names of the places of lying bars on the left, first on top, and the unit below."""
    axes.set_yticks(range(len(names)), names)
    axes.tick_params(axis="y", length=0, labelsize=style.SIZE)
    axes.set_ylim(len(names) - 0.4, -0.6)
    axes.set_xlabel(style.unit_text(unit), fontsize=style.SIZE, color=style.INK)


def name_designs(axes: Axes, names: Sequence[str], kinds: Sequence[int]) -> None:
    """Names beside the panel, in the order and colour of the bars, where there are several."""
    if len(names) == 1 or not style.names_beside():
        return
    line = 0
    for name, kind in zip(names, kinds, strict=True):
        words = style.wrapped(name)
        axes.annotate(
            words,
            (1.01, 0.98),
            (0, -13 * line),
            xycoords="axes fraction",
            textcoords="offset points",
            va="top",
            color=style.ink(kind),
            fontsize=style.SIZE,
            fontweight="bold",
            annotation_clip=False,
        )
        line += words.count("\n") + 1
