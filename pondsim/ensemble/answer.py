"""The whole answer of a study as plain values: for each design its measures, promise, plan and ranking."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
import xarray as xr

from pondsim.ensemble.paired import Paired, paired, weights_in, whole_members
from pondsim.ensemble.promise import DAWN, Plan, Promise, deciding, plan_of, promised, years_of
from pondsim.ensemble.ranking import Ranking, interval_after, ranking
from pondsim.ensemble.statistics import effective_number
from pondsim.ensemble.study_file import unknowns_in
from pondsim.ensemble.unknowns import WEATHER
from pondsim.measures.declared import Measure


@dataclass(frozen=True)
class Worth:
    """What measuring an unknown would leave of the interval of a difference, in the measure's unit."""

    name: str
    what: str
    low: float
    high: float


@dataclass(frozen=True)
class DesignAnswer:
    """One design against the existing pond.

    Attributes
    ----------
    design, title : place and title
    rows : every measure
    promise : the strongest one, or None
    plan : that would prove it
    key : measure that is ranked: the promised one, else the mean dawn of the zone poorest at dawn
    interval : 5 to 95 % of the difference in that measure
    ranked : what decides it
    worth : what measurements would leave of that interval, the narrowest first
    """

    design: int
    title: str
    rows: tuple[Paired, ...]
    promise: Promise | None
    plan: Plan | None
    key: str
    interval: tuple[float, float]
    ranked: Ranking
    worth: tuple[Worth, ...]


@dataclass(frozen=True)
class Answer:
    """A whole study.

    Attributes
    ----------
    existing, designs : titles and answers
    members, asked : finished with every design, and begun
    effective : what the members are worth by their weights
    failures : texts of runs that failed
    years : weather years drawn
    confidence : of the promises
    asked_for : key of the measure that was to be promised; "" where the strongest was
    """

    existing: str
    designs: tuple[DesignAnswer, ...]
    members: int
    asked: int
    effective: float
    failures: tuple[str, ...]
    years: tuple[str, ...]
    confidence: float
    asked_for: str = ""

    def in_short(self, measure: Measure) -> bool:
        """Whether a measure belongs in the short table: it always does, or a sentence or picture is of it."""
        named = {one.key.partition(".")[0] for one in self.designs}
        return bool(measure.main) or measure.key.partition(".")[0] in named


def answer_of(study: xr.Dataset, confidence: float = 0.9, key: str = "", system: str = "us") -> Answer:
    """All that a study says.

    Parameters
    ----------
    study : xarray.Dataset
        From `run_study`.
    confidence : float, default 0.9
        Of promises.
    key : str
        Measure to promise; else the strongest of dawns.
    system : {"us", "si"}
        Units in which promised numbers are round ones.

    Raises
    ------
    ScenarioError
        A key or a confidence that cannot be used.
    """
    members = whole_members(study)
    failures = sorted({str(one) for one in study["failure"].values.ravel()} - {"", "not run"})
    titles = [str(one) for one in study["title"].values]
    return Answer(
        titles[0],
        tuple(_design(study, one, titles[one], confidence, key, system) for one in range(1, len(titles))),
        len(members),
        int(np.sum(study["weight"].values > 0.0)),
        effective_number(weights_in(study, members)),
        tuple(failures),
        tuple(years_of(study)),
        confidence,
        key,
    )


def _design(
    study: xr.Dataset, design: int, title: str, confidence: float, key: str, system: str
) -> DesignAnswer:
    rows = tuple(paired(study, design))
    promise = promised(study, design, confidence, key, system)
    chosen = key or (promise.measure.key if promise else _poorest(rows))
    row = next(one for one in rows if one.measure.key == chosen)
    plan = plan_of(study, design, chosen, confidence)
    shares, apart, weights = deciding(study, design, chosen)
    unknowns = unknowns_in(study)
    ranked = ranking(unknowns, shares, apart)
    own = weights if study.attrs.get("weighted", 0) else None
    places = {one.name: place for place, one in enumerate(unknowns)}
    worth = []
    for index in ranked.indices:
        known = measurements().get(index.unknown.name)
        if known is None or index.unknown.name == WEATHER:
            continue
        share = shares[:, places[index.unknown.name]]
        low, high = interval_after(index, share, apart, float(known["error"]), own)
        worth.append(Worth(index.unknown.name, str(known["what"]), low, high))
    worth.sort(key=lambda one: one.high - one.low)
    return DesignAnswer(design, title, rows, promise, plan, chosen, (row.low, row.high), ranked, tuple(worth))


def _poorest(rows: tuple[Paired, ...]) -> str:
    """The mean dawn of the zone with the lowest, else the first measure."""
    dawns = [row for row in rows if row.measure.key.startswith(DAWN)]
    return min(dawns, key=lambda row: row.existing).measure.key if dawns else rows[0].measure.key


@cache
def measurements() -> dict[str, dict[str, Any]]:
    """What may be measured of each unknown, and how well: measuring.toml."""
    text = files("pondsim.data").joinpath("measuring.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
