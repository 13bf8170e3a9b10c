"""One page on a storm: water in and out, the level, and the oxygen of the days around it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pondsim.figures import style
from pondsim.measures import at_station, event_measures
from pondsim.units import convert, display, display_unit

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INFLOW = "#123f6d"
DAYS_SHOWN = (1.0, 5.0)  # before the storm begins, and after


def storm_figure(datasets: list[xr.Dataset], *, system: str = "us") -> Figure:
    """Draw a storm.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results of `run_storm`: the design, and behind it the existing pond if there is one.
    system : {"us", "si"}
        Units.

    Returns
    -------
    matplotlib.figure.Figure
        Three parts, one below the other; nothing is written.
    """
    figure = style.new_figure(8.4)
    axes = figure.subplots(3, 1, sharex=True, height_ratios=[1.3, 1.0, 1.0])
    shown = [_around(dataset) for dataset in datasets]
    found = event_measures(datasets[0])
    _flows(axes[0], shown, found, system)
    _levels(axes[1], shown, found, system)
    _oxygen(axes[2], shown, found)
    axes[2].set_xlabel("days since the storm began", fontsize=style.SIZE, color=style.INK)
    return figure


def _around(dataset: xr.Dataset) -> xr.Dataset:
    """The days around the storm, with days since its beginning."""
    days = (dataset["time"].values - np.datetime64(dataset.attrs["event_start"])) / np.timedelta64(1, "D")
    return dataset.assign_coords(day=("time", days)).isel(
        time=(days >= -DAYS_SHOWN[0]) & (days <= DAYS_SHOWN[1])
    )


def _names(design: int) -> tuple[str, str]:
    """Colour and words of a design; the existing pond is grey."""
    return (style.DESIGNS[1], "design") if design == 0 else (style.EXISTING, "existing")


def _flows(axes: Axes, shown: list[xr.Dataset], found: dict[str, float], system: str) -> None:
    unit = display_unit("storm_flow", system)
    first = shown[0]
    axes.plot(first["day"], convert(first["inflow"].values, "m3/s", unit), color=INFLOW, label="in")
    for design, dataset in reversed(list(enumerate(shown))):
        colour, name = _names(design)
        axes.plot(
            dataset["day"],
            convert(dataset["outflow"].values, "m3/s", unit),
            color=colour,
            label=f"out, {name}",
        )
    axes.legend(frameon=False, fontsize=style.SIZE - 1)
    peak_in, peak_out = (display(found[f"peak_{k}"], "storm_flow", system) for k in ("in", "out"))
    rain = display(found["rain"], "short_length", system)
    style.dress(axes, f"Of {rain} of rain the peak falls from {peak_in} in to {peak_out} out", unit)


def _levels(axes: Axes, shown: list[xr.Dataset], found: dict[str, float], system: str) -> None:
    unit = display_unit("length", system)
    for design, dataset in reversed(list(enumerate(shown))):
        colour, _ = _names(design)
        axes.plot(dataset["day"], convert(dataset["water_surface_elevation"].values, "m", unit), color=colour)
    axes.ticklabel_format(axis="y", useOffset=False)
    rise = display(found["rise"], "length", system)
    style.dress(axes, f"The water rises {rise}", f"elevation, {unit}")


def _oxygen(axes: Axes, shown: list[xr.Dataset], found: dict[str, float]) -> None:
    for design, dataset in reversed(list(enumerate(shown))):
        colour, _ = _names(design)
        top = at_station(dataset, "dissolved_oxygen", "top").values
        axes.plot(dataset["day"], np.nanmin(top, axis=1), color=colour)
    axes.set_ylim(bottom=0.0)
    before, after = found["oxygen_before"], found["oxygen_after"]
    title = f"Lowest oxygen at the top of any zone: {before:.1f} mg/L before, {after:.1f} after"
    style.dress(axes, title, "mg/L")
