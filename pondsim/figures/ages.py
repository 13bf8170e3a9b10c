"""How long ago water was at the waterfall, zone by zone, beside the nominal turnover time that flatters."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.figures import bars, style
from pondsim.measures import age_by_zone, mean_age, nominal_turnover_days, running_ages
from pondsim.units import number_text

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Array = np.ndarray[Any, Any]
WATERFALL, INFLOW = "steady_age_since_waterfall", "steady_age_since_inflow"
KINDS = {WATERFALL: "days since the waterfall", INFLOW: "days since inflow"}


def ages(datasets: list[xr.Dataset], *, system: str = "us") -> Figure:
    """Draw days since the waterfall and since inflow by zone, and the nominal turnover time.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results, the existing pond first; one alone is drawn by itself.
    system : {"us", "si"}
        Units; days in both.

    Returns
    -------
    matplotlib.figure.Figure
        A bar for each zone and each design that has such water; a stroke at each nominal turnover time.
    """
    names, kinds = style.titles(datasets), style.numbers(len(datasets))
    zones = [str(zone) for zone in datasets[0]["zone"].values]
    known = [name for name in KINDS if all(name in dataset for dataset in datasets)]
    figure = style.new_figure(1.7 + bars.height(len(zones), len(datasets)))
    panels = figure.subplots(1, len(known), sharey=True, squeeze=False)[0]
    for axes, variable in zip(panels, known, strict=True):
        by_zone = [age_by_zone(dataset, variable) for dataset in datasets]
        have = [design for design, values in enumerate(by_zone) if np.isfinite(values).any()]
        style.panel(axes, KINDS[variable], grid="x")
        if have:
            bars.lying(axes, [by_zone[design] for design in have], [kinds[design] for design in have], _days)
            axes.margins(x=0.12)
        else:
            axes.set_xticks([])
            axes.text(
                0.5, 0.5, "never, in any zone", ha="center", color=style.QUIET, transform=axes.transAxes
            )
        bars.name_places(axes, list(zones), "d")
    _strokes(panels[0], [nominal_turnover_days(dataset) for dataset in datasets], kinds)
    bars.name_designs(panels[-1], names, kinds)
    style.headline(figure, _finding(datasets, names, zones), _note(datasets, names))
    return figure


def _days(value: float) -> str:
    return f"{number_text(value, 2)}" if math.isfinite(value) else "never"


def _strokes(axes: Axes, turnovers: list[float], kinds: list[int]) -> None:
    """A stroke at each nominal turnover time; those that fall together are named once, above the bars."""
    said: dict[str, float] = {}
    for turnover, kind in zip(turnovers, kinds, strict=True):
        if math.isfinite(turnover):
            axes.axvline(turnover, color=style.colour(kind), linewidth=1.3, linestyle=(0, (4, 2)))
            said.setdefault(_days(turnover), turnover)
    bottom, top = axes.get_ylim()
    axes.set_ylim(bottom, top - 0.35 * len(said))
    middle = 0.5 * sum(axes.get_xlim())
    for row, (words, turnover) in enumerate(said.items()):
        left = turnover > middle
        axes.text(
            turnover,
            top - 0.3 * row - 0.1,
            f"  nominal turnover time {words} d  ",
            ha="right" if left else "left",
            va="center",
            fontsize=style.SIZE - 1.5,
            color=style.INK,
        )


def _finding(datasets: list[xr.Dataset], names: list[str], zones: list[str]) -> str:
    """Nominal turnover time, and the zone whose water is oldest since the waterfall."""
    found = []
    for dataset, name in zip(datasets, names, strict=True):
        turnover, by_zone = nominal_turnover_days(dataset), age_by_zone(dataset)
        if not math.isfinite(turnover):
            continue
        oldest = int(np.nanargmax(by_zone))
        where, age = zones[oldest], float(by_zone[oldest])
        text = f"never renews {where}"
        if math.isfinite(age):
            text = f"mean age at the run's mean flows up to {_days(age)} d in {where}"
        running = running_ages(dataset)
        if running is not None and math.isfinite(age):
            worst = running.places[0]
            text += f", but {_days(worst.days)} d {worst.depth} in {worst.zone} (median of the run)"
        found.append(f'"{name}": nominal turnover time {_days(turnover)} d, {text}')
    if found:
        return "; ".join(found)
    since = mean_age(datasets[0], INFLOW) if INFLOW in datasets[0] else math.inf
    mean = f"; mean water age since inflow is {_days(since)} d" if math.isfinite(since) else ""
    return f"no pump turns this pond over{mean}"


def _note(datasets: list[xr.Dataset], names: list[str]) -> str:
    without = [
        name
        for name, dataset in zip(names, datasets, strict=True)
        if not np.isfinite(age_by_zone(dataset, WATERFALL)).any()
    ]
    missing = f" Without a waterfall: {', '.join(without)}." if without else ""
    return (
        "Means by zone of steady ages at the mean flows, too young where water is stratified. "
        "Nominal turnover time: volume over pumped flow; it "
        f"says nothing about zones that the loop does not reach.{missing}"
    )
