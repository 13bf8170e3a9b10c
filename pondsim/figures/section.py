"""The construction sheet: profile to scale, plan with the pipe run, schedule of elevations."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pondsim.figures import style
from pondsim.figures.paper import MARGIN, SHEET, Shown, axes_at, new_sheet
from pondsim.figures.section_profile import draw_section
from pondsim.figures.site_plan import draw_plan

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from pondsim.design.elevations import Drawing

PROFILE = (1.1, 5.35, 15.2, 4.75)  # left, bottom, width, height [in]
PLAN = (0.6, 0.55, 8.6, 4.2)
TABLE_LEFT, TABLE_TOP, ROW = 9.6, 4.72, 0.148  # in
MOST_ROWS = 25
NOT_FINAL = (
    "Drawn from a design file; not for construction before a licensed engineer has checked it. Local codes "
    "go first. Trench walls, confined space, flotation, lifting: see the cautions of the design."
)


def section_sheet(drawing: Drawing, *, system: str = "us") -> Figure:
    """Draw a design to scale on a sheet of 17 by 11 in.

    Parameters
    ----------
    drawing : Drawing
        From `drawing_of`.
    system : {"us", "si"}
        Units.

    Returns
    -------
    matplotlib.figure.Figure
        Printed at its full size, an inch of paper is what the scales say; nothing is written.
    """
    figure = new_sheet()
    at = Shown(system)
    across, up = draw_section(axes_at(figure, *PROFILE), drawing, PROFILE[2:], at)
    plan = draw_plan(axes_at(figure, *PLAN), drawing, PLAN[2:], at)
    _table(figure, drawing, at)
    _words(figure, 0.6, 10.45, drawing.title, style.SIZE + 5, bold=True)
    same = across.per_inch / up.per_inch
    heights = "heights as lengths" if same == 1.0 else f"heights drawn {same:g} times"
    scales = f"Profile: across {across.words}, up {up.words} ({heights})"
    _words(figure, 0.6, 10.2, f"{scales}. Plan: {plan}. Sheet 17 by 11 in.", style.SIZE)
    _words(figure, 0.6, 0.32, NOT_FINAL, style.SIZE - 1.5)
    return figure


def _words(figure: Figure, x: float, y: float, text: str, size: float, *, bold: bool = False) -> None:
    figure.text(
        x / SHEET[0], y / SHEET[1], text, fontsize=size, color=style.INK, ha="left", va="bottom",
        fontweight="bold" if bold else "normal",
    )  # fmt: skip


def _table(figure: Figure, drawing: Drawing, at: Shown) -> None:
    """The schedule, highest first."""
    columns = (TABLE_LEFT, TABLE_LEFT + 4.6, SHEET[0] - MARGIN - 0.2)
    head = ("Elevations", f"[{at.unit}]", "from normal pool")
    rows = [
        (f"{mark.part}, {mark.what}", f"{at(mark.elevation):.2f}",
         f"{at(mark.elevation - drawing.normal_pool):+z.2f}")
        for mark in drawing.marks[:MOST_ROWS]
    ]  # fmt: skip
    for place, row in enumerate([head, *rows]):
        y = (TABLE_TOP - place * ROW) / SHEET[1]
        for column, (x, text) in enumerate(zip(columns, row, strict=True)):
            figure.text(
                x / SHEET[0], y, text, fontsize=style.SIZE - 1, color=style.INK, va="top",
                ha="left" if column == 0 else "right", fontweight="bold" if place == 0 else "normal",
            )  # fmt: skip
