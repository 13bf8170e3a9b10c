"""A variable at the top, mid depth and bottom of a zone: hours of a short time, days of a season."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.comparison.dredged import moved_beds
from pondsim.comparison.names import quoted
from pondsim.figures import debt, shown, style
from pondsim.figures.outages import during, mark_outages, outages_of
from pondsim.figures.readings import lay_readings, readings_note
from pondsim.figures.words import beside_others
from pondsim.measures import at_station, daily, hours_below
from pondsim.measures.living import smell_limit
from pondsim.units import number_text

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Array = np.ndarray[Any, Any]
HOURS_UP_TO = 21.0  # d; what is longer is drawn day by day
LOW = 3.0  # mg/L
OXYGEN = "dissolved_oxygen"


def depth_lines(
    datasets: list[xr.Dataset],
    zone: str,
    variable: str = OXYGEN,
    *,
    start: shown.Moment = None,
    end: shown.Moment = None,
    system: str = "us",
) -> Figure:
    """Draw top, mid and bottom lines of a zone.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results, the existing pond first; a panel for each.
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
        Panels with one scale, one below the other; nothing is written.

    Raises
    ------
    ScenarioError
        There are no results in that part of the time.
    """
    parts = [shown.window(shown.box_variable(dataset, variable), start, end) for dataset in datasets]
    names = style.titles(datasets)
    lines = [
        {station: _line(part, zone, variable, station, system) for station in style.STATIONS}
        for part in parts
    ]
    figure = style.new_figure(0.9 + style.panel_in(len(parts)) * len(parts))
    panels = figure.subplots(len(parts), 1, sharex=True, sharey=True, squeeze=False)[:, 0]
    style.fix_panels(figure, len(parts), left=0.5, right=0.55, top=0.25, gap=0.27)
    by_day = shown.days_of(parts[0]) > HOURS_UP_TO
    note = _note(variable, smell_limit(parts[0]), by_day=by_day) + _elsewhere(datasets, names, zone)
    for axes, part, name, own in zip(panels, parts, names, lines, strict=True):
        _panel(axes, part, own, by_day=by_day)
        mark_outages(axes, part)
        style.panel(axes, name, shown.unit_of(part, variable, system)[1])
        style.time_axis(axes)
    if lay_readings(panels[0], parts[0], zone, variable, system, by_day=by_day):
        note = f"{note} {readings_note(parts[0], zone, variable, system)}"
    for axes, own in zip(panels, lines, strict=True):
        _finish(axes, own, variable, smell_limit(parts[0]), by_day=by_day)
    style.headline(figure, _finding(parts, names, lines, zone, variable, system), note)
    return figure


def _elsewhere(datasets: list[xr.Dataset], names: list[str], zone: str) -> str:
    """That bottom and half depth of a design are another place than in the first."""
    there = [name for name, moved in zip(names, moved_beds(datasets), strict=True) if zone in moved]
    return (
        f" With {quoted(there)} the bed lies elsewhere: bottom and half depth there are of another elevation."
        if there
        else ""
    )


def _line(part: xr.Dataset, zone: str, variable: str, station: str, system: str) -> Array:
    read = at_station(part, variable, station).sel(zone=zone).values
    return shown.in_unit(part, variable, np.asarray(read, dtype=float), system)


def _panel(axes: Axes, part: xr.Dataset, lines: dict[str, Array], *, by_day: bool) -> None:
    times = part["time"].values
    for station, values in lines.items():
        ink = style.STATIONS[station]
        if by_day:
            days, mean = daily(times, values, np.mean)
            _, low = daily(times, values, np.min)
            _, high = daily(times, values, np.max)
            axes.fill_between(days, low, high, color=ink, alpha=0.22, linewidth=0.0)
            axes.plot(days, mean, color=ink, linewidth=1.5)
        else:
            axes.plot(times, values, color=ink, linewidth=1.5)


def _finish(axes: Axes, lines: dict[str, Array], variable: str, smell: float, *, by_day: bool) -> None:
    """Limits, the mark of low oxygen, and the names at the ends."""
    if variable == OXYGEN:
        axes.set_ylim(0.0, max(axes.get_ylim()[1], 1.1 * LOW))  # the mark must lie within
        style.limit_line(axes, LOW, f"{LOW:g}")
    if variable == debt.DEBT:
        axes.set_yscale("symlog", linthresh=smell)
        axes.set_ylim(0.0, max(axes.get_ylim()[1], 2.0 * smell))
        axes.yaxis.set_major_formatter("{x:g}")
        style.limit_line(axes, smell, "smells")
    ends = [float(np.asarray(line.get_ydata())[-1]) for line in axes.lines[: len(lines)]]
    ends = [end if np.isfinite(end) else axes.get_ylim()[0] for end in ends]
    style.name_ends(axes, ends, list(lines), [style.STATIONS[station] for station in lines])


def _finding(
    parts: list[xr.Dataset],
    names: list[str],
    lines: list[dict[str, Array]],
    zone: str,
    variable: str,
    system: str,
) -> str:
    """Of oxygen the time below 3 mg/L at the bottom; of others the most that top and bottom differ."""
    what = shown.words(parts[0], variable)
    if variable == OXYGEN:
        shares = [_share_below(part, own["bottom"]) for part, own in zip(parts, lines, strict=True)]
        others = beside_others(shares, names, lambda share: f"{share:.0f} %")
        found = f"the bottom of {zone} is below {LOW:g} mg/L for {shares[0]:.0f} % of the time shown{others}"
        return found + _in_outages(parts, names, lines)
    if variable == debt.DEBT:
        told = [
            debt.finding(name, part["time"].values, own["top"], own["bottom"], smell_limit(part))
            for part, name, own in zip(parts, names, lines, strict=True)
        ]
        return f"in {zone}: {'; '.join(told)}"
    unit = style.unit_text(shown.unit_of(parts[0], variable, system)[1])
    gaps = [float(np.nanmax(np.abs(own["top"] - own["bottom"]), initial=0.0)) for own in lines]
    others = beside_others(gaps, names, lambda gap: f"{number_text(gap, 2)} {unit}")
    return f"{what} in {zone}: top and bottom differ by up to {number_text(gaps[0], 2)} {unit}{others}"


def _in_outages(parts: list[xr.Dataset], names: list[str], lines: list[dict[str, Array]]) -> str:
    """The lowest oxygen at the bottom in each power failure and the day after it; "" where none is."""
    found = []
    for part, name, own in zip(parts, names, lines, strict=True):
        for outage in outages_of(part):
            values = own["bottom"][during(part, outage)]
            if np.isfinite(values).any():
                found.append(
                    f'; in the outage of "{name}" ({outage.when}) the bottom falls to '
                    f"{float(np.nanmin(values)):.1f} mg/L"
                )
    return "".join(found)


def _share_below(part: xr.Dataset, values: Array) -> float:
    times = part["time"].values
    hours = float((times[-1] - times[0]) / np.timedelta64(1, "s")) / 3600.0
    return 100.0 * float(hours_below(times, values, LOW)) / hours


def _note(variable: str, smell: float, *, by_day: bool) -> str:
    places = (
        "Top: mean of the top meter (3.3 ft); mid: half depth; bottom: 0.3 m (1 ft) above the deepest bed."
    )
    how = "Lines: mean of each day; bands: from its lowest to its highest value. " if by_day else ""
    return how + places + (f" {debt.note(smell)}" if variable == debt.DEBT else "")
