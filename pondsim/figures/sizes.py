"""Sizes of figures: as wide as paper by themselves, narrow in a page that is read on a phone."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH_IN = 9.5
PAGE_WIDTH_IN = 4.8  # of a figure in a page: it is read on a phone, and two stand side by side on paper
PAGE_HEIGHT = 0.75  # of the common height, there
PAGE_PANELS = 4.5  # of all panels of a figure, there, before that share is taken [in]

_width: ContextVar[float] = ContextVar("width", default=WIDTH_IN)


@contextmanager
def for_a_page() -> Iterator[None]:
    """Within it figures are drawn for a page: narrow, so that their words stay readable on a phone."""
    token = _width.set(PAGE_WIDTH_IN)
    try:
        yield
    finally:
        _width.reset(token)


def width_in() -> float:
    """Width of a figure as it is drawn now. [in]"""
    return _width.get()


def panel_in(panels: int) -> float:
    """Height of one of so many panels through time, one below the other. [in]

    Of four designs in a page two rows of figures, with their words, stand on one sheet of paper.
    """
    return 2.0 if names_beside() else min(1.5, max(1.0, PAGE_PANELS / panels))


def row_in(rows: int) -> float:
    """Height of one of so many rows of small panels, one below the other. [in]"""
    return 1.15 if names_beside() else min(1.15, max(0.7, PAGE_PANELS / rows))


def fix_panels(
    figure: Figure, rows: int, columns: int = 1, *, left: float, right: float, top: float, gap: float
) -> None:
    """On a page, put panels where they stand by margins [in]: to find their places takes as long as to draw.

    `left`, `right` and `top` are the room beside and above all panels, `gap` that between two rows; below
    them stand the dates.
    """
    if names_beside():
        return
    wide, tall = (float(size) for size in figure.get_size_inches())
    below = 0.45
    each = (tall - top - below - gap * (rows - 1)) / rows
    across = (wide - left - right - 0.12 * (columns - 1)) / columns
    figure.set_layout_engine(None)
    figure.subplots_adjust(
        left=left / wide,
        right=1.0 - right / wide,
        top=1.0 - top / tall,
        bottom=below / tall,
        hspace=gap / each,
        wspace=0.12 / across,
    )


def place_beside(figure: Figure) -> Axes | None:
    """On a page, a narrow place right of panels that `fix_panels` put; else None: the figure finds one."""
    if names_beside():
        return None
    wide, panels = float(figure.get_size_inches()[0]), figure.subplotpars
    return figure.add_axes(
        (panels.right + 0.05 / wide, panels.bottom, 0.09 / wide, panels.top - panels.bottom)
    )


def names_beside() -> bool:
    """Whether designs are named beside their lines and bars; a page names them in a key above the figure."""
    return width_in() == WIDTH_IN
