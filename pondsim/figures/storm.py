"""One page on a storm: water in and out, the level, and the oxygen of the days around it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.figures import style
from pondsim.measures import at_station, event_measures, event_word, peak_words, step_hours
from pondsim.measures.event import DAYS_AFTER
from pondsim.units import convert, display_unit

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INFLOW = style.DESIGNS[2]


def storm_figure(datasets: list[xr.Dataset], *, system: str = "us") -> Figure:
    """Draw a storm.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results of `run_storm`: the existing pond, then the design; one alone is a design.
    system : {"us", "si"}
        Units.

    Returns
    -------
    matplotlib.figure.Figure
        Three parts over the days from which the lowest oxygen is taken; nothing is written.
    """
    names, kinds = style.titles(datasets), style.numbers(len(datasets))
    found = [event_measures(dataset) for dataset in datasets]
    shown = [_around(dataset) for dataset in datasets]
    figure = style.new_figure(8.4)
    flows, levels, oxygen = figure.subplots(3, 1, sharex=True, height_ratios=[1.3, 1.0, 1.0])
    units = {kind: display_unit(kind, system) for kind in ("storm_flow", "length")}
    inflow = convert(shown[-1]["inflow"].values, "m3/s", units["storm_flow"])
    flows.plot(shown[-1]["day"], inflow, color=INFLOW, linewidth=1.3, label="in")
    out = [convert(one["outflow"].values, "m3/s", units["storm_flow"]) for one in shown]
    _lines(flows, shown, out, [f"out, {name}" for name in names], kinds)
    flows.legend(frameon=False, fontsize=style.SIZE - 1)
    level = [convert(one["water_surface_elevation"].values, "m", units["length"]) for one in shown]
    _lines(levels, shown, level, names, kinds)
    levels.ticklabel_format(axis="y", useOffset=False)
    top = [np.nanmin(at_station(one, "dissolved_oxygen", "top").values, axis=1) for one in shown]
    _lines(oxygen, shown, top, names, kinds)
    oxygen.set_ylim(bottom=0.0)
    style.panel(flows, "flow in and out", units["storm_flow"])
    style.panel(levels, "water surface", f"elevation, {units['length']}")
    several = datasets[-1].sizes["zone"] > 1
    style.panel(oxygen, f"lowest oxygen at the top{' of any zone' if several else ''}", "mg/L")
    if len(names) > 1:
        inks = [style.ink(kind) for kind in kinds]
        for axes, values in ((levels, level), (oxygen, top)):
            style.name_ends(axes, [float(own[-1]) for own in values], names, inks)
    word = event_word(datasets[-1])
    oxygen.set_xlabel(f"days since the {word} began", fontsize=style.SIZE, color=style.INK)
    peak = peak_words(step_hours(datasets[-1]["time"].values))
    style.headline(figure, _finding(found, names, word, peak, system), _note(several=several))
    return figure


def _around(dataset: xr.Dataset) -> xr.Dataset:
    """The days around the storm over which oxygen is watched, with days since its beginning."""
    days = (dataset["time"].values - np.datetime64(dataset.attrs["event_start"])) / np.timedelta64(1, "D")
    return dataset.assign_coords(day=("time", days)).isel(time=np.abs(days) <= DAYS_AFTER)


def _lines(
    axes: Axes, shown: list[xr.Dataset], values: list[Any], labels: list[str], kinds: list[int]
) -> None:
    for one, own, label, kind in zip(shown, values, labels, kinds, strict=True):
        ink, line = style.colour(kind), style.dash(kind)
        axes.plot(one["day"], own, color=ink, linestyle=line, linewidth=1.3, label=label)


def _finding(found: list[dict[str, float]], names: list[str], word: str, peak: str, system: str) -> str:
    """Peaks of the design, in the words for them, and the lowest oxygen before and after of every pond."""
    last = found[-1]
    rain = style.amount(last["rain"], "short_length", system)
    what = f"of {rain} of rain the {peak}" if word == "storm" else f"the {peak} of the {word}"
    peak_in, peak_out = (style.amount(last[f"peak_{way}"], "storm_flow", system) for way in ("in", "out"))
    lows = [
        f'"{name}" {one["oxygen_before"]:.1f} mg/L before and {one["oxygen_after"]:.1f} mg/L after'
        for name, one in zip(names, found, strict=True)
    ]
    return (
        f"{what} falls from {peak_in} in to {peak_out} out; lowest oxygen in the "
        f"{DAYS_AFTER:.0f} days before and after the {word} began: {'; '.join(lows)}"
    )


def _note(*, several: bool) -> str:
    lowest = ", lowest of all zones" if several else ""
    return f"Oxygen: mean of the top meter (3.3 ft){lowest}. Flow in: that of the last pond named."
