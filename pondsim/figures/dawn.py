"""Oxygen at dawn by zone through the season: a panel for each zone and design, the existing pond behind."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.ticker import MultipleLocator

from pondsim.figures import style
from pondsim.figures.outages import mark_outages
from pondsim.figures.readings import READ
from pondsim.figures.words import over
from pondsim.measures import (
    COARSEST,
    dawn_oxygen,
    dawns_read,
    day_minimum,
    minimum_limit,
    read_series,
    step_hours,
)
from pondsim.measures.places import TOP_METRE

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Array = np.ndarray[Any, Any]
TITLE_LETTERS = 96  # across the page
FEW = 3  # days that are drawn as points too


def dawn_by_zone(datasets: list[xr.Dataset], *, system: str = "us") -> Figure:
    """Draw oxygen at dawn in the top meter of every zone.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results, the existing pond first; one alone is drawn by itself.
    system : {"us", "si"}
        Units; oxygen is in mg/L in both.

    Returns
    -------
    matplotlib.figure.Figure
        Zones down, designs across; nothing is written.
    """
    datasets, left = style.drawn(datasets)
    names = style.titles(datasets)
    zones = [str(zone) for zone in datasets[0]["zone"].values]
    dawns = [_dawns(dataset) for dataset in datasets]
    if any(len(days) == 0 for days, _ in dawns):
        figure = style.new_figure(2.0)
        style.in_words(figure.subplots(), "Dawns need results at least every hour, over one whole day.")
        style.headline(figure, "Oxygen at dawn cannot be shown for this run")
        return figure
    limit, what = minimum_limit(datasets[0]), day_minimum(datasets[0])
    below = np.array([np.sum(oxygen < limit, axis=0) for _, oxygen in dawns])
    shown = list(range(1, len(datasets))) or [0]
    figure = style.new_figure(1.2 + style.row_in(len(zones)) * len(zones))
    grid = figure.subplots(len(zones), len(shown), sharex=True, sharey=True, squeeze=False)
    read = False
    style.fix_panels(figure, len(zones), len(shown), left=0.5, right=0.1, top=0.4, gap=0.1)
    most = max(limit + 1.0, *(float(np.nanmax(oxygen)) for _, oxygen in dawns))
    for row, zone in enumerate(zones):
        for column, design in enumerate(shown):
            axes = grid[row, column]
            _panel(axes, dawns, design, row, limit)
            mark_outages(axes, datasets[design])
            if column == 0:
                read = _read(axes, datasets[0], zone) or read
            axes.set_ylim(0.0, 1.05 * most)
            axes.yaxis.set_major_locator(MultipleLocator(limit))
            _count(axes, below[:, row], design)
            style.panel(axes, "", zone if column == 0 else "")
            style.time_axis(axes, len(shown), dawns[0][0])
            if row == 0:
                letters = int(TITLE_LETTERS * style.width_in() / style.WIDTH_IN) // len(shown)
                words = style.wrapped(names[design], letters)
                axes.set_title(
                    words, loc="left", y=1.0, fontsize=style.SIZE + 1, color=style.ink(max(design, 1))
                )
    note = f"{_note(datasets, limit, what, read=read)} {left}".rstrip()
    style.headline(figure, _finding(zones, names, dawns, below, limit), note)
    return figure


def _dawns(dataset: xr.Dataset) -> tuple[Array, Array]:
    """Days and lowest oxygen around sunrise; none where results are too far apart to see it."""
    if not step_hours(dataset["time"].values) <= COARSEST:
        return np.empty(0), np.empty((0, dataset.sizes["zone"]))
    return dawn_oxygen(dataset)


def _panel(axes: Axes, dawns: list[tuple[Array, Array]], design: int, zone: int, limit: float) -> None:
    days, oxygen = dawns[design]
    mark = "o" if len(days) < FEW else ""
    if design > 0:
        axes.plot(dawns[0][0], dawns[0][1][:, zone], color=style.BEHIND, linewidth=2.6, marker=mark)
    axes.plot(
        days,
        oxygen[:, zone],
        color=style.ink(max(design, 1)),
        linewidth=1.4,
        marker=mark,
    )
    axes.axhline(limit, color=style.LIMIT, linewidth=0.8)


def _read(axes: Axes, dataset: xr.Dataset, zone: str) -> bool:
    """Lay dawns of loggers in the top metre over those computed; whether there are any."""
    found = False
    for one in read_series(dataset, "dissolved_oxygen", zone):
        if (one.depth or 0.0) > TOP_METRE or one.elevation is not None:
            continue
        days, lowest = dawns_read(dataset, one)
        axes.plot(days, lowest, "o", color=READ, markersize=2.2, label="read")
        found = found or bool(len(days))
    return found


def _count(axes: Axes, below: Array, design: int) -> None:
    """Dawns below the criterion in the corner of a panel."""
    words = f"{below[design]} below" if design == 0 else f"{below[0]} → {below[design]} below"
    axes.text(
        0.985,
        0.93,
        words,
        ha="right",
        va="top",
        fontsize=style.SIZE - 1,
        color=style.INK,
        transform=axes.transAxes,
        bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.8, "pad": 1.0},
    )


def _finding(
    zones: list[str], names: list[str], dawns: list[tuple[Array, Array]], below: Array, limit: float
) -> str:
    """The zone with most dawns below the criterion, today and with each design."""
    lowest = np.nanmin(dawns[0][1], axis=0)
    worst = min(range(len(zones)), key=lambda zone: (-below[0, zone], -below[:, zone].sum(), lowest[zone]))
    days = over(len(dawns[0][0]))
    if not below.any():
        least = min(float(np.nanmin(oxygen)) for _, oxygen in dawns)
        return f"oxygen at dawn never falls below {limit:g} mg/L: the lowest is {least:.1f}"
    text = f"dawn oxygen in {zones[worst]} is below {limit:g} mg/L on {below[0, worst]} of {days}"
    others = [f'with "{name}" on {count}' for name, count in zip(names[1:], below[1:, worst], strict=True)]
    return "; ".join([text, *others])


def _note(datasets: list[xr.Dataset], limit: float, what: str, *, read: bool) -> str:
    behind = " Gray, behind: the existing pond." if len(datasets) > 1 else ""
    return (
        f"mg/L, mean of the top meter (3.3 ft), lowest from two hours before sunrise to three after.{behind} "
        f"Line at {limit:g} mg/L: criterion, {what}; counted are the dawns below it."
        + (" Red: dawns read in the existing pond." if read else "")
    )
