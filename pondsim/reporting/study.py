"""What every part of the page is made from: results, their comparison, the zones and times worth a look."""

from __future__ import annotations

import json
import re
import tomllib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.comparison import Comparison, compare
from pondsim.comparison.lengths import SHORT_RUN
from pondsim.errors import ScenarioError
from pondsim.figures.shown import of_zone
from pondsim.measures import event_word, hottest_week, largest_storm
from pondsim.reporting.promise import Promise

if TYPE_CHECKING:
    import xarray as xr

    from pondsim.measures.bands import Bands

Moment = np.datetime64
Window = tuple[Moment, Moment]

NEEDED = (  # attributes without which nothing can be said
    "title",
    "latitude_deg",
    "longitude_deg",
    "utc_offset_h",
    "criterion",
    "fish_oxygen_mg_per_L",
    "fish_temperature_degC",
    "renewed_within_d",
)
UNREAD = (  # variables that no part of the page reads
    "carbonaceous_bod",
    "ammonium",
    "detritus",
    "dissolved_phosphorus",
    "detritus_phosphorus",
    "phosphorus_on_solids",
    "algal_carbon",
    "salinity",
    "age_since_inflow",
    "suspended_solids",
    "bed_oxygen_demand",
)
FILE_MARK = re.compile(r"^# ---- (.+)$", re.MULTILINE)
BEFORE, AFTER = np.timedelta64(1, "D"), np.timedelta64(5, "D")  # shown around a storm


@dataclass(frozen=True)
class Study:
    """Results, the existing pond first, and what is found in them.

    Attributes
    ----------
    datasets : results of every design
    comparison : of them
    system : units shown first
    zones_by_need : zones, the one with the lowest dawn oxygen first
    storm, week : the largest storm and the hottest week of the first results, where there are such
    promise : what members say of these designs, where there are such
    of_zones : results of single zones, by zone, as they are asked for
    """

    datasets: list[xr.Dataset]
    comparison: Comparison
    system: str
    zones_by_need: tuple[str, ...]
    storm: Window | None
    week: Window | None
    promise: Promise | None = None
    of_zones: dict[str, list[xr.Dataset]] = field(default_factory=dict)

    @property
    def titles(self) -> tuple[str, ...]:
        """Names of the designs."""
        return self.comparison.titles

    @property
    def alone(self) -> bool:
        """Whether there is one run and nothing to compare."""
        return len(self.datasets) == 1

    @property
    def span(self) -> str:
        """First and last day of the runs, with the hours of short ones."""
        start, end = self.comparison.start, self.comparison.end
        return f"{start} to {end}" if self.comparison.days < SHORT_RUN else f"{start[:10]} to {end[:10]}"

    @property
    def storm_word(self) -> str:
        """What the largest storm is: "storm", or "snowmelt" where that brings the water."""
        if self.storm is None:
            return "storm"
        begin, end = (str(np.datetime_as_string(moment, unit="s")) for moment in self.storm)
        return event_word(self.datasets[0].assign_attrs(event_start=begin, event_end=end))

    def of_zone(self, zone: str) -> list[xr.Dataset]:
        """Results of one zone alone, which is quicker to read; the same each time."""
        if zone not in self.of_zones:
            self.of_zones[zone] = [of_zone(dataset, zone) for dataset in self.datasets]
        return self.of_zones[zone]

    def deepest_zone(self) -> str:
        """Zone with the deepest bed."""
        bottoms = self.datasets[0]["layer_bottom_elevation"].min(("time", "layer"))
        return str(bottoms["zone"].values[int(np.argmin(bottoms.values))])


def study_of(
    datasets: list[xr.Dataset],
    system: str,
    promise: Promise | None = None,
    *,
    allow_differences: bool = False,
    bands: Bands | None = None,
) -> Study:
    """Look results over.

    Raises
    ------
    ScenarioError
        They cannot be compared, or lack what nothing can be said without.
    """
    for dataset in datasets:
        _refuse_incomplete(dataset)
    comparison = compare(datasets, allow_differences=allow_differences, bands=bands)
    lows = [comparison.value(f"dawn_lowest_top.{zone}", 0) for zone in comparison.zones]
    order = sorted(range(len(lows)), key=lambda k: np.inf if (low := lows[k]) is None else low)
    return Study(
        datasets,
        comparison,
        system,
        tuple(comparison.zones[k] for k in order),
        largest_storm(datasets[0]),
        hottest_week(datasets[0]),
        promise,
    )


def _refuse_incomplete(dataset: xr.Dataset) -> None:
    title = dataset.attrs.get("title", "untitled")
    lacking = [name for name in NEEDED if name not in dataset.attrs]
    if lacking:
        version = dataset.attrs.get("pondsim_version", "an unknown version")
        raise ScenarioError(
            f'the results of "{title}", written by pondsim {version}, lack the attribute '
            f"{', '.join(lacking)}; run the design again with this version"
        )
    if dataset.sizes["time"] < 2:
        raise ScenarioError(f'the results of "{title}" hold one moment only; there is nothing to report')


def files_of(dataset: xr.Dataset) -> list[tuple[str, str]]:
    """Name and text of each file of the scenario, as kept with the results."""
    text = str(dataset.attrs.get("scenario_text", ""))
    parts = FILE_MARK.split(text)
    if len(parts) == 1:
        return [("scenario", text)] if text.strip() else []
    return [(name.strip(), body.strip("\n")) for name, body in zip(parts[1::2], parts[2::2], strict=True)]


def pond_name(dataset: xr.Dataset) -> str:
    """Title of the site file, or nothing where it cannot be told."""
    files = files_of(dataset)
    if len(files) < 2:
        return ""
    try:
        return str(tomllib.loads(files[0][1]).get("title", ""))
    except tomllib.TOMLDecodeError:
        return ""


def fact(dataset: xr.Dataset, name: str) -> Any:
    """A JSON attribute of the results, None where they have none or it cannot be read."""
    try:
        return json.loads(str(dataset.attrs[name]))
    except (KeyError, json.JSONDecodeError):
        return None


def moment_words(moment: Moment) -> str:
    """A moment as people read it."""
    return str(np.datetime_as_string(moment, unit="m")).replace("T", " ")


def around(study: Study, window: Window) -> Window:
    """A storm with the days before and after it, within the run."""
    times = study.datasets[0]["time"].values
    return max(window[0] - BEFORE, times[0]), min(window[1] + AFTER, times[-1])
