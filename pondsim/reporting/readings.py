"""Lines of a drawn figure as small data, so that the page can read them under the pointer."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np

from pondsim.figures import style

Array = np.ndarray[Any, Any]
# Of matplotlib, whose one door is figures/: what is drawn comes here without its library.
Figure: TypeAlias = Any
Axes: TypeAlias = Any
Line: TypeAlias = Any

COLUMNS = 120  # of a line: the lowest and highest value of each are kept
ACROSS = 2000  # steps in which places along an axis are told
DIGITS = 3


def readings(figure: Figure, titles: tuple[str, ...]) -> dict[str, Any]:
    """Panels of a figure that was drawn, with their places and lines.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        Drawn once, so that its panels have their places.
    titles : names of the designs, by whose inks unnamed lines are known

    Returns
    -------
    dict
        ``panels``: each with ``box`` (left, top, right, bottom as shares of the picture), ``from`` and ``to``
        (first and last moment, in ms since 1970), ``name``, and ``lines`` (name, places, values).
    """
    names = {style.BEHIND: titles[0]} | {ink: station for station, ink in style.STATIONS.items()}
    for number, title in zip(style.numbers(len(titles)), titles, strict=True):
        names |= {style.colour(number): title, style.ink(number): title}
    panels = [panel for axes in figure.axes if (panel := _panel(axes, names))]
    return {"panels": panels} if panels else {}


def _panel(axes: Axes, names: dict[str, str]) -> dict[str, Any] | None:
    low, high = axes.get_xlim()
    lines = [line for one in axes.lines if (line := _line(one, low, high, names))]
    if not lines or not axes.axison:
        return None
    place = axes.get_position()
    title = " ".join(part for part in (axes.get_title(loc="left"), axes.get_ylabel()) if part)
    return {
        "box": [round(float(v), 4) for v in (place.x0, 1.0 - place.y1, place.x1, 1.0 - place.y0)],
        "from": round(low * 86.4e6),  # matplotlib counts days since 1970
        "to": round(high * 86.4e6),
        "name": title,
        "lines": lines,
    }


def _line(line: Line, low: float, high: float, names: dict[str, str]) -> dict[str, Any] | None:
    """A line through time with at least three points; None for a limit or a mark."""
    times = line.get_xdata(orig=True)
    if not isinstance(times, np.ndarray) or times.dtype.kind != "M" or times.size < 3:
        return None
    days = np.asarray(line.get_xdata(orig=False), dtype=float)
    values = np.asarray(line.get_ydata(orig=False), dtype=float)
    kept = _kept(values)
    label = str(line.get_label())
    name = names.get(str(line.get_color()), "") if label.startswith("_") else label
    return {
        "name": name,
        "at": [round(ACROSS * float((days[k] - low) / (high - low))) for k in kept],
        "is": [_short(values[k]) for k in kept],
    }


def _kept(values: Array) -> list[int]:
    """Places of the lowest and highest value of each column, in order."""
    there = np.flatnonzero(np.isfinite(values))
    if there.size <= 2 * COLUMNS:
        return [int(k) for k in there]
    kept: set[int] = set()
    for part in np.array_split(there, COLUMNS):
        kept |= {int(part[np.argmin(values[part])]), int(part[np.argmax(values[part])])}
    return sorted(kept)


def _short(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")
