"""A season run year after year: the bed that one year leaves is the bed that the next one finds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Any

import xarray as xr

from pondsim.errors import ScenarioError
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


def run_years(
    scenario: Scenario,
    years: int,
    text: str = "",
    progress: Callable[[float], None] | None = None,
    forget_loads: bool = False,
) -> list[xr.Dataset]:
    """Results of the period in each of several years.

    Every year has the weather, rain and starting water of the scenario. Its bed is what the year before left:
    what falls and decays in the colder part of the year, both slowly, is left out. Treatments, dye, covers,
    loads and dredging dated in a later year happen in that year's run; those of the first are not repeated,
    but for loads.

    Parameters
    ----------
    scenario : Scenario
        With grown algae, over a period of a year at most.
    years : int
        1 to 30.
    text, progress
        As for `run`.
    forget_loads : bool, default False
        Whether loads too happen in their own year only.

    Raises
    ------
    ScenarioError
        Algae are given, the period is longer than a year, or the number of years is out of range.
    RunError
        As `run`.
    """
    if scenario.algae.mode != "grown":
        raise ScenarioError('years of one bed need algae that grow; write algae.mode = "grown"')
    if not 1 <= years <= MOST_YEARS:
        raise ScenarioError(f"{years} years were asked for; 1 to {MOST_YEARS} can be run")
    if (scenario.period.end - scenario.period.start).days > 366:
        raise ScenarioError("the period is longer than a year; give one season or one year of it")
    results: list[xr.Dataset] = []
    for year in range(years):
        bed = results[-1]["bed_at_end"] if results else None

        def share(done: float, year: int = year) -> None:
            if progress:
                progress((year + done) / years)

        found = run(in_year(scenario, year, forget_loads), text, share, how_long_start_matters=False, bed=bed)
        found.attrs["year"] = scenario.period.start.year + year
        results.append(found)
    return results


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
