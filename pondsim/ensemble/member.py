"""Members of an ensemble: runs of one pond of which only measures and daily series are kept."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr

from pondsim import __version__
from pondsim.comparison.entries import Entry, entries
from pondsim.coordinates import indexed
from pondsim.ensemble.kept import Kept
from pondsim.ensemble.runner import run_tasks
from pondsim.errors import RunError, ScenarioError
from pondsim.jit.kept import package_fingerprint
from pondsim.measures import at_station, daily, dawn_oxygen, lowest_bed
from pondsim.measures.declared import Measure
from pondsim.results.raw import from_bytes, to_bytes
from pondsim.scenario.settings import Scenario
from pondsim.simulate import run

BY_ZONE: dict[
    str, tuple[str, str, Callable[..., Any]]
] = {  # daily series: variable, station, and what is made of the values of a day
    "oxygen_lowest_top": ("dissolved_oxygen", "top", np.min),
    "oxygen_lowest_bottom": ("dissolved_oxygen", "bottom", np.min),
    "temperature_mean_top": ("water_temperature", "top", np.mean),
    "temperature_mean_bottom": ("water_temperature", "bottom", np.mean),
}
OF_POND = ("water_surface_elevation", "power")  # mean of the day


def run_members(
    scenarios: Sequence[Scenario],
    how: str = "threads",
    *,
    keep: str | Path | None = None,
    report: Callable[[float], None] | None = None,
) -> xr.Dataset:
    """Run scenarios of one pond and keep what an ensemble needs of each.

    Parameters
    ----------
    scenarios : sequence of Scenario
        Alike in zones and period, such as one made by `with_values` for each draw.
    how : str
        See `pondsim.ensemble.runner.run_tasks`.
    keep : str or Path, optional
        Folder in which finished members are kept; a study that was broken off goes on with those.
    report : callable, optional
        Called with the share done, 0 to 1.

    Returns
    -------
    xarray.Dataset
        Dimension ``member``: ``measure`` by key, in the unit of its coordinate ``unit``, daily series by day
        and zone, and ``failure``, why a run was not finished, or ""; all else of such a member is NaN.

    Raises
    ------
    ScenarioError
        No scenario, scenarios of different zones or periods, weather that does not serve, or `how` is no way.
    RunError
        Not one run could be finished.
    """
    _check_alike(scenarios)
    return _joined(run_tasks(run_member, scenarios, how, kept=kept_in(keep), report=report))


def kept_in(folder: str | Path | None, *more: str) -> Kept | None:
    """Members kept in a folder, of this program and of what else they depend on; None without a folder."""
    if folder is None:
        return None
    version = " ".join((__version__, package_fingerprint(), *more))
    return Kept(Path(folder), version, to_bytes, from_bytes)


def run_member(scenario: Scenario, *, declared: bool = False) -> xr.Dataset:
    """Measures and daily series of one run; of one that failed the attribute ``failure`` alone.

    With `declared` the attribute ``measures`` holds the declaration of each, as JSON by key.
    """
    try:
        results = run(scenario, how_long_start_matters=False)
    except RunError as error:
        return xr.Dataset(attrs={"failure": str(error)})
    found = entries(results)
    values = [np.nan if entry.value is None else entry.value for entry in found.values()]
    days, dawn = dawn_oxygen(results)
    data: dict[str, Any] = {
        "measure": (("key",), np.array(values, dtype=float)),
        "oxygen_dawn_top": (("day", "zone"), dawn),
        "bed": (("zone",), lowest_bed(results)),
    }
    times = results["time"].values
    for name, (variable, station, reduce) in BY_ZONE.items():
        data[name] = ("day", "zone"), daily(times, at_station(results, variable, station).values, reduce)[1]
    for name in OF_POND:
        data[name] = ("day",), daily(times, results[name].values, np.mean)[1]
    places = {
        "key": list(found),
        "unit": ("key", [entry.unit for entry in found.values()]),
        "day": days.astype("datetime64[ns]"),
        "zone": results["zone"].values,
    }
    attributes = {"failure": ""}
    if declared:
        attributes["measures"] = json.dumps({key: _declaration(entry) for key, entry in found.items()})
    return xr.Dataset(data, indexed(places), attributes)


def _declaration(entry: Entry) -> dict[str, Any]:
    """A measure's declaration as plain values, None for what is not a number."""
    found = {field.name: getattr(entry, field.name) for field in fields(Measure)}
    return {
        name: None if isinstance(value, float) and np.isnan(value) else value for name, value in found.items()
    }


def _check_alike(scenarios: Sequence[Scenario]) -> None:
    if not scenarios:
        raise ScenarioError("there are no scenarios to run")
    first = scenarios[0]
    names = [zone.name for zone in first.zone]
    for number, one in enumerate(scenarios, 1):
        if [zone.name for zone in one.zone] != names or one.period != first.period:
            raise ScenarioError(f"member {number} is of another pond or period than the first")


def _joined(members: Sequence[xr.Dataset]) -> xr.Dataset:
    """Members side by side; what one has no number for is NaN."""
    failures = [str(one.attrs["failure"]) for one in members]
    done = [number for number, failure in enumerate(failures) if not failure]
    if not done:
        raise RunError(f"no run could be finished; the first: {failures[0]}")
    units = {
        str(key): str(unit)
        for number in done
        for key, unit in zip(members[number]["key"].values, members[number]["unit"].values, strict=True)
    }
    place = {key: column for column, key in enumerate(units)}
    measure = np.full((len(members), len(units)), np.nan)
    first = members[done[0]]
    series = {
        str(name): np.full((len(members), *one.shape), np.nan)
        for name, one in first.data_vars.items()
        if name != "measure"
    }
    for number in done:
        own = members[number]
        measure[number, [place[str(key)] for key in own["key"].values]] = own["measure"].values
        for name, values in series.items():
            values[number] = own[name].values
    data = {name: (("member", *first[name].dims), values) for name, values in series.items()}
    return xr.Dataset(
        {"measure": (("member", "key"), measure), **data, "failure": (("member",), failures)},
        indexed(
            {
                "key": list(units),
                "unit": ("key", list(units.values())),
                "day": first["day"].values,
                "zone": first["zone"].values.astype(str),
            }
        ),
    )
