"""The smallest size with which a stated share of members meets a target: every size runs in every member.

The draws are the same at every size. The search closes in on the value that the stated share reaches.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr
from scipy.optimize import brentq
from scipy.stats import norm

from pondsim.comparison.entries import Entry
from pondsim.ensemble.member import kept_in
from pondsim.ensemble.paired import DEVIATIONS, LEVEL, OXYGEN, Chance
from pondsim.ensemble.statistics import effective_number, quantile, wilson_interval
from pondsim.ensemble.study import Draws, tasks_of
from pondsim.ensemble.together import each_together
from pondsim.errors import RunError, ScenarioError
from pondsim.scenario.settings import Scenario
from pondsim.sizing.one import ScenarioAt, value_in
from pondsim.sizing.search import Answer, Sample, find_smallest
from pondsim.sizing.target import Target, Wish, target_of
from pondsim.sizing.trial import Trial

Array = np.ndarray[Any, Any]
Shown = Callable[[Sequence[float]], AbstractContextManager[Callable[[float], None] | None]]

FEW = 16  # members that are run at each size, where nothing else is said
CONFIDENCE = 0.8  # share of members that must meet the target, where nothing else is said
PRECISION = 0.05  # of the size: finer than what the members leave open it need not be
TAILS = 6.0  # deviations beyond the outermost member within which the value reached lies


@dataclass(frozen=True)
class Tried:
    """One size in all members.

    Attributes
    ----------
    size : SI
    share : of the members that meet the target, with the interval that their number leaves
    reached : value that the stated share of members reaches or betters, in the target's unit; None where so
        many have no value
    median : of the members that have one
    meets : whether the stated share meets the target
    energy, money : medians, electricity of a run [kWh] and what it costs; money None without a tariff
    failed : members whose run failed; each counts as not meeting the target
    """

    size: float
    share: Chance
    reached: float | None
    median: float | None
    meets: bool
    energy: float
    money: float | None
    failed: int


@dataclass(frozen=True)
class MemberSizing:
    """The answer of a search over members.

    Attributes
    ----------
    target, answer : as of a search over sizes alone
    tried : every size that was run, by size
    members, effective : how many there are, and what they are worth by their weights
    days, currency : length of a run [d], name of its money
    failure : why the first run that failed did, or ""
    """

    target: Target
    answer: Answer
    tried: tuple[Tried, ...]
    members: int
    effective: float
    days: float
    currency: str
    failure: str

    def at(self, size: float | None) -> Tried | None:
        """What was found at that size."""
        return next((one for one in self.tried if one.size == size), None)


def share_meeting(margins: Array, weights: Array, deviation: float = 0.0, *, strict: bool = False) -> float:
    """Share of members on the right side of a target.

    Parameters
    ----------
    margins : (members,) array
        By how much each is on the right side; minus infinity for one that cannot meet it.
    weights : (members,) array
        Sum 1.
    deviation : float
        Of the error that each value has beside; then each member counts by its chance.
    strict : bool
        Whether a margin of 0 is not enough; without meaning where there is an error.
    """
    if deviation > 0.0:
        return float(weights @ norm.cdf(margins / deviation))
    return float(weights @ (margins > 0.0 if strict else margins >= 0.0))


def margin_of_share(margins: Array, weights: Array, share: float, deviation: float = 0.0) -> float:
    """Margin that a share of members reaches or betters; minus infinity where so many have none."""
    known = np.isfinite(margins)
    if float(weights[known].sum()) < share - 1e-9:
        return -math.inf
    if deviation > 0.0:
        if float(weights[known].sum()) < share + 1e-9:
            return -math.inf
        ends = (margins[known].min() - TAILS * deviation, margins[known].max() + TAILS * deviation)
        return float(brentq(lambda x: share_meeting(margins - x, weights, deviation) - share, *ends))
    order = np.argsort(-margins)
    enough = np.cumsum(weights[order]) >= share - 1e-9
    return float(margins[order][int(np.argmax(enough))])


def size_in_members(
    scenario_at: ScenarioAt,
    draws: Draws,
    low: float,
    high: float,
    wish: Wish,
    confidence: float = CONFIDENCE,
    how: str = "threads",
    *,
    precision: float = PRECISION,
    scan: int,
    whole: bool = False,
    also: tuple[float, ...] = (),
    keep: Path | None = None,
    shown: Shown | None = None,
) -> MemberSizing:
    """The smallest size with which a share of the members meets a wish.

    Parameters
    ----------
    scenario_at : the scenario of a size [SI]
    draws : the same at every size
    low, high : sizes looked at [SI]
    wish : from `read_wish`
    confidence : share of the members, by their weights
    how : see `pondsim.ensemble.runner.run_tasks`
    precision, scan, whole, also : see `pondsim.sizing.search.find_smallest`
    keep : folder of finished runs, so that a search that was broken off goes on
    shown : called with the sizes that are run next; gives a function of the share done, as a context

    Raises
    ------
    ScenarioError : an unknown measure or a wrong unit; a size that makes no scenario
    RunError : not one run could be finished
    """
    runs = _Runs(scenario_at, draws, wish, confidence, how, keep, shown)

    def run(size: float) -> Sample:
        if size not in runs.found:
            runs.do([size])
        one = runs.tried(size)
        return Sample(size, runs.settled().margin(one.reached), one.meets)

    answer = find_smallest(
        run, low, high, precision=precision, scan=scan, whole=whole, also=also, ahead=runs.do
    )
    tried = tuple(runs.tried(size) for size in sorted(runs.found))
    return MemberSizing(
        runs.settled(), answer, tried, draws.members, runs.worth, runs.days, runs.currency, runs.failure
    )


class _Runs:
    """Runs of every size that was tried, cut down to what the target and the bill need."""

    def __init__(
        self,
        scenario_at: ScenarioAt,
        draws: Draws,
        wish: Wish,
        confidence: float,
        how: str,
        keep: Path | None,
        shown: Shown | None,
    ) -> None:
        self.scenario_at, self.draws, self.wish, self.confidence = scenario_at, draws, wish, confidence
        self.how, self.shown = how, shown or (lambda sizes: nullcontext())
        self.kept = kept_in(keep)
        count = draws.members
        self.weights = np.full(count, 1.0 / count) if draws.weights is None else draws.weights
        self.worth = effective_number(self.weights)
        self.target: Target | None = None
        self.found: dict[float, list[tuple[float | None, float, float | None]]] = {}
        self.days, self.currency, self.failure = math.nan, "$", ""

    def do(self, sizes: Sequence[float]) -> None:
        """Run sizes in all members."""
        scenarios = [self.scenario_at(size) for size in sizes]
        tasks: list[Any] = []
        functions: dict[str, Scenario] = {}
        for scenario in scenarios:
            own, function = tasks_of([scenario], self.draws)
            tasks += [replace(one, declared=True) for one in own]
            functions |= function.designs
        function = replace(function, designs=functions)
        count = self.draws.members
        rows: dict[int, Trial] = {}

        def take(place: int, run: xr.Dataset) -> None:
            rows[place] = self._cut(run, scenarios[place // count])

        with self.shown(sizes) as report:
            groups = [place % count for place in range(len(tasks))]  # all sizes of a member find one bed
            each_together(function, tasks, groups, take, self.how, kept=self.kept, report=report)
        for place, size in enumerate(sizes):
            self.found[size] = [self._numbers(rows[place * count + member]) for member in range(count)]

    def _cut(self, run: xr.Dataset, scenario: Scenario) -> Trial:
        """What one run came to; the wish is read in full once a run tells the measures."""
        zones = tuple(zone.name for zone in scenario.zone)
        if run.attrs["failure"]:
            self.failure = self.failure or str(run.attrs["failure"])
            return Trial(failure=str(run.attrs["failure"]), zones=zones)
        measures = _entries(run)
        self.days = (scenario.period.end - scenario.period.start).total_seconds() / 86400.0
        if self.target is None:
            self.target = target_of(self.wish, measures, zones)
        bill, energy = measures.get("cost"), measures["electricity"].value
        if bill is not None:
            self.currency = bill.currency
        money = None if bill is None else bill.value
        stem = self.target.measure.partition(".")[0]
        wanted = {key: one for key, one in measures.items() if key.partition(".")[0] == stem}
        return Trial(wanted, zones, math.nan if energy is None else energy, money, self.days)

    def _numbers(self, trial: Trial) -> tuple[float | None, float, float | None]:
        value = None if trial.failure else value_in(trial, self.settled().measure)
        return value, trial.energy, trial.money

    def tried(self, size: float) -> Tried:
        """One size in all members."""
        target, rows = self.settled(), self.found[size]
        values = np.array([math.nan if value is None else value for value, _, _ in rows])
        margins = np.where(np.isfinite(values), target.sign * (values - target.value), -math.inf)
        past = self.draws.margin / DEVIATIONS if target.entry.unit == OXYGEN else 0.0
        share = share_meeting(margins, self.weights, past, strict=target.strict)
        margin = margin_of_share(margins, self.weights, self.confidence, past)
        money = np.array([math.nan if one is None else one for _, _, one in rows])
        return Tried(
            size,
            Chance(share, *wilson_interval(share, self.worth, LEVEL)),
            target.value + target.sign * margin if math.isfinite(margin) else None,
            _median(values, self.weights),
            share >= self.confidence - 1e-9,
            _median(np.array([energy for _, energy, _ in rows]), self.weights) or math.nan,
            _median(money, self.weights),
            int(np.isnan([energy for _, energy, _ in rows]).sum()),
        )

    def settled(self) -> Target:
        """The target; RunError when no run was finished."""
        if self.target is None:
            raise RunError(f"no run could be finished; the first: {self.failure}")
        return self.target


def _median(values: Array, weights: Array) -> float | None:
    middle = float(quantile(values, 0.5, weights))
    return middle if math.isfinite(middle) else None


def _entries(run: xr.Dataset) -> dict[str, Entry]:
    """Measures of a kept run with their declarations."""
    rows: dict[str, dict[str, Any]] = json.loads(str(run.attrs["measures"]))
    values = dict(zip(run["key"].values.tolist(), run["measure"].values.tolist(), strict=True))
    found = {}
    for key, row in rows.items():
        declared: dict[str, Any] = {name: math.nan if v is None else v for name, v in row.items()}
        found[key] = Entry(**declared, value=values[key] if math.isfinite(values[key]) else None)
    return found


def check_not_drawn(draws: Draws, scenario: Scenario, keys: Sequence[str]) -> None:
    """Refuse a size that the members draw themselves."""
    tasks, _ = tasks_of([scenario], draws)
    both = sorted({key for key, _ in tasks[0].values} & set(keys))
    if both:
        raise ScenarioError(
            f"{both[0]}: is drawn among the unknowns, so it cannot be sized over members; size it without "
            "them, or another number"
        )
