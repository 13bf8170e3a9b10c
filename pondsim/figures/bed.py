"""What settles: growth of the bed by zone, and through the run where it grows fastest."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.figures import bars, shown, style
from pondsim.figures.thin import thin
from pondsim.figures.words import beside_others, over
from pondsim.measures import bed_growth as growth_of
from pondsim.measures import bed_settled, solids_captured
from pondsim.units import number_text

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Array = np.ndarray[Any, Any]
VARIABLE = "bed_thickness"
COLUMNS = 400  # pixels across half a page


def bed_growth(datasets: list[xr.Dataset], *, system: str = "us") -> Figure:
    """Draw how much the bed grows.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results, the existing pond first; one alone is drawn by itself.
    system : {"us", "si"}
        Units.

    Returns
    -------
    matplotlib.figure.Figure
        Bars by zone; lines through time in the zone where most settles.
    """
    names, kinds = style.titles(datasets), style.numbers(len(datasets))
    zones = [str(zone) for zone in datasets[0]["zone"].values]
    unit = shown.unit_of(datasets[0], VARIABLE, system)[1]
    growths = [shown.in_unit(dataset, VARIABLE, growth_of(dataset), system) for dataset in datasets]
    most = int(np.nanargmax(growths[0]))
    figure = style.new_figure(max(3.2, 1.5 + bars.height(len(zones), len(datasets))))
    by_zone, lines = figure.subplots(1, 2, width_ratios=[1.0, 1.2])
    decimals = _decimals(growths)
    bars.lying(by_zone, growths, kinds, lambda value: f"{value:.{decimals}f}")
    style.panel(by_zone, "by zone, over the run", grid="x")
    bars.name_places(by_zone, list(zones), unit)
    by_zone.margins(x=0.14)
    _lines(lines, datasets, zones[most], system, names, kinds)
    style.panel(lines, f"through the run, {zones[most]}", unit)
    style.headline(figure, _finding(datasets, names, zones, growths, style.unit_text(unit)), _note())
    return figure


def _decimals(growths: list[Array]) -> int:
    """Decimals of every number: two digits of the smallest, yet at most three of the largest."""
    sizes = np.abs(np.concatenate(growths))
    sizes = sizes[np.isfinite(sizes) & (sizes > 0.0)]
    if not sizes.size:
        return 0
    of_least, of_most = (1 - int(np.floor(np.log10(size))) for size in (sizes.min(), sizes.max()))
    return max(0, min(of_least, of_most + 1))


def _two_digits(value: float) -> str:
    return number_text(value, 2)


def _lines(
    axes: Axes, datasets: list[xr.Dataset], zone: str, system: str, names: list[str], kinds: list[int]
) -> None:
    ends = []
    for dataset, kind in zip(datasets, kinds, strict=True):
        place = [str(name) for name in dataset["zone"].values].index(zone)
        values = shown.in_unit(dataset, VARIABLE, bed_settled(dataset)[:, place], system)
        times, values = thin(dataset["time"].values, values, COLUMNS)
        axes.plot(times, values, color=style.colour(kind), linestyle=style.dash(kind), linewidth=1.5)
        ends.append(float(values[-1]))
    axes.set_ylim(bottom=min(0.0, axes.get_ylim()[0]))
    style.time_axis(axes, 2)
    if len(names) > 1 and style.names_beside():
        style.name_ends(axes, ends, names, [style.ink(kind) for kind in kinds])


def _finding(
    datasets: list[xr.Dataset], names: list[str], zones: list[str], growths: list[Array], unit: str
) -> str:
    """Where most settles, what designs change there, and what share of the solids stays in the pond."""
    most = int(np.nanargmax(growths[0]))
    values = [float(growth[most]) for growth in growths]
    if values[0] <= 0.0:
        return "no zone gains any bed in this run"
    span = over(shown.days_of(datasets[0]))
    found = f"most settles in {zones[most]}, {_two_digits(values[0])} {unit} over {span}"
    others = beside_others(values, names, lambda value: f"{_two_digits(value)} {unit}")
    kept = solids_captured(datasets[0])[1]
    captured = f"; {100.0 * kept:.0f} % of the solids that came in were captured" if np.isfinite(kept) else ""
    return f"{found}{others}{captured}"


def _note() -> str:
    return "Growth: what settles less what is stirred up again, as loose deposit spread over the whole zone."
