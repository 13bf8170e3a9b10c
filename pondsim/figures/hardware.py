"""The loop on one page: its profile from pond to lip, and the pump on its line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pondsim.figures import style
from pondsim.figures.profile import draw_profile
from pondsim.figures.pump_curves import draw_curves
from pondsim.units import display

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from pondsim.design.cut import LineCut
    from pondsim.design.line_values import LineSheet


def hardware_figure(sheet: LineSheet, cut: LineCut, *, system: str = "us") -> Figure:
    """Draw a circulation line.

    Parameters
    ----------
    sheet : LineSheet
        From `line_sheet`.
    cut : LineCut
        From `cut_of`, of the same scenario.
    system : {"us", "si"}
        Units.

    Returns
    -------
    matplotlib.figure.Figure
        The profile, and below it the curves where a pump curve or a pipe is described; nothing is written.
    """
    if not has_curves(sheet, cut):
        figure = style.new_figure(4.6)
        draw_profile(figure.subplots(), sheet, cut, finding(sheet, cut, system), system)
        return figure
    figure = style.new_figure(8.6)
    upper, lower = figure.subplots(2, 1, height_ratios=[1.15, 1.0])
    draw_profile(upper, sheet, cut, finding(sheet, cut, system), system)
    draw_curves(lower, sheet, system, low_stated=cut.low_stated)
    return figure


def has_curves(sheet: LineSheet, cut: LineCut) -> bool:
    """Whether there is anything to draw over the flow."""
    return cut.described or sheet.curves.pump is not None


def finding(sheet: LineSheet, cut: LineCut, system: str) -> str:
    """What the picture says, in one line."""
    normal, lowest = sheet.normal, sheet.low
    flow, head = display(normal.flow, "flow", system), display(normal.head, "length", system)
    said = f"{flow} at normal pool against {head}"
    if normal.stops:
        most = display(normal.starving_flow, "flow", system)
        return f"Does not run at normal pool: the intake gives {most} at most, the pump would take {flow}"
    at = f"at {'low' if cut.low_stated else 'normal'} pool"
    if lowest.flow <= 0.0:
        return f"{said}; the pump does not reach the lip {at}"
    if lowest.over_pump_off is not None:
        if lowest.stops:
            return f"{said}; does not run {at}: the well falls below pump-off"
        stands = display(lowest.over_pump_off, "length", system)
        return f"{said}; the well stands {stands} over pump-off {at}"
    over = "top" if lowest.cover_top is not None else "center"
    cover = lowest.cover_centre if lowest.cover_top is None else lowest.cover_top
    if cover <= 0.0:
        return f"{said}; the intake's {over} lies dry {at}"
    return f"{said}; {display(cover, 'length', system)} of water over the intake's {over} {at}"
