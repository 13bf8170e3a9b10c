"""Ice and snow on the pond, and the oxygen of the water through the winter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.errors import ScenarioError
from pondsim.figures import shown, style
from pondsim.figures.thin import thin
from pondsim.measures import at_station
from pondsim.measures.winter import lowest_under_ice, thickest_ice
from pondsim.units import convert

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Array = np.ndarray[Any, Any]
ROOM = 1.08  # of the largest value, height of a panel


def ice_and_oxygen(
    datasets: list[xr.Dataset],
    *,
    start: shown.Moment = None,
    end: shown.Moment = None,
    system: str = "us",
) -> Figure:
    """Draw the thickness of the ice and the oxygen of the column in the zone where ice grows thickest.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results that know ice, the existing pond first.
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
        A run knows no ice, or there are no results in that part of the time.
    """
    for dataset in datasets:
        if "ice_thickness" not in dataset:
            raise ScenarioError(f'"{dataset.attrs["title"]}" knows no ice; run it with a section [ice]')
    zone = str(datasets[0]["zone"].values[int(np.argmax(thickest_ice(datasets[0])))])
    parts = [shown.window(dataset, start, end) for dataset in datasets]
    unit = "in" if system == "us" else "cm"
    thick = [np.asarray(convert(part["ice_thickness"].sel(zone=zone).values, "m", unit)) for part in parts]
    oxygen = [at_station(part, "dissolved_oxygen", "column").sel(zone=zone).values for part in parts]
    figure = style.new_figure(5.2)
    above, below = figure.subplots(2, 1, sharex=True)
    _lines(above, parts, thick, datasets)
    _lines(below, parts, oxygen, datasets)
    style.panel(above, f"ice, mean of {zone}", unit)
    style.panel(below, "oxygen, mean of its column", "mg/L")
    style.time_axis(below)
    style.headline(figure, _finding(datasets, zone, unit), "No computed thickness says that ice bears.")
    return figure


def _lines(axes: Axes, parts: list[xr.Dataset], series: list[Array], datasets: list[xr.Dataset]) -> None:
    names, kinds = style.titles(datasets), style.numbers(len(datasets))
    for part, values, kind in zip(parts, series, kinds, strict=True):
        look: dict[str, Any] = {"color": style.colour(kind), "linestyle": style.dash(kind), "linewidth": 1.3}
        axes.plot(*thin(part["time"].values, np.asarray(values, dtype=float)), **look)
    axes.set_ylim(0.0, ROOM * max(float(np.nanmax(values)) for values in series) or 1.0)
    if len(names) > 1:
        ends = [float(values[np.isfinite(values)][-1]) for values in series]
        style.name_ends(axes, ends, names, [style.ink(kind) for kind in kinds])


def _finding(datasets: list[xr.Dataset], zone: str, unit: str) -> str:
    """Thickest ice of the first, and the lowest oxygen under ice of each."""
    row = [str(name) for name in datasets[0]["zone"].values].index(zone)
    most = float(np.asarray(convert(thickest_ice(datasets[0])[row], "m", unit)))
    if most < 0.05:
        return f"no ice in {zone}"
    said = []
    for name, dataset in zip(style.titles(datasets), datasets, strict=True):
        lowest = lowest_under_ice(dataset)[row]
        words = "no ice" if np.isnan(lowest) else f"{lowest:.1f} mg/L"
        said.append(words if len(datasets) == 1 else f"{words} ({name})")
    return f"ice of up to {most:.0f} {unit}; lowest oxygen under ice {', '.join(said)}"
