"""Colors, sizes and small helpers of every figure: safe for colour-blind readers and readable in grey.

Designs differ by color, lightness and dash at once; the existing pond is always grey. The headline of a
figure says the finding; a small line at its foot says how to read it.
"""

from __future__ import annotations

import re
import textwrap
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_hex, to_rgb
from matplotlib.dates import AutoDateLocator, ConciseDateFormatter
from matplotlib.figure import Figure

from pondsim.figures.files import svg_text, write_figure
from pondsim.figures.scales import luminance
from pondsim.figures.sizes import (
    PAGE_HEIGHT,
    WIDTH_IN,
    fix_panels,
    for_a_page,
    names_beside,
    panel_in,
    place_beside,
    row_in,
    width_in,
)
from pondsim.units import display

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes

__all__ = ["fix_panels", "for_a_page", "panel_in", "place_beside", "row_in"]
__all__ += ["svg_text", "width_in", "write_figure"]

Grid = Literal["x", "y", "both"]
INK = "#1c2b33"  # words and axes
FAINT = "#c9d2d6"  # grid
QUIET = "#55646c"  # small print
LIMIT = "#7a1f3d"  # thresholds
EXISTING = "#8a9499"
BEHIND = "#bcc4c8"  # the existing pond behind one design: paler, so that a grey print tells them apart
# Blue and orange, dark and light in turn: apart for every kind of color vision and in grey.
DESIGNS = ("#123f6d", "#c8641b", "#6db6d6", "#7a2e0e", "#e0a75e", "#2f2a5b")
DASHES = ("solid", (0, (6, 2)), (0, (2, 1.5)), (0, (8, 2, 2, 2)))
HATCHES = ("", "///", "\\\\", "--", "xx", "--")
STATIONS = {"top": "#6fb0a6", "mid": "#2f7d86", "bottom": "#0d3442"}  # light above, dark below
LEAST_CONTRAST = 4.5  # of words on white, as for web pages (WCAG 2)
SIZE = 9.0  # points
HEADLINE_LETTERS = 106  # in a line of the headline at the common width
MOST_RUNS = 9  # named beside their lines, or beside each other
HEADLINE_LINES, HEADLINE_IN = 2, 0.18  # lines that a figure has room for; height of each one more
NOTE_LETTERS = 170
NAME_LETTERS = 24  # of a title beside a panel
HEIGHT_SHARE = 0.9  # of a panel, once title and dates have taken theirs
DATES_IN_ROW = {1: 9, 2: 7, 3: 6, 4: 5}  # dates that fit, by panels beside each other

# A number stays in one line with its unit.
_WITH_UNIT = re.compile(r"(?<=\d) (?=(?:%|mg/L|d|ft|in|m|mm|lb|kg|kWh|cfs|m³/s|°F|°C|acre|m²|days?)(?:\W|$))")
# How a unit is written for readers, where its name in the program is plain letters.
UNIT_WORDS = {
    "degF": "°F",
    "degC": "°C",
    "delta_degF": "°F",
    "delta_degC": "°C",
    "m2": "m²",
    "m3": "m³",
    "m3/s": "m³/s",
    "ug/L": "µg/L",
    "g/m2/d": "g/m²/d",
}


def colour(design: int) -> str:
    """Colour of a design; 0 is the existing pond."""
    return EXISTING if design == 0 else DESIGNS[(design - 1) % len(DESIGNS)]


def ink(design: int) -> str:
    """Colour of a design darkened until words in it can be read on white."""
    parts: Any = to_rgb(colour(design))
    while 1.05 / (luminance(parts) + 0.05) < LEAST_CONTRAST:
        parts = tuple(0.95 * part for part in parts)
    return to_hex(parts)


def dash(design: int) -> str | tuple[int, tuple[float, ...]]:
    """Line style of a design."""
    return "solid" if design == 0 else DASHES[(design - 1) % len(DASHES)]


def hatch(design: int) -> str:
    """Hatch of a design's bars."""
    return "" if design == 0 else HATCHES[(design - 1) % len(HATCHES)]


def numbers(count: int) -> list[int]:
    """Numbers of so many designs for `colour`: the first is the existing pond, but one alone is a design."""
    return [1] if count == 1 else list(range(count))


def drawn(datasets: list[xr.Dataset]) -> tuple[list[xr.Dataset], str]:
    """The runs that have room beside each other, and what to say of the others, "" without any."""
    left = len(datasets) - MOST_RUNS
    if left <= 0:
        return datasets, ""
    return datasets[:MOST_RUNS], f"Not drawn for want of room: the last {left} of {len(datasets)} runs."


def titles(datasets: list[xr.Dataset]) -> list[str]:
    """Names of the runs, with a number after those that occur again."""
    names: list[str] = []
    for dataset in datasets:
        name = str(dataset.attrs.get("title", "untitled"))
        again = sum(1 for known in names if known == name or known.startswith(f"{name} ("))
        names.append(f"{name} ({again + 1})" if again else name)
    return names


def wrapped(name: str, letters: int = NAME_LETTERS) -> str:
    """A title in lines that leave room for the picture."""
    return textwrap.fill(name, letters)


def unit_text(unit: str) -> str:
    """A unit as people read it: degF is "°F"."""
    return UNIT_WORDS.get(unit, unit)


def amount(value: float, kind: str, system: str) -> str:
    """An SI value as people read it, as `pondsim.units.display` but with ² and ³."""
    number, _, unit = display(value, kind, system).partition(" ")
    return f"{number} {unit_text(unit)}".strip()


def new_figure(height_in: float) -> Figure:
    """An empty figure of the common width."""
    share = 1.0 if names_beside() else PAGE_HEIGHT
    figure = Figure(figsize=(width_in(), share * height_in), layout="constrained")
    FigureCanvasAgg(figure)
    return figure


def headline(figure: Figure, finding: str, note: str = "") -> None:
    """The finding above several panels; a figure grows where it is long. How to read it stands below."""
    words = _WITH_UNIT.sub("\u00a0", finding[:1].upper() + finding[1:])
    lines = textwrap.wrap(words, HEADLINE_LETTERS)
    if names_beside():  # a page takes the headline out of the figure
        figure.set_figheight(figure.get_figheight() + HEADLINE_IN * max(0, len(lines) - HEADLINE_LINES))
    figure.suptitle(
        "\n".join(lines).replace("\u00a0", " "),
        x=0.008,
        ha="left",
        fontsize=SIZE + 1.5,
        color=INK,
        fontweight="bold",
    )
    if note:
        small_print(figure, note)


def small_print(figure: Figure, note: str) -> None:
    """A note at the foot of a figure."""
    text = textwrap.fill(note, NOTE_LETTERS)
    figure.supxlabel(text, x=0.008, ha="left", fontsize=SIZE - 1.5, color=QUIET)


def dress(axes: Axes, title: str, unit: str, *, grid: Grid | None = "y") -> None:
    """Title on the left at a given height (to look for one takes long), unit beside the axis, no box."""
    axes.set_title(title, loc="left", y=1.0, fontsize=SIZE + 1, color=INK, fontweight="bold", wrap=True)
    axes.set_ylabel(unit_text(unit), fontsize=SIZE, color=INK)
    axes.tick_params(labelsize=SIZE - 1, colors=INK, length=3)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set_color(INK)
    if grid:
        axes.grid(axis=grid, color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)


def panel(axes: Axes, name: str, unit: str = "", *, grid: Grid | None = "y") -> None:
    """As `dress`, for one of several panels: a small name, since the finding stands above them all."""
    dress(axes, "", unit, grid=grid)
    axes.set_title(name, loc="left", y=1.0, fontsize=SIZE, color=INK)


def time_axis(axes: Axes, beside: int = 1, times: Any = ()) -> None:
    """Dates along the bottom; `beside` panels stand in a row; a single one of `times` gets a day's room."""
    if len(times) == 1:
        axes.set_xlim(times[0] - np.timedelta64(1, "D"), times[0] + np.timedelta64(1, "D"))
    most = round(DATES_IN_ROW.get(beside, 3) * width_in() / WIDTH_IN)
    locator = AutoDateLocator(minticks=2, maxticks=max(3, most))
    axes.xaxis.set_major_locator(locator)
    axes.xaxis.set_major_formatter(ConciseDateFormatter(locator, show_offset=beside < 3))
    axes.xaxis.get_offset_text().set_fontsize(SIZE - 1)
    axes.margins(x=0.01)


def spread(places: list[float], gap: float, sizes: list[float] | None = None) -> list[float]:
    """Heights for labels wanted at `places`, moved apart, their order and middle kept.

    Neighbours stand at least `gap` apart, times the mean of their `sizes` where these are given.
    """
    if not places:
        return []
    order = sorted(range(len(places)), key=lambda i: (places[i], -i))  # of equals the first on top
    moved = [places[i] for i in order]
    tall = [1.0 if sizes is None else sizes[i] for i in order]
    for k in range(1, len(moved)):
        moved[k] = max(moved[k], moved[k - 1] + gap * 0.5 * (tall[k] + tall[k - 1]))
    shift = (sum(places) - sum(moved)) / len(moved)
    result = [0.0] * len(places)
    for at, i in zip(moved, order, strict=True):
        result[i] = at + shift
    return result


def name_ends(axes: Axes, ends: list[float], names: list[str], colours: list[str]) -> None:
    """Names of lines at their right ends, moved apart where they would meet; call when limits are set."""
    if not names:
        return
    low, high = axes.get_ylim()
    inches = HEIGHT_SHARE * axes.get_position().height * axes.figure.bbox.height / axes.figure.get_dpi()
    gap = (high - low) * 1.25 * SIZE / 72.0 / max(inches, 0.5)
    names = [wrapped(name) for name in names]
    lines = [float(name.count("\n") + 1) for name in names]
    places = _inside(spread(ends, gap, lines), [gap * line for line in lines], low, high)
    for at, name, ink in zip(places, names, colours, strict=True):
        axes.annotate(
            name,
            (1.008, at),
            xycoords=("axes fraction", "data"),
            color=ink,
            fontsize=SIZE,
            va="center",
            annotation_clip=False,
        )


def _inside(places: list[float], tall: list[float], low: float, high: float) -> list[float]:
    """Labels moved off the dates below, then off the title above, each pushing its neighbours."""
    order = sorted(range(len(places)), key=lambda i: places[i])
    moved = list(places)
    floor = low - 0.4 * tall[order[0]]
    for i in order:
        moved[i] = max(moved[i], floor + 0.5 * tall[i])
        floor = moved[i] + 0.5 * tall[i]
    ceiling = high + 0.2 * tall[order[-1]]
    for i in reversed(order):
        moved[i] = min(moved[i], ceiling - 0.5 * tall[i])
        ceiling = moved[i] - 0.5 * tall[i]
    return moved


GAP_PT = 2.5  # between a line and its name


def limit_line(axes: Axes, limit: float, words: str = "", *, above: bool = True) -> None:
    """A threshold as a line with its name above or below it."""
    axes.axhline(limit, color=LIMIT, linewidth=0.9)
    if words:
        axes.annotate(
            words,
            (0.004, limit),
            xycoords=axes.get_yaxis_transform(),
            xytext=(0.0, GAP_PT if above else -GAP_PT),
            textcoords="offset points",
            color=LIMIT,
            fontsize=SIZE - 1.5,
            va="bottom" if above else "top",
            annotation_clip=True,  # outside the panel it would take all room from it
        )


def in_words(axes: Axes, text: str) -> None:
    """Say in an empty panel why nothing is drawn."""
    axes.set_axis_off()
    axes.text(
        0.5,
        0.5,
        textwrap.fill(text, 70),
        ha="center",
        va="center",
        color=QUIET,
        fontsize=SIZE + 1,
        transform=axes.transAxes,
    )
