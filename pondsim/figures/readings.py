"""Readings as they are: their own picture with what runs computed there, and marks upon other pictures."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.comparison import readings_words as words
from pondsim.figures import style
from pondsim.figures.thin import thin
from pondsim.measures import ReadSeries, computed_line, miss_of, read_series
from pondsim.measures.scores import by_day, complete_days

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Array = np.ndarray[Any, Any]

READ = "#b03a2e"  # what was read, apart from every line that was computed
FEW = 400  # readings, up to which they are drawn as dots; more as a thin line
TALL = 1.9  # in, a panel


def readings_figure(
    found: list[ReadSeries], runs: list[xr.Dataset], titles: list[str], *, system: str = "us"
) -> Figure:
    """Draw readings, a panel for each quantity of each instrument, with what runs computed at its place.

    Parameters
    ----------
    found : list of ReadSeries
        One at least.
    runs : list of xarray.Dataset
        Results, the existing pond first; may be empty.
    titles : list of str
        Their names.
    system : {"us", "si"}
        Units.

    Returns
    -------
    matplotlib.figure.Figure
        Flagged readings are open marks, gaps are shaded, services dotted; nothing is written.
    """
    figure = style.new_figure(0.9 + TALL * len(found))
    panels = figure.subplots(len(found), 1, sharex=True, squeeze=False)[:, 0]
    for axes, one in zip(panels, found, strict=True):
        _panel(axes, one, runs, titles, system)
    style.headline(figure, _finding(found, system), _note(bool(runs)))
    return figure


def _panel(axes: Axes, one: ReadSeries, runs: list[xr.Dataset], titles: list[str], system: str) -> None:
    ends, kinds = [], style.numbers(len(runs))
    for kind, run in zip(kinds, runs, strict=True):
        line = computed_line(run, one)
        values = np.full(run.sizes["time"], np.nan) if line is None else line
        shown = np.asarray(words.shown(values, one.variable, system), dtype=float)
        there = (run["time"].values >= one.times[0]) & (run["time"].values <= one.times[-1])
        shown = shown[there]
        axes.plot(*thin(run["time"].values[there], shown), color=style.colour(kind), linewidth=1.2)
        known = shown[np.isfinite(shown)]
        ends.append(float(known[-1]) if known.size else float(np.nanmean(_shown(one, system))))
    draw_readings(axes, one, system)
    for flag in one.flags:
        first, last = _moment(flag.first), _moment(flag.last)
        if flag.kind == "gap":
            axes.axvspan(first, last, color=style.FAINT, alpha=0.5, linewidth=0.0)
    for service in one.services:
        axes.axvline(_moment(service), color=style.QUIET, linewidth=0.8, linestyle=":")
    if one.times[0] < one.times[-1]:
        axes.set_xlim(_moment(one.times[0]), _moment(one.times[-1]))
    unit = style.unit_text(words.unit_shown(one.variable, system))
    what = f"{words.quantity(one.variable)}, {words.place_words(one, system)}"
    style.panel(axes, f"{one.instrument}: {what}", unit)
    style.time_axis(axes, times=one.times)
    if runs:
        style.name_ends(axes, ends, titles, [style.ink(kind) for kind in kinds])


def _moment(time: np.datetime64) -> Any:
    """A time as matplotlib takes it, whose types name numbers only."""
    return time


def draw_readings(axes: Axes, one: ReadSeries, system: str) -> None:
    """The readings of one series upon a panel: dots or a thin line; flagged ones as open marks.

    Values that cannot be are not drawn: they are listed, and would leave the others no height.
    """
    values = _shown(one, system)
    there = np.isfinite(values)
    used, flagged = there & ~one.left_out, there & one.left_out & ~one.impossible
    if used.sum() <= FEW:
        axes.plot(one.times[used], values[used], "o", color=READ, markersize=2.5, label="read")
    else:
        held = np.where(used, values, np.nan)
        axes.plot(*_with_gaps(one, held), color=READ, linewidth=0.9, label="read")
    if flagged.any():
        open_mark = {"markerfacecolor": "white", "markeredgewidth": 0.6, "markersize": 3.0}
        axes.plot(one.times[flagged], values[flagged], "o", color=READ, **open_mark)  # type: ignore[arg-type]


def _shown(one: ReadSeries, system: str) -> Array:
    return np.asarray(words.shown(one.values, one.variable, system), dtype=float)


def _with_gaps(one: ReadSeries, values: Array) -> tuple[Array, Array]:
    """Times and values, broken where readings are missing."""
    apart = np.diff(one.times) / np.timedelta64(1, "s") / 3600.0
    breaks = np.flatnonzero(apart > max(3.0 * one.step, 0.1)) + 1
    times = one.times.astype("datetime64[ns]")
    return np.insert(times, breaks, times[breaks - 1]), np.insert(values, breaks, np.nan)


def lay_readings(
    axes: Axes, dataset: xr.Dataset, zone: str | None, variable: str, system: str, *, by_day: bool
) -> bool:
    """Lay what was read in a zone over lines of a variable, in the unit drawn; whether there was any.

    With `by_day` means of days are drawn, with bars from their lowest to their highest reading.
    """
    found = _read_there(dataset, zone, variable)
    low, high = axes.get_xlim()
    for one in found:
        if not by_day or not 0.0 < one.step <= 2.0:
            draw_readings(axes, one, system)
            continue
        held = np.asarray(words.shown(one.used, one.variable, system), dtype=float)
        days, mean, least, most = _by_day(one, held)
        axes.vlines(days, least, most, color=READ, linewidth=1.0, alpha=0.55)
        axes.plot(days, mean, "o", color=READ, markersize=2.2, label="read")
    axes.set_xlim(low, high)
    return bool(found)


def _read_there(dataset: xr.Dataset, zone: str | None, variable: str) -> list[ReadSeries]:
    """Series with readings in the time that is shown, cut to it."""
    first, last = dataset["time"].values[[0, -1]]
    found = []
    for one in read_series(dataset, variable, zone):
        shown = (one.times >= first) & (one.times <= last)
        if one.variable in words.QUANTITIES and np.isfinite(one.values[shown]).any():
            cut = {name: getattr(one, name)[shown] for name in ("times", "values", "left_out")}
            found.append(replace(one, **cut))
    return found


def _by_day(one: ReadSeries, values: Array) -> tuple[Any, Array, Array, Array]:
    """Noon, mean, lowest and highest of each day that has readings."""
    days, _ = complete_days(one.times, values, one.step)
    mean, least, most = (by_day(one.times, values, days, what) for what in ("mean", "min", "max"))
    there = np.isfinite(mean)
    noon = days[there].astype("datetime64[h]") + np.timedelta64(12, "h")
    return noon, mean[there], least[there], most[there]


def readings_note(dataset: xr.Dataset, zone: str, variable: str, system: str) -> str:
    """Where the readings upon a picture were taken, and by how much the run misses each in what is shown."""
    said = []
    for one in _read_there(dataset, zone, variable):
        miss = miss_of(dataset, one)
        words_on_it = f": {words.miss_words(miss, system).rstrip('.')}" if miss else ""
        said.append(f"{one.instrument}, {words.place_words(one, system)}{words_on_it}")
    return f"Red: readings of {'; '.join(said)}."


def _finding(found: list[ReadSeries], system: str) -> str:
    count = sum(int(np.isfinite(one.values).sum()) for one in found)
    flagged = sum(int((one.left_out & np.isfinite(one.values)).sum()) for one in found)
    scored = [one for one in found if np.isfinite(one.used).any()]
    oxygen = [one for one in scored if one.variable == "dissolved_oxygen"]
    lowest = ""
    if oxygen:
        least = min(oxygen, key=lambda one: float(np.nanmin(one.used)))
        lowest = f"; the lowest oxygen read is {np.nanmin(least.used):.1f} mg/L in {least.zone}"
    return f"{count:,} readings, of which {flagged:,} are not scored{lowest}"


def _note(with_runs: bool) -> str:
    lines = " Lines named at their ends: computed at the instrument's place." if with_runs else ""
    return f"Red: readings; open marks: flagged and not scored; shaded: gaps; dotted: services.{lines}"
