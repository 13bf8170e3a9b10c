"""A study: every design of a pond in every member, each member with one draw that all designs share.

Of a run only measures and daily series are kept, four bytes a number: memory and file grow by these alone.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr

from pondsim import __version__
from pondsim.ensemble.kept import fingerprint
from pondsim.ensemble.member import BY_ZONE, OF_POND, kept_in, run_member
from pondsim.ensemble.sampling import Unknown, shares_of, values_of
from pondsim.ensemble.together import each_together
from pondsim.ensemble.unknowns import WEATHER, correlations_of, drawn, unknowns_of, with_draw
from pondsim.ensemble.weather_years import WeatherYear, in_year, weather_years
from pondsim.errors import RunError, ScenarioError
from pondsim.scenario.settings import Scenario

Array = np.ndarray[Any, Any]

SERIES = ("oxygen_dawn_top", *BY_ZONE)  # by day and zone
KEYS_AT_FIRST = 512  # places for measures before the first member tells how many there are


@dataclass(frozen=True)
class Draws:
    """What members draw.

    Attributes
    ----------
    unknowns : each thing drawn
    shares : (members, unknowns), even between 0 and 1
    values : the same as SI values, and places of choices
    years : weather years; `year` of each member is the place of its own
    weights : of members, sum 1; from `pondsim calibrate`, else None
    seed : of the sequence
    margin : by how much computed oxygen may be off beyond what members tell, 90 % of past errors [mg/L]
    """

    unknowns: tuple[Unknown, ...]
    shares: Array
    values: Array
    years: tuple[WeatherYear, ...]
    year: Array
    weights: Array | None = None
    seed: int = 1
    margin: float = 0.0

    @property
    def members(self) -> int:
        """How many members there are."""
        return len(self.shares)


@dataclass(frozen=True)
class Drawn:
    """One run: a design by the fingerprint of its scenario, a weather year, and values by key."""

    design: str
    year: WeatherYear
    values: tuple[tuple[str, Any], ...]
    declared: bool


@dataclass(frozen=True)
class RunDrawn:
    """Runs one draw of a design; travels to other processes."""

    designs: Mapping[str, Scenario]

    def __call__(self, task: Drawn) -> xr.Dataset:
        """What is kept of the run."""
        scenario = in_year(self.designs[task.design], task.year)
        return run_member(with_draw(scenario, dict(task.values)), declared=task.declared)


def draws_of(scenarios: Sequence[Scenario], members: int, seed: int = 1) -> Draws:
    """Draw what is not known of some designs of one pond.

    Parameters
    ----------
    scenarios : sequence of Scenario
        The existing pond first: its ``[unknowns]`` count.
    members : int
        A power of two.
    seed : int
        Another seed is another scrambling.

    Raises
    ------
    ScenarioError
        A range or a number of members that cannot be used, or nothing to draw.
    """
    years = weather_years(scenarios[0])
    unknowns = unknowns_of(scenarios, years)
    if not unknowns:
        raise ScenarioError("nothing is drawn: [unknowns] turns the defaults off and names no range")
    shares = shares_of(unknowns, members, seed, correlations_of(scenarios[0]))
    return draws_from(unknowns, shares, years, seed)


def draws_from(unknowns: Sequence[Unknown], shares: Array, years: Sequence[WeatherYear], seed: int) -> Draws:
    """Draws of given shares."""
    values = values_of(unknowns, shares)
    names = [one.name for one in unknowns]
    year = values[:, names.index(WEATHER)].astype(int) if WEATHER in names else np.zeros(len(shares), int)
    return Draws(tuple(unknowns), shares, values, tuple(years), year, None, seed)


def check_designs(scenarios: Sequence[Scenario]) -> None:
    """Refuse designs of different zones or periods."""
    names = [zone.name for zone in scenarios[0].zone]
    for one in scenarios[1:]:
        if [zone.name for zone in one.zone] != names or one.period != scenarios[0].period:
            raise ScenarioError(
                f'"{one.title}" is of another pond or period than "{scenarios[0].title}"; all designs of a '
                "study stand over one site file"
            )


def tasks_of(scenarios: Sequence[Scenario], draws: Draws) -> tuple[list[Drawn], RunDrawn]:
    """Every run of a study, member by member, and what runs them."""
    scenarios = [replace(one, readings=()) for one in scenarios]  # no member carries them along
    prints = [fingerprint(replace(one, sources=(), stated={})) for one in scenarios]
    tasks = []
    for member in range(draws.members):
        year = replace(draws.years[draws.year[member]], chance=1.0)
        for scenario, own in zip(scenarios, prints, strict=True):
            values = drawn(scenario, draws.unknowns, draws.values[member])
            tasks.append(Drawn(own, year, tuple(sorted(values.items())), member == 0))
    return tasks, RunDrawn(dict(zip(prints, scenarios, strict=True)))


def run_study(
    scenarios: Sequence[Scenario],
    draws: Draws,
    how: str = "threads",
    *,
    keep: str | Path | None = None,
    report: Callable[[float], None] | None = None,
) -> xr.Dataset:
    """Run every design in every member.

    Parameters
    ----------
    scenarios : sequence of Scenario
        The existing pond first.
    draws : Draws
        From `draws_of`, or of a calibration. Members whose weight is 0 are not run.
    how, keep, report
        As in `pondsim.ensemble.member.run_members`.

    Returns
    -------
    xarray.Dataset
        ``measure(design, member, key)``, daily series by design, member, day and zone, ``failure``,
        ``draw`` and ``draw_share(member, unknown)``, ``weather(member)`` and ``weight(member)``.

    Raises
    ------
    ScenarioError
        Designs of different ponds, or a draw that a scenario refuses.
    RunError
        Not one member could be finished with every design.
    """
    check_designs(scenarios)
    tasks, function = tasks_of(scenarios, draws)
    count = len(scenarios)
    chosen = list(range(len(tasks)))
    if draws.weights is not None:
        worth = draws.weights > 0.0
        chosen = [place for place in chosen if worth[place // count]]
        for place in chosen[:count]:  # the first that is run tells what each measure is
            tasks[place] = replace(tasks[place], declared=True)
    table = _Table(count, draws.members)

    def take(place: int, found: xr.Dataset) -> None:
        table.put(chosen[place] % count, chosen[place] // count, found)

    own = [tasks[place] for place in chosen]
    members = [place // count for place in chosen]
    each_together(function, own, members, take, how, kept=kept_in(keep), report=report)
    return _described(table.dataset(), scenarios, draws)


class _Table:
    """Numbers of all members, put in as they come."""

    def __init__(self, designs: int, members: int) -> None:
        self.shape = designs, members
        self.failure = np.full(self.shape, "not run", dtype=object)
        self.keys: dict[str, int] = {}
        self.measure = np.full((*self.shape, KEYS_AT_FIRST), np.nan, np.float32)
        self.series: dict[str, Array] = {}
        self.bed: Array = np.empty((0, 0, 0), np.float32)
        self.declared: dict[str, Any] = {}
        self.places: dict[str, Array] = {}

    def put(self, design: int, member: int, found: xr.Dataset) -> None:
        """Take over one run; another year's days stand in the places of the first's."""
        self.failure[design, member] = str(found.attrs["failure"])
        if self.failure[design, member]:
            return
        self.declared |= json.loads(found.attrs.get("measures", "{}"))
        for key, value in zip(found["key"].values.tolist(), found["measure"].values, strict=True):
            place = self.keys.setdefault(key, len(self.keys))
            if place >= self.measure.shape[2]:
                more = np.full((*self.shape, place), np.nan, np.float32)
                self.measure = np.concatenate([self.measure, more], axis=2)
            self.measure[design, member, place] = value
        if not self.places:
            self.places = {"day": found["day"].values, "zone": found["zone"].values.astype(str)}
            self.bed = np.full((*self.shape, len(self.places["zone"])), np.nan, np.float32)
        self.bed[design, member] = found["bed"].values
        for name in (*SERIES, *OF_POND):
            own = found[name].values
            if name not in self.series:
                self.series[name] = np.full((*self.shape, *own.shape), np.nan, np.float32)
            days = min(len(own), self.series[name].shape[2])
            self.series[name][design, member, :days] = own[:days]

    def dataset(self) -> xr.Dataset:
        """All of it; RunError where no member has every design."""
        whole = (self.failure == "").all(axis=0)
        if not whole.any():
            first = next((one for one in self.failure.ravel() if one not in ("", "not run")), "none was run")
            raise RunError(f"no member could be finished with every design; the first failure: {first}")
        lead = ("design", "member")
        data: dict[str, Any] = {
            name: ((*lead, *(("day", "zone") if values.ndim == 4 else ("day",))), values)
            for name, values in self.series.items()
        }
        data["bed"] = (*lead, "zone"), self.bed
        data["measure"] = (*lead, "key"), self.measure[:, :, : len(self.keys)]
        data["failure"] = lead, self.failure.astype(str)
        attributes = {"measures": json.dumps(self.declared)}
        return xr.Dataset(data, {"key": list(self.keys), **self.places}, attributes)


def _described(found: xr.Dataset, scenarios: Sequence[Scenario], draws: Draws) -> xr.Dataset:
    """Draws, weather and titles beside the numbers; measures that a design has none of as declared."""
    declared = json.loads(found.attrs["measures"])
    whole = (found["failure"].values == "").all(axis=0)
    measure = found["measure"].values
    for place, key in enumerate(found["key"].values.tolist()):
        absent = declared.get(key, {}).get("absent")
        if absent is not None:
            column = measure[:, whole, place]
            measure[:, whole, place] = np.where(np.isfinite(column), column, absent)
    names = [one.name for one in draws.unknowns]
    weights = np.full(draws.members, 1.0 / draws.members) if draws.weights is None else draws.weights
    period, zone_count = scenarios[0].period, len(scenarios[0].zone)
    return found.assign(
        draw=(("member", "unknown"), draws.values),
        draw_share=(("member", "unknown"), draws.shares),
        weather=("member", draws.year.astype(np.int16)),
        weight=("member", weights),
        title=("design", [one.title for one in scenarios]),
    ).assign_coords(unknown=names).assign_attrs(
        pondsim_version=__version__,
        seed=draws.seed,
        start=period.start.isoformat(" ", "minutes"),
        end=period.end.isoformat(" ", "minutes"),
        zones=zone_count,
        weighted=int(draws.weights is not None),
        oxygen_margin_mg_per_L=draws.margin,
        unknowns=json.dumps([asdict(one) for one in draws.unknowns]),
        weather_years=json.dumps([one.name for one in draws.years]),
    )  # fmt: skip
