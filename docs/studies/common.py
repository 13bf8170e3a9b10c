"""What the studies share: the demo pond with changes, figures, and numbers written into the pages."""

from __future__ import annotations

import re
import tempfile
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from PIL import Image

from pondsim.figures.style import INK, LIMIT, SIZE, spread
from pondsim.measures import at_station, dawn_minimum, sunrise_hour
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Scenario
from pondsim.simulate import run

DOCS = Path(__file__).parents[1]
CAMPUS = DOCS.parent / "scenarios" / "campus"
DESIGNS = ("existing", "waterfall", "waterfall_night_air", "air_all_day")
HOT_WEEK = slice("2025-08-03", "2025-08-09")  # whole days well inside the demo's hot spell
KG_IN_LB = 0.45359237
M_IN_FT = 0.3048


def demo(design: str = "existing", **sections: Any) -> Scenario:
    """A design of the demo pond; keywords change keys of a section: ``demo(bed={"theta": 1.0})``."""
    return changed(read_scenario(CAMPUS / f"{design}.toml"), **sections)


def changed(scenario: Scenario, **sections: Any) -> Scenario:
    """A scenario with keys of its sections replaced; a value that is no dict replaces the whole section."""
    new = {
        name: replace(getattr(scenario, name), **value) if isinstance(value, dict) else value
        for name, value in sections.items()
    }
    return replace(scenario, **new)


def without_rain(scenario: Scenario, day: str) -> Scenario:
    """A scenario whose rain gauge was dry on a day."""
    if scenario.rain is None or scenario.rain.file is None:
        return scenario
    lines = scenario.rain.file.read_text(encoding="utf-8").splitlines()
    with tempfile.NamedTemporaryFile("w", suffix=".csv", delete=False, encoding="utf-8") as file:
        file.write("\n".join(line for line in lines if not line.startswith(day)) + "\n")
    return replace(scenario, rain=replace(scenario.rain, file=Path(file.name)))


def computed(scenario: Scenario) -> xr.Dataset:
    """Results of a scenario."""
    return run(scenario, how_long_start_matters=False)


def top(dataset: xr.Dataset, zone: str, name: str = "dissolved_oxygen") -> xr.DataArray:
    """A variable in the top meter of a zone."""
    return at_station(dataset, name, "top").sel(zone=zone)


def bottom(dataset: xr.Dataset, zone: str, name: str = "dissolved_oxygen") -> xr.DataArray:
    """A variable 0.3 m above the deepest bed of a zone."""
    return at_station(dataset, name, "bottom").sel(zone=zone)


def dawns(dataset: xr.Dataset, zone: str, days: slice = HOT_WEEK) -> np.ndarray:
    """Lowest oxygen at dawn in the top meter of a zone, by day."""
    series = top(dataset, zone).sel(time=days)
    place = (dataset.attrs[key] for key in ("latitude_deg", "longitude_deg", "utc_offset_h"))
    latitude, longitude, offset = (float(value) for value in place)
    _, lowest = dawn_minimum(
        series["time"].values, series.values, lambda dates: sunrise_hour(dates, latitude, longitude, offset)
    )
    return lowest


def budget(dataset: xr.Dataset, days: slice = HOT_WEEK) -> dict[str, float]:
    """Mean oxygen by budget line over some days, whole pond, positive into the water. [lb/d]"""
    mean = dataset["oxygen_rate"].sel(time=days).mean("time") / KG_IN_LB
    return {
        str(line): float(value)
        for line, value in zip(mean["oxygen_pathway"].values, mean.values, strict=True)
    }


def table(head: list[str], rows: list[list[str]]) -> str:
    """A Markdown table, numbers to the right."""
    lines = ["| " + " | ".join(head) + " |", "|---|" + "---:|" * (len(head) - 1)]
    return "\n".join([*lines, *("| " + " | ".join(row) + " |" for row in rows)])


def fill(page: str, name: str, text: str, root: Path = DOCS) -> None:
    """Put `text` between the marks `name` of a page: ``<!-- name -->`` and ``<!-- end name -->``."""
    path = root / page
    old = path.read_text(encoding="utf-8")
    marks = re.compile(rf"(<!-- {re.escape(name)} -->\n).*?(<!-- end {re.escape(name)} -->)", re.DOTALL)
    new, count = marks.subn(lambda found: f"{found[1]}{text.strip()}\n{found[2]}", old)
    if count != 1:
        raise SystemExit(f"{path}: marks of {name!r} found {count} times, once is wanted")
    path.write_text(new, encoding="utf-8")


def save(figure: Figure, name: str) -> None:
    """Write a figure into docs/figures, small: 64 colours are enough for lines and words."""
    raw = BytesIO()
    figure.savefig(raw, dpi=110)
    with Image.open(raw) as picture:
        picture.convert("RGB").quantize(64).save(DOCS / "figures" / f"{name}.png", optimize=True)


def label_ends(axes: Axes, ends: list[tuple[float, str, str]], gap: float, at: Any = None) -> None:
    """Name lines at their right ends: value, words and colour of each, kept `gap` apart."""
    right = axes.get_xlim()[1] if at is None else at
    for place, (_, words, colour) in zip(spread([end[0] for end in ends], gap), ends, strict=True):
        axes.annotate(
            words, (right, place), xytext=(5, 0), textcoords="offset points", annotation_clip=False,
            color=colour, fontsize=SIZE - 0.5, va="center",
        )  # fmt: skip


def limit_line(axes: Axes, value: float, words: str) -> None:
    """A threshold with its name at the left."""
    axes.axhline(value, color=LIMIT, linewidth=0.8, linestyle=(0, (3, 2)))
    axes.annotate(
        words, (0.005, value), xycoords=("axes fraction", "data"), xytext=(0, 2),
        textcoords="offset points", color=LIMIT, fontsize=SIZE - 1.5,
    )  # fmt: skip


def note(axes: Axes, when: Any, value: float, words: str) -> None:
    """A short remark in the picture."""
    axes.annotate(words, (when, value), color=INK, fontsize=SIZE - 1.0, ha="center")
