"""Members held against readings: every draw run over the readings, then weighed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr

from pondsim.ensemble.facts import Read
from pondsim.ensemble.kept import fingerprint
from pondsim.ensemble.learnt import Learnt, learnt
from pondsim.ensemble.member import kept_in
from pondsim.ensemble.runner import each_result
from pondsim.ensemble.sampling import shares_of
from pondsim.ensemble.study import Draws, draws_from
from pondsim.ensemble.unknowns import correlations_of, drawn, unknowns_of, with_draw
from pondsim.ensemble.weather_years import WeatherYear
from pondsim.ensemble.weights import Weighing, weigh
from pondsim.errors import RunError, ScenarioError
from pondsim.measures.places import water_depth
from pondsim.measures.readings import ReadSeries, computed_at, read_series
from pondsim.records import Record
from pondsim.scenario.settings import Scenario
from pondsim.simulate import run
from pondsim.site.readings import KINDS

Array = np.ndarray[Any, Any]

LEAST_MEMORIES = 3.0  # error memories that the readings used for weights should last
HELD = ("dissolved_oxygen", "water_temperature")  # what weighs, unless it is named
SATURATION = "oxygen_saturation"
NEAR_BED = 0.5  # share of the depth from which an instrument hangs near the bed


@dataclass(frozen=True)
class Calibration:
    """Weights, and all that must be said with them.

    Attributes
    ----------
    draws : what was drawn, with the weights
    weighing, learnt : how the weights came about, and what they say of each unknown
    series : readings and what members computed there
    failures : texts of runs that failed
    warnings : see `warnings_of`
    """

    draws: Draws
    weighing: Weighing
    learnt: tuple[Learnt, ...]
    series: tuple[Read, ...]
    failures: tuple[str, ...]
    warnings: tuple[Record, ...]


@dataclass(frozen=True)
class AtReadings:
    """Runs a draw and keeps what it computed at the readings; travels to other processes."""

    scenario: Scenario
    quantities: tuple[str, ...]

    def __call__(self, values: tuple[tuple[str, Any], ...]) -> xr.Dataset:
        """Computed values at all readings one after the other, and saturation beside oxygen."""
        try:
            results = run(with_draw(self.scenario, dict(values)), how_long_start_matters=False)
        except RunError as error:
            return xr.Dataset(attrs={"failure": str(error)})
        found = [one for one in read_series(results) if one.variable in self.quantities]
        lines = [_at(results, one) for one in found]
        ready = [_at(results, one, SATURATION) for one in found]
        deep = [_is_near_bed(results, one) for one in found]
        data = {
            "computed": (("reading",), np.concatenate(lines).astype(np.float32)),
            "saturation": (("reading",), np.concatenate(ready).astype(np.float32)),
            "near_bed": (("series",), np.array(deep, dtype=np.int8)),
        }
        return xr.Dataset(data, attrs={"failure": ""})


def _at(results: xr.Dataset, one: ReadSeries, variable: str | None = None) -> Array:
    computed = computed_at(results, one, variable)
    return np.full(one.times.size, np.nan) if computed is None else computed


def _is_near_bed(results: xr.Dataset, one: ReadSeries) -> bool:
    if one.depth is None:
        return False
    zones = [str(zone) for zone in results["zone"].values]
    deep = float(np.nanmean(water_depth(results)[:, zones.index(one.zone)]))
    return one.depth > NEAR_BED * deep


def calibrate(
    scenario: Scenario,
    members: int = 64,
    seed: int = 1,
    how: str = "threads",
    *,
    held_out: float = 0.3,
    effective: float = 20.0,
    quantities: Sequence[str] = HELD,
    keep: str | Path | None = None,
    report: Callable[[float], None] | None = None,
) -> Calibration:
    """Run members over the readings of a scenario and weigh them.

    Parameters
    ----------
    scenario : Scenario
        The pond as it was when it was read, with its weather and ``[[readings]]``.
    members, seed
        As in `draws_of`; the weather is that of the scenario in all of them.
    how, keep, report
        As in `pondsim.ensemble.member.run_members`.
    held_out, effective
        As in `weigh`.
    quantities : sequence of str
        What weighs members.

    Raises
    ------
    ScenarioError
        No readings of these quantities within the period, or shares that make no sense.
    RunError
        Fewer than two members could be finished.
    """
    if not 0.1 <= held_out <= 0.6:
        raise ScenarioError(
            f"held out = {held_out:g}: write a share of the days from 0.1 to 0.6, such as 0.3"
        )
    if not 2.0 <= effective <= members:
        raise ScenarioError(
            f"effective = {effective:g} of {members} members: write a number from 2 to that of the members, "
            "or draw more of them"
        )
    unknowns = unknowns_of([scenario], [WeatherYear("as measured")])
    shares = shares_of(unknowns, members, seed, correlations_of(scenario))
    draws = draws_from(unknowns, shares, [WeatherYear("as measured")], seed)
    tasks = [tuple(sorted(drawn(scenario, unknowns, row).items())) for row in draws.values]
    kept = None
    if keep is not None:
        plain = replace(scenario, sources=(), stated={})
        kept = kept_in(keep, fingerprint(plain, tuple(quantities)))
    found: dict[int, xr.Dataset] = {}
    function = AtReadings(scenario, tuple(quantities))
    given = _readings(scenario, function)
    each_result(function, tasks, found.__setitem__, how, kept=kept, report=report)
    return _weighed(draws, found, given, held_out, effective)


def _readings(scenario: Scenario, function: AtReadings) -> list[ReadSeries]:
    """The readings that weigh, before anything is run."""
    from pondsim.output.readings import readings_of  # noqa: PLC0415

    if not scenario.readings:
        raise ScenarioError("there are no readings to hold members against; write [[readings]] into the file")
    strange = sorted(set(function.quantities) - set(KINDS))
    if strange:
        raise ScenarioError(f"{strange[0]}: is not something that is read; write one of {', '.join(KINDS)}")
    held = readings_of(scenario)
    dataset = xr.Dataset(held.data, held.coordinates, held.attributes)
    series = [one for one in read_series(dataset) if one.variable in function.quantities]
    if not series:
        wanted = ", ".join(function.quantities)
        raise ScenarioError(
            f"no readings of {wanted} lie within the period; lengthen it, or name another quantity"
        )
    return series


def _weighed(
    draws: Draws, found: dict[int, xr.Dataset], given: list[ReadSeries], held_out: float, effective: float
) -> Calibration:
    whole = [member for member in range(draws.members) if not found[member].attrs["failure"]]
    failures = tuple(sorted({str(one.attrs["failure"]) for one in found.values()} - {""}))
    if len(whole) < 2:
        raise RunError(f"fewer than two members could be finished; the first failure: {failures[0]}")
    computed = np.stack([found[member]["computed"].values for member in whole]).astype(float)
    first = found[whole[0]]
    series, at = [], 0
    for place, one in enumerate(given):
        rows = slice(at, at + one.times.size)
        at += one.times.size
        name = f"{one.instrument}, {one.variable.replace('_', ' ')}, {one.zone}"
        near_bed = bool(first["near_bed"].values[place])
        series.append(
            Read(name, one.variable, one.zone, near_bed, one.times, one.step, one.used, computed[:, rows],
                 first["saturation"].values[rows].astype(float))
        )  # fmt: skip
    weighing = weigh(series, held_out, effective)
    told = learnt(draws.unknowns, draws.shares[whole], weighing.weights)
    weights = np.zeros(draws.members)
    weights[whole] = weighing.weights
    return Calibration(
        replace(draws, weights=weights),
        weighing,
        tuple(told),
        tuple(series),
        failures,
        tuple(warnings_of(weighing, told, series, effective)),
    )


def warnings_of(
    weighing: Weighing, told: Sequence[Learnt], series: Sequence[Read], effective: float
) -> list[Record]:
    """What makes weights doubtful.

    ``few_members``: the readings leave fewer than the stated number before tempering; ``no_better``: the tail
    is told worse than by yesterday's hour; ``few_memories``: fewer than three error memories;
    ``above_members``: readings above all members; ``at_edge``: an unknown is pressed against an end of its
    range; ``bed_from_top``: an unknown of the bed seems learnt though no instrument hangs near the bed.
    """
    found = []
    if weighing.plain < effective:
        numbers = {"effective": (float(weighing.plain), "1"), "wanted": (float(effective), "1")}
        found.append(Record("few_members", "warning", numbers=numbers))
    for held in weighing.held:
        rival = held.rivals.get("yesterday's hour", np.nan)
        if held.run >= rival:
            scores = {"run": (float(held.run), "1"), "yesterday": (float(rival), "1")}
            found.append(Record("no_better", "warning", held.name, scores))
    for name, worth in weighing.worth.items():
        if worth < LEAST_MEMORIES:
            found.append(Record("few_memories", "warning", name, {"memories": (float(worth), "1")}))
    for name, share in weighing.above.items():
        if share > 0.02:
            found.append(Record("above_members", "warning", name, {"share": (float(share), "1")}))
    found += [Record("at_edge", "warning", one.unknown.name) for one in told if one.at_edge]
    if not any(one.near_bed for one in series):
        of_bed = ("bed.", "bottom_")
        learnt = [one.unknown.name for one in told if one.learnt]
        found += [Record("bed_from_top", "warning", name) for name in learnt if name.startswith(of_bed)]
    return found


def oxygen_margin(weighing: Weighing) -> float:
    """By how much an interval of oxygen must reach further to have held 90 % of past errors. [mg/L]"""
    margins = [held.margin for held in weighing.held if "dissolved oxygen" in held.name]
    return max(margins, default=0.0)
