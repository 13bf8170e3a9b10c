"""A zone from bed to moving surface through time, in color."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.figures import debt, scales, shown, style
from pondsim.figures.outages import mark_outages
from pondsim.figures.words import over
from pondsim.measures import at_station, daily
from pondsim.measures.living import smell_limit
from pondsim.measures.places import ABOVE_BED, boxes, once, surface_and_bed, value_at_elevation
from pondsim.units import convert, display_unit, number_text

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.colors import BoundaryNorm, Colormap
    from matplotlib.figure import Figure

Array = np.ndarray[Any, Any]
HOURS_UP_TO = 21.0  # d; what is longer is drawn day by day
ROWS = 40  # heights at which a column is read
OXYGEN = "dissolved_oxygen"


def time_depth(
    dataset: xr.Dataset | list[xr.Dataset],
    zone: str,
    variable: str = OXYGEN,
    *,
    start: shown.Moment = None,
    end: shown.Moment = None,
    system: str = "us",
) -> Figure:
    """Draw a time-depth picture.

    Parameters
    ----------
    dataset : xarray.Dataset or list of them
        Results; a panel for each, all with one scale.
    zone : str
        Name of the zone.
    variable : str
        Variable by time, zone and layer.
    start, end : str or datetime64, optional
        Part of the time to show.
    system : {"us", "si"}
        Units.

    Returns
    -------
    matplotlib.figure.Figure
        Hours of up to three weeks; of a longer time each day's lowest oxygen, or the mean of anything else.

    Raises
    ------
    ScenarioError
        There are no results in that part of the time.
    """
    datasets = dataset if isinstance(dataset, list) else [dataset]
    parts = [
        shown.of_zone(shown.window(shown.box_variable(one, variable), start, end), zone) for one in datasets
    ]
    names = style.titles(datasets)
    by_day = shown.days_of(parts[0]) > HOURS_UP_TO
    fields = [_field(part, variable, system, by_day=by_day) for part in parts]
    figure = style.new_figure(1.1 + 1.05 * style.panel_in(len(parts)) * len(parts))
    panels = figure.subplots(len(parts), 1, sharex=True, sharey=True, squeeze=False)[:, 0]
    style.fix_panels(figure, len(parts), left=0.6, right=0.65, top=0.25, gap=0.27)
    smell = smell_limit(parts[0])
    colours, levels = _scale(fields, variable, smell)
    for axes, part, field, name in zip(panels, parts, fields, names, strict=True):
        _picture(axes, field, colours, levels, variable)
        style.panel(axes, name, f"elevation, {display_unit('length', system)}", grid=None)
        axes.ticklabel_format(axis="y", useOffset=False)
        mark_outages(axes, part)
        style.time_axis(axes)
    unit = style.unit_text(shown.unit_of(parts[0], variable, system)[1])
    marks = {OXYGEN: scales.OXYGEN_MARKS, debt.DEBT: (smell,)}.get(variable, ())
    _key(figure, list(panels), colours, levels, f"{shown.words(parts[0], variable)}, {unit}", marks)
    style.headline(
        figure,
        _finding(parts, names, zone, variable, fields, unit, system),
        _note(variable, smell, by_day=by_day),
    )
    return figure


def _field(part: xr.Dataset, variable: str, system: str, *, by_day: bool) -> tuple[Array, Array, Array]:
    """Times, elevations and values by (time, row), from bed to surface."""
    names = (variable, "layer_top_elevation", "layer_bottom_elevation")
    heights, values = once(part, ("rows", by_day), names, lambda: _rows(part, variable, by_day=by_day))
    times = part["time"].values
    if by_day:
        times = daily(times, times.astype(float), np.min)[0] + np.timedelta64(12, "h")
    heights = np.asarray(convert(heights, "m", display_unit("length", system)))
    return times, heights, shown.in_unit(part, variable, values, system)


def _rows(part: xr.Dataset, variable: str, *, by_day: bool) -> tuple[Array, Array]:
    """Elevations [m] and values by (time, row), as results hold them."""
    surface, bed = (level[:, 0] for level in surface_and_bed(part))
    tops, bottoms = boxes(part, "layer_top_elevation"), boxes(part, "layer_bottom_elevation")
    heights = bed[:, None] + np.linspace(0.0, 1.0, ROWS) * (surface - bed)[:, None]
    values = value_at_elevation(boxes(part, variable), 0.5 * (tops + bottoms), heights)
    if not by_day:
        return heights, values
    times = part["time"].values
    reduce = {OXYGEN: np.min, debt.DEBT: np.max}.get(variable, np.mean)
    return daily(times, heights, np.mean)[1], daily(times, values, reduce)[1]


def _scale(
    fields: list[tuple[Array, Array, Array]], variable: str, smell: float
) -> tuple[Colormap, BoundaryNorm]:
    if variable == OXYGEN:
        return scales.oxygen_scale()
    if variable == debt.DEBT:
        return scales.debt_scale(np.concatenate([values.ravel() for _, _, values in fields]), smell)
    return scales.fitted_scale(np.concatenate([values.ravel() for _, _, values in fields]))


def _picture(
    axes: Axes, field: tuple[Array, Array, Array], colours: Colormap, levels: BoundaryNorm, variable: str
) -> None:
    from matplotlib.dates import date2num  # noqa: PLC0415

    times, heights, values = field
    across = np.broadcast_to(date2num(times)[:, None], heights.shape)
    masked = np.ma.masked_invalid(values)
    axes.contourf(across, heights, masked, levels=levels.boundaries, cmap=colours, norm=levels, extend="min")
    if variable == OXYGEN:
        axes.contour(across, heights, masked, levels=_between(values), colors=style.INK, linewidths=0.7)
    axes.plot(times, heights[:, -1], color=style.INK, linewidth=0.9)
    axes.plot(times, heights[:, 0], color=style.INK, linewidth=1.6)
    axes.xaxis_date()
    low, high = float(np.nanmin(heights)), float(np.nanmax(heights))
    bottom, top = axes.get_ylim()
    room = 0.04 * (high - low)
    axes.set_ylim(min(bottom, low - room), max(top, high + room))


def _between(values: Array) -> list[float]:
    """Marks that some of the values lie on either side of; a contour of none would warn."""
    low, high = np.nanmin(values), np.nanmax(values)
    return [mark for mark in scales.OXYGEN_MARKS if low < mark < high]


def _key(
    figure: Figure,
    panels: list[Axes],
    colours: Colormap,
    levels: BoundaryNorm,
    words: str,
    marks: Sequence[float],
) -> None:
    """The scale beside the panels, every level named; its open end is not drawn to length."""
    from matplotlib.cm import ScalarMappable  # noqa: PLC0415

    place = style.place_beside(figure)
    bar = figure.colorbar(
        ScalarMappable(levels, colours),
        spacing="uniform",
        ticks=[level for level in levels.boundaries if level < 1e3],
        format="%g",
        **({"cax": place} if place else {"ax": panels, "aspect": 12 * len(panels), "pad": 0.01}),
    )
    bar.ax.tick_params(labelsize=style.SIZE - 1, colors=style.INK, length=2)
    bar.set_label(words, fontsize=style.SIZE, color=style.INK)
    bar.outline.set_edgecolor(style.INK)
    for mark in marks:
        bar.ax.axhline(mark, color=style.INK, linewidth=0.9)


def _finding(
    parts: list[xr.Dataset],
    names: list[str],
    zone: str,
    variable: str,
    fields: list[tuple[Array, Array, Array]],
    unit: str,
    system: str,
) -> str:
    if variable == debt.DEBT:
        found = [
            debt.finding(
                name,
                part["time"].values,
                at_station(part, variable, "top").values[:, 0],
                at_station(part, variable, "bottom").values[:, 0],
                smell_limit(part),
            )
            for part, name in zip(parts, names, strict=True)
        ]
        return f"in {zone}: {'; '.join(found)}"
    if variable != OXYGEN:
        values = [field[2] for field in fields]
        low, high = (float(pick([pick(v) for v in values])) for pick in (np.nanmin, np.nanmax))
        return f"{shown.words(parts[0], variable)} in {zone} between {low:.3g} and {high:.3g} {unit}"
    low = scales.OXYGEN_MARKS[1]
    counts = [[_days_below(part, station, low) for station in ("bottom", "top")] for part in parts]
    days = len(daily(parts[0]["time"].values, parts[0]["time"].values.astype(float), np.min)[0])
    if not days:
        return f"oxygen in {zone} through the hours"
    bottom, top = counts[0]
    length = display_unit("length", system)
    above = f"{number_text(float(convert(ABOVE_BED, 'm', length)), 1)} {length}"
    first = (
        f"oxygen in {zone} falls below {low:g} mg/L on {bottom} of {over(days)} {above} above the bed "
        f"and on {top} at the top"
    )
    others = [
        f'; with "{name}" on {bottom} and {top}'
        for name, (bottom, top) in zip(names[1:], counts[1:], strict=True)
    ]
    return first + "".join(others)


def _days_below(part: xr.Dataset, station: str, limit: float) -> int:
    """Whole days on which a station falls below a limit."""
    _, least = daily(part["time"].values, at_station(part, OXYGEN, station).values[:, 0], np.min)
    return int(np.sum(least < limit))


def _note(variable: str, smell: float, *, by_day: bool) -> str:
    what = {OXYGEN: "lowest value of each day", debt.DEBT: "highest value of each day"}.get(
        variable, "mean of each day"
    )
    shown_is = f"Shown is the {what} at every height. " if by_day else ""
    marks = "Lines at 2, 3 and 5 mg/L; the darker, the less oxygen. " if variable == OXYGEN else ""
    if variable == debt.DEBT:
        marks = debt.note(smell)
    bed = "deepest bed, where there may be less oxygen than 0.3 m (1 ft) above it."
    return f"{shown_is}{marks}Upper edge: water surface; lower edge: {bed}"
