"""Pump curve and the line's own curves over the flow, with operating points and efficiency."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pondsim.figures import style
from pondsim.units import display, display_unit, from_si, number_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from pondsim.design.line_values import LineSheet

PUMP = style.DESIGNS[0]
LINE = style.DESIGNS[1]
EFFICIENCY = "#5d6b73"
DASH = {"low pool": (0, (2, 1.5)), "normal pool": "solid", "bank top": (0, (6, 2))}
HEADROOM = 1.4  # of the highest head drawn: above it stand the words
TEXT_HEIGHT = 0.77  # of the axis


def draw_curves(axes: Axes, sheet: LineSheet, system: str, *, low_stated: bool) -> None:
    """Draw into `axes`; a pump with a stated flow has points and no curve.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        A twin for the efficiency is added where it is known.
    sheet : LineSheet
        From `line_sheet`.
    system : {"us", "si"}
        Units.
    low_stated : bool
        Whether low pool is a level of its own.
    """
    curves = sheet.curves
    flow_unit, head_unit = display_unit("flow", system), display_unit("length", system)
    flow = from_si(curves.flow, flow_unit)
    first = 0 if low_stated else 1
    most = _highest(sheet)
    for place, pool in list(enumerate(sheet.pools))[first:]:
        asked = np.where(curves.system[place] <= most, from_si(curves.system[place], head_unit), np.nan)
        axes.plot(
            flow, asked, color=LINE, linestyle=DASH[pool.name], linewidth=1.4, label=f"line, {pool.name}"
        )
    if curves.pump is not None:
        inside = curves.pump >= 0.0
        axes.plot(
            flow[inside], from_si(curves.pump[inside], head_unit), color=PUMP, linewidth=2.0, label="pump"
        )
        if curves.points is not None:
            given = from_si(curves.points[0], flow_unit), from_si(curves.points[1], head_unit)
            axes.plot(*given, linestyle="none", marker="s", markersize=4, color=PUMP, label="points given")
    axes.set_xlim(0.0, float(flow[-1]) * 1.02)
    _points(axes, sheet, first, system)
    axes.set_ylim(0.0, from_si(HEADROOM * most, head_unit))
    axes.set_xlabel(f"flow [{flow_unit}]", fontsize=style.SIZE, color=style.INK)
    style.dress(axes, _title(sheet, first, system), f"head [{head_unit}]")
    if curves.efficiency is not None and np.isfinite(curves.efficiency).any():
        _efficiency(axes, flow, curves.efficiency)
    axes.legend(frameon=False, fontsize=style.SIZE - 1, loc="upper center", ncols=5)


def _highest(sheet: LineSheet) -> float:
    """Head up to which curves are drawn: the pump's, and what the line asks at rest and running [m]."""
    curves = sheet.curves
    tops = [*(pool.head for pool in sheet.pools), *curves.system[:, 0].tolist()]
    if curves.pump is not None:
        tops.append(float(np.max(curves.pump)))
    return 1.02 * max(tops)


def _points(axes: Axes, sheet: LineSheet, first: int, system: str) -> None:
    for pool in sheet.pools[first:]:
        if pool.flow <= 0.0 or pool.stops:
            continue
        x, y = (
            from_si(pool.flow, display_unit("flow", system)),
            from_si(pool.head, display_unit("length", system)),
        )
        axes.plot([x], [y], marker="o", markersize=7, color=LINE, markeredgecolor=style.INK, zorder=5)
    shown = sheet.normal
    if shown.stops:
        return
    x = from_si(shown.flow, display_unit("flow", system))
    y = from_si(shown.head, display_unit("length", system))
    share = "" if shown.efficiency is None else f", {display(shown.efficiency, 'share', system)} efficient"
    left, right = axes.get_xlim()
    axes.annotate(
        f"{display(shown.flow, 'flow', system)}, {display(shown.head, 'length', system)}{share},\n"
        f"{display(shown.electric_power, 'power', system)} at the meter at normal pool",
        (x, y),
        xytext=(max(0.8 * (x - left) / (right - left), 0.03), TEXT_HEIGHT),
        textcoords="axes fraction",
        fontsize=style.SIZE - 1,
        color=style.INK,
        arrowprops={"arrowstyle": "-", "color": style.INK, "linewidth": 0.7},
    )


def _title(sheet: LineSheet, first: int, system: str) -> str:
    unit = display_unit("flow", system)
    pools = [pool for pool in sheet.pools[first:] if pool.flow > 0.0]
    if len(pools) < len(sheet.pools[first:]):
        dry = ", ".join(pool.name for pool in sheet.pools[first:] if pool.flow <= 0.0)
        return f"The pump does not reach the lip at {dry}"
    if stopped := ", ".join(pool.name for pool in pools if pool.stops):
        return f"No operating point at {stopped}: the well would fall below pump-off"
    flows = [number_text(from_si(pool.flow, unit)) for pool in pools]
    names = [pool.name.removesuffix(" pool") for pool in pools]
    if sheet.curves.pump is None:
        return f"The pump gives {flows[0]} {unit} at every level of the pond, as stated"
    return (
        f"Pump and line agree at {', '.join(flows[:-1])} and {flows[-1]} {unit} "
        f"at {', '.join(names[:-1])} and {names[-1]} pool"
    )


def _efficiency(axes: Axes, flow: np.ndarray, efficiency: np.ndarray) -> None:
    """On an axis of its own at the right."""
    twin = axes.twinx()
    percent = 100.0 * efficiency
    twin.plot(flow, percent, color=EFFICIENCY, linewidth=1.2, linestyle=(0, (1, 1)), label="efficiency")
    twin.set_ylim(0.0, 100.0 * HEADROOM)
    twin.set_yticks([0, 25, 50, 75, 100])
    twin.set_ylabel("efficiency of the pump [%]", fontsize=style.SIZE, color=EFFICIENCY)
    twin.tick_params(labelsize=style.SIZE - 1, colors=EFFICIENCY, length=3)
    for side in ("top", "left"):
        twin.spines[side].set_visible(False)
    twin.spines["right"].set_color(EFFICIENCY)
    named = int(0.5 * np.nanargmax(percent))
    twin.annotate(
        "efficiency", (flow[named], percent[named]), xytext=(-3, 4), textcoords="offset points", ha="right",
        fontsize=style.SIZE - 1, color=EFFICIENCY,
    )  # fmt: skip
