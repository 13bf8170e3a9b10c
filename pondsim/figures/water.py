"""Water surface and outflow through the run."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pondsim.figures import shown, style
from pondsim.figures.readings import lay_readings
from pondsim.figures.thin import thin
from pondsim.figures.words import alike, beside_others
from pondsim.measures import peak_words, step_hours
from pondsim.units import convert, display_unit

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

BELOW = 0.25  # of half the height, below the line of normal pool for its name
LEAST_SPAN = 0.2  # m of level shown, though it may move less


def level_and_outflow(
    datasets: list[xr.Dataset],
    *,
    start: shown.Moment = None,
    end: shown.Moment = None,
    system: str = "us",
) -> Figure:
    """Draw the water surface and what leaves by the outlet.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results, the existing pond first; one alone is drawn by itself.
    start, end : str or datetime64, optional
        Part of the time to show.
    system : {"us", "si"}
        Units.

    Returns
    -------
    matplotlib.figure.Figure
        Two panels, one below the other; nothing is written.

    Raises
    ------
    ScenarioError
        There are no results in that part of the time.
    """
    datasets, left = style.drawn(datasets)
    parts = [shown.window(dataset, start, end) for dataset in datasets]
    names, kinds = style.titles(datasets), style.numbers(len(datasets))
    figure = style.new_figure(5.2)
    level, flow = figure.subplots(2, 1, sharex=True)
    style.fix_panels(figure, 2, left=0.75, right=0.1, top=0.25, gap=0.3)
    units = (display_unit("length", system), display_unit("storm_flow", system))
    _lines(level, parts, "water_surface_elevation", ("m", units[0]), names, kinds)
    _lines(flow, parts, "outflow", ("m3/s", units[1]), names, kinds)
    style.panel(level, "water surface", f"elevation, {units[0]}")
    style.panel(flow, "outflow", units[1])
    lay_readings(level, parts[0], None, "water_surface_elevation", system, by_day=False)
    level.ticklabel_format(axis="y", useOffset=False)
    pool = datasets[0].attrs.get("normal_pool_m")
    if pool is not None:
        style.limit_line(level, float(convert(float(pool), "m", units[0])), "normal pool", above=False)
    style.time_axis(flow)
    style.headline(figure, _finding(parts, names, system), f"{_note()} {left}".rstrip())
    return figure


def _lines(
    axes: Axes, parts: list[xr.Dataset], name: str, units: tuple[str, str], names: list[str], kinds: list[int]
) -> None:
    ends = []
    for part, kind in zip(parts, kinds, strict=True):
        values = np.asarray(convert(np.asarray(part[name].values, dtype=float), *units))
        axes.plot(
            *thin(part["time"].values, values),
            color=style.colour(kind),
            linestyle=style.dash(kind),
            linewidth=1.3,
        )
        ends.append(float(values[np.isfinite(values)][-1]) if np.isfinite(values).any() else 0.0)
    drawn = np.concatenate([np.asarray(line.get_ydata(), dtype=float) for line in axes.lines])
    low, high = float(np.nanmin(drawn)), float(np.nanmax(drawn))
    if name == "outflow":
        axes.set_ylim(0.0, 1.05 * high or 1.0)
    else:
        room = 0.5 * max(high - low, float(convert(LEAST_SPAN, *units)))
        middle = 0.5 * (low + high)
        axes.set_ylim(middle - (1.0 + BELOW) * room, middle + 1.1 * room)
    if len(names) > 1 and style.names_beside():
        style.name_ends(axes, ends, names, [style.ink(kind) for kind in kinds])


def _finding(parts: list[xr.Dataset], names: list[str], system: str) -> str:
    """How far the level goes, where designs differ each, and the highest outflow of each design."""

    def feet(swing: float) -> str:
        return style.amount(swing, "length", system)

    levels = [part["water_surface_elevation"].values for part in parts]
    swings = [float(np.nanmax(level) - np.nanmin(level)) for level in levels]
    swing = feet(swings[0]) + ("" if alike(swings) else beside_others(swings, names, feet))
    peaks = [float(np.nanmax(part["outflow"].values)) for part in parts]
    words = peak_words(step_hours(parts[0]["time"].values))
    peak = f"the {words} outflow is {style.amount(peaks[0], 'storm_flow', system)}"
    others = beside_others(peaks, names, lambda flow: style.amount(flow, "storm_flow", system))
    return f"the water surface moves over {swing}; {peak}{others}"


def _note() -> str:
    return "Outflow: mean over each step of the results, by the outlet alone."
