"""Years of a pond: one season run again over the bed it left, or a long run cut by calendar year."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Any

import xarray as xr

from pondsim.errors import ScenarioError
from pondsim.scenario.dredging import left_of_stores
from pondsim.scenario.settings import Scenario
from pondsim.simulate import run

DATED = {  # lists of sections: their dates
    "treatment": ("start",),
    "dye": ("start",),
    "cover": ("start", "end"),
    "dredging": ("date",),
    "load": ("start", "end"),
}
MOST_YEARS = 30
LONGEST = 366  # d of a period that is run again each year; a longer one holds its years itself
FEWEST = 30  # d of a calendar year that are worth a column of their own


def run_years(
    scenario: Scenario,
    years: int,
    text: str = "",
    progress: Callable[[float], None] | None = None,
    forget_loads: bool = False,
) -> list[xr.Dataset]:
    """Results of the period in each of several years.

    A period longer than a year is run once, with the weather it has, and cut by calendar year. Of a shorter
    one every year has the weather, rain and starting water of the scenario, and its bed is what the year
    before left: what falls and decays in the colder part of the year, both slowly, is left out. Treatments,
    dye, covers, loads and dredging dated in a later year happen in that year's run; those of the first are
    not repeated, but for loads. Dredging between two runs is done when the later one begins.

    Parameters
    ----------
    scenario : Scenario
        With grown algae.
    years : int
        1 to 30; not used where the period is longer than a year.
    text, progress
        As for `run`.
    forget_loads : bool, default False
        Whether loads too happen in their own year only.

    Raises
    ------
    ScenarioError
        Algae are given, or the number of years is out of range.
    RunError
        As `run`.
    """
    if scenario.algae.mode != "grown":
        raise ScenarioError('years of one bed need algae that grow; write algae.mode = "grown"')
    if not 1 <= years <= MOST_YEARS:
        raise ScenarioError(f"{years} years were asked for; 1 to {MOST_YEARS} can be run")
    if (scenario.period.end - scenario.period.start).days > LONGEST:
        return by_year(run(scenario, text, progress, how_long_start_matters=False))
    results: list[xr.Dataset] = []
    for year in range(years):
        this = in_year(scenario, year, forget_loads)
        bed = _dredged_between(this, results[-1]["bed_at_end"]) if results else None

        def share(done: float, year: int = year) -> None:
            if progress:
                progress((year + done) / years)

        found = run(this, text, share, how_long_start_matters=False, bed=bed)
        found.attrs["year"] = scenario.period.start.year + year
        results.append(found)
    return results


def _dredged_between(scenario: Scenario, bed: xr.DataArray) -> xr.DataArray:
    """The bed that the run of the year before left, less what was dredged before this one starts."""
    period = scenario.period
    ended = (_earlier(period.end, 1) - period.start).total_seconds()
    left = left_of_stores(scenario, min(ended, 0.0))
    return bed * xr.DataArray(list(left), dims="zone", coords={"zone": bed["zone"]})


def by_year(dataset: xr.Dataset) -> list[xr.Dataset]:
    """Results cut by calendar year, each with the attribute ``year``; years of a few days are left out."""
    parts = []
    for year, part in dataset.groupby("time.year"):
        span = (part["time"].values[-1] - part["time"].values[0]).astype("timedelta64[D]").astype(int)
        if span >= FEWEST:
            parts.append(part.assign_attrs(dataset.attrs | {"year": int(year)}))
    return parts


def in_year(scenario: Scenario, year: int, forget_loads: bool = False) -> Scenario:
    """The scenario with what is dated `year` years after its period moved into it."""
    changed: dict[str, Any] = {}
    for name, dates in DATED.items():
        if name == "load" and not forget_loads:
            continue
        moved = []
        for one in getattr(scenario, name):
            moved.append(replace(one, **{date: _earlier(getattr(one, date), year) for date in dates}))
        changed[name] = tuple(moved)
    return replace(scenario, **changed)


def _earlier(moment: datetime, years: int) -> datetime:
    day = 28 if (moment.month, moment.day) == (2, 29) else moment.day
    return moment.replace(year=moment.year - years, day=day)
