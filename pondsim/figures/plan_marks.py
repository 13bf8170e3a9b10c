"""Signs of the plan, of our own: passages, intake, waterfall, inlet, outlet, diffusers, north, scale bar."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.figures import style
from pondsim.units import convert, display_unit, number_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from pondsim.figures.plan_layout import Room

WATER = "#dfe6e3"
ROUND = (1.0, 2.0, 5.0, 10.0)  # lengths of a scale bar, times a power of ten
SIGN_REACH = 2.6  # letters from the rim to the words of a sign
Place = tuple[tuple[float, float], tuple[str, str]]


def beside(room: Room, zone: int, angle: float, letters: float) -> Place:
    """A place outside the rim of a zone, so many letter heights away, and how words align there."""
    reach = room.radii[zone] + letters * room.letter
    x = room.centres[zone, 0] + reach * math.cos(angle)
    y = room.centres[zone, 1] + reach * math.sin(angle)
    side = "left" if math.cos(angle) > 0.25 else "right" if math.cos(angle) < -0.25 else "center"
    return (x, y), (side, "center")


def passages(
    axes: Axes, connections: list[list[Any]], links: list[tuple[int, int]], room: Room, system: str
) -> None:
    """Open water between zones, as wide as it is, with its width."""
    from matplotlib.patches import Polygon  # noqa: PLC0415

    for (a, b), connection in zip(links, connections, strict=True):
        width = float(connection[2])
        along = room.centres[b] - room.centres[a]
        along = along / max(float(np.hypot(*along)), 1e-9)
        half = 0.5 * min(width, 1.8 * float(min(room.radii[a], room.radii[b])))
        across = half * np.array([-along[1], along[0]])
        ends = [
            room.centres[a] + across,
            room.centres[b] + across,
            room.centres[b] - across,
            room.centres[a] - across,
        ]
        axes.add_patch(Polygon(ends, facecolor=WATER, edgecolor=style.QUIET, linewidth=0.8, zorder=1))
        rims = [room.centres[a] + along * room.radii[a], room.centres[b] - along * room.radii[b]]
        middle = 0.5 * (rims[0] + rims[1])
        axes.text(
            middle[0],
            middle[1],
            style.amount(width, "length", system),
            ha="center",
            va="center",
            fontsize=style.SIZE - 2.5,
            color=style.INK,
            zorder=5,
            bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 0.8},
        )


def signs(axes: Axes, layout: dict[str, Any], zones: list[str], room: Room) -> None:
    """Equipment and openings at the rim of their zones, each with its word."""
    wanted: list[tuple[str, str, str]] = []
    for key, kind, word in (
        ("waterfall_zone", "waterfall", "waterfall"),
        ("intake_zone", "intake", "intake"),
        ("outlet_zone", "outlet", "outlet"),
    ):
        if layout.get(key):
            wanted.append((str(layout[key]), kind, word))
    wanted += [
        (str(zone), "inlet", "water coming in") for zone in dict.fromkeys(layout.get("inflow_zones") or [])
    ]
    for unit in layout.get("aeration") or []:
        count = int(unit["diffusers"])
        word = f"{unit['name']}: {count} diffuser{'s' if count != 1 else ''}"
        wanted.append((str(unit["zone"]), "diffusers", word))
    for zone, kind, word in wanted:
        if zone in zones:
            number = zones.index(zone)
            angle, reach = room.best_place(number, len(word), 1, SIGN_REACH)
            _sign(axes, room, number, angle, kind)
            at, (side, up) = beside(room, number, angle, reach)
            axes.text(*at, word, ha=side, va=up, fontsize=style.SIZE - 0.5, color=style.INK, zorder=7)


def _sign(axes: Axes, room: Room, zone: int, angle: float, kind: str) -> None:
    """A small sign on the rim of a zone."""
    out = np.array([math.cos(angle), math.sin(angle)])
    rim = room.centres[zone] + room.radii[zone] * out
    step = room.letter
    if kind in ("inlet", "outlet"):
        tail, head = (rim + 2.2 * step * out, rim)[:: 1 if kind == "inlet" else -1]
        axes.annotate(
            "",
            head,
            tail,
            zorder=6,
            arrowprops={"arrowstyle": "-|>", "color": style.INK, "lw": 1.6, "shrinkA": 0, "shrinkB": 0},
        )
    elif kind == "intake":  # a screened mouth: a ring with a cross
        axes.plot(
            *rim, marker="o", markersize=11, markerfacecolor="white", markeredgecolor=style.INK, zorder=6
        )
        axes.plot(*rim, marker="x", markersize=6, color=style.INK, markeredgewidth=1.4, zorder=6)
    elif kind == "waterfall":  # three strokes falling into the zone
        across = np.array([-out[1], out[0]])
        for place in (-0.7, 0.0, 0.7):
            ends = np.array(
                [
                    rim + place * step * across + 1.1 * step * out,
                    rim + place * step * across - 0.9 * step * out,
                ]
            )
            axes.plot(*ends.T, color="white", linewidth=4.5, solid_capstyle="round", zorder=6)
            axes.plot(*ends.T, color=style.INK, linewidth=2.2, solid_capstyle="round", zorder=6)
    else:  # bubbles, growing as they rise
        for number, (place, size) in enumerate(((-0.3, 3.5), (0.6, 5.0), (1.7, 7.0))):
            dot = rim + place * step * out + 0.35 * step * (number - 1) * np.array([-out[1], out[0]])
            axes.plot(
                *dot,
                marker="o",
                markersize=size,
                markerfacecolor="white",
                markeredgecolor=style.INK,
                zorder=6,
            )


def compass_and_scale(axes: Axes, room: Room, system: str) -> None:
    """North arrow and scale bar at the foot, on the left."""
    unit = display_unit("length", system)
    (left, right), (bottom, _) = axes.get_xlim(), axes.get_ylim()
    span = float(convert(right - left, "m", unit))
    power = 10.0 ** math.floor(math.log10(0.22 * span))
    length = power * max(m for m in ROUND if m * power <= 0.22 * span)
    metres = float(convert(length, unit, "m"))
    x, y = left + 3.0 * room.letter, bottom + 2.2 * room.letter
    axes.plot(
        [x, x, x + metres, x + metres],
        [y + 0.5 * room.letter, y, y, y + 0.5 * room.letter],
        color=style.INK,
        lw=1.4,
    )
    axes.text(
        x + 0.5 * metres,
        y + 0.3 * room.letter,
        f"{number_text(length)} {unit}",
        ha="center",
        va="bottom",
        fontsize=style.SIZE - 1,
        color=style.INK,
    )
    axes.annotate(
        "N",
        (x - 1.6 * room.letter, y + 3.4 * room.letter),
        (x - 1.6 * room.letter, y - 0.2 * room.letter),
        ha="center",
        va="bottom",
        fontsize=style.SIZE,
        color=style.INK,
        fontweight="bold",
        arrowprops={"arrowstyle": "-|>", "color": style.INK, "lw": 1.4},
    )
