"""Places for intake and return, ranked by what they do for the pond."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pondsim.comparison.entries import Entry
from pondsim.errors import RunError
from pondsim.scenario.settings import Scenario
from pondsim.sizing.one import value_in
from pondsim.sizing.target import RANKED_BY, Target, Wish, check_rank, entry_of, target_of
from pondsim.sizing.trial import Trial, try_all

SHARES = ("replaced_share", "renewed_share")  # shown of every pair


@dataclass(frozen=True)
class Pair:
    """Where the loop draws and returns.

    Attributes
    ----------
    name : what it is called in the table
    intake, waterfall : zones
    elevation : of the intake [m]
    scenario : the design with it
    """

    name: str
    intake: str
    waterfall: str
    elevation: float
    scenario: Scenario


@dataclass(frozen=True)
class Ranked:
    """A pair and what came of it; `value` is the measure ranked by."""

    pair: Pair
    trial: Trial
    value: float | None
    meets: bool | None


@dataclass(frozen=True)
class Ranking:
    """All pairs, best first.

    Attributes
    ----------
    measure : key ranked by
    entry : the measure of one run, for its words and units
    target : what must be reached, or None
    ranked : pairs, best first; those without a value last
    """

    measure: str
    entry: Entry
    target: Target | None
    ranked: tuple[Ranked, ...]


def rank(
    pairs: Sequence[Pair],
    measure: str,
    wish: Wish | None = None,
    report: Callable[[float], None] | None = None,
) -> Ranking:
    """Run pairs of places and rank them.

    Parameters
    ----------
    pairs : what to run
    measure : key to rank by, whole pond, one zone or worst zone
    wish : what should be reached, if anything; the ranking is by its measure then
    report : called with the share done, 0 to 1

    Raises
    ------
    ScenarioError : an unknown measure, a wrong unit, or a measure of which neither more nor less is better
    RunError : not one run could be finished
    """
    if wish is None:
        check_rank(measure, [zone.name for zone in pairs[0].scenario.zone])
    trials = try_all([pair.scenario for pair in pairs], report)
    done = next((trial for trial in trials if trial.measures), None)
    if done is None:
        raise RunError(f"no run could be finished; the first: {trials[0].failure}")
    target = target_of(wish, done.measures, done.zones) if wish else None
    measure = wish.measure if wish else measure
    entry = target.entry if target else entry_of(measure, done.measures, done.zones, RANKED_BY)
    good = target.sign if target else entry.good
    ranked = []
    for pair, trial in zip(pairs, trials, strict=True):
        value = value_in(trial, measure) if trial.measures else None
        ranked.append(Ranked(pair, trial, value, target.met(value) if target else None))
    ranked.sort(key=lambda one: (one.value is None, -good * (one.value or 0.0)))
    return Ranking(measure, entry, target, tuple(ranked))


def worst_place(trial: Trial, stem: str) -> tuple[str, float | None]:
    """The worst zone of a measure by zone, and its value; "" where the run has no such measure."""
    if not any(key.startswith(f"{stem}.") for key in trial.measures):
        return "", None
    entry = entry_of(f"{stem}.worst", trial.measures, trial.zones)
    return entry.label, entry.value
