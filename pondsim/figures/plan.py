"""The pond from above: a sketch of its zones, coloured by how long ago their water was at the waterfall."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.figures import plan_marks, scales, style
from pondsim.figures.plan_layout import Room, apart
from pondsim.measures import age_by_zone, mean_age, renewed_share, running_ages
from pondsim.measures.circulation import FORGOTTEN, PLACES, RunningAges
from pondsim.units import number_text

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.colors import Colormap, Normalize
    from matplotlib.figure import Figure

Array = np.ndarray[Any, Any]
HEIGHT_IN = (4.2, 8.0)
LETTER_IN = style.SIZE / 72.0  # height of a line of words
WIDEST_IN = 3.2  # of a circle
NEVER = "#ffffff"
NAME_REACH = 1.2  # letters from the rim to the name of a zone that does not fit into it


def plan_map(dataset: xr.Dataset, *, system: str = "us") -> Figure:
    """Draw the plan.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.
    system : {"us", "si"}
        Units.

    Returns
    -------
    matplotlib.figure.Figure
        Circles of true area about the zones' centers, passages and equipment; nothing is written.
    """
    zones = [str(zone) for zone in dataset["zone"].values]
    layout = _layout(dataset)
    radii = np.sqrt(np.maximum(dataset["zone_area"].values.astype(float), 1e-6) / math.pi)
    centres = apart(_centres(dataset, radii), radii)
    links = [(zones.index(a), zones.index(b)) for a, b, *_ in layout.get("connections", [])]
    figure, axes, room = _paper(centres, radii, links)
    running = running_ages(dataset)
    ages = _ages(dataset, running)
    colours, levels = scales.smooth_scale(np.append(ages[np.isfinite(ages)], 0.0))
    plan_marks.passages(axes, layout.get("connections", []), links, room, system)
    for zone, name in enumerate(zones):
        lines = [
            name,
            style.amount(float(dataset["zone_area"].values[zone]), "area", system),
            *_renewal(dataset, zone, float(ages[zone]), running),
        ]
        _zone(axes, room, zone, lines, float(ages[zone]), (colours, levels))
    plan_marks.signs(axes, layout, zones, room)
    plan_marks.compass_and_scale(axes, room, system)
    if np.isfinite(ages).any():
        _key(figure, axes, colours, levels)
    style.headline(figure, _finding(dataset, zones, ages, running, system), _note(layout, running))
    return figure


def _ages(dataset: xr.Dataset, running: RunningAges | None) -> Array:
    """Age of the water by zone: as it was in the run where results hold that; infinite where none comes."""
    steady = age_by_zone(dataset)
    if running is None:
        return steady
    return np.where(np.isinf(steady), np.inf, list(running.zones.values()))


def _layout(dataset: xr.Dataset) -> dict[str, Any]:
    """Passages and equipment of a results file that tells them."""
    if "layout" in dataset.attrs:
        return dict(json.loads(str(dataset.attrs["layout"])))
    return {}


def _centres(dataset: xr.Dataset, radii: Array) -> Array:
    """Where the zones are; in a row where the results do not tell."""
    if "zone_x" in dataset and "zone_y" in dataset:
        centres = np.column_stack([dataset["zone_x"].values, dataset["zone_y"].values]).astype(float)
        if np.isfinite(centres).all():
            return centres
    ends = np.cumsum(2.0 * radii)
    return np.column_stack([ends - radii, np.zeros(len(radii))])


def _paper(centres: Array, radii: Array, links: list[tuple[int, int]]) -> tuple[Figure, Axes, Room]:
    """A figure whose height follows the pond, with room for signs around it and a foot for the scale bar."""
    low, high = (centres - radii[:, None]).min(axis=0), (centres + radii[:, None]).max(axis=0)
    size = high - low
    # Around the pond: words of some 22 letters at either side, three lines above, six below.
    wide_in, least_in, most_in = (
        style.width_in() - 3.2 * style.width_in() / style.WIDTH_IN,
        HEIGHT_IN[0] - 2.2,
        HEIGHT_IN[1] - 2.2,
    )
    per_inch = max(size[0] / wide_in, size[1] / most_in, 2.0 * float(radii.max()) / WIDEST_IN)
    tall_in = max(size[1] / per_inch, least_in)
    figure = style.new_figure(tall_in + 2.2)
    axes = figure.subplots()
    axes.set_aspect("equal")
    axes.set_axis_off()
    middle = 0.5 * (low + high)
    half = 0.5 * np.array([style.width_in() - 0.2, tall_in]) * per_inch
    axes.set_xlim(middle[0] - half[0], middle[0] + half[0])
    axes.set_ylim(middle[1] - half[1] - 0.9 * per_inch, middle[1] + half[1] + 0.35 * per_inch)
    return figure, axes, Room(centres, radii, LETTER_IN * per_inch, links)


def _zone(
    axes: Axes, room: Room, zone: int, lines: list[str], age: float, scale: tuple[Colormap, Normalize]
) -> None:
    """A circle of true area with its lines."""
    from matplotlib.patches import Circle  # noqa: PLC0415

    colours, levels = scale
    face = colours(levels(age)) if math.isfinite(age) else NEVER
    axes.add_patch(
        Circle(
            room.centres[zone], room.radii[zone], facecolor=face, edgecolor=style.INK, linewidth=1.0, zorder=3
        )
    )
    _words(axes, room, zone, lines, face)


def _words(axes: Axes, room: Room, zone: int, lines: list[str], face: Any) -> None:
    """Lines in the circle of a zone, the first bold, or beside it where they are too wide."""
    wide = 0.62 * room.letter * max(map(len, lines))
    fits = wide < 1.9 * room.radii[zone] and 1.3 * room.letter * len(lines) < 1.5 * room.radii[zone]
    ink = scales.ink_on(face) if fits else style.INK
    at, sides = tuple(room.centres[zone]), ("center", "center")
    if not fits:
        at, sides = plan_marks.beside(
            room, zone, *room.best_place(zone, max(map(len, lines)), len(lines), NAME_REACH)
        )
    step = 1.3 * room.letter
    top = at[1] + 0.5 * step * (len(lines) - 1)
    for line, words in enumerate(lines):
        axes.text(
            at[0],
            top - line * step,
            words,
            ha=sides[0],
            va="center",
            color=ink,
            zorder=6,
            fontsize=style.SIZE + (0.5 if line == 0 else -1.0),
            fontweight="bold" if line == 0 else "normal",
        )


def _renewal(dataset: xr.Dataset, zone: int, age: float, running: RunningAges | None) -> list[str]:
    """Days since the waterfall, and those near the bed or else the share under so many days, in words."""
    if not _has_waterfall(dataset):
        return []
    if not math.isfinite(age):
        return ["never renewed"]
    if running is not None:
        name = str(dataset["zone"].values[zone])
        near = [one.days for one in running.places if one.zone == name and one.depth == PLACES["bottom"]]
        return [_days(age), *(f"{_days(days)} near the bed" for days in near)]
    within = float(dataset.attrs["renewed_within_d"])
    share = float(renewed_share(dataset, by_zone=True)[zone])
    return [_days(age), f"{100.0 * share:.0f} % under {within:g} d"]


def _days(age: float) -> str:
    return f"{number_text(age, 2)} d"


def _has_waterfall(dataset: xr.Dataset) -> bool:
    return bool(np.isfinite(age_by_zone(dataset)).any())


def _key(figure: Figure, axes: Axes, colours: Colormap, levels: Normalize) -> None:
    from matplotlib.cm import ScalarMappable  # noqa: PLC0415

    place = axes.inset_axes((0.66, 0.045, 0.32, 0.025))
    bar = figure.colorbar(ScalarMappable(levels, colours), cax=place, orientation="horizontal", format="%g")
    bar.set_label("days since the waterfall", fontsize=style.SIZE - 1, color=style.INK)
    bar.ax.tick_params(labelsize=style.SIZE - 1.5, colors=style.INK, length=2)
    bar.outline.set_edgecolor(style.INK)


def _finding(
    dataset: xr.Dataset, zones: list[str], ages: Array, running: RunningAges | None, system: str
) -> str:
    title = str(dataset.attrs.get("title", "untitled"))
    area = style.amount(float(dataset["zone_area"].sum()), "area", system)
    if not _has_waterfall(dataset):
        if area.endswith(" acre") and float(area.split()[0]) > 1.0:
            area += "s"
        count = "one zone" if len(zones) == 1 else f"{len(zones)} zones"
        return f'"{title}" has no waterfall; the pond has {area} in {count}'
    if running is None:
        share, within = float(renewed_share(dataset)), float(dataset.attrs["renewed_within_d"])
        part = f"{100.0 * share:.0f} % of the water has a mean age under {within:g} d since the waterfall"
        mean = f"; the mean is {_days(mean_age(dataset))}" if len(zones) == 1 else ""
    else:
        part, mean = f"mean water age since the waterfall is {_days(running.pond)}", ""
    oldest = int(np.nanargmax(ages))
    if len(zones) > 1 and not math.isfinite(ages[oldest]):
        never = " and ".join(z for z, age in zip(zones, ages, strict=True) if np.isinf(age))
        return f'"{title}": water from the waterfall never reaches {never}; {part}'
    if running is not None:
        worst = running.places[0]
        return f'"{title}": {part}; the oldest is {worst.zone} {worst.depth}, {_days(worst.days)}'
    if len(zones) == 1:
        return f'"{title}": {part}{mean}'
    return f'"{title}": {part}; the oldest is {zones[oldest]}, {_days(float(ages[oldest]))}'


def _note(layout: dict[str, Any], running: RunningAges | None) -> str:
    missing = (
        "" if layout else " This results file does not hold passages and equipment: run the design again."
    )
    days = f"median over the run after its first {FORGOTTEN} days, mean of the zone and near its bed"
    if running is None:
        days = (
            "mean of the zone at steady mean flows, too young where water is stratified; share of its water "
            "under so many days"
        )
    return f"Sketch: areas true, shapes not; circles that would touch are moved apart. Days: {days}.{missing}"
